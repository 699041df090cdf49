//! A class: many readers and many items, with gaps.

use super::fault::{Fault, Faults};
use super::pairs::{Pairs, check};
use super::scale::{MOST_GRADES, Scale};

/// Stands for a reading that is missing; no scale reaches it.
const MISSING: u8 = u8::MAX;

/// How many readers chose each grade for one item.
pub(super) type Counts = [u32; MOST_GRADES];

/// What each of many readers read of each of many items.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Panel {
    scale: Scale,
    readers: usize,
    /// Item after item.
    readings: Vec<u8>,
}

impl Panel {
    /// A panel from the readings of each reader, all in the same order of items.
    ///
    /// ```
    /// # use crossread_teach::statistics::{Panel, Scale};
    /// let scale = Scale::new(["0", "1+", "2+"])?;
    /// let anna = [Some(0), Some(1), Some(2)];
    /// let ben = [Some(0), None, Some(2)];
    /// let panel = Panel::by_reader(&scale, &[anna, ben])?;
    /// assert_eq!((panel.readers(), panel.items()), (2, 3));
    /// assert_eq!(panel.reader(1).collect::<Vec<_>>(), ben);
    /// # Ok::<_, crossread_teach::statistics::Faults>(())
    /// ```
    ///
    /// # Errors
    /// All of: readers with different numbers of items, readings that are no grade of the scale.
    pub fn by_reader(scale: &Scale, readers: &[impl AsRef<[Option<u8>]>]) -> Result<Self, Faults> {
        let expected = readers.first().map_or(0, |first| first.as_ref().len());
        let mut faults = Vec::new();
        for (readings, place) in readers.iter().zip(1..) {
            let readings = readings.as_ref();
            let found = readings.len();
            if found != expected {
                faults.push(Fault::Length { what: "reader", place, expected, found });
            }
            check(scale, place, readings, &mut faults);
        }
        Faults::unless(faults, || {
            let mut panel = Self {
                scale: scale.clone(),
                readers: readers.len(),
                readings: vec![MISSING; expected.saturating_mul(readers.len())],
            };
            for (from, reader) in readers.iter().zip(0_usize..) {
                let places = panel.readings.iter_mut().skip(reader).step_by(readers.len());
                for (to, from) in places.zip(from.as_ref()) {
                    *to = from.unwrap_or(MISSING);
                }
            }
            panel
        })
    }

    /// A panel from the readings of each item, all in the same order of readers.
    ///
    /// ```
    /// # use crossread_teach::statistics::{Panel, Scale};
    /// let scale = Scale::new(["0", "1+", "2+"])?;
    /// let by_item = Panel::by_item(&scale, &[[Some(0), Some(0)], [Some(1), None]])?;
    /// let by_reader = Panel::by_reader(&scale, &[[Some(0), Some(1)], [Some(0), None]])?;
    /// assert_eq!(by_item, by_reader);
    /// # Ok::<_, crossread_teach::statistics::Faults>(())
    /// ```
    ///
    /// # Errors
    /// All of: items with different numbers of readers, readings that are no grade of the scale.
    pub fn by_item(scale: &Scale, items: &[impl AsRef<[Option<u8>]>]) -> Result<Self, Faults> {
        let expected = items.first().map_or(0, |first| first.as_ref().len());
        let most = scale.last();
        let mut faults = Vec::new();
        for (readings, item) in items.iter().zip(1_usize..) {
            let found = readings.as_ref().len();
            if found != expected {
                faults.push(Fault::Length { what: "item", place: item, expected, found });
            }
            for (found, reader) in readings.as_ref().iter().zip(1_usize..) {
                match *found {
                    Some(found) if found > most => {
                        faults.push(Fault::Grade { reader, item, found, most });
                    }
                    Some(_) | None => {}
                }
            }
        }
        Faults::unless(faults, || {
            Self::of(scale, expected, items.iter().flat_map(|item| item.as_ref().iter().copied()))
        })
    }

    /// A panel of readings that were checked, item after item.
    pub(super) fn of(
        scale: &Scale,
        readers: usize,
        readings: impl Iterator<Item = Option<u8>>,
    ) -> Self {
        let readings = readings.map(|reading| reading.unwrap_or(MISSING)).collect();
        Self { scale: scale.clone(), readers, readings }
    }

    /// The grades.
    pub fn scale(&self) -> &Scale {
        &self.scale
    }

    /// How many readers there are.
    pub fn readers(&self) -> usize {
        self.readers
    }

    /// How many items there are.
    pub fn items(&self) -> usize {
        self.rows().len()
    }

    /// What one reader read, item after item; nothing if there is no such reader.
    ///
    /// ```
    /// # use crossread_teach::statistics::*;
    /// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
    /// let (anna, ben) = ([0, 0, 1, 2, 4], [0, 0, 1, 2, 3]);
    /// let panel = Panel::by_reader(&scale, &[anna.map(Some), ben.map(Some)])?;
    /// assert_eq!(panel.reader(1).next(), Some(Some(0)));
    /// assert_eq!(panel.reader(2).count(), 0);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn reader(&self, reader: usize) -> impl Iterator<Item = Option<u8>> {
        self.rows().filter_map(move |row| row.get(reader)).map(|reading| reading_of(*reading))
    }

    /// What two readers, counted from 0, read of each item.
    ///
    /// ```
    /// # use crossread_teach::statistics::*;
    /// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
    /// let (anna, ben) = ([0, 0, 1, 2, 4], [0, 0, 1, 2, 3]);
    /// let panel = Panel::by_reader(&scale, &[anna.map(Some), ben.map(Some)])?;
    /// let pairs = panel.pairs(0, 1);
    /// assert_eq!(pairs.table().exact(Confidence::P95).hits, 4);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn pairs(&self, first: usize, second: usize) -> Pairs {
        Pairs::of(&self.scale, self.reader(first).zip(self.reader(second)))
    }

    /// The readings of each item.
    pub(super) fn rows(&self) -> std::slice::ChunksExact<'_, u8> {
        // Without readers there are no readings, whatever the length of a row.
        self.readings.chunks_exact(self.readers.max(1))
    }

    /// How many readers chose each grade, item after item.
    pub(super) fn counts(&self) -> impl Iterator<Item = Counts> {
        let last = self.scale.last();
        self.rows().map(move |row| {
            let mut counts = [0; MOST_GRADES];
            for (count, grade) in counts.iter_mut().zip(0..=last) {
                *count = how_often(row, grade);
            }
            counts
        })
    }

    /// Takes these items of another panel instead of its own.
    pub(super) fn fill<'p>(&mut self, rows: impl Iterator<Item = &'p [u8]>) {
        self.readings.clear();
        for row in rows {
            self.readings.extend_from_slice(row);
        }
    }
}

fn reading_of(reading: u8) -> Option<u8> {
    (reading != MISSING).then_some(reading)
}

/// How often a grade stands in a row. Counted by bytes in runs that a byte can count, which the
/// compiler turns into a few wide comparisons.
fn how_often(row: &[u8], grade: u8) -> u32 {
    row.chunks(255)
        .map(|run| {
            u32::from(
                run.iter().fold(0_u8, |sum, reading| sum.wrapping_add(u8::from(*reading == grade))),
            )
        })
        .fold(0, u32::saturating_add)
}
