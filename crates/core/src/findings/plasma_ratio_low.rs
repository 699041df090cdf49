//! There was little plasma for the number of cells in the tube.

use super::{Meta, Pair, Raised};
use crate::document::Pointer;
use crate::words::{Effect, Method};

pub(super) const META: Meta = Meta {
    slug: "plasma-ratio-low",
    title: "little plasma for the cells",
    text: "There was little plasma for the number of cells in the mixture. When cells outweigh \
           antibody, too little antibody sits on each cell, and weak antibodies are missed. A \
           reaction that was seen stands.",
    next_step: "Repeat with more plasma, or with a thinner suspension inside the protocol's range, \
                and write down the volumes.",
    sources: &[
        "University of Alberta, transfusion medicine teaching modules, Antigen and antibody \
         concentration",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let setup = pair.run.worksheet.setup();
    if pair.run.worksheet.method() == Method::Slide {
        return None;
    }
    let plasma = u64::from(setup.plasma_ul?);
    let cells = u64::from(setup.cells_ul?);
    let hundredths_of_percent = u64::from(setup.cells_percent?.hundredths());
    let least = u64::from(pair.rules().plasma_ratio_min);
    // Both sides of `plasma / (cells * percent / 100) < least`, times 10000 and without a division.
    let plasma = plasma.saturating_mul(10_000);
    let asked = least.saturating_mul(cells).saturating_mul(hundredths_of_percent);
    (plasma < asked).then(|| Raised::new(Effect::Caveat, [Pointer::Setup("plasma_ul")]))
}
