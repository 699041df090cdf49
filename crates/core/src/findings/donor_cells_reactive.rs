//! The major reacted, and the donor's cells also reacted without the recipient's plasma.

use super::{Meta, Pair, Raised};
use crate::words::{Conclusion, Effect, Test};

pub(super) const META: Meta = Meta {
    slug: "donor-cells-reactive",
    title: "major reactive through the donor's own cells",
    text: "The major reacted, and the donor's cells also reacted without the recipient's plasma: \
           in the donor autocontrol or in saline. That points to coated or damaged donor cells. It \
           does not show an antibody in the recipient, and it does not exclude one, because a \
           second reaction can hide under the first.",
    next_step: "Do not give red cells of this donor. Set the unit aside, tell whoever keeps the \
                donor that its own cells reacted, and crossmatch another donor.",
    sources: &[
        "Vap LM et al., 2012, ASVCP quality assurance guidelines (section 2.8, crossmatching), Vet \
         Clin Pathol 41:8",
        "AABB Technical Manual, from memory",
    ],
    effects: &[Effect::Note, Effect::Incompatible],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let effect = pair.if_deciding(Test::Major, Effect::Incompatible, Effect::Note);
    (pair.major.conclusion == Conclusion::ReactiveCells)
        .then(|| Raised::new(effect, pair.reacting(Test::Major)))
}
