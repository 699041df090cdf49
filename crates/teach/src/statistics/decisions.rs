//! Positive or negative: what a reading would have decided, against the key.

use serde::Serialize;

use super::interval::Confidence;
use super::kappa::{Kappa, kappa};
use super::scale::{Cut, Scale};
use super::share::Share;
use super::table::Table;
use super::weighting::Weighting;

/// What readings would have decided, against the key, with a cut between negative and positive.
///
/// # Source
/// Counts by definition; intervals as for [`Share`].
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Decisions {
    /// Positive by the key and read negative: a missed incompatibility, the mistake that harms.
    pub missed: u32,
    /// Negative by the key and read positive.
    pub false_alarms: u32,
    /// Positive by the key and read positive.
    pub found: u32,
    /// Negative by the key and read negative.
    pub cleared: u32,
    /// Of the positives of the key, those read positive.
    pub sensitivity: Share,
    /// Of the negatives of the key, those read negative.
    pub specificity: Share,
    /// Of those read positive, the positives of the key; it depends on how many there are.
    pub positive_predictive: Share,
    /// Of those read negative, the negatives of the key; it depends on how many there are.
    pub negative_predictive: Share,
    /// How often the key and the reading are on the same side.
    pub agreement: Share,
    /// Cohen's kappa of the two sides.
    pub kappa: Kappa,
}

impl Table {
    /// The table of the two sides of a cut, negative first.
    ///
    /// ```
    /// # use crossread_teach::statistics::*;
    /// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
    /// let key = [0, 0, 1, 2, 3, 4, 4].map(Some);
    /// let read = [Some(0), Some(0), Some(0), Some(2), Some(4), Some(4), None];
    /// let pairs = Pairs::new(&scale, &key, &read)?;
    /// let table = pairs.table();
    /// let sides = table.sides(scale.cut(1)?);
    /// assert_eq!(sides.rows().collect::<Vec<_>>(), [[2, 0], [1, 3]]);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn sides(&self, cut: Cut) -> Self {
        let mut sides = Self::empty(&Scale::sides());
        for (first, second, count) in self.cells() {
            sides.add(cut.positive(first).into(), cut.positive(second).into(), count);
        }
        sides
    }

    /// What the readings would have decided, with this cut.
    ///
    /// ```
    /// # use crossread_teach::statistics::*;
    /// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
    /// let key = [0, 0, 1, 2, 3, 4, 4].map(Some);
    /// let read = [Some(0), Some(0), Some(0), Some(2), Some(4), Some(4), None];
    /// let pairs = Pairs::new(&scale, &key, &read)?;
    /// let table = pairs.table();
    /// let decisions = table.decisions(scale.cut(1)?, Confidence::P95);
    /// assert_eq!((decisions.missed, decisions.false_alarms), (1, 0));
    /// assert_eq!(decisions.sensitivity.value, Ok(0.75));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn decisions(&self, cut: Cut, confidence: Confidence) -> Decisions {
        let sides = self.sides(cut);
        let (cleared, false_alarms) = (sides.count(0, 0), sides.count(0, 1));
        let (missed, found) = (sides.count(1, 0), sides.count(1, 1));
        // No sum of two is over all cases.
        let share = |hits: u32, rest: u32| Share::of(hits, hits.saturating_add(rest), confidence);
        Decisions {
            missed,
            false_alarms,
            found,
            cleared,
            sensitivity: share(found, missed),
            specificity: share(cleared, false_alarms),
            positive_predictive: share(found, false_alarms),
            negative_predictive: share(cleared, missed),
            agreement: self.same_side(cut, confidence),
            kappa: kappa(&sides, &Weighting::Unweighted, confidence),
        }
    }
}
