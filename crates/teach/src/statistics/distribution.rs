//! Quantiles and tails of the usual distributions, from a library.

use statrs::distribution::{Beta, ChiSquared, Continuous, ContinuousCDF, Normal, StudentsT};

use super::undefined::Undefined;

/// The value below which the share `p` of a standard normal lies.
pub(super) fn normal_quantile(p: f64) -> f64 {
    Normal::standard().inverse_cdf(p)
}

/// The share of a standard normal below `z`.
pub(super) fn normal_share(z: f64) -> f64 {
    Normal::standard().cdf(z)
}

/// The value below which the share `p` of a beta distribution lies.
pub(super) fn beta_quantile(p: f64, a: f64, b: f64) -> Result<f64, Undefined> {
    let beta = Beta::new(a, b).or(Err(Undefined::NoCases))?;
    Ok(polished(&beta, beta.inverse_cdf(p), p, 0.0, 1.0))
}

/// The value below which the share `p` of Student's t lies.
pub(super) fn student_quantile(p: f64, degrees: f64) -> Result<f64, Undefined> {
    let student = StudentsT::new(0.0, 1.0, degrees).or(Err(Undefined::OneCase))?;
    Ok(polished(&student, student.inverse_cdf(p), p, f64::MIN, f64::MAX))
}

/// The share of a chi-squared distribution above `value`.
pub(super) fn chi_squared_above(value: f64, degrees: f64) -> Result<f64, Undefined> {
    Ok(ChiSquared::new(degrees).or(Err(Undefined::NoDifference))?.sf(value))
}

/// The library's quantiles are right to about ten digits; steps of Newton give the rest.
fn polished<D>(distribution: &D, start: f64, p: f64, low: f64, high: f64) -> f64
where
    D: ContinuousCDF<f64, f64> + Continuous<f64, f64>,
{
    let mut at = start;
    for _ in 0..8 {
        let next = at - (distribution.cdf(at) - p) / distribution.pdf(at);
        if !(next > low && next < high) {
            break;
        }
        at = next;
    }
    at
}
