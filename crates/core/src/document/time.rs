use std::borrow::Cow;
use std::fmt;

use jiff::civil;
use jiff::tz::Offset;
use jiff::{SignedDuration, Timestamp};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::fault::FaultCode;
use super::leaf::{Leaf, Wrong, text_leaf};
use super::{Part, Walk};

/// A day of the calendar, written `YYYY-MM-DD`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Date(civil::Date);

impl Date {
    /// The day that a text stands for, if it is one.
    ///
    /// ```
    /// # use crossread_core::document::Date;
    /// assert_eq!(Date::new("2028-02-29").unwrap().to_string(), "2028-02-29");
    /// assert!(Date::new("2026-02-29").is_none());
    /// assert!(Date::new("13.03.2026").is_none());
    /// ```
    pub fn new(text: &str) -> Option<Self> {
        Self::from_text(text).ok()
    }

    /// Days from `earlier` to this day; negative if this day is the earlier one.
    ///
    /// ```
    /// # use crossread_core::document::Date;
    /// let transfused = Date::new("2026-01-30").unwrap();
    /// let drawn = Date::new("2026-03-14").unwrap();
    /// assert_eq!(drawn.days_since(transfused), 43);
    /// assert_eq!(transfused.days_since(drawn), -43);
    /// ```
    pub fn days_since(self, earlier: Self) -> i64 {
        self.0.duration_since(earlier.0).as_hours() / 24
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl Leaf for Date {
    const EXPECTED: &'static str = "a date, `YYYY-MM-DD`";

    fn from_text(text: &str) -> Result<Self, Wrong> {
        let date = text.as_bytes().try_into().ok().and_then(date_of);
        date.map(Self).ok_or_else(|| Wrong::new(FaultCode::BadDate))
    }
}

text_leaf!(Date);

impl Serialize for Date {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl JsonSchema for Date {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        Cow::Borrowed("Date")
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "string", "format": "date", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$"
        })
    }
}

/// A moment, with the date that its writer's clock showed.
///
/// RFC 3339 with a capital `T`, seconds from 00 to 59, a fraction of at most nine digits, and an
/// offset or a capital `Z`; `-00:00` is refused, because it says that the offset is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Time {
    instant: Timestamp,
    date: Date,
    offset: Offset,
}

impl Time {
    /// The time that a text stands for, if it is one.
    ///
    /// ```
    /// # use crossread_core::document::Time;
    /// let read = Time::new("2026-03-01T03:28:10+01:00").ok_or("no time")?;
    /// assert_eq!(read.date().to_string(), "2026-03-01");
    /// assert!(Time::new("03:28").is_none());
    /// # Ok::<_, &str>(())
    /// ```
    pub fn new(text: &str) -> Option<Self> {
        Self::from_text(text).ok()
    }

    /// The moment, wherever the clock stood.
    pub fn instant(self) -> Timestamp {
        self.instant
    }

    /// The date as written, in the time's own offset.
    pub fn date(self) -> Date {
        self.date
    }

    /// How far the writer's clock stood from UTC.
    pub fn offset(self) -> Offset {
        self.offset
    }

    /// The moment `hours` later, or the last one that can be written.
    ///
    /// ```
    /// # use crossread_core::document::Time;
    /// let drawn = Time::new("2026-03-13T18:35:00+01:00").unwrap();
    /// // A sample that is good for three days.
    /// assert_eq!(drawn.plus_hours(72).to_string(), "2026-03-16T17:35:00Z");
    /// ```
    pub fn plus_hours(self, hours: u32) -> Timestamp {
        let later = SignedDuration::from_hours(i64::from(hours));
        self.instant.checked_add(later).unwrap_or(Timestamp::MAX)
    }
}

impl fmt::Display for Time {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.instant.display_with_offset(self.offset).fmt(f)
    }
}

impl Leaf for Time {
    const EXPECTED: &'static str = "a time with an offset, such as `2026-03-01T03:28:10+01:00`";

