//! The donor's plasma was not tested against the donor's own cells.

use super::{Meta, Pair, Raised};
use crate::words::{Effect, Test};

pub(super) const META: Meta = Meta {
    slug: "donor-autocontrol-not-read",
    title: "donor autocontrol not read to the end",
    text: "The donor's plasma was not tested against its own cells in every deciding phase that \
           the protocol asks for. Without it a reaction in the minor cannot be told from donor \
           autoantibody or rouleaux, and coated donor cells behind a reactive major can stay \
           unseen.",
    next_step: "Read the donor autocontrol, or ask for a donor sample with plasma; hold the unit \
                where the product or the protocol needs it, and else write it down as not tested.",
    sources: &[
        "Vap LM et al., 2012, ASVCP quality assurance guidelines (section 2.8, crossmatching), Vet \
         Clin Pathol 41:8",
    ],
    effects: &[Effect::Note, Effect::Caveat, Effect::Incomplete],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let effect = if pair.is_needed(Test::DonorAuto) {
        Effect::Incomplete
    } else if pair.is_plasma_auto_of_deciding(Test::DonorAuto) {
        Effect::Caveat
    } else {
        Effect::Note
    };
    pair.summed(Test::DonorAuto).gap.then(|| Raised::new(effect, pair.donor_itself()))
}
