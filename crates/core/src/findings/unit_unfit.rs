//! The unit looked hemolyzed, discolored or clotted.

use super::{Meta, Pair, Raised};
use crate::document::Pointer;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "unit-unfit",
    title: "unit hemolyzed, discolored or clotted",
    text: "The unit looked hemolyzed, discolored or clotted. Hemolyzed units have caused fatal \
           reactions in dogs although the blood was compatible. Serology cannot clear a unit that \
           looks wrong.",
    next_step: "Do not give the unit. Quarantine it with its segments, record what was seen, tell \
                the supplier, and choose another.",
    sources: &[
        "Patterson J et al., 2011, In vitro lysis and acute transfusion reactions with hemolysis \
         caused by inappropriate storage of canine red blood cell products, J Vet Intern Med \
         25:927",
    ],
    effects: &[Effect::Incompatible],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let inspection = pair.donor().unit.as_ref()?.inspection?;
    let at = Pointer::DonorField(pair.number, "unit/inspection");
    inspection.is_unfit().then(|| Raised::new(Effect::Incompatible, [at]))
}
