//! The plasma or serum is yellow with bilirubin.

use super::{Meta, Pair, Raised};
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "sample-icteric",
    title: "sample icteric",
    text: "The plasma or serum is yellow with bilirubin. Deep yellow covers a faint pink, so \
           slight hemolysis may be missed. Agglutination is read as usual.",
    next_step: "Compare each supernatant with the autocontrol of the same plasma in good light, \
                not with clear saline.",
    sources: &["Cotter SM, 2019, Crossmatching in animals, Merck Veterinary Manual"],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let from = pair.rules().icterus_from;
    let shown = pair
        .deciding_plasma()
        .filter(|(_, sample)| sample.icterus.is_some_and(|icterus| icterus >= from));
    Raised::if_any(Effect::Caveat, shown.map(|(at, _)| at))
}
