//! Two readings of each item, in the order they were handed in.

use super::fault::{Fault, Faults};
use super::scale::Scale;
use super::table::{Table, Tally, cell};

/// Two readings of each item: the key and a reader, two readers, or one reader twice.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pairs {
    scale: Scale,
    cells: Vec<u8>,
    left_out: u32,
}

impl Pairs {
    /// Pairs the first reading of each item with the second. An item with a missing reading is left
    /// out and counted.
    ///
    /// ```
    /// # use crossread_teach::statistics::*;
    /// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
    /// let key = [0, 0, 1, 2, 3, 4, 4].map(Some);
    /// let read = [Some(0), Some(0), Some(0), Some(2), Some(4), Some(4), None];
    /// let pairs = Pairs::new(&scale, &key, &read)?;
    /// let table = pairs.table();
    /// assert_eq!((table.cases().count(), pairs.left_out()), (6, 1));
    /// // The scale ends at 4+, the grade 4.
    /// assert!(Pairs::new(&scale, &[Some(5)], &[Some(4)]).is_err());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// All of: lists of two lengths, readings that are no grade of the scale.
    pub fn new(scale: &Scale, first: &[Option<u8>], second: &[Option<u8>]) -> Result<Self, Faults> {
        let mut faults = Vec::new();
        for (list, reader) in [first, second].into_iter().zip(1..) {
            check(scale, reader, list, &mut faults);
        }
        if first.len() != second.len() {
            let (expected, found) = (first.len(), second.len());
            faults.push(Fault::Length { what: "reader", place: 2, expected, found });
        }
        if u32::try_from(first.len()).is_err() {
            faults.push(Fault::Many);
        }
        Faults::unless(faults, || {
            Self::of(scale, first.iter().copied().zip(second.iter().copied()))
        })
    }

    /// Pairs readings that were checked.
    pub(crate) fn of(scale: &Scale, pairs: impl Iterator<Item = (Option<u8>, Option<u8>)>) -> Self {
        let (mut cells, mut left_out) = (Vec::new(), 0_u32);
        for (first, second) in pairs {
            if let (Some(first), Some(second)) = (first, second) {
                cells.push(cell(first, second));
            } else {
                left_out = left_out.saturating_add(1);
            }
        }
        Self { scale: scale.clone(), cells, left_out }
    }

    /// The grades.
    pub fn scale(&self) -> &Scale {
        &self.scale
    }

    /// How many items were left out because a reading is missing.
    pub fn left_out(&self) -> u32 {
        self.left_out
    }

    /// How often each two grades met.
    pub fn table(&self) -> Table {
        let mut table = Table::empty(&self.scale);
        let mut tally = Tally::new();
        for cell in &self.cells {
            tally.add(*cell);
        }
        table.take(&tally);
        table
    }

    /// The cell of the table that each pair falls in, in order.
    pub(super) fn cells(&self) -> &[u8] {
        &self.cells
    }
}

/// Checks one reader's readings.
pub(super) fn check(
    scale: &Scale,
    reader: usize,
    readings: &[Option<u8>],
    faults: &mut Vec<Fault>,
) {
    let most = scale.last();
    // Good readings are looked through at once, without their places.
    if !readings.iter().any(|reading| reading.is_some_and(|grade| grade > most)) {
        return;
    }
    for (reading, item) in readings.iter().zip(1..) {
        match *reading {
            Some(found) if found > most => faults.push(Fault::Grade { reader, item, found, most }),
            Some(_) | None => {}
        }
    }
}
