//! The recipient autocontrol is neither clean nor clearly reactive.

use super::{Meta, Pair, Raised};
use crate::words::{Effect, Summary, Test};

pub(super) const META: Meta = Meta {
    slug: "recipient-autocontrol-doubtful",
    title: "recipient autocontrol doubtful",
    text: "The recipient autocontrol is neither clean nor clearly reactive: the reaction is below \
           the protocol's cut-off for reactive, a recheck is missing or did not settle it, or \
           hemolysis may have come with the sample. It counts as unsettled, so the major has no \
           clean control.",
    next_step: "Repeat the recipient autocontrol with freshly washed cells, have a second person \
                read it without seeing the first grade, and recheck it by saline replacement.",
    sources: &[
        "Vap LM et al., 2012, ASVCP quality assurance guidelines (section 2.8, crossmatching), Vet \
         Clin Pathol 41:8",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let summary = pair.summed(Test::RecipientAuto).summary;
    (summary == Summary::Doubtful).then(|| Raised::new(Effect::Caveat, pair.reacting(Test::RecipientAuto)))
}
