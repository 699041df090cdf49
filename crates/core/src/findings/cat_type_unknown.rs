//! The AB type of the donor or the recipient cat is not recorded.

use super::{Meta, Pair, Raised, animal_at};
use crate::protocol::TypeRules;
use crate::words::{Effect, System};

pub(super) const META: Meta = Meta {
    slug: "cat-type-unknown",
    title: "cat blood type not recorded",
    text: "The AB type of donor or recipient is not recorded. Cats carry natural antibodies \
           against the type they lack, so both types are needed before any transfusion, also the \
           first. A clean crossmatch does not replace typing.",
    next_step: "Hold the unit. Type both cats now and enter the results.",
    sources: &[
        "Taylor S et al., 2021, ISFM consensus guidelines on the collection and administration of \
         blood and blood products in cats, J Feline Med Surg 23:410",
        "Knottenbelt CM, 2002, The feline AB blood group system and its importance in transfusion \
         medicine, J Feline Med Surg 4:69",
    ],
    effects: &[Effect::Incomplete],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    if pair.rules().type_rules != TypeRules::Cat {
        return None;
    }
    let missing = pair
        .both_animals()
        .into_iter()
        .filter(|owner| pair.animal(*owner).results(System::Ab).next().is_none());
    Raised::if_any(Effect::Incomplete, missing.map(animal_at))
}
