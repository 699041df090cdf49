//! A non-reactive antiglobulin tube was not followed by check cells.

use super::{Meta, Pair, Raised};
use crate::protocol::CheckCellsMissing;
use crate::reading::Class;
use crate::words::{Effect, Method, Phase, Test};

pub(super) const META: Meta = Meta {
    slug: "check-cells-missing",
    title: "no check cells after a negative antiglobulin test",
    text: "An antiglobulin tube that did not react was not followed by check cells, the cells that \
           must clump if the antiglobulin was there and working. Without them a forgotten or \
           used-up reagent looks just like a true negative. Nothing is shown to be wrong; nothing \
           is shown to be right.",
    next_step: "Add check cells of this species to every negative antiglobulin tube, spin and \
                read; if there are none, write antiglobulin not verified on the report.",
    sources: &[
        "BCSH-NIBSC, 1993, Anti-D reference reagent for antiglobulin tests, Transfus Med 3:143",
        "AABB Technical Manual, from memory",
    ],
    effects: &[Effect::Note, Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let rules = pair.rules();
    if pair.run.worksheet.method() != Method::Tube {
        return None;
    }
    // Where the protocol voids the reading, that is the caveat, and this only says why.
    let effect = match rules.check_cells_missing {
        CheckCellsMissing::Caveat => Effect::Caveat,
        CheckCellsMissing::Void => Effect::Note,
    };
    let phase = Phase::Antiglobulin;
    let shown = Test::FOUR
        .into_iter()
        .filter(|test| pair.is_deciding(*test) || pair.is_plasma_auto_of_deciding(*test))
        .filter(|test| {
            let first = pair.outcome(*test, phase).first;
            first.is_some_and(|first| rules.class(first) != Class::Reactive)
                && pair.first_looks(*test, phase).all(|(_, look)| look.check_cells.is_none())
        })
        .flat_map(|test| pair.first_looks(test, phase));
    Raised::if_any(effect, shown.map(|(at, _)| at))
}
