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

/// A number over 0, to `MAX`, with at most two decimal places, held exactly in hundredths.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Hundredths<const MAX: u32>(u32);

impl<const MAX: u32> Hundredths<MAX> {
    /// The number, unless it is 0 or over the greatest allowed.
    pub fn new(hundredths: u32) -> Option<Self> {
        (1..=MAX.saturating_mul(100)).contains(&hundredths).then_some(Self(hundredths))
    }

    /// The number in hundredths: `4.5` is 450.
    pub fn hundredths(self) -> u32 {
        self.0
    }
}

impl<const MAX: u32> fmt::Display for Hundredths<MAX> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (whole, rest) = (self.0 / 100, self.0 % 100);
        match (rest, rest % 10) {
            (0, _) => write!(f, "{whole}"),
            (_, 0) => write!(f, "{whole}.{}", rest / 10),
            _ => write!(f, "{whole}.{rest:02}"),
        }
    }
}

impl<const MAX: u32> Leaf for Hundredths<MAX> {
    const EXPECTED: &'static str = "a number with at most two decimal places";

    fn from_number(written: &str) -> Result<Self, Wrong> {
        // The typed parse hands over whatever stands there, so this must judge it alone.
        if !written.starts_with(|c: char| c == '-' || c.is_ascii_digit()) {
            return Err(Wrong::type_of());
        }
        let out_of_range = || {
            let mut wrong = Wrong::new(FaultCode::OutOfRange);
            wrong.expected = Some(Cow::Owned(format!(
                "a number over 0, to {MAX}, with at most two decimal places"
            )));
            wrong
        };
        match hundredths(written) {
            Decimal::Hundredths(value) => Self::new(value).ok_or_else(out_of_range),
            Decimal::OutOfRange => Err(out_of_range()),
            Decimal::TooFine => Err(out_of_range().hint("round it to two decimal places")),
        }
    }
}

impl<'d, const MAX: u32> Deserialize<'d> for Hundredths<MAX> {
    /// Takes the number exactly as it is written, which a float would not keep.
    fn deserialize<D: Deserializer<'d>>(deserializer: D) -> Result<Self, D::Error> {
        let written = <&RawValue>::deserialize(deserializer)?;
        Self::from_number(written.get())
            .map_err(|wrong| serde::de::Error::custom(wrong.code.word()))
    }
}

impl<const MAX: u32> Part for Hundredths<MAX> {
    fn take(walk: &mut Walk<'_>) -> Option<Self> {
        walk.leaf()
    }
}

impl<const MAX: u32> Serialize for Hundredths<MAX> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        RawValue::from_string(self.to_string())
            .map_err(serde::ser::Error::custom)?
            .serialize(serializer)
    }
}

impl<const MAX: u32> JsonSchema for Hundredths<MAX> {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        Cow::Owned(format!("HundredthsTo{MAX}"))
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "number", "exclusiveMinimum": 0, "maximum": MAX,
            "description": "At most two decimal places."
        })
    }
}

/// What a JSON number is in hundredths.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Decimal {
    Hundredths(u32),
    /// Negative, or too large to hold.
    OutOfRange,
    /// More than two decimal places.
    TooFine,
}

/// The value of a JSON number in hundredths, exactly.
fn hundredths(written: &str) -> Decimal {
    let (mantissa, exponent) = written.split_once(['e', 'E']).unwrap_or((written, "0"));
    let (negative, mantissa) =
        mantissa.strip_prefix('-').map_or((false, mantissa), |rest| (true, rest));
    let (whole, fraction) = mantissa.split_once('.').unwrap_or((mantissa, ""));
    let digits = format!("{whole}{fraction}");
    let significant = digits.trim_start_matches('0');
    let kept = significant.trim_end_matches('0');
    if kept.is_empty() {
        return Decimal::Hundredths(0);
    }
    if negative {
        return Decimal::OutOfRange;
    }
    let length = |text: &str| i64::try_from(text.len()).unwrap_or(i64::MAX);
    let sign = if exponent.starts_with('-') { -1_i64 } else { 1 };
    let exponent = exponent.trim_start_matches(['+', '-']).parse::<i64>().unwrap_or(i64::MAX);
    let dropped = length(significant).saturating_sub(length(kept));
    let power = exponent
        .saturating_mul(sign)
        .saturating_sub(length(fraction))
        .saturating_add(dropped)
        .saturating_add(2);
    if power < 0 {
        return Decimal::TooFine;
    }
    let value = u32::try_from(power).ok().and_then(|power| 10_u32.checked_pow(power));
    let value = value.and_then(|scale| kept.parse::<u32>().ok()?.checked_mul(scale));
    value.map_or(Decimal::OutOfRange, Decimal::Hundredths)
}

#[cfg(test)]
mod tests {
    use super::{Decimal, Hundredths, Whole, hundredths};
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
            assert_eq!(hundredths(written), Decimal::Hundredths(value), "{written}");
        }
        for written in ["-1", "1e99999999999999999999", "99999999999999999999", "42949673"] {
            assert_eq!(hundredths(written), Decimal::OutOfRange, "{written}");
        }
        for written in ["4.001", "4.000000000000000001", "1e-3", "5e-99999999999999999999"] {
            assert_eq!(hundredths(written), Decimal::TooFine, "{written}");
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
