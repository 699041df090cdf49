//! A plasma that decides is not on the worksheet as a sample.

use super::{Meta, Pair, Raised, animal_at};
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "sample-not-recorded",
    title: "sample not recorded",
    text: "A plasma or serum that decides this verdict is not on the worksheet as a sample. Age, \
           tube type, look and label of what was tested are unknown, and the readings cannot be \
           traced to a tube.",
    next_step: "Hold the unit. Enter the sample with its label, tube type, draw time and look; if \
                they cannot be found out, draw again and repeat the tests.",
    sources: &[
        "United States, Code of Federal Regulations, title 21, section 606.151, Compatibility \
         testing",
        "United States, Code of Federal Regulations, title 42, section 493.1283, test records",
    ],
    effects: &[Effect::Incomplete],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let missing = pair
        .deciding_plasma_owners()
        .filter(|owner| !pair.deciding_plasma().any(|(_, sample)| sample.of == *owner));
    Raised::if_any(Effect::Incomplete, missing.map(animal_at))
}
