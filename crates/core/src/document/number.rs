use std::borrow::Cow;
use std::fmt;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use serde_json::value::RawValue;

use super::fault::FaultCode;
use super::leaf::{Leaf, Wrong};
use super::{Part, Walk};

/// A whole number from `LO` to `HI`, both included, written without point or exponent.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Whole<const LO: u32, const HI: u32>(u32);

impl<const LO: u32, const HI: u32> Whole<LO, HI> {
    /// The number, unless it is outside the range.
    ///
    /// ```
    /// # use crossread_core::{document::Whole, words::Hemolysis};
    /// assert_eq!(Hemolysis::new(4).map(Whole::get), Some(4));
    /// assert_eq!(Hemolysis::new(5), None);
    /// ```
    pub fn new(value: u32) -> Option<Self> {
        (LO..=HI).contains(&value).then_some(Self(value))
    }

    /// The number.
    pub fn get(self) -> u32 {
        self.0
    }
}

impl<const LO: u32, const HI: u32> fmt::Display for Whole<LO, HI> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl<'d, const LO: u32, const HI: u32> Deserialize<'d> for Whole<LO, HI> {
    fn deserialize<D: Deserializer<'d>>(deserializer: D) -> Result<Self, D::Error> {
        Self::new(u32::deserialize(deserializer)?)
            .ok_or_else(|| serde::de::Error::custom(FaultCode::OutOfRange.word()))
    }
}

impl<const LO: u32, const HI: u32> Serialize for Whole<LO, HI> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_u32(self.0)
    }
}

impl<const LO: u32, const HI: u32> Leaf for Whole<LO, HI> {
    const EXPECTED: &'static str = "a whole number";

    fn from_number(written: &str) -> Result<Self, Wrong> {
        if written.contains(['.', 'e', 'E']) {
            return Err(Wrong::type_of().hint("write it without point or exponent"));
        }
        let value = written.parse().ok().and_then(Self::new);
        value.ok_or_else(|| {
            let mut wrong = Wrong::new(FaultCode::OutOfRange);
            wrong.expected = Some(Cow::Owned(format!("a whole number from {LO} to {HI}")));
            wrong
        })
    }
}

impl<const LO: u32, const HI: u32> Part for Whole<LO, HI> {
    fn take(walk: &mut Walk<'_>) -> Option<Self> {
        walk.leaf()
    }
}

impl<const LO: u32, const HI: u32> JsonSchema for Whole<LO, HI> {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        Cow::Owned(format!("Whole{LO}To{HI}"))
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "integer", "minimum": LO, "maximum": HI })
    }
}

/// A number over 0, to `MAX`, with at most `PLACES` decimal places, held exactly as a whole number
/// of its last place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Decimals<const PLACES: u32, const MAX: u32>(u32);

/// A number with at most two decimal places, held exactly in hundredths.
pub type Hundredths<const MAX: u32> = Decimals<2, MAX>;

/// A number with at most three decimal places, held exactly in thousandths.
pub type Thousandths<const MAX: u32> = Decimals<3, MAX>;

impl<const PLACES: u32, const MAX: u32> Decimals<PLACES, MAX> {
    /// The number from so many of its last place, unless it is 0 or over the greatest allowed.
    ///
    /// ```
    /// # use crossread_core::document::Hundredths;
    /// // A body weight of at most 2000 kg.
    /// let weight = Hundredths::<2000>::new(950).unwrap();
    /// assert_eq!(weight.to_string(), "9.5");
    /// assert_eq!(Hundredths::<2000>::new(0), None);
    /// ```
    pub fn new(last_places: u32) -> Option<Self> {
        let most = MAX.saturating_mul(10_u32.saturating_pow(PLACES));
        (1..=most).contains(&last_places).then_some(Self(last_places))
    }

    /// The number as a fraction: so many of its last place, and how many of these make one.
    ///
    /// ```
    /// # use crossread_core::document::Thousandths;
    /// assert_eq!(Thousandths::<10>::new(250).unwrap().fraction(), (250, 1000));
    /// ```
    pub fn fraction(self) -> (u32, u32) {
        (self.0, 10_u32.saturating_pow(PLACES))
    }

