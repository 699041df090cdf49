//! Fibrin was seen in the mixture, which imitates clumps.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "artefact-false-positive",
    title: "fibrin may imitate clumps",
    text: "Fibrin was seen in the mixture. Strands trap cells and look like clumps, so a positive \
           cannot be believed; it is not thereby negative. A clean reading is not touched.",
    next_step: "Spin the plasma or serum again to take out the fibrin, or use a fresh sample, and \
                repeat the test.",
    sources: &[
        "American Society for Veterinary Clinical Pathology, 2009, Quality assurance guidelines, \
         section 1.1, Preanalytical factors",
        "AABB Technical Manual, from memory",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::ArtefactFalsePositive, Effect::Note)
}
