//! The DEA 1 type of the donor or the recipient dog is not recorded.

use super::{Meta, Pair, Raised, animal_at};
use crate::protocol::TypeRules;
use crate::words::{Effect, System};

pub(super) const META: Meta = Meta {
    slug: "dog-type-unknown",
    title: "DEA 1 type not recorded",
    text: "The DEA 1 type of donor or recipient is not recorded. A first mismatch is not seen by \
           the crossmatch, and it can sensitize the dog against later transfusions. A clean \
           crossmatch does not replace typing.",
    next_step: "Type both dogs for DEA 1, or choose a DEA 1 negative donor; keep a sample from \
                before the transfusion.",
    sources: &[
        "World Small Animal Veterinary Association, 2017, Congress proceedings, transfusion \
         lecture, pp. 134-135",
        "Joint Trauma System, clinical practice guideline on military working dogs, transfusion \
         chapter",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    if pair.rules().type_rules != TypeRules::Dog || !pair.product().has_red_cells() {
        return None;
    }
    let missing = pair
        .both_animals()
        .into_iter()
        .filter(|owner| pair.animal(*owner).results(System::Dea1).next().is_none());
    Raised::if_any(Effect::Caveat, missing.map(animal_at))
}
