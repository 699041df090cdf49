//! Clumping that looked like rouleaux was gone after a recheck in saline.

use super::{Meta, Pair, Phases, Raised};
use crate::reading::Reason;
use crate::words::{Effect, Test};

pub(super) const META: Meta = Meta {
    slug: "rouleaux-dispersed",
    title: "rouleaux dispersed by a recheck",
    text: "Clumping was seen at first and was gone after a recorded recheck in saline, in a \
           picture that fits rouleaux. The recheck is what clears it, never the suspicion. Saline \
           can also break up a weak true reaction, so a weak antibody is not excluded.",
    next_step: "Keep both readings side by side on the report. Add an antiglobulin or a warm \
                washed test where there is one, to look for a weak antibody.",
    sources: &[
        "Nova Scotia Community College, Transfusion (open course book), Saline replacement for \
         rouleaux",
        "Sun PL, Jeffery U, 2020, Effect of dilution of canine blood samples on the specificity of \
         saline agglutination tests for immune-mediated hemolysis, J Vet Intern Med 34:2374",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because_in(Test::FOUR, Reason::RouleauxDispersed, Effect::Caveat, Phases::All)
}
