//! The recipient's plasma clumped or lysed the recipient's own cells.

use super::{Meta, Pair, Raised};
use crate::words::{Effect, Summary, Test};

pub(super) const META: Meta = Meta {
    slug: "recipient-autocontrol-reactive",
    title: "recipient autocontrol reactive",
    text: "The recipient's plasma clumped or lysed the recipient's own cells. Causes are \
           autoantibody, coated cells, rouleaux, a cold reaction, or cells of an earlier \
           transfusion. It can imitate a reaction in the major and can hide one underneath; it is \
           a finding about the sample, not a diagnosis.",
    next_step: "Tell the veterinarian. Recheck the autocontrol by saline replacement if that is \
                not done, and read a recipient saline control beside it.",
    sources: &[
        "Vap LM et al., 2012, ASVCP quality assurance guidelines (section 2.8, crossmatching), Vet \
         Clin Pathol 41:8",
        "MacNeill AL et al., 2019, The utility of diagnostic tests for immune-mediated hemolytic \
         anemia, Vet Clin Pathol 48(S1):7",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let summary = pair.summed(Test::RecipientAuto).summary;
    (summary == Summary::Reactive).then(|| Raised::new(Effect::Caveat, pair.reacting(Test::RecipientAuto)))
}
