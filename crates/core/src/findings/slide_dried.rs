//! The slide had begun to dry when it was read.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "slide-dried",
    title: "slide dried",
    text: "The slide had begun to dry when it was read. Drying gathers cells into false clumps and \
           keeps true ones from forming, so neither answer can be believed. It is no sign for or \
           against an antibody.",
    next_step: "Make a new slide, keep it moist and away from heat, rock it, and read it in time.",
    sources: &["common practice"],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::SlideDried, Effect::Note)
}
