//! The plasma or serum was already pink before the test.

use super::{Meta, Pair, Raised};
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "sample-hemolysis",
    title: "sample hemolyzed before the test",
    text: "The plasma or serum was already hemolyzed before the test, below the protocol's limit \
           for rejection. Hemolysis that comes with the sample can hide lysis by an antibody and \
           makes faint pink in the tubes hard to judge. It does not show that an antibody is \
           present.",
    next_step: "Draw a fresh sample with a clean puncture if the animal allows it; meanwhile \
                compare every supernatant with the autocontrol, not with clear saline.",
    sources: &[
        "Vap LM et al., 2012, ASVCP quality assurance guidelines (section 2.8, crossmatching), Vet \
         Clin Pathol 41:8",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let rules = pair.rules();
    let seen = rules.hemolysis_from..rules.hemolysis_reject_from;
    let shown = pair
        .deciding_plasma()
        .filter(|(_, sample)| sample.hemolysis.is_some_and(|hemolysis| seen.contains(&hemolysis)));
    Raised::if_any(Effect::Caveat, shown.map(|(at, _)| at))
}
