//! Whether an animal became too warm.

use super::plan::CannotCare;
use super::rules::Rules;
use crate::prepare::Celsius;
use crate::protocol::Protocol;

/// A temperature beside the baseline.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(clippy::exhaustive_enums, reason = "a new answer must be shown by whoever shows these")]
pub enum Warmth {
    /// Above both limits of the protocol: a fever.
    Fever,
    /// Above one of them.
    Warmer,
    /// Above neither.
    Usual,
}

/// When a temperature is a fever, in words.
///
/// # Errors
/// If the protocol has no `care` section.
pub fn fever(protocol: &Protocol) -> Result<String, CannotCare> {
    let rules = Rules::of(protocol)?;
    let from = Rules::one(rules.care.fever_from_c.as_ref())?;
    let rise = Rules::one(rules.care.fever_rise_c.as_ref())?;
    Ok(format!("Fever: above {from} °C and more than {rise} °C above the baseline."))
}

/// Judges a temperature by the protocol: a fever lies above `fever_from_c` and more than
/// `fever_rise_c` above the baseline, both not included.
///
/// # Errors
/// If the protocol has no `care` section.
pub fn warmth(
    protocol: &Protocol,
    baseline: &Celsius,
    now: &Celsius,
) -> Result<Warmth, CannotCare> {
    let rules = Rules::of(protocol)?;
    let from = Rules::one(rules.care.fever_from_c.as_ref())?;
    let rise = Rules::one(rules.care.fever_rise_c.as_ref())?;
    let high = *now.exact() > from;
    let risen = now.exact().minus(baseline.exact()) > rise;
    Ok(match (high, risen) {
        (true, true) => Warmth::Fever,
        (false, false) => Warmth::Usual,
        (true, false) | (false, true) => Warmth::Warmer,
    })
}
