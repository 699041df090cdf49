//! A slide was read before its time window had opened.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "reading-early",
    title: "slide read too early",
    text: "A slide was read before the protocol's time window opened. Weak reactions need that \
           time to form, so a negative this early cannot be believed. A reaction that was already \
           there stands.",
    next_step: "Make the slide again, rock it, and read it inside the window with a timer running.",
    sources: &["common practice"],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::ReadingEarly, Effect::Note)
}
