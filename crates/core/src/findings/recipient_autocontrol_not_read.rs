//! The recipient's plasma was not tested against the recipient's own cells.

use super::{Meta, Pair, Raised};
use crate::document::Pointer;
use crate::words::{Effect, Test};

pub(super) const META: Meta = Meta {
    slug: "recipient-autocontrol-not-read",
    title: "recipient autocontrol not read to the end",
    text: "The recipient's plasma was not tested against its own cells in every deciding phase \
           that the protocol asks for. Without that control a reaction in the major cannot be told \
           from autoantibody, rouleaux or a fault of the run, and a clean major has nothing to be \
           compared with.",
    next_step: "Set up and read the recipient autocontrol now, in the same phases and with the \
                same plasma, cells and times as the major; hold the unit where the protocol needs \
                it.",
    sources: &[
        "Vap LM et al., 2012, ASVCP quality assurance guidelines (section 2.8, crossmatching), Vet \
         Clin Pathol 41:8",
        "DiBartola SP (ed.), Fluid, Electrolyte, and Acid-Base Disorders in Small Animal Practice, \
         p. 599, boxes 24-4 and 24-5 (page read, the rest cited from memory)",
    ],
    effects: &[Effect::Note, Effect::Caveat, Effect::Incomplete],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let effect = if pair.is_needed(Test::RecipientAuto) {
        Effect::Incomplete
    } else if pair.is_plasma_auto_of_deciding(Test::RecipientAuto) {
        Effect::Caveat
    } else {
        Effect::Note
    };
    pair.summed(Test::RecipientAuto).gap.then(|| Raised::new(effect, [Pointer::Recipient]))
}
