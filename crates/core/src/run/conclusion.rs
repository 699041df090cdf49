use super::{Controls, Run, Sums};
use crate::protocol::NegativeTestRule;
use crate::reading::{Class, Outcome, Reason, Reasons};
use crate::words::{Conclusion, Phase, State, Summary, Test, word};

word! {
    /// How the reaction of a major or minor stands beside its controls, over the deciding phases at
    /// which the test reacted. It tells nothing of a test that did not react.
    Standing is "a standing" {
        /// At none of them was an autocontrol of the plasma read that can be used.
        NoAutocontrol = "no_autocontrol",
        /// The plasma's autocontrol reacts too, and about as strongly.
        LikeAutocontrol = "like_autocontrol",
        /// The reaction is more than the autocontrol's, but wherever it is, the cells react without
        /// this plasma.
        OwnInCells = "own_in_cells",
        /// The reaction is more than the autocontrol's, and the cells do not react without this
        /// plasma.
        Own = "own",
    }
}

/// A major or minor beside its controls, over the deciding phases: all that its conclusion rests on.
///
/// The same rules serve both tests, so swapping recipient and donor swaps the two conclusions
/// exactly. [`interpret`](crate::interpret) concludes by this very function; it is here for whoever
/// teaches the rules, or has summaries without a worksheet.
///
/// ```
/// use crossread_core::protocol::NegativeTestRule;
/// use crossread_core::words::{Conclusion, Summary};
/// use crossread_core::{Controlled, Standing};
///
/// let rule = NegativeTestRule::CaveatIfSalineControlReactive;
/// // The recipient's plasma clumps the donor's cells, and not the recipient's own.
/// let major = Controlled {
///     summary: Summary::Reactive,
///     standing: Standing::Own,
///     plasma_auto: Summary::Negative,
///     saline_explains: false,
/// };
/// assert_eq!(major.conclude(rule), Conclusion::Reactive);
/// // Nothing clumped, but the recipient's plasma clumps the recipient's own cells.
/// let major = Controlled {
///     summary: Summary::Negative,
///     plasma_auto: Summary::Reactive,
///     ..major
/// };
/// assert_eq!(major.conclude(rule), Conclusion::Unresolved);
/// // These cells clump in saline just as strongly, so the plasma is not to blame.
/// let major = Controlled { saline_explains: true, ..major };
/// assert_eq!(major.conclude(rule), Conclusion::Nonreactive);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(
    clippy::exhaustive_structs,
    reason = "callers make it, and one more part changes the rule"
)]
pub struct Controlled {
    /// What the test came to.
    pub summary: Summary,
    /// How its reaction stands beside its controls.
    pub standing: Standing,
    /// The autocontrol of the animal that gave the plasma.
    pub plasma_auto: Summary,
    /// Whether that animal's saline control reacts wherever the autocontrol does, and about as
    /// strongly, so that its cells explain the autocontrol.
    pub saline_explains: bool,
}

impl Controlled {
    /// What the test comes to. `rule` is the protocol's rule for a negative test whose plasma's
    /// autocontrol reacts.
    #[must_use]
    pub fn conclude(self, rule: NegativeTestRule) -> Conclusion {
        self.concluded(rule).conclusion
    }

    fn concluded(self, rule: NegativeTestRule) -> Concluded {
        let mut reasons = Reasons::default();
        let conclusion = match self.summary {
            Summary::NotRead => Conclusion::NotRead,
            Summary::Void => Conclusion::Void,
            Summary::Doubtful => Conclusion::Unresolved,
            Summary::Negative => self.negative(rule, &mut reasons),
            Summary::Reactive => self.reactive(&mut reasons),
        };
        Concluded { conclusion, reasons }
    }

    /// A negative test stands, unless the plasma reacts with the cells of its own animal and
    /// nothing shows that those cells are to blame.
    fn negative(self, rule: NegativeTestRule, reasons: &mut Reasons) -> Conclusion {
        if !self.plasma_auto.is_reactive_or_doubtful() {
            return Conclusion::Nonreactive;
        }
        reasons.add(Reason::AutocontrolReactiveTestNegative);
        let stands = match rule {
            NegativeTestRule::Caveat => true,
            NegativeTestRule::Unresolved => false,
            NegativeTestRule::CaveatIfSalineControlReactive => self.saline_explains,
        };
        if stands { Conclusion::Nonreactive } else { Conclusion::Unresolved }
    }

