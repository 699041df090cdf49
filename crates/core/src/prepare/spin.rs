//! Spin: revolutions a minute and multiples of gravity.

use num_bigint::BigInt;
use num_rational::BigRational;

use super::{Centimeters, Exact, OutOfRange, RevolutionsPerMinute, TimesG};

/// Multiples of gravity for 1 cm and 1 rpm, in hundred millionths: 4 π² / (3600 × 980.665) is
/// 1.11824 × 10⁻⁵, and 1.118 × 10⁻⁵ is the constant in use.
const CONSTANT: u64 = 1118;
const MILLIONTHS: u64 = 100_000_000;

fn constant() -> BigRational {
    Exact::of(CONSTANT, MILLIONTHS).0
}

/// The centrifugal force at a radius and a speed: 1.118 × 10⁻⁵ × radius in cm × rpm².
///
/// ```
/// # use crossread_core::prepare::times_g;
/// let force = times_g(&"1000".parse()?, &"10".parse()?)?;
/// assert_eq!(force.to_string(), "112 × g");
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// If the result is over 1,000,000 × g.
///
/// # Source
/// The usual formula of relative centrifugal force, (rpm / 1000)² × radius × 11.18, found in
/// laboratory manuals; the constant is derived above. A constant of 1.18 × 10⁻⁵, also met in print,
/// is a misprint and 5.5 % too high.
pub fn times_g(speed: &RevolutionsPerMinute, radius: &Centimeters) -> Result<TimesG, OutOfRange> {
    TimesG::new(Exact(constant() * radius.ratio() * speed.ratio() * speed.ratio()))
}

/// The speed that gives a centrifugal force at a radius, to the nearest whole revolution a minute,
/// halves up: a square root has no exact fraction.
///
/// ```
/// # use crossread_core::prepare::revolutions_per_minute;
/// let speed = revolutions_per_minute(&"1000".parse()?, &"8.5".parse()?)?;
/// assert_eq!(speed.to_string(), "3244 rpm");
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// If the result is 0 or over 100,000 rpm.
///
/// # Source
/// As for [`times_g`].
pub fn revolutions_per_minute(
    force: &TimesG,
    radius: &Centimeters,
) -> Result<RevolutionsPerMinute, OutOfRange> {
    let squared = force.ratio() / (constant() * radius.ratio());
    // Half up: the whole part of (√(4 s) + 1) / 2.
    let four = squared * BigRational::from(BigInt::from(4));
    let nearest: BigInt = (four.to_integer().sqrt() + 1_u32) / 2_u32;
    RevolutionsPerMinute::new(Exact(BigRational::from(nearest)))
}
