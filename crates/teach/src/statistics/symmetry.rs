//! Whether differences lean one way.

use serde::Serialize;

use super::cases::Cases;
use super::distribution::chi_squared_above;
use super::table::Table;
use super::undefined::{Undefined, Value, written};

/// Bowker's test: whether one reader calls a for b as often as b for a.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Symmetry {
    /// The pairs that differ.
    pub differing: Cases,
    /// The statistic, 0 when all is symmetric.
    pub statistic: f64,
    /// Degrees of freedom: the pairs of grades that were confused at all.
    pub degrees: u32,
    /// The chance of a statistic as large or larger if no direction is favored.
    #[serde(serialize_with = "written")]
    pub p: Value,
}

impl Table {
    /// Bowker's test of symmetry: the sum of (n₁ − n₂)² ÷ (n₁ + n₂) over the pairs of grades, n₁
    /// and n₂ counting the two directions.
    ///
    /// Pairs of grades that were never confused give no degree of freedom.
    ///
    /// ```
    /// # use crossread_teach::statistics::*;
    /// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
    /// let key = [0, 0, 1, 2, 3, 4, 4].map(Some);
    /// let read = [Some(0), Some(0), Some(0), Some(2), Some(4), Some(4), None];
    /// let pairs = Pairs::new(&scale, &key, &read)?;
    /// let table = pairs.table();
    /// let symmetry = table.symmetry();
    /// assert_eq!((symmetry.differing.count(), symmetry.degrees), (2, 2));
    /// assert_eq!(symmetry.statistic, 2.0);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Source
    /// Bowker AH 1948, J Am Stat Assoc 43:572–574 (from memory; checked against statsmodels
    /// 0.15.0, which counts every pair of grades, and scipy 1.12.0).
    pub fn symmetry(&self) -> Symmetry {
        let (mut statistic, mut degrees) = (0.0, 0_u32);
        for (first, second, over) in self.cells() {
            let under = self.count(second, first);
            if first < second && (over > 0 || under > 0) {
                let (over, under) = (f64::from(over), f64::from(under));
                statistic += (over - under) * (over - under) / (over + under);
                degrees = degrees.saturating_add(1);
            }
        }
        let p = if degrees == 0 {
            Err(Undefined::NoDifference)
        } else {
            chi_squared_above(statistic, degrees.into())
        };
        let differing = Cases::new(self.sum(|first, second| first != second));
        Symmetry { differing, statistic, degrees, p }
    }
}
