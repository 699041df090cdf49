//! A slide was read after its time window had closed.

use super::{Meta, Pair, Phases, Raised};
use crate::reading::Reason;
use crate::words::{Effect, Test};

pub(super) const META: Meta = Meta {
    slug: "reading-late",
    title: "slide read too late",
    text: "A slide was read after the protocol's time window. By then it begins to dry, and drying \
           gathers cells into clumps that are no agglutination, so a positive cannot be believed; \
           it is not thereby negative. A negative this late is kept, with this remark.",
    next_step: "Make the slide again, keep it moist, rock it, and read it inside the window with a \
                timer running.",
    sources: &["common practice"],
    effects: &[Effect::Note, Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let counts = Test::FOUR
        .into_iter()
        .filter(|test| pair.is_deciding(*test) || pair.is_plasma_auto_of_deciding(*test));
    pair.because_in(counts, Reason::ReadingLate, Effect::Caveat, Phases::All)
        .or_else(|| pair.because(Reason::ReadingLate, Effect::Note))
}
