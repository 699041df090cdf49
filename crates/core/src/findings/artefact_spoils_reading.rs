//! The mixture showed a fault that spoils both answers.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "artefact-spoils-reading",
    title: "artefact spoils the reading",
    text: "The tube, slide or column showed a fault that spoils both answers, such as a bubble, a \
           dried column, an interrupted spin, streaks, spread cells, or steps in the wrong order. \
           Neither clumps nor their absence can be believed.",
    next_step: "Repeat the test in a new tube, slide or column; do not spin a spoiled one again.",
    sources: &[
        "Canadian laboratory procedure PA.007, Reading column reactions",
        "Villarnovo D et al., 2016, Preliminary evaluation of a gel tube agglutination major \
         cross-match method in dogs, Vet Clin Pathol",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::ArtefactSpoilsReading, Effect::Note)
}
