//! A test over its phases, and a major or minor beside its controls.

use super::groups::Bench;
use super::words::{
    Conclusion, Grade, NegativeWithAuto, Phase, PhaseRole, Shade, State, Summary, Test,
};

impl Bench<'_> {
    /// The states of a test at the phases with one of these roles.
    fn states(
        &self,
        test: Test,
        donor: usize,
        roles: &'static [PhaseRole],
    ) -> impl Iterator<Item = State> {
        self.method.with_role(roles).map(move |phase| self.state(test, donor, phase))
    }

    /// The states of a test at the deciding phases.
    fn deciding_states(&self, test: Test, donor: usize) -> impl Iterator<Item = State> {
        self.states(test, donor, &[PhaseRole::Required, PhaseRole::OneOf, PhaseRole::Optional])
    }

    /// *Gap*: the test was not read where it must be.
    pub(crate) fn gap(&self, test: Test, donor: usize) -> bool {
        let missing = |state: State| [State::Absent, State::Unread].contains(&state);
        let mut required = self.states(test, donor, &[PhaseRole::Required]);
        let mut one_of = self.states(test, donor, &[PhaseRole::OneOf]).peekable();
        required.any(missing) || (one_of.peek().is_some() && one_of.all(missing))
    }

    /// *Spoiled*: some deciding phase is Void.
    pub(crate) fn spoiled(&self, test: Test, donor: usize) -> bool {
        self.deciding_states(test, donor).any(|state| state == State::Void)
    }

    /// The summary of a test: the first line of its list that holds.
    pub(crate) fn summary(&self, test: Test, donor: usize) -> Summary {
        let any = |state: State| self.deciding_states(test, donor).any(|one| one == state);
        let lines: &[(bool, Summary)] = if test.is_saline_control() {
            &[
                (any(State::Reactive), Summary::Reactive),
                (any(State::Doubtful), Summary::Doubtful),
                (any(State::Negative), Summary::Negative),
                (any(State::Void), Summary::Void),
                (true, Summary::NotRead),
            ]
        } else {
            &[
                (any(State::Reactive), Summary::Reactive),
                (any(State::Doubtful), Summary::Doubtful),
                (any(State::Void), Summary::Void),
                (self.gap(test, donor), Summary::NotRead),
                (true, Summary::Negative),
            ]
        };
        lines.iter().find(|line| line.0).expect("the last line always holds").1
    }

    /// *Strongest*: the greatest grade of record over the deciding phases, and the first phase
    /// that has it.
    pub(crate) fn strongest(&self, test: Test, donor: usize) -> Option<(Grade, Phase)> {
        let mut strongest: Option<(Grade, Phase)> = None;
        for phase in self.method.deciding() {
            let grade = self.group(test, donor, phase).and_then(|group| group.grade_of_record);
            if let Some(grade) = grade
                && strongest.is_none_or(|(so_far, _)| grade > so_far)
            {
                strongest = Some((grade, phase));
            }
        }
        strongest
    }

    /// The conclusion for a major or minor, and its reason where there is one.
    pub(crate) fn conclusion(
        &self,
        test: Test,
        donor: usize,
    ) -> (Conclusion, Option<&'static str>) {
        let auto = test.plasma_auto().expect("only a major or minor has a conclusion");
        let auto_reacts =
            [Summary::Reactive, Summary::Doubtful].contains(&self.summary(auto, donor));
        match self.summary(test, donor) {
            Summary::NotRead => (Conclusion::NotRead, None),
            Summary::Void => (Conclusion::Void, None),
            Summary::Doubtful => (Conclusion::Unresolved, None),
            Summary::Negative if auto_reacts => {
                (self.negative_beside_auto(test, donor), Some("autocontrol-reactive-test-negative"))
            }
            Summary::Negative => (Conclusion::Nonreactive, None),
            Summary::Reactive => self.reactive(test, donor),
        }
    }

    /// A negative test while the plasma reacts with its own cells.
    fn negative_beside_auto(&self, test: Test, donor: usize) -> Conclusion {
        let forgiven = match self.rules.negative_test_with_reactive_auto {
            NegativeWithAuto::Caveat => true,
            NegativeWithAuto::Unresolved => false,
            NegativeWithAuto::CaveatIfSalineControlReactive => self
                .method
                .deciding()
                .all(|phase| self.cells_clump_by_themselves(test, donor, phase)),
        };
        if forgiven { Conclusion::Nonreactive } else { Conclusion::Unresolved }
    }

    /// Whether, at a phase, PA either does not react or reacts no more than its cells do in saline.
    fn cells_clump_by_themselves(&self, test: Test, donor: usize, phase: Phase) -> bool {
        let group = |control: Option<Test>| self.group(control?, donor, phase);
        let Some(auto) = group(test.plasma_auto())
            .filter(|auto| [State::Reactive, State::Doubtful].contains(&auto.state))
        else {
            return true;
        };
        let Some(saline) = group(test.plasma_saline()) else {
            return false;
        };
        let greatest_seen = auto.all().filter_map(|reading| reading.grade).max();
        auto.lysis == Shade::Negative
            && saline.state == State::Reactive
            && saline.agglutination == Shade::Reactive
            && greatest_seen.zip(saline.grade_of_record).is_some_and(|(auto, saline)| {
                auto.half_steps() - saline.half_steps() <= self.rules.control_tolerance_half_steps
            })
    }

    /// A reactive test: whose fault is it?
    fn reactive(&self, test: Test, donor: usize) -> (Conclusion, Option<&'static str>) {
        let auto = test.plasma_auto().expect("a major or minor");
        let phases: Vec<Phase> = self
            .method
            .deciding()
            .filter(|&phase| self.state(test, donor, phase) == State::Reactive)
            .collect();
        let own = |phase: Phase| self.own(test, donor, phase);
        let cells = |phase: Phase| self.cells(test, donor, phase);
        let silent = |phase: Phase| {
            [State::Absent, State::Unread, State::Void].contains(&self.state(auto, donor, phase))
        };
        if phases.iter().any(|&phase| own(phase) && !cells(phase)) {
            (Conclusion::Reactive, None)
        } else if phases.iter().any(|&phase| own(phase)) {
            (Conclusion::ReactiveCells, None)
        } else if phases.iter().all(|&phase| silent(phase)) {
            (Conclusion::Unresolved, Some("autocontrol-missing"))
        } else {
            (Conclusion::Unresolved, Some("autocontrol-explains"))
        }
    }

    /// *own(p)*: the plasma's autocontrol does not account for the reaction.
    fn own(&self, test: Test, donor: usize, phase: Phase) -> bool {
        let group = self.group(test, donor, phase).expect("a reactive group");
        let auto = test.plasma_auto().and_then(|auto| self.group(auto, donor, phase));
        let beyond_auto = || {
            let grade = group.grade_of_record.map(Grade::half_steps);
            let of_auto = auto.and_then(|auto| auto.grade_of_record).map(Grade::half_steps);
            grade
                .zip(of_auto)
                .is_some_and(|(grade, auto)| grade - auto >= self.rules.auto_margin_half_steps)
        };
        group.lysis == Shade::Reactive
            || match auto.map_or(State::Absent, |auto| auto.state) {
                State::Negative => true,
                State::Reactive | State::Doubtful => beyond_auto(),
                State::Absent | State::Unread | State::Void => false,
            }
    }

    /// *cells(p)*: the tested cells react by themselves.
    fn cells(&self, test: Test, donor: usize, phase: Phase) -> bool {
        let saline = test.cell_saline().map(|control| self.summary(control, donor));
        let auto = test.cell_auto().map(|control| self.state(control, donor, phase));
        let saline_clears = saline == Some(Summary::Negative) && phase != Phase::Antiglobulin;
        saline == Some(Summary::Reactive) || (auto == Some(State::Reactive) && !saline_clears)
    }

    /// `inconsistent-controls`: cells that clump in saline must clump everywhere.
    pub(crate) fn inconsistent_controls(&self, donor: usize, deciding: &[Test]) -> bool {
        let reacts = |test: Option<Test>| {
            test.is_some_and(|test| {
                [Summary::Reactive, Summary::Doubtful].contains(&self.summary(test, donor))
            })
        };
        let reactive = |test: Test| self.summary(test, donor) == Summary::Reactive;
        !self.saline_controls_reactive
            && deciding.iter().any(|&test| {
                (reacts(test.cell_saline()) && !reactive(test))
                    || (reacts(test.plasma_saline()) && !test.plasma_auto().is_some_and(reactive))
            })
    }
}