    fn reactive(self, reasons: &mut Reasons) -> Conclusion {
        match self.standing {
            Standing::Own => Conclusion::Reactive,
            Standing::OwnInCells => Conclusion::ReactiveCells,
            Standing::LikeAutocontrol => {
                reasons.add(Reason::AutocontrolExplains);
                Conclusion::Unresolved
            }
            Standing::NoAutocontrol => {
                reasons.add(Reason::AutocontrolMissing);
                Conclusion::Unresolved
            }
        }
    }
}

/// What a major or minor came to beside its controls, and why.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Concluded {
    pub(crate) conclusion: Conclusion,
    pub(crate) reasons: Reasons,
}

/// A test with its controls, of one donor, phase by phase.
struct Beside<'r, 'w> {
    run: &'r Run<'w>,
    sums: &'r Sums,
    test: Test,
    donor: usize,
    controls: Controls,
}

impl Run<'_> {
    /// Concludes a major or minor. `sums` are those of the donor.
    pub(crate) fn conclude(&self, test: Test, donor: usize, sums: &Sums) -> Concluded {
        let Some(controls) = Controls::of(test) else {
            let reasons = Reasons::default();
            return Concluded { conclusion: Conclusion::NotRead, reasons };
        };
        let beside = Beside { run: self, sums, test, donor, controls };
        let controlled = Controlled {
            summary: sums.of(test).summary,
            standing: beside.standing(),
            plasma_auto: sums.of(controls.plasma_auto).summary,
            saline_explains: beside.saline_explains(),
        };
        controlled.concluded(self.conditions.rules.negative_test_with_reactive_auto)
    }
}

impl Beside<'_, '_> {
    fn at(&self, test: Test, phase: Phase) -> Outcome {
        self.run.outcome(test, self.donor, phase)
    }

    /// Whether the saline control reacts wherever the autocontrol does, and about as strongly.
    fn saline_explains(&self) -> bool {
        let rules = self.run.conditions.rules;
        self.run.deciding_phases().all(|phase| {
            let auto = self.at(self.controls.plasma_auto, phase);
            if !auto.state.is_reactive_or_doubtful() {
                return true;
            }
            let saline = self.at(self.controls.plasma_saline, phase);
            let clumps = saline.record.filter(|record| {
                saline.state == State::Reactive && rules.class(*record) == Class::Reactive
            });
            let as_strong = clumps.zip(auto.greatest).is_some_and(|(saline, auto)| {
                let more = auto.half_steps().saturating_sub(saline.half_steps());
                u32::from(more) <= rules.control_tolerance_half_steps
            });
            auto.lysis == Class::Negative && as_strong
        })
    }

    /// A reaction is the plasma's own with these cells if its autocontrol is negative or much
    /// weaker, or if it lysed them; and the cells' own if they react without this plasma.
    fn standing(&self) -> Standing {
        let (mut own, mut own_not_cells) = (false, false);
        let mut auto_missing = true;
        for phase in self.run.deciding_phases() {
            let test = self.at(self.test, phase);
            if test.state != State::Reactive {
                continue;
            }
            let auto = self.at(self.controls.plasma_auto, phase);
            auto_missing &= match auto.state {
                State::Absent | State::Unread | State::Void => true,
                State::Negative | State::Doubtful | State::Reactive => false,
            };
            if self.is_own(test, auto) {
                own = true;
                own_not_cells |= !self.lies_in_cells(phase);
            }
        }
        if own_not_cells {
            Standing::Own
        } else if own {
            Standing::OwnInCells
        } else if auto_missing {
            Standing::NoAutocontrol
        } else {
            Standing::LikeAutocontrol
        }
    }

    fn is_own(&self, test: Outcome, auto: Outcome) -> bool {
        let margin = self.run.conditions.rules.auto_margin_half_steps;
        let exceeds = |auto: Outcome| {
            test.record.zip(auto.record).is_some_and(|(test, auto)| {
                let steps = u32::from(test.half_steps()).checked_sub(auto.half_steps().into());
                steps.is_some_and(|steps| steps >= margin)
            })
        };
        test.lysis == Class::Reactive
            || match auto.state {
                State::Negative => true,
                State::Reactive | State::Doubtful => exceeds(auto),
                State::Absent | State::Unread | State::Void => false,
            }
    }

    fn lies_in_cells(&self, phase: Phase) -> bool {
        let saline = self.sums.of(self.controls.cell_saline).summary;
        let auto = self.at(self.controls.cell_auto, phase).state;
        let cleared = saline == Summary::Negative && phase != Phase::Antiglobulin;
        saline == Summary::Reactive || (auto == State::Reactive && !cleared)
    }
}
