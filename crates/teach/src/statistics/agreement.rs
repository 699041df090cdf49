//! How often two readings agree.

use super::interval::Confidence;
use super::scale::Cut;
use super::share::Share;
use super::table::Table;

impl Table {
    /// How often both are the same grade.
    ///
    /// ```
    /// # use crossread_teach::statistics::*;
    /// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
    /// let key = [0, 0, 1, 2, 3, 4, 4].map(Some);
    /// let read = [Some(0), Some(0), Some(0), Some(2), Some(4), Some(4), None];
    /// let pairs = Pairs::new(&scale, &key, &read)?;
    /// let table = pairs.table();
    /// let exact = table.exact(Confidence::P95);
    /// assert_eq!((exact.hits, exact.cases.count()), (4, 6));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Source
    /// By definition.
    pub fn exact(&self, confidence: Confidence) -> Share {
        self.share(confidence, |first, second| first == second)
    }

    /// How often both are the same grade or neighbors on the scale.
    ///
    /// ```
    /// # use crossread_teach::statistics::*;
    /// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
    /// let key = [0, 0, 1, 2, 3, 4, 4].map(Some);
    /// let read = [Some(0), Some(0), Some(0), Some(2), Some(4), Some(4), None];
    /// let pairs = Pairs::new(&scale, &key, &read)?;
    /// let table = pairs.table();
    /// assert_eq!(table.within_one(Confidence::P95).hits, 6);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Source
    /// By definition.
    pub fn within_one(&self, confidence: Confidence) -> Share {
        self.share(confidence, |first, second| first.abs_diff(second) <= 1)
    }

    /// How often both are positive or both negative.
    ///
    /// ```
    /// # use crossread_teach::statistics::*;
    /// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
    /// let key = [0, 0, 1, 2, 3, 4, 4].map(Some);
    /// let read = [Some(0), Some(0), Some(0), Some(2), Some(4), Some(4), None];
    /// let pairs = Pairs::new(&scale, &key, &read)?;
    /// let table = pairs.table();
    /// // From 1+ on a grade counts as a reaction: the 1+ that was read as 0 was missed.
    /// assert_eq!(table.same_side(scale.cut(1)?, Confidence::P95).hits, 5);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Source
    /// By definition.
    pub fn same_side(&self, cut: Cut, confidence: Confidence) -> Share {
        self.share(confidence, |first, second| cut.positive(first) == cut.positive(second))
    }

    fn share(&self, confidence: Confidence, holds: impl Fn(u8, u8) -> bool) -> Share {
        Share::of(self.sum(holds), self.cases().count(), confidence)
    }
}
