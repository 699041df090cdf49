//! A deciding phase of the major was read, but the reading cannot be used.

use super::{Meta, Pair, Raised};
use crate::words::{Effect, Test};

pub(super) const META: Meta = Meta {
    slug: "major-void",
    title: "major crossmatch reading not usable",
    text: "In at least one deciding phase the major was read, but the reading cannot be used: it \
           was unreadable, or something in the run, the sample or the tube takes away trust in it. \
           It is not a negative. A reaction in another phase that can be believed still counts.",
    next_step: "Repeat the major in that phase with a fresh mixture once the cause listed with it \
                is put right; hold red cells of this donor until it is read.",
    sources: &[
        "Vap LM et al., 2012, ASVCP quality assurance guidelines (section 2.8, crossmatching), Vet \
         Clin Pathol 41:8",
        "common practice",
    ],
    effects: &[Effect::Note, Effect::Invalid],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let effect = pair.if_deciding(Test::Major, Effect::Invalid, Effect::Note);
    let spoiled = pair.summed(Test::Major).spoiled;
    spoiled.then(|| Raised::new(effect, pair.void(Test::Major)))
}
