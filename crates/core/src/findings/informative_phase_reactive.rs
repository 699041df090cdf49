//! A reaction was seen in a phase that is recorded but does not decide.

use super::{Meta, Pair, Raised};
use crate::words::{Effect, Test};

pub(super) const META: Meta = Meta {
    slug: "informative-phase-reactive",
    title: "reaction in a phase that does not decide",
    text: "A reaction was seen in a phase that the protocol records but does not judge by, such as \
           the cold. Cold agglutinins can be present for a long time without disease and be silent \
           at body temperature. By itself it does not block the unit, but it is not explained away \
           either.",
    next_step: "Repeat at 37 °C with warmed cells, plasma and saline, and tell the veterinarian, \
                above all if the animal may be cooled.",
    sources: &[
        "Cold agglutinin activity in 2 dogs, Vet Clin Pathol, doi 10.1111/vcp.12173",
        "AABB Technical Manual, from memory",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let shown = Test::FOUR.into_iter().flat_map(|test| {
        pair.informative(test)
            .filter(|(_, outcome)| outcome.state.is_reactive_or_doubtful())
            .flat_map(move |(phase, _)| pair.first_looks(test, phase))
    });
    Raised::if_any(Effect::Caveat, shown.map(|(at, _)| at))
}
