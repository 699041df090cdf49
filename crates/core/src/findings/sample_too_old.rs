//! The plasma or serum was older at the reading than the protocol allows.

use super::{Meta, Pair, Raised};
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "sample-too-old",
    title: "sample too old",
    text: "The plasma or serum was older at the reading than the protocol allows for this animal \
           and this way of storing. Antibody formed since the draw is not in the tube, complement \
           is lost, and stored cells change. A negative from an old sample does not speak for \
           today.",
    next_step: "Repeat the tests with a freshly drawn sample; hold the unit until they are read.",
    sources: &[
        "United States, Code of Federal Regulations, title 21, section 606.151, Compatibility \
         testing",
        "Harris M et al., 2012, Effect of sample storage on blood crossmatching in horses, J Vet \
         Intern Med 26:662",
        "NHS Greater Glasgow and Clyde, Storage and labelling of transfusion samples (after the \
         British Society for Haematology)",
    ],
    effects: &[Effect::Invalid],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let latest = pair.latest()?.instant();
    let shown = pair
        .deciding_plasma()
        .filter(|(_, sample)| pair.usable_until(sample).is_some_and(|until| latest > until));
    Raised::if_any(Effect::Invalid, shown.map(|(at, _)| at))
}