    fn from_text(text: &str) -> Result<Self, Wrong> {
        time_of(text.as_bytes()).ok_or_else(|| {
            let wrong = Wrong::new(FaultCode::BadTime);
            match text.as_bytes() {
                [.., b'-', b'0', b'0', b':', b'0', b'0'] => {
                    wrong.hint("`-00:00` says that the offset is not known: write the offset")
                }
                [_, _, _, _, _, _, _, _, _, _, b't' | b' ', ..] => {
                    wrong.hint("write a capital `T` between date and time")
                }
                [.., b'z'] => wrong.hint("write a capital `Z`"),
                [.., b'+' | b'-', _, _, b':', _, _] | [.., b'Z'] => wrong,
                _ => wrong.hint("add the offset, such as `+01:00` or `Z`"),
            }
        })
    }
}

text_leaf!(Time);

impl Serialize for Time {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl JsonSchema for Time {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        Cow::Borrowed("Time")
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "string",
            "format": "date-time",
            "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-5][0-9](\\.[0-9]{1,9})?(Z|[+-][0-9]{2}:[0-9]{2})$"
        })
    }
}

/// A moment in UTC, or null if there is none: a field that is always written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct UtcOrNull(Option<Timestamp>);

impl UtcOrNull {
    /// The moment.
    pub fn instant(self) -> Option<Timestamp> {
        self.0
    }
}

impl<'d> Deserialize<'d> for UtcOrNull {
    fn deserialize<D: Deserializer<'d>>(deserializer: D) -> Result<Self, D::Error> {
        Ok(Self(Option::<Time>::deserialize(deserializer)?.map(Time::instant)))
    }
}

impl Part for UtcOrNull {
    const NULL: bool = true;

    fn take(walk: &mut Walk<'_>) -> Option<Self> {
        if walk.accept_null() {
            return Some(Self(None));
        }
        walk.leaf::<Time>().map(|time| Self(Some(time.instant())))
    }
}

impl Serialize for UtcOrNull {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.0.serialize(serializer)
    }
}

impl JsonSchema for UtcOrNull {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        Cow::Borrowed("TimeOrNull")
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": ["string", "null"], "format": "date-time" })
    }
}

// The grammar is checked here because the contract allows less than any library's parser does; the
// calendar and the arithmetic are the library's.

/// The number that decimal digits stand for, at most nine of them, or `None` if one is no digit.
fn number<const N: usize>(digits: [u8; N]) -> Option<i32> {
    const { assert!(N <= 9, "the number fits") };
    let (mut value, mut good) = (0_i32, true);
    // Not left at the first that is no digit, so that it takes no branches.
    for byte in digits {
        let digit = byte.wrapping_sub(b'0');
        good &= digit <= 9;
        value = value.wrapping_mul(10).wrapping_add(i32::from(digit));
    }
    good.then_some(value)
}

/// The number that two decimal digits stand for.
fn small(digits: [u8; 2]) -> Option<i8> {
    i8::try_from(number(digits)?).ok()
}

fn date_of(text: [u8; 10]) -> Option<civil::Date> {
    let [y1, y2, y3, y4, b'-', m1, m2, b'-', d1, d2] = text else {
        return None;
    };
    let year = i16::try_from(number([y1, y2, y3, y4])?).ok()?;
    civil::Date::new(year, small([m1, m2])?, small([d1, d2])?).ok()
}

