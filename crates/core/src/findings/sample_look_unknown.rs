//! It is not recorded whether the plasma was hemolyzed before the test.

use super::{Meta, Pair, Raised};
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "sample-look-unknown",
    title: "look of the sample not recorded",
    text: "It is not recorded whether the plasma or serum was hemolyzed before the test. Without \
           that it cannot be said whether pink in the tubes came with the sample or from the \
           reaction. It does not mean that the sample was clear.",
    next_step: "Look at what is left of the plasma or serum, and write down its hemolysis, fat and \
                yellow color.",
    sources: &[
        "Vap LM et al., 2012, ASVCP quality assurance guidelines (section 2.8, crossmatching), Vet \
         Clin Pathol 41:8",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let shown = pair.deciding_plasma().filter(|(_, sample)| sample.hemolysis.is_none());
    Raised::if_any(Effect::Caveat, shown.map(|(at, _)| at))
}
