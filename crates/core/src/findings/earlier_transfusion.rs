//! The recipient had blood in the past, outside the recent window.

use super::{Meta, Pair, Raised, Transfusion};
use crate::document::Pointer;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "earlier-transfusion",
    title: "recipient transfused in the past",
    text: "The recipient had blood in the past, outside the protocol's window for recent. \
           Antibodies from then can last for months or years, and can fall below what a test can \
           see. The crossmatch shows only what is there now.",
    next_step: "Look up the records of that transfusion, and crossmatch before each transfusion, \
                whatever the blood types.",
    sources: &[
        "Goy-Thollot I et al., 2017, Pre- and post-transfusion alloimmunization in dogs \
         characterized by 2 antiglobulin-enhanced cross-match tests, J Vet Intern Med",
        "World Small Animal Veterinary Association, 2017, Congress proceedings, transfusion \
         lecture, pp. 134-135",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let at = Pointer::RecipientHistory("last_transfused_on");
    (pair.transfusion() == Transfusion::LongAgo).then(|| Raised::new(Effect::Note, [at]))
}
