//! A sample of the recipient or the donor clumped by itself in its tube.

use super::{Meta, Pair, Raised};
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "sample-agglutinated",
    title: "sample clumped by itself",
    text: "A sample of the recipient or the donor clumped by itself in its tube. The cells may be \
           coated, the cause may be rouleaux or cold, or the anticoagulant: a cat is known whose \
           blood clumped in EDTA only. Tests with these cells or this plasma are harder to trust; \
           it is not yet a diagnosis.",
    next_step: "Wash the cells in warm saline as the protocol asks and look again, read that \
                animal's saline control, and draw a sample into another anticoagulant.",
    sources: &[
        "Zaremba RM et al., 2022, Comparison of a commercial immunochromatographic strip \
         crossmatch kit and standard laboratory crossmatch methods for blood transfusion \
         compatibility in dogs, J Vet Emerg Crit Care",
        "Schaefer DMW et al., 2009, Anticoagulant-dependent in vitro hemagglutination in a cat, \
         Vet Clin Pathol 38:194",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let shown = pair.samples().filter(|(_, sample)| sample.agglutinated == Some(true));
    Raised::if_any(Effect::Caveat, shown.map(|(at, _)| at))
}
