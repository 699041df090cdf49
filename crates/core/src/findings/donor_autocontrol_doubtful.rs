//! The donor autocontrol is neither clean nor clearly reactive.

use super::{Meta, Pair, Raised};
use crate::words::{Effect, Summary, Test};

pub(super) const META: Meta = Meta {
    slug: "donor-autocontrol-doubtful",
    title: "donor autocontrol doubtful",
    text: "The donor autocontrol is neither clean nor clearly reactive: the reaction is below the \
           protocol's cut-off for reactive, a recheck is missing or did not settle it, or \
           hemolysis may have come with the sample. It counts as unsettled, so the minor has no \
           clean control.",
    next_step: "Repeat the donor autocontrol with freshly washed cells and a second reader, and \
                recheck it by saline replacement; or prefer another donor.",
    sources: &[
        "Vap LM et al., 2012, ASVCP quality assurance guidelines (section 2.8, crossmatching), Vet \
         Clin Pathol 41:8",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let summary = pair.summed(Test::DonorAuto).summary;
    (summary == Summary::Doubtful).then(|| Raised::new(Effect::Caveat, pair.reacting(Test::DonorAuto)))
}
