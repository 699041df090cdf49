//! Nobody who looked could grade the mixture.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "reading-unreadable",
    title: "reading unreadable",
    text: "The tube, slide or column could not be graded by anyone who looked. Unreadable is an \
           honest answer and better than a guessed grade. It counts neither as negative nor as \
           positive.",
    next_step: "Repeat this test with fresh material, and write down what made it unreadable.",
    sources: &[
        "Villarnovo D et al., 2016, Preliminary evaluation of a gel tube agglutination major \
         cross-match method in dogs, Vet Clin Pathol",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::ReadingUnreadable, Effect::Note)
}
