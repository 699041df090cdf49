//! The donor autocontrol was read in a deciding phase, but cannot be used.

use super::{Meta, Pair, Raised};
use crate::words::{Effect, Test};

pub(super) const META: Meta = Meta {
    slug: "donor-autocontrol-void",
    title: "donor autocontrol reading not usable",
    text: "The donor autocontrol was read in a deciding phase, but the reading cannot be used; the \
           cause is listed with it. The minor loses the control it is judged against, and so does \
           the look at the donor's cells. A void control is neither clean nor reactive.",
    next_step: "Repeat the donor autocontrol in that phase, together with the minor if it is \
                needed, once the cause is put right.",
    sources: &[
        "Vap LM et al., 2012, ASVCP quality assurance guidelines (section 2.8, crossmatching), Vet \
         Clin Pathol 41:8",
    ],
    effects: &[Effect::Note, Effect::Invalid],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let counts = pair.is_needed(Test::DonorAuto) || pair.is_plasma_auto_of_deciding(Test::DonorAuto);
    let effect = if counts { Effect::Invalid } else { Effect::Note };
    pair.summed(Test::DonorAuto).spoiled.then(|| Raised::new(effect, pair.void(Test::DonorAuto)))
}
