//! A reading that reacted was withdrawn, and none stands in its place.

use super::{Meta, Pair, Raised};
use crate::reading::Class;
use crate::words::{Effect, State};

pub(super) const META: Meta = Meta {
    slug: "reading-retracted",
    title: "a reading that reacted was withdrawn",
    text: "A reading that reacted was withdrawn, and what stands there now is negative or missing. \
           The withdrawn reading and its reason stay visible. A withdrawal may be right, but it \
           does not show that the tube was clean; whoever decides should know of it.",
    next_step: "Read the reason for the withdrawal. If it does not account for the reaction, \
                repeat the test with fresh tubes before the unit leaves.",
    sources: &[
        "United States, Code of Federal Regulations, title 21, section 11.10(e), audit trails",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let rules = pair.rules();
    let shown = pair.retracted().filter(|(_, reading)| {
        let test = reading.test;
        let counts = pair.is_deciding(test)
            || pair.is_needed(test)
            || pair.is_plasma_auto_of_deciding(test)
            || test.is_saline_control();
        let reacted = rules.is_lysis(reading.hemolysis)
            || reading
                .agglutination
                .grade()
                .is_some_and(|grade| rules.class(grade) != Class::Negative);
        let gone = match pair.outcome(test, reading.phase).state {
            State::Negative | State::Unread | State::Absent => true,
            State::Void | State::Doubtful | State::Reactive => false,
        };
        counts && reacted && gone
    });
    Raised::if_any(Effect::Caveat, shown.map(|(at, _)| at))
}
