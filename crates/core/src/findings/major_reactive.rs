//! The recipient's plasma clumped or lysed the donor's cells, and no control explains it.

use super::{Meta, Pair, Raised};
use crate::words::{Conclusion, Effect, Test};

pub(super) const META: Meta = Meta {
    slug: "major-reactive",
    title: "major crossmatch reactive",
    text: "The recipient's plasma clumped or lysed the donor's red cells, and neither the \
           recipient's autocontrol nor the donor's own cells account for it. This is the picture \
           of an antibody in the recipient against this donor; the cells may be destroyed early or \
           at once. A negative result in another phase does not take the reaction away.",
    next_step: "Do not give red cells of this donor to this recipient. Quarantine the unit for \
                this animal, record it, and crossmatch another donor.",
    sources: &[
        "Tomlinson JE et al., 2015, Survival time of cross-match incompatible red blood cells in \
         adult horses, J Vet Intern Med",
        "Silvestre-Ferreira AC, Pastor J, 2010, Feline neonatal isoerythrolysis and the importance \
         of feline blood types, Vet Med Int 2010:753726, table 5 (table and abstract read, the rest \
         cited from memory)",
    ],
    effects: &[Effect::Note, Effect::Incompatible],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let effect = pair.if_deciding(Test::Major, Effect::Incompatible, Effect::Note);
    (pair.major.conclusion == Conclusion::Reactive)
        .then(|| Raised::new(effect, pair.reacting(Test::Major)))
}
