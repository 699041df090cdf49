//! A person decided to go on with an animal or a sample in spite of a refusal.

use super::{Meta, Pair, Raised};
use crate::document::Pointer;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "accepted-by-decision",
    title: "accepted by a person's decision",
    text: "A person decided to go on with an animal that has one identifier only, or with a sample \
           whose label nobody read or that would have been rejected. The rule that was set aside \
           guards against blood of another animal. Who decided, and why, stands on the worksheet.",
    next_step: "Read the decision and its reason before the unit leaves. Where there is time, \
                identify animal and sample again, or draw and label a new one.",
    sources: &["common practice"],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let recipient = pair.recipient().animal.decision.is_some();
    let donor = pair.donor().animal.decision.is_some();
    let samples = pair.samples().filter(|(_, sample)| sample.decision.is_some());
    let animals = [
        recipient.then_some(Pointer::Recipient),
        donor.then_some(Pointer::DonorField(pair.number, "decision")),
    ];
    let shown = animals.into_iter().flatten().chain(samples.map(|(at, _)| at));
    Raised::if_any(Effect::Caveat, shown)
}
