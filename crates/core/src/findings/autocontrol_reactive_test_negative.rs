//! The test is negative, but the autocontrol of the same plasma is not.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "autocontrol-reactive-test-negative",
    title: "test negative, autocontrol of the same plasma not",
    text: "The test is negative, but the autocontrol of the same plasma reacted or is doubtful. \
           Coated cells of that animal can explain it, and then the negative may stand; a fault of \
           its plasma should have shown in the test as well. The saline control helps to tell the \
           two apart.",
    next_step: "Read the saline control of the animal whose autocontrol reacted, in the same \
                phase; if its cells clump there too, the cells are the likely cause.",
    sources: &[
        "DiBartola SP (ed.), Fluid, Electrolyte, and Acid-Base Disorders in Small Animal Practice, \
         p. 599, boxes 24-4 and 24-5 (page read, the rest cited from memory)",
        "Vap LM et al., 2012, ASVCP quality assurance guidelines (section 2.8, crossmatching), Vet \
         Clin Pathol 41:8",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::AutocontrolReactiveTestNegative, Effect::Note)
}
