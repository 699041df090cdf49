//! The mixture was incubated for longer than the protocol allows.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "incubation-long",
    title: "incubation too long",
    text: "The mixture was incubated for longer than the protocol allows. After too long, false \
           weak reactions can appear, so a weak positive cannot be believed; it is not thereby \
           negative. A stronger reaction or hemolysis stands.",
    next_step: "Repeat with the protocol's incubation time, and read at once.",
    sources: &["AABB Technical Manual, from memory"],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::IncubationLong, Effect::Note)
}
