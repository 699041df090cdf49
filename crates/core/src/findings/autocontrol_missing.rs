//! The test reacted, and there is no usable autocontrol of the plasma's owner.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "autocontrol-missing",
    title: "no usable autocontrol for a reactive test",
    text: "The test reacted, but where it did there is no usable autocontrol of the animal that \
           gave the plasma. An antibody, autoantibody or rouleaux may be the cause, and they \
           cannot be told apart. The reaction is not cleared.",
    next_step: "Run that autocontrol in the same phase beside the test, and recheck both by saline \
                replacement.",
    sources: &[
        "Vap LM et al., 2012, ASVCP quality assurance guidelines (section 2.8, crossmatching), Vet \
         Clin Pathol 41:8",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::AutocontrolMissing, Effect::Note)
}
