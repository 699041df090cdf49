//! The label on a sample does not carry the id of the animal it was entered for.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "label-mismatch",
    title: "sample label does not match the animal",
    text: "The label on a sample does not carry the id of the animal it was entered for. The blood \
           may come from another animal, so nothing read with it can be used, neither positive nor \
           negative. A new label on the same tube does not repair this.",
    next_step: "Stop and hold the unit. Draw a new sample, label it at the animal's side, and \
                repeat all tests made with the old one.",
    sources: &[
        "Dzik WH et al., 2003, An international study of the performance of sample collection from \
         patients, Vox Sanguinis",
        "US Army Medical Department Center and School, subcourse MD0845, Immunohematology and \
         Blood Banking I, pp. 2-19 and 2-20",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::LabelMismatch, Effect::Note)
}
