//! A deciding phase of the major that is needed was not read.

use super::{Meta, Pair, Raised};
use crate::words::{Effect, Test};

pub(super) const META: Meta = Meta {
    slug: "major-not-read",
    title: "major crossmatch not read to the end",
    text: "A phase of the major that the protocol asks for was not read, or its hemolysis was not. \
           Not tested is never negative: an antibody against this donor is not excluded. The \
           readings that were made stay valid and are kept.",
    next_step: "Finish the major: set up and read the missing phase, hemolysis first, then \
                agglutination. Hold red cells of this donor until then.",
    sources: &[
        "United States, Code of Federal Regulations, title 21, section 606.151, Compatibility \
         testing",
        "Silvestre-Ferreira AC, Pastor J, 2010, Feline neonatal isoerythrolysis and the importance \
         of feline blood types, Vet Med Int 2010:753726, table 5 (table and abstract read, the rest \
         cited from memory)",
    ],
    effects: &[Effect::Note, Effect::Incomplete],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let effect = pair.if_deciding(Test::Major, Effect::Incomplete, Effect::Note);
    pair.summed(Test::Major).gap.then(|| Raised::new(effect, pair.donor_itself()))
}
