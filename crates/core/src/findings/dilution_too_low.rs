//! A reaction was still there after less saline than the protocol asks for.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "dilution-too-low",
    title: "saline dilution too low",
    text: "The reaction was still there after a recheck with less saline than the protocol asks \
           for. So little saline often leaves rouleaux standing, so this recheck proves nothing \
           either way. It neither clears the reaction nor confirms it.",
    next_step: "Repeat the recheck with the protocol's share of saline, or replace the plasma by \
                saline, and read again.",
    sources: &[
        "Sun PL, Jeffery U, 2020, Effect of dilution of canine blood samples on the specificity of \
         saline agglutination tests for immune-mediated hemolysis, J Vet Intern Med 34:2374",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::DilutionTooLow, Effect::Note)
}
