//! Marks of what is seen: grades, hemolysis, patterns.

use crossread_core::Protocol;
use crossread_core::words::Grade;

use super::{Class, Verdict};
use crate::set::{Answer, Scale};

const EXACT: Verdict = (Class::Exact, "it is the key");
const FORCED: Verdict = (Class::Forced, "an answer was given to what cannot be read");
const WITHHELD: Verdict = (Class::Withheld, "no answer was given to what can be read");
const CALLED_NEGATIVE: Verdict = (Class::Critical, "a positive was called negative");
const CALLED_POSITIVE: Verdict = (Class::FalsePositive, "a negative was called positive");
const CALLED_ROULEAUX: Verdict = (Class::Critical, "agglutination was called rouleaux");
const CALLED_CLUMPS: Verdict = (Class::FalsePositive, "rouleaux were called agglutination");
const STACKS_MISSED: Verdict = (
    Class::Critical,
    "stacks were called negative, so that the recheck that the rules ask for would be left out",
);
const STACKS_IMAGINED: Verdict =
    (Class::MinorError, "stacks were seen where there are none; a recheck would show it");
const NEAR: Verdict = (Class::Near, "one step off, on the same side of the threshold");
const MINOR: Verdict = (Class::MinorError, "more than one step off, on the same side");
const ACROSS: Verdict = (
    Class::MinorError,
    "a reaction and a doubtful one were taken for each other; neither is negative",
);
const MIXED: Verdict = (Class::MinorError, "a mixed field is right or not: it is on no scale");
const OTHER: Verdict = (Class::MinorError, "this is no answer to the question");

/// What a grade is worth by the protocol.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Side {
    Negative,
    Doubtful,
    Reactive,
}

/// A protocol without its thresholds does not pass its check; then everything is a reaction.
fn side(protocol: &Protocol, grade: Grade) -> Side {
    let document = protocol.document();
    let from = |rule: Option<&crossread_core::protocol::draft::Rule<Grade>>| {
        rule.and_then(|rule| rule.value).unwrap_or(Grade::G0)
    };
    if grade >= from(document.reactive_from.as_ref()) {
        Side::Reactive
    } else if grade >= from(document.doubtful_from.as_ref()) {
        Side::Doubtful
    } else {
        Side::Negative
    }
}

/// Whether the places of two steps on a scale are neighbors.
fn neighbors(one: Option<usize>, other: Option<usize>) -> bool {
    one.zip(other).is_some_and(|(one, other)| one.abs_diff(other) == 1)
}

pub(super) fn agglutination(
    protocol: &Protocol,
    scale: Scale,
    key: &Answer,
    answer: &Answer,
) -> Verdict {
    let is_negative = |grade: &Grade| side(protocol, *grade) == Side::Negative;
    match (key, answer) {
        (key, answer) if key == answer => EXACT,
        (Answer::Unreadable, _) => FORCED,
        (_, Answer::Unreadable) => WITHHELD,
        (Answer::Rouleaux, Answer::Grade(grade)) if is_negative(grade) => STACKS_MISSED,
        (Answer::Rouleaux, Answer::Grade(_) | Answer::MixedField) => CALLED_CLUMPS,
        (Answer::Grade(grade), Answer::Rouleaux) if is_negative(grade) => STACKS_IMAGINED,
        (Answer::Grade(_) | Answer::MixedField, Answer::Rouleaux) => CALLED_ROULEAUX,
        (Answer::MixedField, Answer::Grade(grade)) if is_negative(grade) => CALLED_NEGATIVE,
        (Answer::Grade(grade), Answer::MixedField) if is_negative(grade) => CALLED_POSITIVE,
        (Answer::MixedField, Answer::Grade(_)) | (Answer::Grade(_), Answer::MixedField) => MIXED,
        (Answer::Grade(key), Answer::Grade(answer)) => {
            match (side(protocol, *key), side(protocol, *answer)) {
                (Side::Negative, Side::Doubtful | Side::Reactive) => CALLED_POSITIVE,
                (Side::Doubtful | Side::Reactive, Side::Negative) => CALLED_NEGATIVE,
                (Side::Doubtful, Side::Reactive) | (Side::Reactive, Side::Doubtful) => ACROSS,
                (Side::Negative, Side::Negative)
                | (Side::Doubtful, Side::Doubtful)
                | (Side::Reactive, Side::Reactive) => {
                    if neighbors(scale.place(*key), scale.place(*answer)) { NEAR } else { MINOR }
                }
            }
        }
        (
            Answer::Grade(_)
            | Answer::MixedField
            | Answer::Rouleaux
            | Answer::Hemolysis(_)
            | Answer::FreeCells
            | Answer::StacksAndClumps
            | Answer::Clumps
            | Answer::Verdict(_)
            | Answer::Finding(_)
            | Answer::Nothing,
            _,
        ) => OTHER,
    }
}

pub(super) fn hemolysis(protocol: &Protocol, key: &Answer, answer: &Answer) -> Verdict {
    let rule = protocol.document().hemolysis_from.as_ref();
    let from = rule.and_then(|rule| rule.value).map_or(0, crossread_core::document::Whole::get);
    match (key, answer) {
        (key, answer) if key == answer => EXACT,
        (Answer::Unreadable, _) => FORCED,
        (_, Answer::Unreadable) => WITHHELD,
        (Answer::Hemolysis(key), Answer::Hemolysis(answer)) => {
            match (*key >= from, *answer >= from) {
                (true, false) => (Class::Critical, "hemolysis was missed"),
                (false, true) => {
                    (Class::FalsePositive, "hemolysis was seen where there is too little to count")
                }
                (true, true) | (false, false) if key.abs_diff(*answer) == 1 => NEAR,
                (true, true) | (false, false) => MINOR,
            }
        }
        _ => OTHER,
    }
}

pub(super) fn pattern(key: &Answer, answer: &Answer) -> Verdict {
    let has_clumps = |answer: &Answer| matches!(answer, Answer::Clumps | Answer::StacksAndClumps);
    match (key, answer) {
        (key, answer) if key == answer => EXACT,
        (Answer::Unreadable, _) => FORCED,
        (_, Answer::Unreadable) => WITHHELD,
        (key, Answer::Rouleaux) if has_clumps(key) => CALLED_ROULEAUX,
        (key, Answer::FreeCells) if has_clumps(key) => CALLED_NEGATIVE,
        (key, answer) if has_clumps(key) && has_clumps(answer) => NEAR,
        (Answer::Rouleaux, Answer::FreeCells) => STACKS_MISSED,
        (Answer::Rouleaux, answer) if has_clumps(answer) => CALLED_CLUMPS,
        (Answer::FreeCells, Answer::Rouleaux) => STACKS_IMAGINED,
        (Answer::FreeCells, answer) if has_clumps(answer) => CALLED_POSITIVE,
        _ => OTHER,
    }
}
