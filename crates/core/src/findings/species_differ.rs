//! Donor and recipient are of different species.

use super::{Meta, Pair, Raised};
use crate::document::Pointer;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "species-differ",
    title: "donor of another species",
    text: "Donor and recipient are of different species. Blood across species is no ordinary \
           transfusion, and no crossmatch verdict covers it: after dog blood many cats lost the \
           cells within days, and a second exposure is feared more than the first. Clean tubes do \
           not change this.",
    next_step: "Do not give the unit on a crossmatch. If there is nothing else, the veterinarian \
                decides under the hospital's own rule for blood of another species.",
    sources: &[
        "Le Gal A et al., 2020, Xenotransfusion of canine blood to cats: a review of 49 cases and \
         their outcome, J Small Anim Pract 61:156",
        "Euler CC et al., 2016, Xenotransfusion of anemic cats with blood compatibility issues: \
         pre- and posttransfusion laboratory diagnostic and crossmatching studies, Vet Clin Pathol",
    ],
    effects: &[Effect::Incompatible],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let differ = pair.donor().animal.species != pair.recipient().animal.species;
    let shown = [Pointer::Recipient, Pointer::Donor(pair.number)];
    differ.then(|| Raised::new(Effect::Incompatible, shown))
}
