use crate::words::{Summary, word};

word! {
    /// What can make a mixture react.
    Cause is "a cause" {
        /// An antibody of the recipient against the donor's cells.
        RecipientAntibody = "recipient_antibody",
        /// An antibody of the donor against the recipient's cells.
        DonorAntibody = "donor_antibody",
        /// A reaction of the recipient's plasma with its own cells only.
        RecipientOwnOnly = "recipient_own_only",
        /// A reaction of the donor's plasma with its own cells only.
        DonorOwnOnly = "donor_own_only",
        /// The labels were swapped.
        LabelsSwapped = "labels_swapped",
        /// The recipient's plasma clumps any cells: rouleaux or an autoantibody.
        RecipientPlasma = "recipient_plasma",
        /// The recipient's cells clump in any plasma.
        RecipientCells = "recipient_cells",
        /// The donor's cells clump in any plasma.
        DonorCells = "donor_cells",
        /// The donor's plasma clumps any cells.
        DonorPlasma = "donor_plasma",
        /// Something that all mixtures share: saline, glass, temperature.
        SharedReagent = "shared_reagent",
    }
}

/// One row of the table of patterns.
struct Row {
    /// Major, minor, recipient autocontrol, donor autocontrol.
    reacts: [bool; 4],
    /// The simplest explanations: of each alternative, the causes together.
    explained_by: &'static [&'static [Cause]],
}

const fn row(pattern: [u8; 4], explained_by: &'static [&'static [Cause]]) -> Row {
    let [major, minor, recipient, donor] = pattern;
    let reacts = [major == b'+', minor == b'+', recipient == b'+', donor == b'+'];
    Row { reacts, explained_by }
}

/// The sixteen patterns of major, minor, recipient autocontrol and donor autocontrol.
///
/// Each tube holds one plasma and one kind of cells, so a fault of one of the four shows in the two
/// tubes that hold it, and an antibody with its antigen shows in one. A test proves the rows by
/// enumeration.
const ROWS: [Row; 16] = {
    use Cause::{
        DonorAntibody, DonorCells, DonorOwnOnly, DonorPlasma, LabelsSwapped, RecipientAntibody,
        RecipientCells, RecipientOwnOnly, RecipientPlasma, SharedReagent,
    };
    [
        row(*b"----", &[]),
        row(*b"+---", &[&[RecipientAntibody]]),
        row(*b"-+--", &[&[DonorAntibody]]),
        row(*b"--+-", &[&[RecipientOwnOnly]]),
        row(*b"---+", &[&[DonorOwnOnly]]),
        row(*b"++--", &[&[RecipientAntibody, DonorAntibody], &[LabelsSwapped]]),
        row(*b"+-+-", &[&[RecipientPlasma]]),
        row(*b"-++-", &[&[RecipientCells]]),
        row(*b"+--+", &[&[DonorCells]]),
        row(*b"-+-+", &[&[DonorPlasma]]),
        row(*b"--++", &[&[RecipientOwnOnly, DonorOwnOnly], &[LabelsSwapped]]),
        row(*b"+++-", &[&[RecipientPlasma, RecipientCells]]),
        row(*b"++-+", &[&[DonorPlasma, DonorCells]]),
        row(*b"+-++", &[&[RecipientPlasma, DonorCells]]),
        row(*b"-+++", &[&[RecipientCells, DonorPlasma]]),
        row(
            *b"++++",
            &[&[SharedReagent], &[RecipientPlasma, DonorPlasma], &[RecipientCells, DonorCells]],
        ),
    ]
};

/// Of each of the four tests, the rows in which it reacts: bit n for row n.
const REACTING: [u16; 4] = {
    let [mut major, mut minor, mut recipient, mut donor] = [0; 4];
    let (mut rows, mut bit) = (ROWS.as_slice(), 1_u16);
    while let [row, rest @ ..] = rows {
        let [in_major, in_minor, in_recipient, in_donor] = row.reacts;
        major |= if in_major { bit } else { 0 };
        minor |= if in_minor { bit } else { 0 };
        recipient |= if in_recipient { bit } else { 0 };
        donor |= if in_donor { bit } else { 0 };
        (rows, bit) = (rest, bit.wrapping_shl(1));
    }
    [major, minor, recipient, donor]
};

/// Rows of the table of patterns, by their numbers 0 to 15.
///
/// ```
/// use crossread_core::words::Summary::{Negative, NotRead, Reactive};
/// use crossread_core::{Cause, Rows};
///
/// // Major, minor, recipient autocontrol, donor autocontrol.
/// let rows = Rows::of([Reactive, Negative, Reactive, Negative]);
/// assert!(rows.numbers().eq([6]));
/// assert_eq!(rows.explanations(), [[Cause::RecipientPlasma]]);
/// // What was not read leaves every row that agrees with the rest.
/// let rows = Rows::of([Reactive, NotRead, Negative, NotRead]);
/// assert!(rows.numbers().eq([1, 5, 8, 12]));
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rows(u16);

impl Rows {
    /// The rows that agree with the summaries of major, minor, recipient autocontrol and donor
    /// autocontrol. What is neither reactive nor negative is not known.
    #[must_use]
    pub fn of(summaries: [Summary; 4]) -> Self {
        let agreeing =
            summaries.into_iter().zip(REACTING).map(|(summary, reacting)| match summary {
                Summary::Reactive => reacting,
                Summary::Negative => !reacting,
                Summary::NotRead | Summary::Void | Summary::Doubtful => u16::MAX,
            });
        Self(agreeing.fold(u16::MAX, |rows, agreeing| rows & agreeing))
    }

    /// Their numbers, the least first.
    pub fn numbers(self) -> impl Iterator<Item = u8> {
        (0..16_u8).filter(move |number| self.has(*number))
    }

