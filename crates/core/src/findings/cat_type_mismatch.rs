//! The AB types of the two cats do not go together.

use super::{Meta, Pair, Raised};
use crate::words::{Effect, System, TypeResult};

pub(super) const META: Meta = Meta {
    slug: "cat-type-mismatch",
    title: "cat blood types do not match",
    text: "The AB types of the two cats do not go together. Cats carry natural antibodies against \
           the type they lack: type A blood can kill a type B cat at the first small transfusion, \
           and other mismatches destroy cells more slowly. A clean crossmatch does not override \
           the types.",
    next_step: "Do not give the unit. Choose a donor of the recipient's type; if a type is in \
                doubt, type both cats again from new samples.",
    sources: &[
        "Knottenbelt CM, 2002, The feline AB blood group system and its importance in transfusion \
         medicine, J Feline Med Surg 4:69",
        "Taylor S et al., 2021, ISFM consensus guidelines on the collection and administration of \
         blood and blood products in cats, J Feline Med Surg 23:410",
    ],
    effects: &[Effect::Incompatible],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    use TypeResult::{A, Ab, B};
    // Recipient and donor. Red cells meet the recipient's antibodies, plasma brings the donor's.
    let pairs: &[_] = if pair.product().has_red_cells() {
        &[(B, A), (B, Ab), (A, B), (Ab, B)]
    } else {
        &[(A, B), (Ab, B), (B, A)]
    };
    pair.cat_types(pairs).then(|| Raised::new(Effect::Incompatible, pair.types_at(System::Ab)))
}
