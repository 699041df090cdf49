//! For a sample that decides, no time of drawing is recorded.

use super::{Meta, Pair, Raised};
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "sample-age-unknown",
    title: "time of drawing unknown",
    text: "For a sample that decides, no time of drawing is recorded, so it cannot be said whether \
           it was fresh enough for this animal. Unknown is not the same as fresh. The readings \
           themselves are kept.",
    next_step: "Hold the unit. Ask who drew the sample and write down date and time; if nobody \
                knows, draw again and repeat the tests.",
    sources: &[
        "United States, Code of Federal Regulations, title 21, section 606.151, Compatibility \
         testing",
    ],
    effects: &[Effect::Incomplete],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let shown = pair.deciding_plasma().filter(|(_, sample)| sample.drawn_at.is_none());
    Raised::if_any(Effect::Incomplete, shown.map(|(at, _)| at))
}
