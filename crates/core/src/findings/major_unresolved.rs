//! The major was read, but its meaning is open.

use super::{Meta, Pair, Raised};
use crate::words::{Conclusion, Effect, Test};

pub(super) const META: Meta = Meta {
    slug: "major-unresolved",
    title: "major crossmatch unresolved",
    text: "The major was read, but its meaning is open: it is doubtful, or the recipient's \
           autocontrol may cause the result or hide another. An antibody against this donor is \
           neither shown nor excluded. If all donors look like this they can be ranked, but least \
           reactive is a ranking, never a verdict.",
    next_step: "Hold red cells of this donor. Repeat the major beside the recipient autocontrol \
                and a saline control, and recheck what reacts by saline replacement or washing.",
    sources: &[
        "Vap LM et al., 2012, ASVCP quality assurance guidelines (section 2.8, crossmatching), Vet \
         Clin Pathol 41:8",
        "DiBartola SP (ed.), Fluid, Electrolyte, and Acid-Base Disorders in Small Animal Practice, \
         p. 599, boxes 24-4 and 24-5 (page read, the rest cited from memory)",
    ],
    effects: &[Effect::Note, Effect::Indeterminate],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let effect = pair.if_deciding(Test::Major, Effect::Indeterminate, Effect::Note);
    (pair.major.conclusion == Conclusion::Unresolved)
        .then(|| Raised::new(effect, pair.reacting(Test::Major)))
}
