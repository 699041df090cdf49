//! One animal has two different results in one blood group system.

use super::{Meta, Pair, Raised, type_at};
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "type-discrepant",
    title: "two different blood types for one animal",
    text: "One animal has two different results in one blood group system. One of them is wrong, a \
           sample came from another animal, or cells of an earlier transfusion were typed. Until \
           that is settled, neither the type nor the identity of the sample can be relied on.",
    next_step: "Hold the unit. Check the identity of the animal, draw a new sample, type it again, \
                by another method if there is one, and compare with the crossmatch.",
    sources: &[
        "Chapman JF et al., 2004, Guidelines for compatibility procedures in blood transfusion \
         laboratories, Transfusion Medicine",
        "Dzik WH et al., 2003, An international study of the performance of sample collection from \
         patients, Vox Sanguinis",
        "Koenig A et al., 2020, Acute hemolytic reaction due to A-B mismatched transfusion in a \
         cat with transient AB blood type, J Vet Emerg Crit Care",
    ],
    effects: &[Effect::Indeterminate],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let shown = pair.both_animals().into_iter().flat_map(|owner| {
        let types = &pair.animal(owner).types;
        types
            .iter()
            .enumerate()
            .filter(|(_, of)| {
                types.iter().any(|other| {
                    other.system == of.system && !other.result.agrees_with(of.result)
                })
            })
            .map(move |(index, _)| type_at(owner, index))
    });
    Raised::if_any(Effect::Indeterminate, shown)
}
