//! By the times written down the sample was drawn after the reading.

use super::{Meta, Pair, Raised};
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "sample-drawn-after-reading",
    title: "sample drawn after the reading",
    text: "By the times written down, the sample was drawn after the tests had been read. Either a \
           time is wrong, or another sample was tested. Until this is cleared, the readings cannot \
           be tied to this animal.",
    next_step: "Hold the unit. Find the tube that was tested and check its label and times; \
                correct the record with a reason, or draw again and repeat the tests.",
    sources: &[
        "United States, Code of Federal Regulations, title 42, section 493.1283, test records",
        "United States, Code of Federal Regulations, title 21, section 606.151, Compatibility \
         testing",
    ],
    effects: &[Effect::Indeterminate],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let earliest = pair.earliest()?.instant();
    let shown = pair
        .deciding_plasma()
        .filter(|(_, sample)| sample.drawn_at.is_some_and(|drawn| drawn.instant() > earliest));
    Raised::if_any(Effect::Indeterminate, shown.map(|(at, _)| at))
}
