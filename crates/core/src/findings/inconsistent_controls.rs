//! Cells reacted in saline, but not in a mixture with plasma.

use super::{Meta, Pair, Raised};
use crate::words::{Effect, Test};

pub(super) const META: Meta = Meta {
    slug: "inconsistent-controls",
    title: "controls contradict each other",
    text: "Cells reacted, or may have reacted, in plain saline, but the same cells did not react \
           in a mixture with plasma, where they should react as well. One of the readings or one \
           of the tubes is likely to be wrong, and it cannot be told which one.",
    next_step: "Hold the unit. Check the labels of the tubes, then repeat the saline control and \
                the test with the same cells side by side.",
    sources: &["common practice"],
    effects: &[Effect::Indeterminate],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let controls = [Test::RecipientSaline, Test::DonorSaline];
    let shown = controls.into_iter().flat_map(|test| pair.reacting(test));
    // When both sides react, that is the finding, and it says more.
    (!pair.run.saline_controls_reactive && pair.controls_inconsistent())
        .then(|| Raised::new(Effect::Indeterminate, shown))
}
