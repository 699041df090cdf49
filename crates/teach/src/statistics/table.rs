//! The confusion matrix: how often each two grades met.

use super::cases::Cases;
use super::fault::{Fault, Faults};
use super::scale::{MOST_GRADES, Scale};

/// One count for each two grades of the longest scale.
pub(super) const CELLS: usize = MOST_GRADES * MOST_GRADES;

/// The cell for two grades, which must be under [`MOST_GRADES`].
pub(super) fn cell(first: u8, second: u8) -> u8 {
    (first << 4) | second
}

/// The confusion matrix: how often each two grades met. Rows are the key or the first reading,
/// columns the reader or the second reading.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    scale: Scale,
    cases: u32,
    counts: [u32; CELLS],
}

impl Table {
    /// A table of counts, one row for each grade of the key.
    ///
    /// ```
    /// # use crossread_teach::statistics::{Scale, Table};
    /// let scale = Scale::new(["0", "1+"])?;
    /// // Of 20 negatives one was read 1+, of 10 positives two were read 0.
    /// let table = Table::new(&scale, &[[19, 1], [2, 8]])?;
    /// assert_eq!(table.cases().count(), 30);
    /// assert!(Table::new(&scale, &[[19, 1]]).is_err());
    /// # Ok::<_, crossread_teach::statistics::Faults>(())
    /// ```
    ///
    /// # Errors
    /// All of: a number of rows or columns that is not the number of grades, over 4294967295 cases.
    pub fn new(scale: &Scale, rows: &[impl AsRef<[u32]>]) -> Result<Self, Faults> {
        let expected = scale.grades();
        let mut faults = Vec::new();
        if rows.len() != expected {
            let found = rows.len();
            faults.push(Fault::Length { what: "table", place: 1, expected, found });
        }
        for (row, place) in rows.iter().zip(1..) {
            let found = row.as_ref().len();
            if found != expected {
                faults.push(Fault::Length { what: "row", place, expected, found });
            }
        }
        let all = rows.iter().flat_map(|row| row.as_ref().iter().copied());
        let cases = all.map(u64::from).fold(0, u64::saturating_add);
        let cases = u32::try_from(cases).unwrap_or_else(|_| {
            faults.push(Fault::Many);
            0
        });
        Faults::unless(faults, || {
            let mut table = Self { cases, ..Self::empty(scale) };
            for (to, from) in table.counts.chunks_exact_mut(MOST_GRADES).zip(rows) {
                for (to, from) in to.iter_mut().zip(from.as_ref()) {
                    *to = *from;
                }
            }
            table
        })
    }

    /// A table without cases.
    pub(super) fn empty(scale: &Scale) -> Self {
        Self { scale: scale.clone(), cases: 0, counts: [0; CELLS] }
    }

    /// Takes what was tallied instead of what was counted before.
    pub(super) fn take(&mut self, tally: &Tally) {
        let (even, odd) = tally.counts.split_at(CELLS);
        for ((count, even), odd) in self.counts.iter_mut().zip(even).zip(odd) {
            *count = even.wrapping_add(*odd);
        }
        self.cases = tally.cases;
    }

    /// Adds so many cases; grades that the scale lacks are not counted.
    pub(super) fn add(&mut self, first: u8, second: u8, cases: u32) {
        if first.max(second) > self.scale.last() {
            return;
        }
        if let Some(count) = self.counts.get_mut(usize::from(cell(first, second))) {
            *count = count.saturating_add(cases);
            self.cases = self.cases.saturating_add(cases);
        }
    }

    /// The same table with one case fewer in a cell, if it has one.
    pub(super) fn without(&self, cell: u8) -> Option<Self> {
        let mut table = self.clone();
        let count = table.counts.get_mut(usize::from(cell))?;
        *count = count.checked_sub(1)?;
        table.cases = table.cases.checked_sub(1)?;
        Some(table)
    }

    /// The grades.
    pub fn scale(&self) -> &Scale {
        &self.scale
    }

    /// All pairs.
    pub fn cases(&self) -> Cases {
        Cases::new(self.cases)
    }

    /// How often `first` met `second`; 0 if the scale lacks one of them.
    ///
    /// ```
    /// # use crossread_teach::statistics::*;
    /// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
    /// let key = [0, 0, 1, 2, 3, 4, 4].map(Some);
    /// let read = [Some(0), Some(0), Some(0), Some(2), Some(4), Some(4), None];
    /// let pairs = Pairs::new(&scale, &key, &read)?;
    /// let table = pairs.table();
    /// // A 1+ that was read as 0.
    /// assert_eq!(table.count(1, 0), 1);
    /// assert_eq!(table.count(9, 0), 0);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn count(&self, first: u8, second: u8) -> u32 {
        if first.max(second) > self.scale.last() {
            return 0;
        }
        self.counts.get(usize::from(cell(first, second))).copied().unwrap_or(0)
    }

    /// The rows, one for each grade of the key, weakest first.
    pub fn rows(&self) -> impl Iterator<Item = &[u32]> {
        let grades = self.scale.grades();
        self.counts
            .chunks_exact(MOST_GRADES)
            .take(grades)
            .map(move |row| row.get(..grades).unwrap_or_default())
    }

    /// Every two grades with how often they met.
    ///
    /// ```
    /// # use crossread_teach::statistics::*;
    /// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
    /// let key = [0, 0, 1, 2, 3, 4, 4].map(Some);
    /// let read = [Some(0), Some(0), Some(0), Some(2), Some(4), Some(4), None];
    /// let pairs = Pairs::new(&scale, &key, &read)?;
    /// let table = pairs.table();
    /// let wrong: Vec<_> = table.cells().filter(|(key, read, met)| key != read && *met > 0).collect();
    /// assert_eq!(wrong, [(1, 0, 1), (3, 4, 1)]);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn cells(&self) -> impl Iterator<Item = (u8, u8, u32)> {
        self.rows().zip(0_u8..).flat_map(|(row, first)| {
            row.iter().zip(0_u8..).map(move |(n, second)| (first, second, *n))
        })
    }

    /// The cases for which a condition on the two grades holds.
    pub(super) fn sum(&self, holds: impl Fn(u8, u8) -> bool) -> u32 {
        // No sum is over all cases, which a u32 holds.
        self.cells()
            .filter(|(first, second, _)| holds(*first, *second))
            .fold(0, |sum, (_, _, count)| sum.saturating_add(count))
    }
}

/// A quick count of cells. It counts in two tables in turn: adding to a count that was just written
/// waits for the write.
pub(super) struct Tally {
    counts: [u32; 2 * CELLS],
    cases: u32,
}

impl Tally {
    pub(super) fn new() -> Self {
        Self { counts: [0; 2 * CELLS], cases: 0 }
    }

    /// Counts a pair. No count can pass the number of pairs, which a u32 holds.
    #[inline]
    pub(super) fn add(&mut self, cell: u8) {
        let place = usize::from(cell) | if self.cases & 1 == 0 { 0 } else { CELLS };
        if let Some(count) = self.counts.get_mut(place) {
            *count = count.wrapping_add(1);
        }
        self.cases = self.cases.wrapping_add(1);
    }
}
