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
/// ```
/// # use crossread_core::{Protocols, care::fever};
/// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
/// assert_eq!(fever(dog)?, "Fever: above 39 °C and more than 1 °C above the baseline.");
/// # Ok::<_, crossread_core::care::CannotCare>(())
/// ```
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
/// ```
/// # use crossread_core::{Protocols, care::{Warmth, warmth}};
/// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
/// assert_eq!(warmth(dog, &"38.2".parse()?, &"39.4".parse()?)?, Warmth::Fever);
/// // Above 39 °C, but it was nearly there before.
/// assert_eq!(warmth(dog, &"38.9".parse()?, &"39.4".parse()?)?, Warmth::Warmer);
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
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
