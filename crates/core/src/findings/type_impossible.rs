//! The record says Kai 1 and Kai 2 both positive on one dog.

use super::{Meta, Pair, Raised, animal_at};
use crate::words::{Effect, Species, System, TypeResult};

pub(super) const META: Meta = Meta {
    slug: "type-impossible",
    title: "Kai 1 and Kai 2 both positive on one dog",
    text: "The record says that one dog is positive for both Kai 1 and Kai 2. In a survey of dogs \
           in North America none had both, so one entry or one sample is likely to be wrong. It \
           can mean that the sample is not this dog's.",
    next_step: "Hold the unit. Check the typing sheet and the label of the sample, and type again \
                from a new sample.",
    sources: &[
        "Euler CC et al., 2016, Survey of two new (Kai 1 and Kai 2) and other blood groups in dogs \
         of North America, J Vet Intern Med 30:1642",
    ],
    effects: &[Effect::Indeterminate],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let shown = pair.both_animals().into_iter().filter(|owner| {
        let animal = pair.animal(*owner);
        let present = |system| animal.results(system).any(TypeResult::is_present);
        animal.species == Species::Dog && present(System::Kai1) && present(System::Kai2)
    });
    Raised::if_any(Effect::Indeterminate, shown.map(animal_at))
}
