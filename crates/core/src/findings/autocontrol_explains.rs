//! The test reacted, and the autocontrol of the same plasma may explain it.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "autocontrol-explains",
    title: "autocontrol may explain the reaction",
    text: "The test reacted, and the autocontrol of the same plasma is not clearly weaker, so the \
           plasma may react with any cells. An antibody against the other animal's cells may hide \
           underneath. The pair is neither shown to be incompatible nor cleared.",
    next_step: "Recheck test and autocontrol by saline replacement, then repeat warm with washed \
                cells; a reference laboratory can look for a hidden antibody.",
    sources: &[
        "Vap LM et al., 2012, ASVCP quality assurance guidelines (section 2.8, crossmatching), Vet \
         Clin Pathol 41:8",
        "AABB Technical Manual, from memory",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::AutocontrolExplains, Effect::Note)
}
