//! Whether a reader grades too high or too low, and where.

use serde::Serialize;

use super::cases::Cases;
use super::distribution::student_quantile;
use super::interval::{Confidence, Interval};
use super::table::Table;
use super::undefined::{Undefined, Value, written};

/// The mean of reading − key, in grades; above 0 the reader grades too high.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Mean {
    /// The readings.
    pub cases: Cases,
    /// The mean, in grades.
    #[serde(serialize_with = "written")]
    pub value: Value,
    /// The interval from Student's t with one degree fewer than readings.
    #[serde(serialize_with = "written")]
    pub interval: Result<Interval, Undefined>,
}

/// The bias at one grade of the key.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct GradeBias {
    /// The grade's place on the scale.
    pub grade: u8,
    /// The grade's name.
    pub name: String,
    /// The mean of reading − key.
    pub mean: Mean,
}

/// Whether a reader grades too high or too low: in all, and at each grade of the key.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Bias {
    /// Over all readings.
    pub overall: Mean,
    /// At each grade of the key, weakest first; without value where the key has none.
    pub by_grade: Vec<GradeBias>,
}

impl Table {
    /// Whether the second reading is higher or lower than the first.
    ///
    /// Grades are taken to be one apart. The interval is the mean ± t × s ÷ √n.
    ///
    /// ```
    /// # use crossread_teach::statistics::*;
    /// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
    /// let key = [0, 0, 1, 2, 3, 4, 4].map(Some);
    /// let read = [Some(0), Some(0), Some(0), Some(2), Some(4), Some(4), None];
    /// let pairs = Pairs::new(&scale, &key, &read)?;
    /// let table = pairs.table();
    /// let bias = table.bias(Confidence::P95);
    /// // One grade too low once, and one too high once.
    /// assert_eq!(bias.overall.value, Ok(0.0));
    /// assert_eq!(bias.by_grade[3].mean.value, Ok(1.0));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Source
    /// Student 1908, Biometrika 6:1–25 (from memory; checked against mpmath 1.4.1).
    pub fn bias(&self, confidence: Confidence) -> Bias {
        let mean = |of: Option<u8>| {
            let cells = self.cells().filter(|(key, _, _)| of.is_none_or(|of| of == *key));
            Mean::of(
                cells.map(|(key, read, n)| (i64::from(read).wrapping_sub(key.into()), n)),
                confidence,
            )
        };
        Bias {
            overall: mean(None),
            by_grade: self
                .scale()
                .names()
                .zip(0..)
                .map(|(name, grade)| GradeBias {
                    grade,
                    name: name.to_owned(),
                    mean: mean(Some(grade)),
                })
                .collect(),
        }
    }
}

impl Mean {
    /// The mean of differences that come so often.
    fn of(differences: impl Iterator<Item = (i64, u32)>, confidence: Confidence) -> Self {
        let (mut cases, mut sum, mut squares) = (0_u32, 0.0, 0.0);
        for (difference, times) in differences {
            let difference = f64::from(i32::try_from(difference).unwrap_or_default());
            cases = cases.saturating_add(times);
            sum += difference * f64::from(times);
            squares += difference * difference * f64::from(times);
        }
        let n = f64::from(cases);
        let value = if cases == 0 { Err(Undefined::NoCases) } else { Ok(sum / n) };
        let interval = value.and_then(|mean| {
            if cases == 1 {
                return Err(Undefined::OneCase);
            }
            // Whole numbers below 2⁵³ until the division, so that no spread gives exactly 0.
            let variance = (n * squares - sum * sum) / (n * (n - 1.0));
            let factor = student_quantile(1.0 - confidence.tail(), n - 1.0)?;
            Interval::around(mean, (variance / n).sqrt(), factor, confidence)
        });
        Self { cases: Cases::new(cases), value, interval }
    }
}
