//! The mixture was overloaded, spun too hard or shaken hard, which can hide a reaction.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "artefact-false-negative",
    title: "artefact may hide a reaction",
    text: "The mixture was overloaded with cells, spun too hard or shaken hard. Each of these can \
           hide a weak reaction, so a negative cannot be believed. A reaction that was seen \
           stands.",
    next_step: "Repeat the test with the right load and spin, and re-suspend gently: tilt, do not \
                shake.",
    sources: &[
        "Replicate tests for the detection and correction of errors in anti-human globulin (AHG) \
         tests, 1988, Haematologia (Budapest), PMID 3396973",
        "US Army Medical Department Center and School, subcourse MD0845, Immunohematology and \
         Blood Banking I, pp. 2-19 and 2-20",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::ArtefactFalseNegative, Effect::Note)
}
