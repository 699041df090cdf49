//! In the major clumps lie among many single cells.

use super::{Meta, Pair, Raised};
use crate::words::{Effect, Test};

pub(super) const META: Meta = Meta {
    slug: "mixed-field-major",
    title: "mixed field in the major crossmatch",
    text: "In the major clumps lie among many single cells. All cells in this mixture come from \
           the donor, so an earlier transfusion of the recipient does not explain it: think of a \
           unit with mixed cells, of donor cells that differ in strength, or of technique. The \
           grade of the clumps counts in full.",
    next_step: "Check the label of the unit and its segment, make a new suspension from the \
                segment, and repeat the major.",
    sources: &["common practice"],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let shown = pair
        .all_first_looks(Test::Major)
        .filter(|(_, look)| look.mixed_field)
        .map(|(at, _)| at);
    Raised::if_any(Effect::Note, shown)
}
