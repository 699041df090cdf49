//! Exact numbers.

use std::fmt;
use std::str::FromStr;

use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{Signed as _, Zero as _};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Serialize, Serializer};

use crate::document::Decimals;

/// A number without rounding: a fraction of whole numbers.
///
/// It is read from decimals (`0.8`) or a fraction (`4/5`), and written as decimals if they end
/// within six places, else as a fraction.
///
/// ```
/// # use crossread_core::prepare::Exact;
/// let number: Exact = "0.125".parse().unwrap();
/// assert_eq!(number.rounded(2), "0.13");
/// assert_eq!("1/3".parse::<Exact>().unwrap().to_string(), "1/3");
/// ```
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Exact(pub(super) BigRational);

impl Exact {
    /// The number, rounded half up (away from zero) to so many decimals, all of them written.
    ///
    /// ```
    /// # use crossread_core::prepare::Exact;
    /// let drops: Exact = "95/3".parse()?;
    /// assert_eq!((drops.rounded(0), drops.rounded(2)), ("32".to_owned(), "31.67".to_owned()));
    /// # Ok::<_, String>(())
    /// ```
    pub fn rounded(&self, decimals: u32) -> String {
        let scale = BigInt::from(10).pow(decimals);
        let scaled = (self.0.abs() * BigRational::from(scale)).round().to_integer();
        let digits = scaled.to_string();
        let places = usize::try_from(decimals).unwrap_or(0);
        let width = places.saturating_add(1);
        let digits = format!("{digits:0>width$}");
        let sign = if self.0.is_negative() && !scaled.is_zero() { "-" } else { "" };
        let (whole, rest) = digits.split_at(digits.len().saturating_sub(places));
        if rest.is_empty() { format!("{sign}{whole}") } else { format!("{sign}{whole}.{rest}") }
    }

    /// The number, rounded down to so many decimals, all of them written.
    ///
    /// ```
    /// # use crossread_core::prepare::Exact;
    /// // A rate that must not be exceeded.
    /// assert_eq!("95/3".parse::<Exact>()?.rounded_down(1), "31.6");
    /// # Ok::<_, String>(())
    /// ```
    pub fn rounded_down(&self, decimals: u32) -> String {
        let scale = BigRational::from(BigInt::from(10).pow(decimals));
        Self((&self.0 * &scale).floor() / scale).rounded(decimals)
    }

    /// The number, rounded up to so many decimals, all of them written.
    ///
    /// ```
    /// # use crossread_core::prepare::Exact;
    /// // A rate that must be reached.
    /// assert_eq!("94/3".parse::<Exact>()?.rounded_up(1), "31.4");
    /// # Ok::<_, String>(())
    /// ```
    pub fn rounded_up(&self, decimals: u32) -> String {
        let scale = BigRational::from(BigInt::from(10).pow(decimals));
        Self((&self.0 * &scale).ceil() / scale).rounded(decimals)
    }

    /// The largest whole number that is not above this one, if it is from 0 to `u32::MAX`.
    ///
    /// ```
    /// # use crossread_core::prepare::Exact;
    /// let minutes: Exact = "88.5".parse()?;
    /// assert_eq!((minutes.floor(), minutes.ceil()), (Some(88), Some(89)));
    /// assert_eq!(Exact::from(0).minus(&minutes).floor(), None);
    /// # Ok::<_, String>(())
    /// ```
    pub fn floor(&self) -> Option<u32> {
        u32::try_from(self.0.floor().to_integer()).ok()
    }

    /// The product of two numbers.
    ///
    /// ```
    /// # use crossread_core::prepare::Exact;
    /// let volume = Exact::from(90).times(&"9.5".parse()?);
    /// assert_eq!(volume.to_string(), "855");
    /// # Ok::<_, String>(())
    /// ```
    #[must_use]
    pub fn times(&self, other: &Self) -> Self {
        Self(&self.0 * &other.0)
    }

    /// The sum of two numbers.
    ///
    /// ```
    /// # use crossread_core::prepare::Exact;
    /// let sum = "0.1".parse::<Exact>()?.plus(&"0.2".parse()?);
    /// assert_eq!(sum, "0.3".parse()?);
    /// # Ok::<_, String>(())
    /// ```
    #[must_use]
    pub fn plus(&self, other: &Self) -> Self {
        Self(&self.0 + &other.0)
    }

    /// The difference of two numbers.
    ///
    /// ```
    /// # use crossread_core::prepare::Exact;
    /// let rise = "39.4".parse::<Exact>()?.minus(&"38.9".parse()?);
    /// assert_eq!(rise.to_string(), "0.5");
    /// # Ok::<_, String>(())
    /// ```
    #[must_use]
    pub fn minus(&self, other: &Self) -> Self {
        Self(&self.0 - &other.0)
    }

