//! The plasma or serum holds clots or fibrin.

use super::{Meta, Pair, Raised};
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "sample-clotted",
    title: "sample with clots or fibrin",
    text: "The plasma or serum holds clots or fibrin. Strands of fibrin trap cells and look like \
           clumps in a tube, or like a band in a column. A clump with a strand in it is no proof \
           of agglutination, and no proof against it.",
    next_step: "Take out the clot, spin the plasma or serum again, and repeat what reacted; \
                better, draw a fresh sample.",
    sources: &[
        "American Society for Veterinary Clinical Pathology, 2009, Quality assurance guidelines, \
         section 1.1, Preanalytical factors",
        "AABB Technical Manual, from memory",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let shown = pair.deciding_plasma().filter(|(_, sample)| sample.clots == Some(true));
    Raised::if_any(Effect::Caveat, shown.map(|(at, _)| at))
}
