//! The reaction was gone only after more saline than the protocol allows.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "dilution-too-high",
    title: "saline dilution too high",
    text: "The reaction was gone only after more saline than the protocol allows. So much saline \
           breaks up true clumps as well as rouleaux, so this recheck does not clear it, and the \
           reaction stays doubtful.",
    next_step: "Repeat the recheck on a fresh tube with the protocol's share of saline, or by \
                saline replacement.",
    sources: &[
        "Sun PL, Jeffery U, 2020, Effect of dilution of canine blood samples on the specificity of \
         saline agglutination tests for immune-mediated hemolysis, J Vet Intern Med 34:2374",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::DilutionTooHigh, Effect::Note)
}
