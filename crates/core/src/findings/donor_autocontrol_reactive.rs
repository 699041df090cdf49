//! The donor's plasma clumped or lysed the donor's own cells.

use super::{Meta, Pair, Raised};
use crate::words::{Effect, Summary, Test};

pub(super) const META: Meta = Meta {
    slug: "donor-autocontrol-reactive",
    title: "donor autocontrol reactive",
    text: "The donor's plasma clumped or lysed the donor's own cells: its cells are coated or \
           fragile, or its plasma carries autoantibody or forms rouleaux. It can explain a \
           reaction of this donor in the major or the minor, and it can hide another. It says \
           nothing about the recipient's plasma.",
    next_step: "Prefer another donor. If there is none, read a donor saline control, recheck by \
                saline replacement, and tell whoever keeps the donor.",
    sources: &[
        "Vap LM et al., 2012, ASVCP quality assurance guidelines (section 2.8, crossmatching), Vet \
         Clin Pathol 41:8",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let summary = pair.summed(Test::DonorAuto).summary;
    (summary == Summary::Reactive).then(|| Raised::new(Effect::Caveat, pair.reacting(Test::DonorAuto)))
}
