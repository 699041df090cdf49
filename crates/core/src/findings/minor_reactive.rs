//! The donor's plasma clumped or lysed the recipient's cells, and no control explains it.

use super::{Meta, Pair, Raised};
use crate::words::{Conclusion, Effect, Test};

pub(super) const META: Meta = Meta {
    slug: "minor-reactive",
    title: "minor crossmatch reactive",
    text: "The donor's plasma clumped or lysed the recipient's red cells, and no control accounts \
           for it. How much it matters depends on how much donor plasma is given: most in whole \
           blood and plasma, least in washed cells. The major is a separate question; this \
           reaction does not answer it.",
    next_step: "Do not give whole blood or plasma of this donor. For packed cells, ask the \
                veterinarian about washing the unit or taking another donor.",
    sources: &[
        "Cotter SM, 2019, Crossmatching in animals, Merck Veterinary Manual",
        "United States, Code of Federal Regulations, title 21, section 606.151, Compatibility \
         testing",
    ],
    effects: &[Effect::Note, Effect::Caveat, Effect::Incompatible],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let effect = pair.effect_of_minor(
        pair.is_deciding(Test::Minor),
        Effect::Incompatible,
        pair.rules().minor_with_packed_cells.reactive,
    );
    (pair.minor.conclusion == Conclusion::Reactive)
        .then(|| Raised::new(effect, pair.reacting(Test::Minor)))
}
