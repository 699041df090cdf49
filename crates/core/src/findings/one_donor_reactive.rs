//! One donor reacted in the major, and the others did not.

use super::{Meta, Pair, Panel, Raised};
use crate::words::{Conclusion, Effect};

pub(super) const META: Meta = Meta {
    slug: "one-donor-reactive",
    title: "one donor reactive, the others not",
    text: "One donor reacted in the major and the others did not. The cause may lie in that \
           donor's own cells, or the recipient has an antibody against a factor that few donors \
           have. The other donors keep their own verdicts.",
    next_step: "Read the autocontrol and the saline control of that donor, check its label, and \
                record it as incompatible with this recipient.",
    sources: &[
        "Liu C, Grossman BJ, 2013, Antibody of undetermined specificity: frequency, laboratory \
         features, and natural history, Transfusion",
        "AABB Technical Manual, from memory",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(panel: &Panel<'_, '_>) -> Option<Raised> {
    let reacts = |pair: &Pair<'_>| match pair.major.conclusion {
        Conclusion::Reactive | Conclusion::ReactiveCells => true,
        Conclusion::NotRead
        | Conclusion::Void
        | Conclusion::Nonreactive
        | Conclusion::Unresolved => false,
    };
    let silent = |pair: &Pair<'_>| pair.major.conclusion == Conclusion::Nonreactive;
    (panel.count(reacts) == 1 && panel.all(|pair| reacts(pair) || silent(pair)))
        .then(|| Raised::new(Effect::Note, panel.donors_that(reacts)))
}
