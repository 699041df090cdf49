//! The recipient has reacted to a transfusion before.

use super::{Meta, Pair, Raised};
use crate::document::Pointer;
use crate::words::{Answer, Effect};

pub(super) const META: Meta = Meta {
    slug: "earlier-reaction",
    title: "earlier transfusion reaction",
    text: "The recipient has reacted to a transfusion before. Red cell antibody may have caused \
           it, or white cells, platelets, plasma proteins or the unit itself, which a crossmatch \
           does not show. A compatible result does not say that it cannot happen again.",
    next_step: "Tell the veterinarian, look up that reaction and its donor, and arrange close \
                watch from the first minutes if blood is given.",
    sources: &[
        "Joint Trauma System, clinical practice guideline on military working dogs, transfusion \
         chapter",
        "Taylor S et al., 2021, ISFM consensus guidelines on the collection and administration of \
         blood and blood products in cats, J Feline Med Surg 23:410",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let at = Pointer::RecipientHistory("reaction");
    (pair.recipient().animal.reaction == Answer::Yes).then(|| Raised::new(Effect::Caveat, [at]))
}
