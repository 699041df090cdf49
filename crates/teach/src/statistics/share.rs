//! A share of cases, with its intervals.

use serde::Serialize;

use super::cases::Cases;
use super::distribution::beta_quantile;
use super::interval::{Confidence, Interval};
use super::undefined::{Undefined, Value, written};

/// A share of cases: the hits among them.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Share {
    /// The cases for which it holds.
    pub hits: u32,
    /// All cases.
    pub cases: Cases,
    /// Hits of cases, 0 to 1.
    #[serde(serialize_with = "written")]
    pub value: Value,
    /// The interval of Wilson: near the stated confidence on average.
    #[serde(serialize_with = "written")]
    pub wilson: Result<Interval, Undefined>,
    /// The interval of Clopper and Pearson: at least the stated confidence.
    #[serde(serialize_with = "written")]
    pub clopper_pearson: Result<Interval, Undefined>,
}

impl Share {
    /// The share of `hits` in `cases`; more hits than cases count as all of them.
    ///
    /// With z the normal quantile and p = hits ÷ n, Wilson's interval is
    /// (p + z²/2n ± z √(p(1 − p)/n + z²/4n²)) ÷ (1 + z²/n). The ends of Clopper and Pearson's are
    /// quantiles of beta distributions: (hits, n − hits + 1) and (hits + 1, n − hits).
    ///
    /// ```
    /// # use crossread_teach::statistics::{Confidence, Share};
    /// // No missed incompatibility in 20: that does not show that there is none.
    /// let missed = Share::of(0, 20, Confidence::P95);
    /// assert_eq!(missed.value, Ok(0.0));
    /// assert!(missed.clopper_pearson?.high > 0.16);
    /// assert!(Share::of(0, 0, Confidence::P95).value.is_err());
    /// # Ok::<_, crossread_teach::statistics::Undefined>(())
    /// ```
    ///
    /// # Source
    /// Wilson EB 1927, J Am Stat Assoc 22:209–212; Clopper CJ, Pearson ES 1934, Biometrika
    /// 26:404–413 (formulas from memory; checked against statsmodels 0.15.0).
    pub fn of(hits: u32, cases: u32, confidence: Confidence) -> Self {
        let (hits, cases) = (hits.min(cases), Cases::new(cases));
        if cases.count() == 0 {
            let none = Undefined::NoCases;
            return Self {
                hits,
                cases,
                value: Err(none),
                wilson: Err(none),
                clopper_pearson: Err(none),
            };
        }
        Self {
            hits,
            cases,
            value: Ok(f64::from(hits) / cases.real()),
            wilson: Ok(wilson(f64::from(hits), cases.real(), confidence)),
            clopper_pearson: clopper_pearson(hits, cases.count(), confidence),
        }
    }
}

fn wilson(hits: f64, n: f64, confidence: Confidence) -> Interval {
    let z = confidence.z();
    let (p, square) = (hits / n, z * z);
    let middle = p + square / (2.0 * n);
    let reach = z * (p * (1.0 - p) / n + square / (4.0 * n * n)).sqrt();
    let whole = 1.0 + square / n;
    // At no hits the lower end is 0, and at nothing but hits the upper is 1, but for rounding.
    let low = if hits <= 0.0 { 0.0 } else { (middle - reach) / whole };
    let high = if hits >= n { 1.0 } else { (middle + reach) / whole };
    Interval::new(low, high, confidence)
}

fn clopper_pearson(hits: u32, n: u32, confidence: Confidence) -> Result<Interval, Undefined> {
    let tail = confidence.tail();
    let (x, misses) = (f64::from(hits), f64::from(n.saturating_sub(hits)));
    let low = if hits == 0 { 0.0 } else { beta_quantile(tail, x, misses + 1.0)? };
    let high = if hits == n { 1.0 } else { beta_quantile(1.0 - tail, x + 1.0, misses)? };
    Ok(Interval::new(low, high, confidence))
}
