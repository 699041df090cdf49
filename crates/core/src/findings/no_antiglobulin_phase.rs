//! No antiglobulin phase was read in a deciding test.

use super::{Meta, Pair, Raised};
use crate::words::{Effect, Phase, State};

pub(super) const META: Meta = Meta {
    slug: "no-antiglobulin-phase",
    title: "antiglobulin phase not done",
    text: "No antiglobulin phase was read. Antibodies that coat cells without clumping them can \
           show up only there; in one study of dogs some were found only with antiglobulin, and \
           some only without. The verdict does not speak for them.",
    next_step: "Record the antiglobulin phase as not done; add it if the protocol or the \
                veterinarian asks for it.",
    sources: &[
        "Thomas-Hollands A et al., 2024, Evaluation of post-transfusion RBC alloimmunization in \
         dogs using a gel-column crossmatch with and without anti-canine globulin enhancement, J \
         Vet Diagn Invest 36:213",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let absent = |test| pair.outcome(test, Phase::Antiglobulin).state == State::Absent;
    pair.deciding_tests().any(absent).then(|| Raised::new(Effect::Note, pair.donor_itself()))
}
