//! The cats' types and the crossmatch contradict each other.

use super::{Meta, Pair, Raised};
use crate::protocol::TypeRules;
use crate::words::{Conclusion, Effect, System, Test, TypeResult};

pub(super) const META: Meta = Meta {
    slug: "cat-type-contradiction",
    title: "cat blood types and crossmatch contradict",
    text: "Types and crossmatch contradict each other: a reaction was missing that these types \
           lead one to expect, or one was seen that they should not give. A wrong type, a swapped \
           sample, a weak or blocked antibody, or cells of an earlier transfusion may be behind \
           it. Neither can be taken as right.",
    next_step: "Hold the unit. Check the labels, type both cats again from new samples, and repeat \
                the crossmatch, also with plasma diluted in saline.",
    sources: &[
        "Knottenbelt CM, 2002, The feline AB blood group system and its importance in transfusion \
         medicine, J Feline Med Surg 4:69",
        "Koenig A et al., 2020, Acute hemolytic reaction due to A-B mismatched transfusion in a \
         cat with transient AB blood type, J Vet Emerg Crit Care",
        "Judd WJ et al., 1988, Discrepancies in reverse ABO typing due to prozone, Transfusion",
    ],
    effects: &[Effect::Caveat, Effect::Indeterminate],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    use TypeResult::{A, Ab, B};
    if pair.rules().type_rules != TypeRules::Cat {
        return None;
    }
    let recipient = |result| pair.recipient().animal.results(System::Ab).any(|has| has == result);
    let donor = |result| pair.donor().animal.results(System::Ab).any(|has| has == result);
    let red_cells = pair.product().has_red_cells();
    let major_seen = pair.summed(Test::Major).summary.is_reactive_or_doubtful();
    let minor_seen = pair.summed(Test::Minor).summary.is_reactive_or_doubtful();
    let major_silent = pair.major.conclusion == Conclusion::Nonreactive;
    let minor_silent = pair.minor.conclusion == Conclusion::Nonreactive;
    // Type B plasma holds strong anti-A, so it must react with A and AB cells; type AB plasma holds
    // neither antibody, so it must not react.
    let contradicted = (red_cells && recipient(B) && (donor(A) || donor(Ab)) && major_silent)
        || (red_cells && recipient(Ab) && major_seen)
        || (donor(B) && (recipient(A) || recipient(Ab)) && minor_silent);
    let minor_of_ab = donor(Ab) && minor_seen;
    let effect = if contradicted || (minor_of_ab && pair.is_needed(Test::Minor)) {
        Effect::Indeterminate
    } else if minor_of_ab {
        Effect::Caveat
    } else {
        return None;
    };
    Some(Raised::new(effect, pair.types_at(System::Ab)))
}
