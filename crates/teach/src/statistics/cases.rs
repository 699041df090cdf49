//! How many cases a figure rests on.

use std::fmt;

use serde::Serialize;

use super::undefined::{Value, written};

/// How many cases a figure rests on; under 30 are few.
///
/// # Source
/// The limit of 30 is common practice.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(into = "Written")]
pub struct Cases(u32);

#[derive(Serialize)]
struct Written {
    count: u32,
    few: bool,
}

impl From<Cases> for Written {
    fn from(cases: Cases) -> Self {
        Self { count: cases.0, few: cases.few() }
    }
}

impl Cases {
    /// So many cases.
    pub(super) fn new(count: u32) -> Self {
        Self(count)
    }

    /// The number of cases.
    pub fn count(self) -> u32 {
        self.0
    }

    /// Whether they are under 30, so that the figure must be read with care.
    ///
    /// ```
    /// # use crossread_teach::statistics::{Confidence, Share};
    /// assert!(Share::of(12, 29, Confidence::P95).cases.few());
    /// assert!(!Share::of(12, 30, Confidence::P95).cases.few());
    /// ```
    pub fn few(self) -> bool {
        self.0 < 30
    }

    pub(super) fn real(self) -> f64 {
        f64::from(self.0)
    }
}

impl fmt::Display for Cases {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let warning = if self.few() { " (under 30: read with care)" } else { "" };
        write!(f, "n = {}{warning}", self.0)
    }
}

/// A figure with the cases it rests on.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Figure {
    /// The cases that were counted.
    pub cases: Cases,
    /// The figure, or why it has none.
    #[serde(serialize_with = "written")]
    pub value: Value,
}

/// A length as a count.
pub(super) fn count(length: usize) -> u32 {
    u32::try_from(length).unwrap_or(u32::MAX)
}
