//! A deciding phase of the minor was read, but the reading cannot be used.

use super::{Meta, Pair, Raised};
use crate::words::{Effect, Test};

pub(super) const META: Meta = Meta {
    slug: "minor-void",
    title: "minor crossmatch reading not usable",
    text: "The minor was read in a deciding phase, but the reading cannot be used; the cause is \
           listed with it. It is not a negative minor. The major is not touched by this unless it \
           shares the fault.",
    next_step: "Repeat the minor in that phase with a fresh mixture once the cause is put right; \
                hold the unit until then where the product or the protocol needs the minor.",
    sources: &[
        "Vap LM et al., 2012, ASVCP quality assurance guidelines (section 2.8, crossmatching), Vet \
         Clin Pathol 41:8",
        "common practice",
    ],
    effects: &[Effect::Note, Effect::Caveat, Effect::Invalid],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let effect = pair.effect_of_minor(
        pair.is_needed(Test::Minor),
        Effect::Invalid,
        pair.rules().minor_with_packed_cells.void,
    );
    pair.summed(Test::Minor).spoiled.then(|| Raised::new(effect, pair.void(Test::Minor)))
}