/// The sixteen rows, each with major, minor, recipient auto and donor auto.
pub(crate) const ROWS: &[&str] = &[
    "----", "+---", "-+--", "--+-", "---+", "++--", "+-+-", "-++-", "+--+", "-+-+", "--++", "+++-",
    "++-+", "+-++", "-+++", "++++",
];

/// The numbers of the rows that agree with what is known.
pub(crate) fn rows(four: [Summary; 4]) -> Vec<u8> {
    let agrees = |sign: char, summary: Summary| match summary {
        Summary::Reactive => sign == '+',
        Summary::Negative => sign == '-',
        Summary::NotRead | Summary::Void | Summary::Doubtful => true,
    };
    (0_u8..)
        .zip(ROWS)
        .filter(|(_, row)| row.chars().zip(four).all(|(sign, summary)| agrees(sign, summary)))
        .map(|(number, _)| number)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::{ROWS, rows};
    use crate::reference::words::{MIXTURES, Owner, Summary};

    const BOTH: [Summary; 2] = [Summary::Negative, Summary::Reactive];

    #[test]
    fn sixteen_known_patterns_have_one_row_each() {
        let mut seen = Vec::new();
        for major in BOTH {
            for minor in BOTH {
                for recipient in BOTH {
                    for donor in BOTH {
                        let found = rows([major, minor, recipient, donor]);
                        assert_eq!(found.len(), 1);
                        seen.extend(found);
                    }
                }
            }
        }
        seen.sort_unstable();
        assert_eq!(seen, (0..16).collect::<Vec<u8>>());
        assert_eq!(rows([Summary::Void; 4]), seen);
    }

    /// A faulty component shows in exactly the two tests that hold it, as the page names the row.
    #[test]
    fn a_fault_of_one_component_shows_in_the_two_tests_that_hold_it() {
        let pattern = |holds: &dyn Fn(Option<Owner>, Owner) -> bool| -> String {
            MIXTURES[..4].iter().map(|row| if holds(row.1, row.2) { '+' } else { '-' }).collect()
        };
        let faults: [(usize, Option<Owner>, Option<Owner>); 4] = [
            (6, Some(Owner::Recipient), None),
            (7, None, Some(Owner::Recipient)),
            (8, None, Some(Owner::Donor)),
            (9, Some(Owner::Donor), None),
        ];
        for (row, plasma, cells) in faults {
            let shown = pattern(&|of_plasma, of_cells| {
                plasma.is_some_and(|owner| of_plasma == Some(owner))
                    || cells.is_some_and(|owner| of_cells == owner)
            });
            assert_eq!(ROWS[row], shown, "row {row}");
        }
    }
}