    fn has(self, number: u8) -> bool {
        self.0.wrapping_shr(number.into()) & 1 == 1
    }

    /// Their explanations in order, without repeats: of each alternative, the causes together.
    #[must_use]
    pub fn explanations(self) -> Vec<&'static [Cause]> {
        let mut all: Vec<&'static [Cause]> = Vec::new();
        for (_, row) in (0..).zip(&ROWS).filter(|(number, _)| self.has(*number)) {
            for explanation in row.explained_by {
                if !all.contains(explanation) {
                    all.push(explanation);
                }
            }
        }
        all
    }
}

#[cfg(test)]
mod tests {
    use super::{Cause, ROWS, Rows};
    use crate::words::Summary;

    /// The two tests that hold a component, of major, minor, recipient auto and donor auto.
    const COMPONENTS: [(Cause, [bool; 4]); 4] = [
        (Cause::RecipientPlasma, [true, false, true, false]),
        (Cause::RecipientCells, [false, true, true, false]),
        (Cause::DonorCells, [true, false, false, true]),
        (Cause::DonorPlasma, [false, true, false, true]),
    ];

    /// The one test in which a pair of plasma and cells meets.
    const SPECIFIC: [(Cause, [bool; 4]); 4] = [
        (Cause::RecipientAntibody, [true, false, false, false]),
        (Cause::DonorAntibody, [false, true, false, false]),
        (Cause::RecipientOwnOnly, [false, false, true, false]),
        (Cause::DonorOwnOnly, [false, false, false, true]),
    ];

    fn shows(causes: &[Cause]) -> [bool; 4] {
        let mut shown = [false; 4];
        for cause in causes {
            let known = COMPONENTS.iter().chain(&SPECIFIC).find(|(known, _)| known == cause);
            let tests = known.map_or([true; 4], |(_, tests)| *tests);
            for (shown, test) in shown.iter_mut().zip(tests) {
                *shown |= test;
            }
        }
        shown
    }

    /// The manual prints the same table.
    #[test]
    fn the_manual_has_these_rows() {
        let manual = include_str!("../../manual/verdict.md");
        for (number, row) in ROWS.iter().enumerate() {
            let signs = row.reacts.map(|reacts| if reacts { "+" } else { "−" });
            let causes = row.explained_by.iter().map(|causes| {
                causes
                    .iter()
                    .map(|cause| format!("`{}`", cause.word()))
                    .collect::<Vec<_>>()
                    .join(" and ")
            });
            let causes = causes.collect::<Vec<_>>().join("; or ");
            let causes = if causes.is_empty() { "none".to_owned() } else { causes };
            let line = format!("| {number} | {} | {causes} |", signs.join(" | "));
            assert!(manual.lines().any(|written| written == line), "{line}");
        }
    }

    #[test]
    fn every_pattern_stands_once() {
        for bits in 0..16_u8 {
            let pattern = [bits & 1 > 0, bits & 2 > 0, bits & 4 > 0, bits & 8 > 0];
            assert_eq!(ROWS.iter().filter(|row| row.reacts == pattern).count(), 1, "{pattern:?}");
        }
    }

    /// Derived: a fault of a component shows in exactly the two tests that hold it, so each
    /// explanation must show exactly the pattern of its row.
    #[test]
    fn every_explanation_shows_its_pattern() {
        for (number, row) in ROWS.iter().enumerate() {
            for causes in row.explained_by {
                if *causes != [Cause::LabelsSwapped] {
                    assert_eq!(shows(causes), row.reacts, "row {number}: {causes:?}");
                }
            }
        }
    }

    /// Derived: every set of component faults gives one row, and that row names a smallest set.
    #[test]
    fn component_faults_give_the_rows_that_name_them() {
        for bits in 1..16_usize {
            let set: Vec<Cause> = COMPONENTS
                .iter()
                .enumerate()
                .filter(|(bit, _)| bits >> bit & 1 == 1)
                .map(|(_, (cause, _))| *cause)
                .collect();
            let row = ROWS.iter().position(|row| row.reacts == shows(&set)).unwrap();
            assert!(![0, 1, 2, 3, 4, 5, 10].contains(&row), "{set:?} gives row {row}");
            let named =
                |explanation: &&&[Cause]| explanation.iter().all(|cause| set.contains(cause));
            assert!(ROWS[row].explained_by.iter().any(|e| named(&e)), "{set:?} in row {row}");
        }
    }

    #[test]
    fn what_is_not_known_leaves_every_row_that_agrees() {
        use Summary::{Negative, NotRead, Reactive};
        let known = Rows::of([Reactive, NotRead, Negative, NotRead]);
        assert!(known.numbers().eq([1, 5, 8, 12]));
        assert_eq!(
            known.explanations(),
            [
                &[Cause::RecipientAntibody][..],
                &[Cause::RecipientAntibody, Cause::DonorAntibody],
                &[Cause::LabelsSwapped],
                &[Cause::DonorCells],
                &[Cause::DonorPlasma, Cause::DonorCells],
            ]
        );
        let none = Rows::of([Negative; 4]);
        assert!(none.numbers().eq([0]));
        assert!(none.explanations().is_empty());
    }

    /// Swapping recipient and donor swaps major with minor and the two autocontrols.
    #[test]
    fn swapping_the_animals_swaps_the_rows() {
        for (a, b) in
            [(1, 2), (3, 4), (6, 9), (7, 8), (11, 12), (13, 14), (0, 0), (5, 5), (10, 10), (15, 15)]
        {
            let [major, minor, recipient, donor] = ROWS[a].reacts;
            assert_eq!(ROWS[b].reacts, [minor, major, donor, recipient], "rows {a} and {b}");
        }
    }
}
