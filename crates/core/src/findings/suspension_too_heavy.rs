//! The cell suspension was thicker than the protocol's range.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "suspension-too-heavy",
    title: "cell suspension too thick",
    text: "The cell suspension was thicker than the protocol's range. Too many cells share too \
           little antibody and a weak reaction is missed, so a negative cannot be believed. A \
           reaction that was seen stands.",
    next_step: "Make a new suspension inside the protocol's range, and repeat the tests that read \
                negative.",
    sources: &[
        "University of Alberta, transfusion medicine teaching modules, Antigen and antibody \
         concentration",
        "US Army Medical Department Center and School, subcourse MD0845, Immunohematology and \
         Blood Banking I, pp. 2-19 and 2-20",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::SuspensionTooHeavy, Effect::Note)
}
