use super::class::Class;
use super::conditions::Conditions;
use super::lysis::lysis;
use super::mixture::Mixture;
use super::reason::{Reason, Reasons};
use super::recheck::{FirstLook, settle};
use super::trust::{Seen, trust};
use crate::protocol::{HemolysisRule, Rules};
use crate::words::{Grade, Pattern, Phase, State, Test};
use crate::worksheet::Reading;

/// What one mixture at one phase came to.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Outcome {
    pub(crate) state: State,
    /// The greatest grade of the first looks.
    pub(crate) first: Option<Grade>,
    /// The grade of record.
    pub(crate) record: Option<Grade>,
    /// The greatest readable grade, rechecks and what was set aside included.
    pub(crate) greatest: Option<Grade>,
    /// The greatest hemolysis that was written.
    pub(crate) hemolysis: Option<u32>,
    pub(crate) lysis: Class,
    pub(crate) reasons: Reasons,
}

impl Default for Outcome {
    /// Nobody looked.
    fn default() -> Self {
        Self {
            state: State::Absent,
            first: None,
            record: None,
            greatest: None,
            hemolysis: None,
            lysis: Class::Negative,
            reasons: Reasons::default(),
        }
    }
}

/// Reads one mixture at one phase.
///
/// `plasma_auto` is the outcome of the autocontrol of the animal that gave the plasma, at the same
/// phase; only a major or minor has one.
pub(crate) fn outcome<'r>(
    mixture: Mixture,
    readings: &(impl Iterator<Item = &'r Reading> + Clone),
    plasma_auto: Option<&Outcome>,
    saline_controls_reactive: bool,
    conditions: &Conditions<'_>,
) -> Outcome {
    let rules = conditions.rules;
    let first_looks = readings.clone().filter(|reading| reading.after.is_none());
    let rechecks = readings.clone().filter(|reading| reading.after.is_some());
    let mut out = Outcome {
        hemolysis: readings.clone().filter_map(|reading| reading.hemolysis).max(),
        greatest: readings.clone().filter_map(|reading| reading.agglutination.grade()).max(),
        first: first_looks.clone().filter_map(|look| look.agglutination.grade()).max(),
        ..Outcome::default()
    };
    if readings.clone().next().is_none() {
        return out;
    }
    let reasons = &mut out.reasons;
    if conditions.of_method.hemolysis() != HemolysisRule::NotReadable {
        let baseline = baseline(mixture, plasma_auto, conditions);
        out.lysis = lysis(out.hemolysis, baseline, rules, reasons);
    }
    let latest = first_looks.clone().map(|look| look.at.instant()).max();
    let class = match (out.first, latest) {
        (Some(grade), Some(latest)) => {
            reasons.add_if(readers_disagree(first_looks.clone(), rules), Reason::ReadersDisagree);
            let shown =
                first_looks.clone().any(|look| look.pattern.is_some_and(Pattern::has_stacks));
            let suspected = shown
                || mixture.test.is_autocontrol()
                || plasma_auto.is_some_and(|auto| points_to_rouleaux(grade, auto, rules));
            let first = FirstLook {
                grade,
                latest,
                shown,
                suspected,
                phase: mixture.phase,
                is_saline_control: mixture.test.is_saline_control(),
            };
            let settled = settle(first, &rechecks, conditions, reasons);
            out.record = Some(settled.record);
            let below =
                settled.record > Grade::G0 && rules.class(settled.record) == Class::Negative;
            reasons.add_if(below, Reason::ReactionBelowCutOff);
            let together = settled.class.max(out.lysis);
            Some(if settled.objection { together.max(Class::Doubtful) } else { together })
        }
        (None, Some(_)) => {
            reasons.add(Reason::ReadingUnreadable);
            None
        }
        (_, None) => {
            reasons.add(Reason::RecheckNotCounted);
            None
        }
    };
    let seen = Seen {
        first: out.first.map(|grade| rules.class(grade)),
        record: out.record,
        lysis: out.lysis,
    };
    let trust =
        trust(mixture, first_looks.clone(), seen, saline_controls_reactive, conditions, reasons);
    out.state = class.map_or(State::Void, |class| {
        let positive_seen =
            class != Class::Negative || seen.first.is_some_and(|first| first != Class::Negative);
        let void =
            (positive_seen && !trust.positive) || (class != Class::Reactive && !trust.negative);
        if void { State::Void } else { class.into() }
    });
    let hemolysis_skipped = conditions.of_method.hemolysis() == HemolysisRule::Required
        && mixture.phase != Phase::Antiglobulin
        && !mixture.test.is_saline_control()
        && first_looks.clone().all(|look| look.hemolysis.is_none());
    if hemolysis_skipped && out.state == State::Negative {
        out.state = State::Unread;
        reasons.add(Reason::HemolysisNotRead);
    }
    out
}

/// The hemolysis that was there before the plasma met the cells.
fn baseline(mixture: Mixture, plasma_auto: Option<&Outcome>, conditions: &Conditions<'_>) -> u32 {
    let of_plasma =
        mixture.plasma_of().map_or(0, |plasma| conditions.samples(plasma).plasma_hemolysis);
    let of_auto = match mixture.test {
        Test::Major | Test::Minor => plasma_auto.and_then(|auto| auto.hemolysis).unwrap_or(0),
        Test::RecipientAuto | Test::DonorAuto | Test::RecipientSaline | Test::DonorSaline => 0,
    };
    of_plasma.max(of_auto)
}

/// Whether the first looks fall on different sides of the cut-offs.
fn readers_disagree<'r>(looks: impl Iterator<Item = &'r Reading>, rules: &Rules) -> bool {
    let mut sides = looks.map(|look| {
        let class = rules.class(look.agglutination.grade()?);
        Some(if rules.is_lysis(look.hemolysis) { Class::Reactive } else { class })
    });
    let first = sides.next();
    sides.any(|side| Some(side) != first)
}

/// Whether the plasma formed rouleaux with the cells of its own animal: its autocontrol reacted at
/// first, about as strongly, and came out negative.
fn points_to_rouleaux(grade: Grade, auto: &Outcome, rules: &Rules) -> bool {
    auto.state == State::Negative
        && auto.first.is_some_and(|first| {
            let weaker_by = grade.half_steps().saturating_sub(first.half_steps());
            rules.class(first) != Class::Negative
                && u32::from(weaker_by) <= rules.control_tolerance_half_steps
        })
}
