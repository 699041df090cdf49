//! A saline control was read in a deciding phase, but cannot be used.

use super::{Meta, Pair, Raised};
use crate::reading::Class;
use crate::words::{Effect, State, Test};

pub(super) const META: Meta = Meta {
    slug: "saline-control-void",
    title: "saline control reading not usable",
    text: "A saline control was read in a deciding phase, but the reading cannot be used. It \
           should show whether the cells clump or lyse without any plasma. A void control is not a \
           clean one: if it looked reactive, coated or damaged cells are not excluded.",
    next_step: "Repeat the saline control with freshly washed cells and new saline; hold the unit \
                if the control looked reactive.",
    sources: &["common practice"],
    effects: &[Effect::Caveat, Effect::Indeterminate],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let rules = pair.rules();
    let mut effect = Effect::Caveat;
    let mut shown = Vec::new();
    for test in [Test::RecipientSaline, Test::DonorSaline] {
        for (phase, outcome) in pair.deciding(test) {
            if outcome.state == State::Void {
                shown.extend(pair.first_looks(test, phase).map(|(at, _)| at));
                // By clumping or by lysis: what may be a reaction of the cells alone is not told
                // apart from one of the plasma.
                let reacted = pair.first_looks(test, phase).any(|(_, look)| {
                    let grade = look.agglutination.grade();
                    grade.is_some_and(|grade| {
                        rules.class(grade) != Class::Negative || rules.is_lysis(look.hemolysis)
                    })
                });
                if reacted {
                    effect = Effect::Indeterminate;
                }
            }
        }
    }
    Raised::if_any(effect, shown)
}