    /// The quotient of two numbers; `None` if the divisor is 0.
    ///
    /// ```
    /// # use crossread_core::prepare::Exact;
    /// let third = Exact::from(10).over(&Exact::from(30));
    /// assert_eq!(third.map(|third| third.to_string()).as_deref(), Some("1/3"));
    /// assert_eq!(Exact::from(10).over(&Exact::from(0)), None);
    /// ```
    #[must_use]
    pub fn over(&self, other: &Self) -> Option<Self> {
        (!other.0.is_zero()).then(|| Self(&self.0 / &other.0))
    }

    /// So many hundredths.
    ///
    /// ```
    /// # use crossread_core::prepare::Exact;
    /// assert_eq!(Exact::hundredths(950), "9.5".parse()?);
    /// # Ok::<_, String>(())
    /// ```
    pub fn hundredths(value: u32) -> Self {
        Self::of(u64::from(value), 100)
    }

    /// The smallest whole number that is not below this one, if it is from 0 to `u32::MAX`.
    ///
    /// ```
    /// # use crossread_core::prepare::Exact;
    /// assert_eq!("2.01".parse::<Exact>()?.ceil(), Some(3));
    /// assert_eq!(Exact::from(2).ceil(), Some(2));
    /// # Ok::<_, String>(())
    /// ```
    pub fn ceil(&self) -> Option<u32> {
        u32::try_from(self.0.ceil().to_integer()).ok()
    }

    pub(super) fn of(numerator: u64, denominator: u64) -> Self {
        if denominator == 0 {
            return Self(BigRational::zero());
        }
        Self(BigRational::new(BigInt::from(numerator), BigInt::from(denominator)))
    }
}

impl From<u32> for Exact {
    fn from(whole: u32) -> Self {
        Self(BigRational::from(BigInt::from(whole)))
    }
}

impl FromStr for Exact {
    type Err = String;

    /// At most 18 digits before and after the point.
    fn from_str(text: &str) -> Result<Self, String> {
        let wrong = || format!("`{text}` is no number; write it as 0.8 or as 4/5");
        let digits = |text: &str| {
            let good = (1..=18).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit());
            good.then(|| text.parse::<u64>().ok()).flatten().ok_or_else(wrong)
        };
        if let Some((numerator, denominator)) = text.split_once('/') {
            let (numerator, denominator) = (digits(numerator)?, digits(denominator)?);
            return if denominator == 0 {
                Err(wrong())
            } else {
                Ok(Self::of(numerator, denominator))
            };
        }
        let Some((whole, decimals)) = text.split_once('.') else {
            return Ok(Self::of(digits(text)?, 1));
        };
        let places = u32::try_from(decimals.len()).map_err(|_long| wrong())?;
        let scale = 10_u64.checked_pow(places).ok_or_else(wrong)?;
        let (whole, decimals) = (Self::of(digits(whole)?, 1), Self::of(digits(decimals)?, scale));
        Ok(Self(whole.0 + decimals.0))
    }
}

impl fmt::Display for Exact {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let ends = (0..=6).find(|places| {
            (&self.0 * BigRational::from(BigInt::from(10).pow(*places))).is_integer()
        });
        match ends {
            Some(places) => f.write_str(&self.rounded(places)),
            None => write!(f, "{}/{}", self.0.numer(), self.0.denom()),
        }
    }
}

impl Serialize for Exact {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl JsonSchema for Exact {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> std::borrow::Cow<'static, str> {
        std::borrow::Cow::Borrowed("Exact")
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "string",
            "pattern": "^-?[0-9]+(\\.[0-9]{1,6}|/[0-9]+)?$",
            "description": "A number without rounding: decimals, or a fraction."
        })
    }
}

impl<const PLACES: u32, const MAX: u32> From<Decimals<PLACES, MAX>> for Exact {
    fn from(number: Decimals<PLACES, MAX>) -> Self {
        let (parts, of) = number.fraction();
        Self::of(u64::from(parts), u64::from(of))
    }
}

#[cfg(test)]
mod tests {
    use super::Exact;

    #[test]
    fn reads_writes_and_rounds_half_up() {
        let of = |text: &str| text.parse::<Exact>().unwrap();
        for (text, written, two) in [
            ("0", "0", "0.00"),
            ("0.005", "0.005", "0.01"),
            ("0.0049", "0.0049", "0.00"),
            ("100/21", "100/21", "4.76"),
            ("1293.499", "1293.499", "1293.50"),
            ("2/3", "2/3", "0.67"),
        ] {
            assert_eq!(of(text).to_string(), written);
            assert_eq!(of(text).rounded(2), two);
        }
        assert_eq!(of("19/2").rounded(0), "10");
        for wrong in ["", ".", "1.", ".5", "-1", "1e3", "1/0", "1/2/3", " 1", "１"] {
            assert!(wrong.parse::<Exact>().is_err(), "{wrong}");
        }
    }
}
