//! The record says that this donor was incompatible with this recipient before.

use super::{Meta, Pair, Raised};
use crate::document::Pointer;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "earlier-incompatible",
    title: "donor incompatible with this recipient before",
    text: "The record says that this donor was incompatible with this recipient before. Antibodies \
           can fall below what a test can see and come back when the same cells are met again. A \
           clean result today does not cancel the earlier one.",
    next_step: "Do not give this unit on today's result. Choose another donor; if there is none, \
                the veterinarian decides with both results in hand.",
    sources: &[
        "Chapman JF et al., 2004, Guidelines for compatibility procedures in blood transfusion \
         laboratories, Transfusion Medicine",
        "Serious Hazards of Transfusion (SHOT), 2014, Annual report, laboratory errors",
    ],
    effects: &[Effect::Indeterminate],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let at = Pointer::RecipientHistory("incompatible_with");
    let known = pair.recipient().incompatible_with.contains(&pair.donor().animal.id);
    known.then(|| Raised::new(Effect::Indeterminate, [at]))
}
