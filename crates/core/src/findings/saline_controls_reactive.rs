//! Cells of recipient and donor clumped or lysed in plain saline.

use super::{Meta, Pair, Raised};
use crate::words::{Effect, Test};

pub(super) const META: Meta = Meta {
    slug: "saline-controls-reactive",
    title: "saline controls reactive in recipient and donor",
    text: "Cells of recipient and donor clumped or lysed in plain saline, where nothing should \
           happen. Both at once point to something they share: the saline, dirty glass, the \
           temperature, bacteria or the spin. No tube of this run can be trusted, neither the \
           positives nor the negatives.",
    next_step: "Repeat the whole run and hold all units: new saline, clean tubes, freshly washed \
                cells. Check temperature and spin, and read the saline controls first.",
    sources: &[
        "US Army Medical Department Center and School, subcourse MD0845, Immunohematology and \
         Blood Banking I, pp. 2-19 and 2-20",
        "AABB Technical Manual, from memory",
    ],
    effects: &[Effect::Invalid],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let controls = [Test::RecipientSaline, Test::DonorSaline];
    let shown = controls.into_iter().flat_map(|test| pair.reacting(test));
    pair.run.saline_controls_reactive.then(|| Raised::new(Effect::Invalid, shown))
}
