//! The recipient had blood a short time ago, or the date is not known.

use super::{Meta, Pair, Raised, Transfusion};
use crate::document::Pointer;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "transfused-recently",
    title: "recipient transfused recently",
    text: "The recipient had blood a short time ago, or the date is not known. New antibodies can \
           appear within days, and antibody can be soaked up by the transfused cells, so a clean \
           crossmatch can change soon or hide something. Cells of the earlier donor may still be \
           in the sample.",
    next_step: "Use a fresh sample, keep the earlier one, and crossmatch again before every \
                further transfusion, also for the same donor.",
    sources: &[
        "Herter L et al., 2022, Alloimmunization in dogs after transfusion: a serial cross-match \
         study, J Vet Intern Med",
        "TraQ Program, British Columbia Provincial Blood Coordinating Office, case study B7",
        "World Small Animal Veterinary Association, 2017, Congress proceedings, transfusion \
         lecture, pp. 134-135",
    ],
    effects: &[Effect::Note, Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let effect = pair.if_red_cells(Effect::Caveat, Effect::Note);
    let at = Pointer::RecipientHistory("last_transfused_on");
    (pair.transfusion() == Transfusion::Recent).then(|| Raised::new(effect, [at]))
}