fn time_of(text: &[u8]) -> Option<Time> {
    let (date, rest) = text.split_first_chunk()?;
    let date = date_of(*date)?;
    let [b'T', h1, h2, b':', m1, m2, b':', s1, s2, rest @ ..] = rest else {
        return None;
    };
    let (nanoseconds, zone) = match rest {
        [b'.', rest @ ..] => {
            let end = rest.iter().position(|byte| !byte.is_ascii_digit())?;
            let (fraction, zone) = rest.split_at_checked(end).filter(|_| end > 0)?;
            let mut digits = [b'0'; 9];
            digits.get_mut(..end)?.copy_from_slice(fraction);
            (number(digits)?, zone)
        }
        _ => (0, rest),
    };
    let second = small([*s1, *s2]).filter(|second| *second <= 59)?;
    let time =
        civil::Time::new(small([*h1, *h2])?, small([*m1, *m2])?, second, nanoseconds).ok()?;
    let seconds_east = match *zone {
        [b'Z'] => 0,
        [sign @ (b'+' | b'-'), h1, h2, b':', m1, m2] => {
            let hours = number([h1, h2]).filter(|hours| *hours <= 23)?;
            let minutes = number([m1, m2]).filter(|minutes| *minutes <= 59)?;
            let seconds = hours.checked_mul(3600)?.checked_add(minutes.checked_mul(60)?)?;
            match (sign, seconds) {
                (b'-', 0) => return None,
                (b'-', _) => seconds.checked_neg()?,
                _ => seconds,
            }
        }
        _ => return None,
    };
    let offset = Offset::from_seconds(seconds_east).ok()?;
    let instant = offset.to_timestamp(date.to_datetime(time)).ok()?;
    Some(Time { instant, date: Date(date), offset })
}

#[cfg(test)]
mod tests {
    use super::{Date, Time};
    use crate::document::Leaf as _;

    fn time(text: &str) -> Option<String> {
        Time::from_text(text).ok().map(|time| time.instant().to_string())
    }

    /// The examples of the standard that the contract allows.
    ///
    /// # Source
    /// Klyne and Newman, 2002, Date and Time on the Internet: Timestamps, RFC 3339 section 5.8.
    #[test]
    fn examples_of_rfc_3339() {
        assert_eq!(time("1985-04-12T23:20:50.52Z").unwrap(), "1985-04-12T23:20:50.52Z");
        assert_eq!(time("1996-12-19T16:39:57-08:00").unwrap(), "1996-12-20T00:39:57Z");
        assert_eq!(time("1937-01-01T12:00:27.87+00:20").unwrap(), "1937-01-01T11:40:27.87Z");
        // DIFFERENCE: leap seconds are in the standard and not in the contract.
        assert_eq!(time("1990-12-31T23:59:60Z"), None);
    }

    #[test]
    fn everything_else_is_refused() {
        for text in [
            "",
            "2026-03-01",
            "2026-03-01T03:28:10",
            "2026-03-01t03:28:10Z",
            "2026-03-01 03:28:10Z",
            "2026-03-01T03:28:10z",
            "2026-03-01T03:28Z",
            "2026-03-01T03:28:10-00:00",
            "2026-03-01T03:28:10+0100",
            "2026-03-01T03:28:10+24:00",
            "2026-03-01T03:28:10+01:60",
            "2026-03-01T24:00:00Z",
            "2026-02-29T03:28:10Z",
            "2026-03-01T03:28:10.Z",
            "2026-03-01T03:28:10.1234567890Z",
            "2026-03-01T03:28:10Z ",
            "+026-03-01T03:28:10Z",
            "2026-03-01T03:28:10,5Z",
            "9999-12-31T23:59:59-23:59",
        ] {
            assert_eq!(time(text), None, "{text}");
        }
    }

    #[test]
    fn the_date_is_the_one_written() {
        let late = Time::from_text("2026-03-01T00:10:00+01:00").unwrap_or_else(|_| panic!());
        assert_eq!(late.date().to_string(), "2026-03-01");
        assert_eq!(late.instant().to_string(), "2026-02-28T23:10:00Z");
        assert_eq!(late.offset().seconds(), 3600);
        assert_eq!(late.plus_hours(72).to_string(), "2026-03-03T23:10:00Z");
    }

    #[test]
    fn days_are_counted_over_the_leap_day() {
        let date = |text| Date::from_text(text).unwrap_or_else(|_| panic!());
        assert_eq!(date("2024-03-01").days_since(date("2024-02-28")), 2);
        assert_eq!(date("2026-02-20").days_since(date("2026-03-01")), -9);
        assert!(Date::from_text("2026-2-20").is_err());
    }
}
