//! Something was seen, but weaker than the protocol's cut-off.

use super::{Meta, Pair, Phases, Raised};
use crate::reading::Reason;
use crate::words::{Effect, Test};

pub(super) const META: Meta = Meta {
    slug: "reaction-below-cut-off",
    title: "reaction below the protocol's cut-off",
    text: "A reaction was seen, but weaker than the protocol's cut-off, so it counts as negative \
           here. It is not nothing: in people, some weak unexplained reactions were followed by \
           new antibodies within weeks. Another protocol may call it doubtful or reactive.",
    next_step: "Have a second person read it without seeing the first grade, write the exact grade \
                on the report, and crossmatch again before any later transfusion.",
    sources: &[
        "Liu C, Grossman BJ, 2013, Antibody of undetermined specificity: frequency, laboratory \
         features, and natural history, Transfusion",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because_in(Test::FOUR, Reason::ReactionBelowCutOff, Effect::Caveat, Phases::Deciding)
}
