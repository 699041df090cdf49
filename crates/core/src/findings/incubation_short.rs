//! The mixture was incubated for less time than the protocol asks for.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "incubation-short",
    title: "incubation too short",
    text: "The mixture was incubated for less time than the protocol asks for. Antibody needs that \
           time to bind, so a negative cannot be believed. A reaction that was seen stands.",
    next_step: "Repeat with the full incubation, with a timer running and the temperature written \
                down.",
    sources: &[
        "Antiglobulin (Coombs) test, teaching presentation, sources of error",
        "AABB Technical Manual, from memory",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::IncubationShort, Effect::Note)
}
