use super::{Controls, Run};
use crate::protocol::NegativeTestRule;
use crate::reading::{Class, Outcome, Reason, Reasons};
use crate::words::{Conclusion, Phase, State, Summary, Test};

/// What a major or minor came to beside its controls, and why.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Concluded {
    pub(crate) conclusion: Conclusion,
    pub(crate) reasons: Reasons,
}

/// A test with its controls, of one donor.
struct Beside<'r, 'w> {
    run: &'r Run<'w>,
    test: Test,
    donor: usize,
    controls: Controls,
}

impl Run<'_> {
    /// Concludes a major or minor. The same rules serve both, so swapping recipient and donor swaps
    /// the two conclusions exactly.
    pub(crate) fn conclude(&self, test: Test, donor: usize) -> Concluded {
        let mut reasons = Reasons::default();
        let Some(controls) = Controls::of(test) else {
            return Concluded { conclusion: Conclusion::NotRead, reasons };
        };
        let beside = Beside { run: self, test, donor, controls };
        let conclusion = match self.summary(test, donor) {
            Summary::NotRead => Conclusion::NotRead,
            Summary::Void => Conclusion::Void,
            Summary::Doubtful => Conclusion::Unresolved,
            Summary::Negative => beside.negative(&mut reasons),
            Summary::Reactive => beside.reactive(&mut reasons),
        };
        Concluded { conclusion, reasons }
    }
}

impl Beside<'_, '_> {
    fn at(&self, test: Test, phase: Phase) -> Outcome {
        self.run.outcome(test, self.donor, phase)
    }

    fn summary(&self, test: Test) -> Summary {
        self.run.summary(test, self.donor)
    }

    /// A negative test stands, unless the plasma reacts with the cells of its own animal and
    /// nothing shows that those cells are to blame.
    fn negative(&self, reasons: &mut Reasons) -> Conclusion {
        if !self.summary(self.controls.plasma_auto).is_reactive_or_doubtful() {
            return Conclusion::Nonreactive;
        }
        reasons.add(Reason::AutocontrolReactiveTestNegative);
        let stands = match self.run.conditions.rules.negative_test_with_reactive_auto {
            NegativeTestRule::Caveat => true,
            NegativeTestRule::Unresolved => false,
            NegativeTestRule::CaveatIfSalineControlReactive => self.cells_explain_plasma_auto(),
        };
        if stands { Conclusion::Nonreactive } else { Conclusion::Unresolved }
    }

    /// Whether the saline control reacts wherever the autocontrol does, and about as strongly.
    fn cells_explain_plasma_auto(&self) -> bool {
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
    fn reactive(&self, reasons: &mut Reasons) -> Conclusion {
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
            Conclusion::Reactive
        } else if own {
            Conclusion::ReactiveCells
        } else {
            reasons.add(if auto_missing {
                Reason::AutocontrolMissing
            } else {
                Reason::AutocontrolExplains
            });
            Conclusion::Unresolved
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
        let saline = self.summary(self.controls.cell_saline);
        let auto = self.at(self.controls.cell_auto, phase).state;
        let cleared = saline == Summary::Negative && phase != Phase::Antiglobulin;
        saline == Summary::Reactive || (auto == State::Reactive && !cleared)
    }
}
