//! An interval and its confidence.

use serde::Serialize;

use super::distribution::normal_quantile;
use super::fault::{Fault, Faults};
use super::undefined::Undefined;

/// How sure an interval is to be.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize)]
pub struct Confidence(f64);

impl Confidence {
    /// 95 %.
    pub const P95: Self = Self(95.0);

    /// So many percent, over 50 and under 100.
    ///
    /// ```
    /// # use crossread_teach::statistics::Confidence;
    /// assert_eq!(Confidence::percent(90.0)?.as_percent(), 90.0);
    /// assert!(Confidence::percent(0.95).is_err());
    /// # Ok::<_, crossread_teach::statistics::Faults>(())
    /// ```
    ///
    /// # Errors
    /// If it is not between 50 and 100.
    pub fn percent(percent: f64) -> Result<Self, Faults> {
        if percent > 50.0 && percent < 100.0 {
            Ok(Self(percent))
        } else {
            Err(Fault::Confidence(percent.to_string()).into())
        }
    }

    /// The percent.
    pub fn as_percent(self) -> f64 {
        self.0
    }

    /// The share beyond each end.
    pub(super) fn tail(self) -> f64 {
        (100.0 - self.0) / 200.0
    }

    /// The normal quantile that leaves the tail above it.
    pub(super) fn z(self) -> f64 {
        -normal_quantile(self.tail())
    }
}

/// An interval. Its ends are as calculated and may lie outside the range of the figure.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Interval {
    /// The lower end.
    pub low: f64,
    /// The upper end.
    pub high: f64,
    /// The confidence, in percent.
    #[serde(rename = "percent")]
    pub confidence: Confidence,
}

impl Interval {
    pub(super) fn new(low: f64, high: f64, confidence: Confidence) -> Self {
        Self { low, high, confidence }
    }

    /// So many standard errors to each side.
    pub(super) fn around(
        value: f64,
        error: f64,
        factor: f64,
        confidence: Confidence,
    ) -> Result<Self, Undefined> {
        if error <= 0.0 {
            return Err(Undefined::NoSpread);
        }
        let reach = factor * error;
        Ok(Self::new(value - reach, value + reach, confidence))
    }

    /// The same interval for display, cut to the range of the figure.
    ///
    /// ```
    /// # use crossread_teach::statistics::{Confidence, Pairs, Scale, Weighting, kappa};
    /// let scale = Scale::new(["0", "1+"])?;
    /// let (key, read) = ([0, 0, 1, 1, 1].map(Some), [0, 0, 1, 1, 0].map(Some));
    /// let table = Pairs::new(&scale, &key, &read)?.table();
    /// let interval = kappa(&table, &Weighting::Unweighted, Confidence::P95).interval?;
    /// // No kappa is over 1, though the calculation does not know that.
    /// assert!(interval.high > 1.0);
    /// assert_eq!(interval.clipped(-1.0, 1.0).high, 1.0);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn clipped(self, low: f64, high: f64) -> Self {
        Self::new(self.low.clamp(low, high), self.high.clamp(low, high), self.confidence)
    }
}
