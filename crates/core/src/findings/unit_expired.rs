//! The unit was past its expiry date on the day of the reading.

use super::{Meta, Pair, Raised};
use crate::document::Pointer;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "unit-expired",
    title: "unit past its expiry date",
    text: "The unit was past its expiry date on the day of the reading. Stored cells break down, \
           and bacteria can grow. A clean crossmatch says nothing about either.",
    next_step: "Do not give the unit. Take it out of stock, record it as expired, and choose \
                another.",
    sources: &[
        "United States, Code of Federal Regulations, title 21, section 606.121, Container label",
        "common practice",
    ],
    effects: &[Effect::Incompatible],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let expires_on = pair.donor().unit.as_ref()?.expires_on?;
    let at = Pointer::DonorField(pair.number, "unit/expires_on");
    (expires_on < pair.latest()?.date()).then(|| Raised::new(Effect::Incompatible, [at]))
}
