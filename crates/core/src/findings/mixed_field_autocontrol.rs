//! In the recipient autocontrol clumps lie among many single cells.

use super::{Meta, Pair, Raised};
use crate::words::{Effect, Test};

pub(super) const META: Meta = Meta {
    slug: "mixed-field-autocontrol",
    title: "mixed field in the recipient autocontrol",
    text: "In the recipient autocontrol clumps lie among many single cells: two kinds of cells \
           behave differently. After a transfusion one kind may be donor cells still in \
           circulation, attacked by a new antibody. It may also be technique; it is a sign to look \
           further, not a diagnosis.",
    next_step: "Ask about transfusions in the last months, tell the veterinarian, do a direct \
                antiglobulin test, and keep any sample from before the transfusion.",
    sources: &[
        "ALQEP, 2003, The direct antiglobulin test, educational supplement",
        "AABB Technical Manual, from memory",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let shown = pair
        .all_first_looks(Test::RecipientAuto)
        .filter(|(_, look)| look.mixed_field)
        .map(|(at, _)| at);
    Raised::if_any(Effect::Caveat, shown)
}
