//! A recheck was recorded, but it does not count.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "recheck-not-counted",
    title: "recheck not counted",
    text: "A recheck does not count: it was unreadable or dried, had an artefact, missed the time \
           window, was not made after the first look, or its first look was withdrawn. It can \
           never clear a reaction; if it showed one, it can keep the doubt alive.",
    next_step: "Do the recheck again on the same mixture after its first look, and write down its \
                time.",
    sources: &["common practice"],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::RecheckNotCounted, Effect::Note)
}
