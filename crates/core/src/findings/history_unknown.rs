//! It is not known whether the recipient has had blood before.

use super::{Meta, Pair, Raised};
use crate::document::Pointer;
use crate::words::{Answer, Effect};

pub(super) const META: Meta = Meta {
    slug: "history-unknown",
    title: "transfusion history unknown",
    text: "It is not known whether the recipient has had blood before. An earlier transfusion can \
           leave antibodies too weak to be seen now. Unknown is treated as possible, never as no.",
    next_step: "Ask the owner and the earlier practice about transfusions and reactions, and write \
                down the answer; crossmatch again before each later transfusion.",
    sources: &[
        "Herter L et al., 2022, Alloimmunization in dogs after transfusion: a serial cross-match \
         study, J Vet Intern Med",
        "Cornell University College of Veterinary Medicine, eClinPath, Cross-match",
    ],
    effects: &[Effect::Note, Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let effect = pair.if_red_cells(Effect::Caveat, Effect::Note);
    let at = Pointer::RecipientHistory("transfused");
    (pair.recipient().animal.transfused == Answer::Unknown).then(|| Raised::new(effect, [at]))
}
