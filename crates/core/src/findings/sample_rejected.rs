//! The plasma or serum was more hemolyzed than the protocol accepts.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "sample-rejected",
    title: "sample too hemolyzed",
    text: "The plasma or serum was more hemolyzed than the protocol accepts. So much free \
           hemoglobin hides lysis by an antibody, so a negative cannot be believed. A reaction \
           that was seen stands.",
    next_step: "Draw a fresh sample with a clean puncture, separate it soon, and repeat the tests.",
    sources: &[
        "Vap LM et al., 2012, ASVCP quality assurance guidelines (section 2.8, crossmatching), Vet \
         Clin Pathol 41:8",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::SampleRejected, Effect::Note)
}
