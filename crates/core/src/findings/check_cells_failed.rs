//! Check cells in a non-reactive antiglobulin tube did not clump as they must.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "check-cells-failed",
    title: "check cells failed",
    text: "Check cells added to an antiglobulin tube that did not react failed to clump as they \
           must. The antiglobulin was missing, used up by plasma left on the cells, or dead, so a \
           negative there cannot be believed. Reactions seen in other phases stand.",
    next_step: "Repeat the antiglobulin test from the start: wash fully, add fresh antiglobulin at \
                once after the last wash, and add check cells again.",
    sources: &[
        "BCSH-NIBSC, 1993, Anti-D reference reagent for antiglobulin tests, Transfus Med 3:143",
        "AABB Technical Manual, from memory",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::CheckCellsFailed, Effect::Note)
}
