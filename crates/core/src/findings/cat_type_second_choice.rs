//! The AB types of the two cats differ in a pairing used only for want of a better one.

use super::{Meta, Pair, Raised};
use crate::words::{Effect, System, TypeResult};

pub(super) const META: Meta = Meta {
    slug: "cat-type-second-choice",
    title: "cat blood types differ, second choice",
    text: "The AB types of the two cats differ, in a pairing that is used only when blood of the \
           recipient's own type cannot be had. Antibody in the plasma of one may still act on the \
           cells of the other, so the minor matters here. A clean crossmatch does not make it a \
           match.",
    next_step: "Look first for a donor of the same type. If there is none, read the minor, keep \
                the donor plasma small, and let the veterinarian decide.",
    sources: &[
        "Charity animal blood bank, United Kingdom, guidance page Feline cross-matching",
        "Knottenbelt CM, 2002, The feline AB blood group system and its importance in transfusion \
         medicine, J Feline Med Surg 4:69",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    use TypeResult::{A, Ab};
    let pairs: &[_] =
        if pair.product().has_red_cells() { &[(A, Ab), (Ab, A)] } else { &[(Ab, A)] };
    pair.cat_types(pairs).then(|| Raised::new(Effect::Caveat, pair.types_at(System::Ab)))
}
