//! The positive reagent control was weaker than expected or could not be read.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "positive-control-failed",
    title: "positive reagent control failed",
    text: "The positive reagent control was unreadable, not reactive, or clearly weaker than \
           expected. The run may be too weak to find an antibody, so its negatives cannot be \
           believed. Reactions that were seen stand.",
    next_step: "Repeat the control with fresh reagent; when it reads as expected, repeat every \
                test of the run that read negative.",
    sources: &[
        "New York State, Codes, Rules and Regulations, title 10, section 58-2.10",
        "United States, Code of Federal Regulations, title 21, section 606.65, Supplies and \
         reagents, from memory",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::PositiveControlFailed, Effect::Note)
}
