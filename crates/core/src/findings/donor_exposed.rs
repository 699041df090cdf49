//! The donor has had blood before, or has been pregnant where that counts.

use super::{Meta, Pair, Raised};
use crate::document::Pointer;
use crate::words::{Answer, Effect, Test};

pub(super) const META: Meta = Meta {
    slug: "donor-exposed",
    title: "donor exposed to foreign blood",
    text: "The donor has had blood before, or has been pregnant in a species where that counts. \
           Its plasma may carry antibodies against other animals' cells. This matters more with \
           whole blood and plasma than with packed or washed cells.",
    next_step: "Prefer a donor that was never exposed; otherwise read the minor, and give as \
                little plasma of this donor as the product allows.",
    sources: &[
        "World Small Animal Veterinary Association, 2017, Congress proceedings, transfusion \
         lecture, pp. 134-135",
        "Equine Clinical Medicine, Surgery and Reproduction, 2nd ed., p. 1036, table 9.2",
    ],
    effects: &[Effect::Note, Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let donor = &pair.donor().animal;
    let effect = pair.if_deciding(Test::Minor, Effect::Caveat, Effect::Note);
    let transfused = donor.transfused == Answer::Yes;
    let pregnant = pair.rules().pregnancy_sensitises && donor.pregnant == Answer::Yes;
    let fields = [(transfused, "transfused"), (pregnant, "pregnant")];
    let shown = fields.into_iter().filter(|(exposed, _)| *exposed);
    Raised::if_any(effect, shown.map(|(_, field)| Pointer::DonorHistory(pair.number, field)))
}