    /// How the number of decimal places is said.
    const fn places() -> &'static str {
        match PLACES {
            2 => "two decimal places",
            3 => "three decimal places",
            _ => "these decimal places",
        }
    }
}

impl<const MAX: u32> Decimals<2, MAX> {
    /// The number in hundredths: `4.5` is 450.
    pub fn hundredths(self) -> u32 {
        self.0
    }
}

impl<const PLACES: u32, const MAX: u32> fmt::Display for Decimals<PLACES, MAX> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (mut rest, mut width) = (self.0, usize::try_from(PLACES).unwrap_or_default());
        let one = 10_u32.saturating_pow(PLACES);
        let whole = rest.checked_div(one).unwrap_or_default();
        rest = rest.checked_rem(one).unwrap_or_default();
        if rest == 0 {
            return write!(f, "{whole}");
        }
        while rest % 10 == 0 {
            rest /= 10;
            width = width.saturating_sub(1);
        }
        write!(f, "{whole}.{rest:0width$}")
    }
}

impl<const PLACES: u32, const MAX: u32> Leaf for Decimals<PLACES, MAX> {
    const EXPECTED: &'static str = match PLACES {
        2 => "a number with at most two decimal places",
        3 => "a number with at most three decimal places",
        _ => "a number with these decimal places",
    };

    fn from_number(written: &str) -> Result<Self, Wrong> {
        // The typed parse hands over whatever stands there, so this must judge it alone.
        if !written.starts_with(|c: char| c == '-' || c.is_ascii_digit()) {
            return Err(Wrong::type_of());
        }
        let out_of_range = || {
            let mut wrong = Wrong::new(FaultCode::OutOfRange);
            wrong.expected = Some(Cow::Owned(format!(
                "a number over 0, to {MAX}, with at most {}",
                Self::places()
            )));
            wrong
        };
        match in_last_places(written, PLACES) {
            Decimal::Held(value) => Self::new(value).ok_or_else(out_of_range),
            Decimal::OutOfRange => Err(out_of_range()),
            Decimal::TooFine => Err(out_of_range().hint(format!("round it to {}", Self::places()))),
        }
    }
}

impl<'d, const PLACES: u32, const MAX: u32> Deserialize<'d> for Decimals<PLACES, MAX> {
    /// Takes the number exactly as it is written, which a float would not keep.
    fn deserialize<D: Deserializer<'d>>(deserializer: D) -> Result<Self, D::Error> {
        let written = <&RawValue>::deserialize(deserializer)?;
        Self::from_number(written.get())
            .map_err(|wrong| serde::de::Error::custom(wrong.code.word()))
    }
}

impl<const PLACES: u32, const MAX: u32> Part for Decimals<PLACES, MAX> {
    fn take(walk: &mut Walk<'_>) -> Option<Self> {
        walk.leaf()
    }
}

impl<const PLACES: u32, const MAX: u32> Serialize for Decimals<PLACES, MAX> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        RawValue::from_string(self.to_string())
            .map_err(serde::ser::Error::custom)?
            .serialize(serializer)
    }
}

impl<const PLACES: u32, const MAX: u32> JsonSchema for Decimals<PLACES, MAX> {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        Cow::Owned(format!("Decimals{PLACES}To{MAX}"))
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "number", "exclusiveMinimum": 0, "maximum": MAX,
            "description": format!("At most {}.", Self::places())
        })
    }
}

/// What a JSON number is in units of a decimal place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Decimal {
    Held(u32),
    /// Negative, or too large to hold.
    OutOfRange,
    /// More decimal places than are held.
    TooFine,
}

