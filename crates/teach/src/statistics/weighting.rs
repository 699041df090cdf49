//! How much two different grades disagree.

use super::fault::{Fault, Faults};
use super::scale::{MOST_GRADES, Scale};
use super::table::CELLS;
use super::undefined::Undefined;

/// How much two different grades disagree, from 0 to 1. With k grades of the scale:
///
/// # Source
/// Cohen J 1968, Psychol Bull 70:213–220; linear weights after Cicchetti DV, Allison T 1971,
/// Am J EEG Technol 11:101–109 (both from memory; checked against scikit-learn 1.9.1).
#[derive(Clone, Debug, PartialEq)]
#[expect(clippy::exhaustive_enums, reason = "any other weighting can be given")]
pub enum Weighting {
    /// Any difference is as bad as any other: 3+ for 4+ like 0 for 4+.
    Unweighted,
    /// By the distance: |i − j| ÷ (k − 1).
    Linear,
    /// By the square of the distance: (i − j)² ÷ (k − 1)².
    Quadratic,
    /// As given.
    Given(Disagreements),
}

/// A table of given disagreements, one for each two grades of a scale.
#[derive(Clone, Debug, PartialEq)]
pub struct Disagreements {
    grades: usize,
    table: Box<[f64; CELLS]>,
}

impl Disagreements {
    /// Disagreements for each two grades, 0 for the same grade; their unit does not matter.
    ///
    /// ```
    /// # use crossread_teach::statistics::*;
    /// let scale = Scale::new(["0", "w", "1+"])?;
    /// // A reaction called negative is five times as bad as a wrong strength.
    /// let given = Disagreements::new(&scale, &[[0.0, 5.0, 5.0], [5.0, 0.0, 1.0], [5.0, 1.0, 0.0]])?;
    /// let table = Table::new(&scale, &[[9, 0, 0], [1, 8, 1], [0, 2, 9]])?;
    /// let kappa = kappa(&table, &Weighting::Given(given), Confidence::P95);
    /// assert!(kappa.value? > 0.8);
    /// // The same grade cannot disagree with itself.
    /// assert!(Disagreements::new(&scale, &[[1.0; 3]; 3]).is_err());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// All of: a number of rows or columns that is not the number of grades, a value below 0 or not
    /// finite, a value other than 0 for the same grade, nothing but 0.
    pub fn new(scale: &Scale, rows: &[impl AsRef<[f64]>]) -> Result<Self, Faults> {
        let expected = scale.grades();
        let mut faults = Vec::new();
        if rows.len() != expected {
            let found = rows.len();
            faults.push(Fault::Length { what: "table", place: 1, expected, found });
        }
        let mut most = 0.0_f64;
        for (values, row) in rows.iter().zip(1_usize..) {
            let found = values.as_ref().len();
            if found != expected {
                faults.push(Fault::Length { what: "row", place: row, expected, found });
            }
            for (&value, column) in values.as_ref().iter().zip(1_usize..) {
                let same = row == column;
                if !(value.is_finite() && value >= 0.0) || same && value > 0.0 {
                    faults.push(Fault::Weight { row, column, found: value.to_string() });
                }
                most = most.max(value);
            }
        }
        if faults.is_empty() && most <= 0.0 {
            faults.push(Fault::Weightless);
        }
        Faults::unless(faults, || {
            let mut table = Box::new([0.0; CELLS]);
            for (to, from) in table.chunks_exact_mut(MOST_GRADES).zip(rows) {
                for (to, from) in to.iter_mut().zip(from.as_ref()) {
                    *to = from / most;
                }
            }
            Self { grades: expected, table }
        })
    }
}

/// The disagreement of each two grades of a scale.
#[expect(clippy::large_enum_variant, reason = "made for every resample: a box would cost more")]
pub(super) enum Weights<'w> {
    /// By distance alone, from the longest downwards and up again: each row is a part of it.
    Steps([f64; 2 * MOST_GRADES]),
    /// One for each two grades.
    Given(&'w [f64; CELLS]),
}

impl Weights<'_> {
    /// The disagreement of each grade with every other, weakest grade first. What lies beyond the
    /// scale has no meaning.
    pub(super) fn rows(&self) -> impl Iterator<Item = &[f64]> {
        (0..MOST_GRADES).map(move |first| {
            let (values, from) = match self {
                Self::Steps(steps) => (&steps[..], MOST_GRADES.saturating_sub(first)),
                Self::Given(table) => (&table[..], MOST_GRADES.saturating_mul(first)),
            };
            values.get(from..from.saturating_add(MOST_GRADES)).unwrap_or_default()
        })
    }
}

impl Weighting {
    /// The disagreement of each two grades of a scale with so many.
    pub(super) fn weights(&self, scale: &Scale) -> Result<Weights<'_>, Undefined> {
        let furthest = f64::from(scale.last());
        let by = |disagreement: fn(f64) -> f64| {
            let mut steps = [0.0; 2 * MOST_GRADES];
            let (down, up) = steps.split_at_mut(MOST_GRADES);
            for (value, distance) in down.iter_mut().rev().zip(1..=scale.last()) {
                *value = disagreement(f64::from(distance) / furthest);
            }
            for (value, distance) in up.iter_mut().zip(0..=scale.last()) {
                *value = disagreement(f64::from(distance) / furthest);
            }
            Ok(Weights::Steps(steps))
        };
        match self {
            Self::Unweighted => by(|distance| if distance > 0.0 { 1.0 } else { 0.0 }),
            Self::Linear => by(|distance| distance),
            Self::Quadratic => by(|distance| distance * distance),
            Self::Given(given) if given.grades == scale.grades() => {
                Ok(Weights::Given(&given.table))
            }
            Self::Given(_) => Err(Undefined::OtherScale),
        }
    }
}
