//! The mixture is red, but no redder than the plasma or its autocontrol.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "hemolysis-masked",
    title: "hemolysis masked by the sample",
    text: "The mixture is red, but no redder than the plasma before the test or the autocontrol of \
           the same plasma. Lysis by an antibody is then neither shown nor excluded. It does not \
           count as clean.",
    next_step: "Draw a fresh sample with a clean puncture and repeat; compare plasma, autocontrol \
                and test side by side before shaking.",
    sources: &[
        "Vap LM et al., 2012, ASVCP quality assurance guidelines (section 2.8, crossmatching), Vet \
         Clin Pathol 41:8",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::HemolysisMasked, Effect::Note)
}
