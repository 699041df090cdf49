//! A slide was read, but it is not recorded how long after mixing.

use super::{Meta, Pair, Raised};
use crate::words::{Effect, Method};

pub(super) const META: Meta = Meta {
    slug: "reading-time-unknown",
    title: "time of the slide reading unknown",
    text: "A slide was read, but it is not recorded how long after mixing. Too early, a weak \
           reaction has not yet formed; too late, drying imitates one. The reading is taken as \
           written and may be neither.",
    next_step: "Write the seconds from mixing to reading; if nobody knows them, make the slide \
                again with a timer running.",
    sources: &["common practice"],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    if pair.run.worksheet.method() != Method::Slide {
        return None;
    }
    let shown = pair.first_looks_of_deciding().filter(|(_, look)| look.seconds.is_none());
    Raised::if_any(Effect::Caveat, shown.map(|(at, _)| at))
}
