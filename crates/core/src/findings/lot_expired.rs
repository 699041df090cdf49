//! A reagent or the saline was past its expiry date on the day of the reading.

use super::{Meta, Pair, Raised};
use crate::document::Pointer;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "lot-expired",
    title: "lot past its expiry date",
    text: "A reagent or the saline was past its expiry date on the day of the reading. Old \
           reagents lose strength, and old saline can change its pH or grow bacteria. Clean \
           controls lessen the doubt but do not remove it.",
    next_step: "Open a lot that is in date, repeat the controls and then the tests, and throw the \
                expired lot away.",
    sources: &[
        "New York State, Codes, Rules and Regulations, title 10, section 58-2.10",
        "United States, Code of Federal Regulations, title 21, section 606.160, Records, from \
         memory",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let today = pair.latest()?.date();
    let lots = pair.run.worksheet.setup().lots.iter().enumerate();
    let shown = lots
        .filter(|(_, lot)| lot.expires_on.is_some_and(|expires_on| expires_on < today))
        .map(|(lot, _)| Pointer::Lot(lot));
    Raised::if_any(Effect::Caveat, shown)
}
