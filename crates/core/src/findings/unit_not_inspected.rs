//! It is not recorded how the unit looked.

use super::{Meta, Pair, Raised};
use crate::document::Pointer;
use crate::words::{Effect, Inspection};

pub(super) const META: Meta = Meta {
    slug: "unit-not-inspected",
    title: "unit not inspected",
    text: "It is not recorded how the unit looked. Hemolysis, a change of color or clots are \
           reasons not to give a unit, and serology does not show them. Not inspected is not the \
           same as normal.",
    next_step: "Invert the unit gently, look for hemolysis, color and clots in good light, compare \
                with a segment, and write down the result before it leaves.",
    sources: &[
        "Patterson J et al., 2011, In vitro lysis and acute transfusion reactions with hemolysis \
         caused by inappropriate storage of canine red blood cell products, J Vet Intern Med \
         25:927",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let unit = pair.donor().unit.as_ref()?;
    let at = Pointer::DonorField(pair.number, "unit");
    let looked_at = unit.inspection.is_some_and(|seen| seen != Inspection::NotInspected);
    (!looked_at).then(|| Raised::new(Effect::Caveat, [at]))
}
