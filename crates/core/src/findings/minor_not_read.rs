//! The minor was not read in every deciding phase.

use super::{Meta, Pair, Raised};
use crate::words::{Effect, Test};

pub(super) const META: Meta = Meta {
    slug: "minor-not-read",
    title: "minor crossmatch not read to the end",
    text: "The minor was not read in every deciding phase that the protocol asks for, so antibody \
           in the donor's plasma is not excluded. Packed and washed cells bring little donor \
           plasma, but not tested is never negative.",
    next_step: "Read the minor if the product carries plasma or the protocol needs it; otherwise \
                write it on the report as not tested.",
    sources: &[
        "United States, Code of Federal Regulations, title 21, section 606.151, Compatibility \
         testing",
        "Cotter SM, 2019, Crossmatching in animals, Merck Veterinary Manual",
    ],
    effects: &[Effect::Note, Effect::Caveat, Effect::Incomplete],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let effect = pair.effect_of_minor(
        pair.is_needed(Test::Minor),
        Effect::Incomplete,
        pair.rules().minor_with_packed_cells.not_read,
    );
    pair.summed(Test::Minor).gap.then(|| Raised::new(effect, pair.donor_itself()))
}
