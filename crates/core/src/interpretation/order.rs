use std::cmp::Reverse;

use super::Answer;
use crate::document::Id;
use crate::findings::Pair;
use crate::reading::Class;
use crate::words::{Grade, Test};

/// The donors for comparison: verdict; no lysis before some; the weaker major; the weaker minor;
/// then the id, by bytes, so that there is one order.
pub(super) fn order(pairs: &[Pair<'_>], answers: &[Answer]) -> Vec<Id> {
    let strongest =
        |pair: &Pair<'_>, test| pair.summed(test).strongest.map_or(Grade::G0, |(grade, _)| grade);
    let no_lysis =
        |pair: &Pair<'_>| pair.deciding(Test::Major).all(|(_, at)| at.lysis == Class::Negative);
    let mut compared: Vec<_> = pairs.iter().zip(answers).collect();
    compared.sort_by_key(|(pair, answer)| {
        (
            answer.verdict,
            Reverse(no_lysis(pair)),
            strongest(pair, Test::Major),
            strongest(pair, Test::Minor),
            answer.donor.as_str(),
        )
    });
    compared.into_iter().map(|(_, answer)| answer.donor.clone()).collect()
}
