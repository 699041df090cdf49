//! Two looks at the same mixture fall on different sides.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::{Effect, Test};

pub(super) const META: Meta = Meta {
    slug: "readers-disagree",
    title: "readers disagree",
    text: "Two looks at the same tube, slide or column fall on different sides: reactive, \
           doubtful, negative or unreadable. The stricter reading is kept, but a reading on which \
           people part is not firm. The exact grade may differ between readers; the side should \
           not.",
    next_step: "Repeat the look, both at the tube and neither seeing the other's grade, or repeat \
                the test; hold the unit where this test or its autocontrol decides.",
    sources: &[
        "Thomas-Hollands A et al., 2024, Evaluation of post-transfusion RBC alloimmunization in \
         dogs using a gel-column crossmatch with and without anti-canine globulin enhancement, J \
         Vet Diagn Invest 36:213",
    ],
    effects: &[Effect::Caveat, Effect::Indeterminate],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let mut raised: Option<Raised> = None;
    for test in Test::FOUR {
        let counts = pair.is_deciding(test)
            || pair.is_needed(test)
            || pair.is_plasma_auto_of_deciding(test);
        let effect = if counts { Effect::Indeterminate } else { Effect::Caveat };
        for (phase, outcome) in pair.deciding(test) {
            if outcome.reasons.has(Reason::ReadersDisagree) {
                let raised = raised.get_or_insert_with(|| Raised::new(effect, []));
                raised.effect = raised.effect.max(effect);
                raised.rests_on.extend(pair.first_looks(test, phase).map(|(at, _)| at));
            }
        }
    }
    raised
}
