//! Every donor gave a weak reaction in the major.

use super::{Meta, Pair, Panel, Raised};
use crate::words::{Effect, Summary, Test};

pub(super) const META: Meta = Meta {
    slug: "every-reaction-weak",
    title: "every reaction weak",
    text: "Every donor gave a weak reaction in the major. Technique is a common cause: the spin, \
           the suspension, the temperature or the way of re-suspending. Weak true antibodies look \
           the same, so the reactions count until they are explained.",
    next_step: "Check spin, suspension, temperature and saline, then repeat two donors and the \
                autocontrol with fresh tubes and a second reader.",
    sources: &[
        "US Army Medical Department Center and School, subcourse MD0845, Immunohematology and \
         Blood Banking I, pp. 2-19 and 2-20",
        "Liu C, Grossman BJ, 2013, Antibody of undetermined specificity: frequency, laboratory \
         features, and natural history, Transfusion",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(panel: &Panel<'_, '_>) -> Option<Raised> {
    let weak = |pair: &Pair<'_>| {
        let major = pair.summed(Test::Major);
        let within = |(grade, _)| grade <= pair.rules().weak_up_to;
        major.summary == Summary::Reactive && major.strongest.is_none_or(within)
    };
    panel.all(weak).then(|| Raised::new(Effect::Note, panel.donors()))
}
