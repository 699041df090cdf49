//! Quantities with their units as types.

use std::fmt;
use std::marker::PhantomData;
use std::str::FromStr;

use num_rational::BigRational;
use num_traits::Zero as _;
use serde::{Serialize, Serializer};
use thiserror::Error;

use super::Exact;

/// A unit: what is measured, its sign, its range and the decimals that are shown.
///
/// ```
/// use crossread_core::prepare::{Exact, Quantity, Unit};
///
/// /// Time.
/// struct Minute;
///
/// impl Unit for Minute {
///     const WHAT: &str = "time";
///     const SIGN: &str = "min";
///     const MOST: u32 = 240;
///     const MAY_BE_ZERO: bool = false;
///     const DECIMALS: u32 = 0;
/// }
///
/// let incubation: Quantity<Minute> = "29.5".parse()?;
/// assert_eq!(incubation.to_string(), "30 min");
/// let refused = Quantity::<Minute>::new(Exact::from(241)).unwrap_err();
/// assert_eq!(refused.to_string(), "time: 241 is outside its range, over 0 to 240 min");
/// # Ok::<_, String>(())
/// ```
pub trait Unit {
    /// What is measured.
    const WHAT: &'static str;
    /// Its sign.
    const SIGN: &'static str;
    /// The largest value.
    const MOST: u32;
    /// The smallest value; with 0, the smallest is just above it, or 0 where 0 is a value.
    const LEAST: u32 = 0;
    /// What to do about a value below the smallest; empty where that says itself.
    const BELOW: &'static str = "";
    /// Whether 0 is a value.
    const MAY_BE_ZERO: bool;
    /// How many decimals are shown.
    const DECIMALS: u32;
}

/// A quantity in the unit `U`, exact, within the range of the unit. One unit is never taken for
/// another:
///
/// ```compile_fail,E0308
/// use crossread_core::prepare::{Kilograms, Milliliters};
///
/// fn give(_volume: Milliliters) {}
///
/// let weight: Kilograms = "4".parse().unwrap();
/// give(weight);
/// ```
pub struct Quantity<U> {
    value: Exact,
    unit: PhantomData<U>,
}

/// A value outside the range of its unit.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("{what}: {value} is outside its range, {range}")]
#[non_exhaustive]
pub struct OutOfRange {
    /// What was measured.
    pub what: &'static str,
    /// The value.
    pub value: String,
    /// The range, in words.
    pub range: String,
}

impl<U: Unit> Quantity<U> {
    /// A value in the unit.
    ///
    /// ```
    /// # use crossread_core::prepare::{Exact, Pcv};
    /// assert_eq!(Pcv::new(Exact::from(30)).unwrap().to_string(), "30 %");
    /// let refused = "0.30".parse::<Pcv>().unwrap_err();
    /// assert!(refused.ends_with("give it in percent, 30 for a fraction of 0.30"));
    /// ```
    ///
    /// # Errors
    /// If it lies outside the range of the unit.
    pub fn new(value: Exact) -> Result<Self, OutOfRange> {
        let low = value < Exact::from(U::LEAST) || (value.0.is_zero() && !U::MAY_BE_ZERO);
        if low || value > Exact::from(U::MOST) {
            let from = if U::MAY_BE_ZERO || U::LEAST > 0 { "from" } else { "over" };
            let below = if low { U::BELOW } else { "" };
            let range = format!("{from} {} to {} {}{below}", U::LEAST, U::MOST, U::SIGN);
            return Err(OutOfRange { what: U::WHAT, value: value.to_string(), range });
        }
        Ok(Self { value, unit: PhantomData })
    }

    /// The value, exactly.
    pub fn exact(&self) -> &Exact {
        &self.value
    }

    pub(super) fn ratio(&self) -> &BigRational {
        &self.value.0
    }
}

impl<U: Unit> FromStr for Quantity<U> {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        Self::new(text.parse()?).map_err(|error| error.to_string())
    }
}

impl<U: Unit> fmt::Display for Quantity<U> {
    /// The value, rounded half up to the decimals of the unit, without zeros at its end, with the
    /// unit's sign.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let rounded = self.value.rounded(U::DECIMALS);
        let shown = if rounded.contains('.') {
            rounded.trim_end_matches('0').trim_end_matches('.')
        } else {
            &rounded
        };
        write!(f, "{shown} {}", U::SIGN)
    }
}

// Not derived, because that would ask the same of the unit.
impl<U> Clone for Quantity<U> {
    fn clone(&self) -> Self {
        Self { value: self.value.clone(), unit: PhantomData }
    }
}

impl<U> PartialEq for Quantity<U> {
    fn eq(&self, other: &Self) -> bool {
        self.value == other.value
    }
}

impl<U> Eq for Quantity<U> {}

impl<U: Unit> fmt::Debug for Quantity<U> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.value, U::SIGN)
    }
}

impl<U> Serialize for Quantity<U> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.value.serialize(serializer)
    }
}

macro_rules! units {
    ($($(#[$meta:meta])* $unit:ident, $quantity:ident: $what:literal, $sign:literal, $most:literal, $zero:literal, $decimals:literal $(, $least:literal, $below:literal)?;)*) => {$(
        /// The unit of
        #[doc = concat!("[`", stringify!($quantity), "`].")]
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        #[non_exhaustive]
        pub struct $unit;

        impl Unit for $unit {
            const WHAT: &'static str = $what;
            const SIGN: &'static str = $sign;
            const MOST: u32 = $most;
            $(const LEAST: u32 = $least;
            const BELOW: &'static str = $below;)?
            const MAY_BE_ZERO: bool = $zero;
            const DECIMALS: u32 = $decimals;
        }

        $(#[$meta])*
        pub type $quantity = Quantity<$unit>;
    )*};
}

units! {
    /// A volume in µL, over 0 to 10,000,000 (10 L).
    Microliter, Microliters: "volume", "µL", 10_000_000, false, 1;
    /// A share in percent by volume, over 0 to 100.
    OfHundred, Percent: "percentage", "%", 100, false, 2;
    /// A share in percent that may be none, 0 to 100.
    OfHundredOrNone, Share: "share", "%", 100, true, 2;
    /// A speed of rotation in revolutions a minute, over 0 to 100,000.
    PerMinute, RevolutionsPerMinute: "speed", "rpm", 100_000, false, 0;
    /// A centrifugal force in multiples of gravity, over 0 to 1,000,000.
    Gravity, TimesG: "centrifugal force", "× g", 1_000_000, false, 0;
    /// A body weight in kg, over 0 to 2000.
    Kilogram, Kilograms: "body weight", "kg", 2000, false, 2;
    /// A volume in mL, over 0 to 200,000.
    Milliliter, Milliliters: "volume", "mL", 200_000, false, 1;
    /// A PCV in percent, from 2 to 80: a packed unit of cells reaches no more, no animal lives with
    /// less (from memory), and every fraction (0.30 for 30 %) lies below.
    PackedCellVolume, Pcv: "PCV", "%", 80, false, 1, 2, "; give it in percent, 30 for a fraction of 0.30";
    /// A temperature of an animal in °C, over 0 to 45.
    DegreeCelsius, Celsius: "temperature", "°C", 45, false, 2;
    /// Drops of an infusion set in one mL, over 0 to 100.
    DropOfMilliliter, DropsPerMilliliter: "drops of the set", "drops/mL", 100, false, 1;
    /// A length in cm, over 0 to 100: the radius of a rotor, from its axis to the tube's bottom.
    Centimeter, Centimeters: "radius", "cm", 100, false, 1;
}
