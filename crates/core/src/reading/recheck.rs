use super::class::Class;
use super::conditions::Conditions;
use super::reason::{Reason, Reasons};
use crate::words::{Grade, Phase, Recheck};
use crate::worksheet::Reading;
use jiff::Timestamp;

/// What the first looks at a mixture came to, as far as rechecks are judged by it.
#[derive(Clone, Copy, Debug)]
pub(super) struct FirstLook {
    /// The greatest grade.
    pub(super) grade: Grade,
    /// The latest time.
    pub(super) latest: Timestamp,
    /// Stacks were seen.
    pub(super) shown: bool,
    /// Stacks were seen, or rouleaux are to be thought of for another reason.
    pub(super) suspected: bool,
    pub(super) phase: Phase,
    pub(super) is_saline_control: bool,
}

/// What the first looks and rechecks of a mixture came to together, but for lysis.
#[derive(Clone, Copy, Debug)]
pub(super) struct Settled {
    /// The grade of record.
    pub(super) record: Grade,
    pub(super) class: Class,
    /// A recheck that was set aside was not negative.
    pub(super) objection: bool,
}

/// A recheck that counts.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Counted {
    grade: Grade,
    parts: Option<u32>,
}

/// Settles the grade of record between first looks and rechecks.
///
/// A positive is never cleared by suspicion, only by a recheck that counts; and a recheck that
/// does not count can still speak against clearing it.
pub(super) fn settle<'r>(
    first: FirstLook,
    rechecks: &(impl Iterator<Item = &'r Reading> + Clone),
    conditions: &Conditions<'_>,
    reasons: &mut Reasons,
) -> Settled {
    let rules = conditions.rules;
    let first_class = rules.class(first.grade);
    let (least_parts, most_parts) = rules.saline_parts;
    let over = |parts: Option<u32>| parts.is_some_and(|parts| parts > most_parts);

    let mut objection = false;
    let mut counting = None;
    let mut any_within = false;
    // In the first round those set aside are found; whether a dilution beyond the range counts
    // depends on all that are left, so it waits for the second round.
    for round in [Round::SetAside, Round::Count] {
        for recheck in rechecks.clone() {
            let grade = recheck.agglutination.grade();
            let usable = grade.filter(|_| {
                recheck.artefacts.is_empty()
                    && !recheck.dried
                    && recheck.at.instant() > first.latest
                    && !conditions.outside_seconds(recheck.seconds)
            });
            let Some(grade) = usable else {
                reasons.add(Reason::RecheckNotCounted);
                objection |= grade.is_some_and(|grade| rules.class(grade) != Class::Negative);
                continue;
            };
            let negative = rules.class(grade) == Class::Negative;
            let parts = recheck.saline_parts;
            let too_low = recheck.after == Some(Recheck::SalineDilution)
                && parts.is_some_and(|parts| parts < least_parts)
                && !negative
                && grade <= first.grade;
            match round {
                _ if too_low => reasons.add(Reason::DilutionTooLow),
                Round::SetAside => any_within |= !over(parts),
                Round::Count if any_within && negative && over(parts) => {}
                Round::Count => counting = counting.max(Some(Counted { grade, parts })),
            }
        }
    }

    let keep_first = Settled { record: first.grade, class: first_class, objection };
    let Some(recheck) = counting else {
        let unchecked_stacks = first_class != Class::Negative
            && first.shown
            && first.phase != Phase::Antiglobulin
            && !first.is_saline_control;
        if unchecked_stacks {
            reasons.add(Reason::RouleauxNotRechecked);
            return Settled { class: Class::Doubtful, ..keep_first };
        }
        return keep_first;
    };
    let class = rules.class(recheck.grade);
    let of_record = Settled { record: recheck.grade, class, objection };
    if first.phase == Phase::Antiglobulin {
        // Washed cells do not form rouleaux, so a recheck can only show more, never less.
        if class > first_class {
            reasons.add(Reason::RecheckStronger);
            return of_record;
        }
        reasons.add(Reason::RecheckNotValid);
        return keep_first;
    }
    if class != Class::Negative {
        reasons.add_if(recheck.grade > first.grade, Reason::RecheckStronger);
        reasons.add_if(recheck.grade < first.grade, Reason::RouleauxPartial);
        return of_record;
    }
    if first_class == Class::Negative {
        return keep_first;
    }
    let doubt = if objection || first.grade > rules.dispersal_up_to {
        Reason::DispersalImplausible
    } else if !first.suspected {
        Reason::DispersalUnexplained
    } else if over(recheck.parts) {
        Reason::DilutionTooHigh
    } else {
        reasons.add(Reason::RouleauxDispersed);
        return of_record;
    };
    reasons.add(doubt);
    Settled { class: Class::Doubtful, ..keep_first }
}

#[derive(Clone, Copy)]
enum Round {
    SetAside,
    Count,
}