/// The value of a JSON number in units of its last of so many decimal places, exactly.
fn in_last_places(written: &str, places: u32) -> Decimal {
    let (mantissa, exponent) = written.split_once(['e', 'E']).unwrap_or((written, "0"));
    let (negative, mantissa) =
        mantissa.strip_prefix('-').map_or((false, mantissa), |rest| (true, rest));
    let (whole, fraction) = mantissa.split_once('.').unwrap_or((mantissa, ""));
    let digits = || whole.bytes().chain(fraction.bytes());
    let is_zero = |digit: &u8| *digit == b'0';
    let dropped = digits().rev().take_while(is_zero).count();
    // How many stand from the first to the last that is not zero.
    let kept = digits().skip_while(is_zero).count().saturating_sub(dropped);
    if kept == 0 {
        return Decimal::Held(0);
    }
    if negative {
        return Decimal::OutOfRange;
    }
    let length = |length: usize| i64::try_from(length).unwrap_or(i64::MAX);
    let sign = if exponent.starts_with('-') { -1_i64 } else { 1 };
    let exponent = exponent.trim_start_matches(['+', '-']).parse::<i64>().unwrap_or(i64::MAX);
    let power = exponent
        .saturating_mul(sign)
        .saturating_sub(length(fraction.len()))
        .saturating_add(length(dropped))
        .saturating_add(i64::from(places));
    if power < 0 {
        return Decimal::TooFine;
    }
    let value = digits().skip_while(is_zero).take(kept).try_fold(0_u32, |value, digit| {
        let digit = digit.checked_sub(b'0').filter(|digit| *digit <= 9)?;
        value.checked_mul(10)?.checked_add(u32::from(digit))
    });
    let scale = u32::try_from(power).ok().and_then(|power| 10_u32.checked_pow(power));
    let scaled = value.zip(scale).and_then(|(value, scale)| value.checked_mul(scale));
    scaled.map_or(Decimal::OutOfRange, Decimal::Held)
}

#[cfg(test)]
mod tests {
    use super::{Decimal, Hundredths, Thousandths, Whole, in_last_places};
    use crate::document::Leaf as _;

    #[test]
    fn decimals_are_exact() {
        for (written, value) in [
            ("4", 400),
            ("4.0", 400),
            ("4.25", 425),
            ("0.50", 50),
            ("2e1", 2000),
            ("20E-1", 200),
            ("0.0001e4", 100),
            ("0", 0),
            ("-0.0", 0),
        ] {
            assert_eq!(in_last_places(written, 2), Decimal::Held(value), "{written}");
        }
        for written in ["-1", "1e99999999999999999999", "99999999999999999999", "42949673"] {
            assert_eq!(in_last_places(written, 2), Decimal::OutOfRange, "{written}");
        }
        for written in ["4.001", "4.000000000000000001", "1e-3", "5e-99999999999999999999"] {
            assert_eq!(in_last_places(written, 2), Decimal::TooFine, "{written}");
        }
    }

    #[test]
    fn what_is_written_is_what_was_read() {
        for value in 1..=10_000_u32 {
            let number = Hundredths::<100>::new(value).unwrap();
            let json = serde_json::to_string(&number).unwrap();
            let back: Hundredths<100> = serde_json::from_str(&json).unwrap();
            assert_eq!(back.hundredths(), value, "{json}");
        }
    }

    /// Every third number to 10 in thousandths, and what is finer.
    #[test]
    fn thousandths_are_written_as_they_were_read() {
        for value in (1..=10_000_u32).step_by(3) {
            let number = Thousandths::<10>::new(value).unwrap();
            let json = serde_json::to_string(&number).unwrap();
            let back: Thousandths<10> = serde_json::from_str(&json).unwrap();
            assert_eq!(back.fraction(), (value, 1000), "{json}");
            assert!(!json.contains('.') || !json.ends_with('0'), "{json}");
        }
        assert_eq!(Thousandths::<10>::new(125).unwrap().to_string(), "0.125");
        assert_eq!(Thousandths::<10>::new(10_001), None);
        assert!(Thousandths::<10>::from_number("0.0005").is_err());
    }

    #[test]
    fn the_range_is_kept() {
        assert!(Hundredths::<100>::from_number("100.01").is_err());
        assert!(Hundredths::<100>::from_number("0").is_err());
        assert!(serde_json::from_str::<Hundredths<100>>("\"4\"").is_err());
        assert!(serde_json::from_str::<Hundredths<100>>("null").is_err());
        assert!(Whole::<1, 10>::from_number("0").is_err());
        assert!(Whole::<1, 10>::from_number("1.0").is_err());
        assert!(serde_json::from_str::<Whole<0, 4>>("1.0").is_err());
        assert!(serde_json::from_str::<Whole<0, 4>>("5").is_err());
        assert_eq!(Whole::<0, 4>::from_number("4").unwrap().get(), 4);
    }
}
