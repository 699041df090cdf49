//! After the recheck the reaction was weaker, but still there.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "rouleaux-partial",
    title: "reaction weaker after the recheck, not gone",
    text: "After the recheck the reaction was weaker, but still there. Part of it may have been \
           rouleaux; what is left is treated as true agglutination and is the reading of record. A \
           reaction that only shrinks is not cleared.",
    next_step: "Wash the cells, repeat the test with fresh tubes, and judge by what remains.",
    sources: &[
        "Nova Scotia Community College, Transfusion (open course book), Saline replacement for \
         rouleaux",
        "MacNeill AL et al., 2019, The utility of diagnostic tests for immune-mediated hemolytic \
         anemia, Vet Clin Pathol 48(S1):7",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::RouleauxPartial, Effect::Note)
}
