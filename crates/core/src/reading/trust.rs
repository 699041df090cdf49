use super::class::Class;
use super::conditions::{Conditions, Incubation};
use super::mixture::Mixture;
use super::reason::{Reason, Reasons};
use crate::protocol::CheckCellsMissing;
use crate::words::{Grade, Method, Phase, Spoils};
use crate::worksheet::Reading;

/// What of a mixture can be believed.
#[derive(Clone, Copy, Debug)]
pub(super) struct Trust {
    pub(super) negative: bool,
    pub(super) positive: bool,
}

/// What of the reading is asked for by the rows of trust.
#[derive(Clone, Copy, Debug)]
pub(super) struct Seen {
    /// The class of the first looks' grade; `None` if none could be graded.
    pub(super) first: Option<Class>,
    /// The grade of record.
    pub(super) record: Option<Grade>,
    pub(super) lysis: Class,
}

/// Asks of everything that can spoil a reading which result it takes away.
pub(super) fn trust<'r>(
    mixture: Mixture,
    first_looks: impl Iterator<Item = &'r Reading>,
    seen: Seen,
    saline_controls_reactive: bool,
    conditions: &Conditions<'_>,
    reasons: &mut Reasons,
) -> Trust {
    let mut trust = Trust { negative: true, positive: true };
    let mut check_cells: Option<Grade> = None;
    for look in first_looks {
        for artefact in &look.artefacts {
            let (spoils, reason) = match artefact.spoils() {
                Spoils::Both => (trust.neither(), Reason::ArtefactSpoilsReading),
                Spoils::Positive => (trust.no_positive(), Reason::ArtefactFalsePositive),
                Spoils::Negative => (trust.no_negative(), Reason::ArtefactFalseNegative),
            };
            trust = spoils;
            reasons.add(reason);
        }
        if conditions.too_early(look.seconds) {
            trust = trust.no_negative();
            reasons.add(Reason::ReadingEarly);
        }
        if conditions.too_late(look.seconds) {
            trust = trust.no_positive();
            reasons.add(Reason::ReadingLate);
        }
        if look.dried {
            trust = trust.neither();
            reasons.add(Reason::SlideDried);
        }
        check_cells = match (check_cells, look.check_cells) {
            (Some(lowest), Some(more)) => Some(lowest.min(more)),
            (lowest, more) => lowest.or(more),
        };
    }
    let rules = conditions.rules;
    let asks_check_cells = conditions.method == Method::Tube
        && mixture.phase == Phase::Antiglobulin
        && seen.first.is_some_and(|class| class != Class::Reactive);
    if asks_check_cells {
        let reason = match (check_cells, rules.check_cells_missing) {
            (Some(lowest), _) if lowest < rules.check_cells_min => Some(Reason::CheckCellsFailed),
            (None, CheckCellsMissing::Void) => Some(Reason::CheckCellsMissing),
            (Some(_), _) | (None, CheckCellsMissing::Caveat) => None,
        };
        if let Some(reason) = reason {
            trust = trust.no_negative();
            reasons.add(reason);
        }
    }
    if conditions.positive_control_failed {
        trust = trust.no_negative();
        reasons.add(Reason::PositiveControlFailed);
    }
    if conditions.negative_control_reactive {
        trust = trust.no_positive();
        reasons.add(Reason::NegativeControlReactive);
    }
    if let Some(plasma) = mixture.plasma_of()
        && conditions.samples(plasma).plasma_hemolysis >= rules.hemolysis_reject_from
    {
        trust = trust.no_negative();
        reasons.add(Reason::SampleRejected);
    }
    let plasma_mislabeled =
        mixture.plasma_of().is_some_and(|plasma| conditions.samples(plasma).mislabeled);
    if plasma_mislabeled || conditions.samples(mixture.cells_of()).mislabeled {
        trust = trust.neither();
        reasons.add(Reason::LabelMismatch);
    }
    if conditions.suspension_too_heavy {
        trust = trust.no_negative();
        reasons.add(Reason::SuspensionTooHeavy);
    }
    match conditions.incubation(mixture.phase) {
        Incubation::AsAsked => {}
        Incubation::Short => {
            trust = trust.no_negative();
            reasons.add(Reason::IncubationShort);
        }
        Incubation::Long => {
            let weak = seen.record.is_some_and(|record| record <= rules.weak_up_to);
            if weak && seen.lysis != Class::Reactive {
                trust = trust.no_positive();
                reasons.add(Reason::IncubationLong);
            }
        }
    }
    if saline_controls_reactive && !mixture.test.is_saline_control() {
        trust = trust.neither();
        reasons.add(Reason::SalineControlsReactive);
    }
    trust
}

impl Trust {
    fn no_negative(self) -> Self {
        Self { negative: false, ..self }
    }

    fn no_positive(self) -> Self {
        Self { positive: false, ..self }
    }

    fn neither(self) -> Self {
        self.no_negative().no_positive()
    }
}
