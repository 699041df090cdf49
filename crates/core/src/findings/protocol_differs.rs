//! The worksheet was checked under another protocol than the one used to interpret it.

use super::{Meta, Pair, Raised};
use crate::document::Pointer;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "protocol-differs",
    title: "checked under another protocol",
    text: "The worksheet was checked under another protocol than the one used to interpret it. \
           Phases, needed tests and cut-offs may differ, so a reading may be missing or out of \
           place under this one. No verdict holds until both are the same.",
    next_step: "Check the worksheet again under this protocol, then interpret it; hold the unit \
                until then.",
    sources: &["common practice"],
    effects: &[Effect::Invalid],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.protocol_differs.then(|| Raised::new(Effect::Invalid, [Pointer::Protocol]))
}
