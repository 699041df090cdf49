//! This is a serologic verdict, and it says no more than serology can.

use super::{Meta, Pair, Raised};
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "serology-only",
    title: "serology only",
    text: "This is serology only. A compatible crossmatch does not exclude later sensitization, \
           antibody below detection, reactions to white cells, platelets or plasma proteins, or \
           delayed reactions, and it does not promise the survival of the cells. Local rules and \
           the veterinarian decide.",
    next_step: "Hand over the verdict together with what was not tested; local rules and the \
                veterinarian decide, and the animal is watched during and after the transfusion.",
    sources: &[
        "Goy-Thollot I et al., 2017, Pre- and post-transfusion alloimmunization in dogs \
         characterized by 2 antiglobulin-enhanced cross-match tests, J Vet Intern Med",
        "Cornell University College of Veterinary Medicine, eClinPath, Cross-match",
        "Cotter SM, 2019, Crossmatching in animals, Merck Veterinary Manual",
    ],
    effects: &[Effect::Note],
};

#[expect(clippy::unnecessary_wraps, reason = "the form of every rule")]
pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    Some(Raised::new(Effect::Note, pair.donor_itself()))
}
