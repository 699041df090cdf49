//! How often two readings agree.

use super::interval::Confidence;
use super::scale::Cut;
use super::share::Share;
use super::table::Table;

impl Table {
    /// How often both are the same grade.
    ///
    /// # Source
    /// By definition.
    pub fn exact(&self, confidence: Confidence) -> Share {
        self.share(confidence, |first, second| first == second)
    }

    /// How often both are the same grade or neighbors on the scale.
    ///
    /// # Source
    /// By definition.
    pub fn within_one(&self, confidence: Confidence) -> Share {
        self.share(confidence, |first, second| first.abs_diff(second) <= 1)
    }

    /// How often both are positive or both negative.
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
