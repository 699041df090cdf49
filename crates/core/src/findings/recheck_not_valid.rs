//! A recheck was made in the antiglobulin phase, where it cannot clear a reaction.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "recheck-not-valid",
    title: "recheck not valid in the antiglobulin phase",
    text: "A recheck was made in the antiglobulin phase. The cells have been washed by then, so \
           rouleaux is not expected, and a recheck cannot clear a reaction there. The first \
           reading stands.",
    next_step: "Keep the first reading; if it is in doubt, repeat the whole antiglobulin test with \
                freshly washed cells.",
    sources: &[
        "Nova Scotia Community College, Transfusion (open course book), Saline replacement for \
         rouleaux",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::RecheckNotValid, Effect::Note)
}
