//! Clumping was gone after a recheck, but nothing else pointed to rouleaux.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "dispersal-unexplained",
    title: "dispersal without a sign of rouleaux",
    text: "Clumping was gone after a recheck, but nothing else pointed to rouleaux: no stacks were \
           seen, and the autocontrol of the same plasma did not show and lose a like reaction. \
           Saline can also break up a weak true reaction, so it stays doubtful.",
    next_step: "Look for stacks under the microscope in a fresh tube, recheck the autocontrol \
                beside it, and repeat the test.",
    sources: &[
        "University of Alberta, transfusion medicine teaching modules, Resolving discrepancies \
         (rouleaux)",
        "Sun PL, Jeffery U, 2020, Effect of dilution of canine blood samples on the specificity of \
         saline agglutination tests for immune-mediated hemolysis, J Vet Intern Med 34:2374",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::DispersalUnexplained, Effect::Note)
}
