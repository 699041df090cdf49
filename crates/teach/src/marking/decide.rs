//! Marks of decisions: the verdict of a run, and what was there to be noticed.

use crossread_core::words::{Effect, Verdict as Word};

use super::{Class, Verdict};
use crate::set::{Answer, Truth};

const EXACT: Verdict = (Class::Exact, "it is the key");
const OTHER: Verdict = (Class::MinorError, "this is no answer to the question");

pub(super) fn verdict(truth: &Truth, answer: &Answer) -> Verdict {
    let (Answer::Verdict(key), Answer::Verdict(answer)) = (&truth.key, answer) else {
        return OTHER;
    };
    if key == answer {
        return EXACT;
    }
    if truth.ignoring_autocontrols == Some(*answer) {
        return (
            Class::Critical,
            "a reactive autocontrol was ignored: this is the verdict that comes of not looking at \
             the autocontrols",
        );
    }
    match (key.is_releasable(), answer.is_releasable()) {
        (false, true) => (Class::Critical, "a unit was freed that must not be released"),
        (true, false) => (Class::FalsePositive, "a unit was held that may be released"),
        (true, true) | (false, false) => {
            if *answer < *key {
                (Class::MinorError, "the verdict was softened, and the unit not freed by it")
            } else if is_next(*key, *answer) {
                (Class::Near, "one step stricter, on the same side of a release")
            } else {
                (Class::MinorError, "more than one step stricter, on the same side of a release")
            }
        }
    }
}

/// Whether the answer is the next stricter verdict.
fn is_next(key: Word, answer: Word) -> bool {
    let place = |verdict: Word| Word::ALL.iter().position(|one| *one == verdict);
    place(key).zip(place(answer)).is_some_and(|(key, answer)| key.checked_add(1) == Some(answer))
}

pub(super) fn finding(truth: &Truth, answer: &Answer) -> Verdict {
    let holds = |effect: Effect| !Word::from(effect).is_releasable();
    match (&truth.key, answer) {
        (key, answer) if key == answer => EXACT,
        (Answer::Finding(_), Answer::Nothing) if truth.effect.is_some_and(holds) => {
            (Class::Critical, "what stops the unit was not noticed")
        }
        (Answer::Finding(_), Answer::Nothing) => {
            (Class::MinorError, "something was not noticed that does not stop the unit by itself")
        }
        (Answer::Finding(key), Answer::Finding("rouleaux-dispersed"))
            if truth.effect.is_some_and(holds) && is_reaction(key) =>
        {
            (Class::Critical, "agglutination was called rouleaux")
        }
        (Answer::Finding(_), Answer::Finding(_)) => {
            (Class::MinorError, "something else was there to be noticed")
        }
        (Answer::Nothing, Answer::Finding(slug)) if stops(slug) => (
            Class::FalsePositive,
            "something was noticed that is not there and would stop the unit",
        ),
        (Answer::Nothing, Answer::Finding(_)) => {
            (Class::MinorError, "something was noticed that is not there")
        }
        _ => OTHER,
    }
}

/// Whether a finding of this name can stop a unit.
fn stops(slug: &str) -> bool {
    let meta = crossread_core::findings::find(slug);
    meta.is_some_and(|meta| meta.effects.iter().any(|effect| !Word::from(*effect).is_releasable()))
}

/// Whether a finding tells of clumps that no saline took away.
fn is_reaction(slug: &str) -> bool {
    matches!(
        slug,
        "major-reactive"
            | "major-unresolved"
            | "minor-reactive"
            | "minor-unresolved"
            | "donor-cells-reactive"
            | "dispersal-implausible"
            | "dispersal-unexplained"
            | "rouleaux-not-rechecked"
    )
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use crossread_core::findings::CATALOGUE;

    use super::{is_reaction, stops};

    /// Findings that can stop a unit and tell of no clumps in a mixture of plasma and cells, or do
    /// not say whether saline would take them away.
    const OTHERS: [&str; 28] = [
        "cat-type-contradiction",
        "cat-type-mismatch",
        "cat-type-unknown",
        "donor-autocontrol-not-read",
        "donor-autocontrol-void",
        "earlier-incompatible",
        "inconsistent-controls",
        "major-not-read",
        "major-void",
        "minor-not-read",
        "minor-void",
        "protocol-differs",
        "readers-disagree",
        "readings-far-apart",
        "recipient-autocontrol-not-read",
        "recipient-autocontrol-void",
        "saline-control-void",
        "saline-controls-reactive",
        "sample-age-unknown",
        "sample-before-transfusion",
        "sample-drawn-after-reading",
        "sample-not-recorded",
        "sample-too-old",
        "species-differ",
        "type-discrepant",
        "type-impossible",
        "unit-expired",
        "unit-unfit",
    ];

    /// Whoever adds a finding that can stop a unit says here whether calling it rouleaux is critical.
    #[test]
    fn every_finding_that_stops_a_unit_is_sorted() {
        let stopping = CATALOGUE.iter().map(|meta| meta.slug).filter(|slug| stops(slug));
        let unsorted: BTreeSet<_> = stopping.filter(|slug| !is_reaction(slug)).collect();
        assert_eq!(unsorted, OTHERS.into_iter().collect());
    }

    #[test]
    fn every_reaction_is_a_finding() {
        let reactions = CATALOGUE.iter().filter(|meta| is_reaction(meta.slug)).count();
        assert_eq!(reactions, 8);
    }
}
