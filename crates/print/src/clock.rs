//! Times as the clock of a place shows them.

use crossread_core::document::Time;
use jiff::tz::TimeZone;
use jiff::{Timestamp, ZonedDateTime};

/// The clock by which times are shown that follow from one that was written down: that of the
/// place, or, where the time was written by another, that one.
///
/// ```
/// # use crossread_core::document::Time;
/// # use crossread_print::{clock, zone_of};
/// use jiff::tz::TimeZone;
///
/// let here = TimeZone::posix("CET-1CEST,M3.5.0,M10.5.0/3")?;
/// let written = Time::new("2026-03-14T03:30:00+01:00").ok_or("no time")?;
/// assert_eq!(zone_of(written, here.clone()), here);
/// // Written where the clock stood elsewhere: it is shown as it was written.
/// let elsewhere = Time::new("2026-03-14T03:30:00-05:00").ok_or("no time")?;
/// assert_eq!(clock(elsewhere.instant(), &zone_of(elsewhere, here)), "03:30");
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
pub fn zone_of(time: Time, place: TimeZone) -> TimeZone {
    if place.to_offset(time.instant()) == time.offset() {
        place
    } else {
        time.offset().to_time_zone()
    }
}

/// Hours and minutes. A time that the clock shows twice, because it is set back, has its offset
/// beside it.
///
/// ```
/// # use crossread_print::clock;
/// # use jiff::tz::TimeZone;
/// let here = TimeZone::posix("CET-1CEST,M3.5.0,M10.5.0/3")?;
/// assert_eq!(clock("2026-03-14T02:30:00Z".parse()?, &here), "03:30");
/// // In the night in which the clock is set back.
/// assert_eq!(clock("2026-10-25T00:30:00Z".parse()?, &here), "02:30 (+02:00)");
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
pub fn clock(at: Timestamp, zone: &TimeZone) -> String {
    shown(at, zone, "%H:%M")
}

/// Day, hours and minutes, as [`clock`].
///
/// ```
/// # use crossread_print::day_and_clock;
/// # use jiff::tz::TimeZone;
/// let here = TimeZone::posix("CET-1CEST,M3.5.0,M10.5.0/3")?;
/// assert_eq!(day_and_clock("2026-03-14T23:30:00Z".parse()?, &here), "2026-03-15 00:30");
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
pub fn day_and_clock(at: Timestamp, zone: &TimeZone) -> String {
    shown(at, zone, "%Y-%m-%d %H:%M")
}

/// Times in order, as [`clock`]; the first one of every later day has its day before it.
///
/// ```
/// # use crossread_print::clocks;
/// # use jiff::tz::TimeZone;
/// let here = TimeZone::posix("CET-1CEST,M3.5.0,M10.5.0/3")?;
/// let looks = ["2026-03-14T22:45:00Z".parse()?, "2026-03-14T23:00:00Z".parse()?];
/// assert_eq!(clocks(&looks, &here), ["23:45", "2026-03-15 00:00"]);
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
pub fn clocks(times: &[Timestamp], zone: &TimeZone) -> Vec<String> {
    let mut day = times.first().map(|at| local(*at, zone).date());
    let each = times.iter().map(|at| {
        let is_new = day.replace(local(*at, zone).date()) != day;
        if is_new { day_and_clock(*at, zone) } else { clock(*at, zone) }
    });
    each.collect()
}

fn local(at: Timestamp, zone: &TimeZone) -> ZonedDateTime {
    at.to_zoned_datetime(zone.clone())
}

fn shown(at: Timestamp, zone: &TimeZone, format: &str) -> String {
    let local = local(at, zone);
    let twice = zone.to_ambiguous_timestamp(local.datetime()).is_ambiguous();
    let text = local.strftime(format).to_string();
    if twice { format!("{text} ({})", local.strftime("%:z")) } else { text }
}

#[cfg(test)]
mod tests {
    use crossread_core::document::Time;
    use jiff::tz::TimeZone;

    use super::{clock, clocks, day_and_clock, zone_of};

    /// Central European time (European Union, directive 2000/84/EC: forward on the last Sunday of
    /// March, back on the last of October, at 01:00 UTC).
    fn europe() -> TimeZone {
        TimeZone::posix("CET-1CEST,M3.5.0,M10.5.0/3").unwrap()
    }

    fn at(text: &str) -> jiff::Timestamp {
        Time::new(text).unwrap().instant()
    }

    #[test]
    fn a_time_that_comes_twice_is_told_apart() {
        let zone = europe();
        let times = ["00:30", "00:45", "01:00", "01:30", "02:00"]
            .map(|utc| at(&format!("2026-10-25T{utc}:00Z")));
        assert_eq!(
            clocks(&times, &zone),
            ["02:30 (+02:00)", "02:45 (+02:00)", "02:00 (+01:00)", "02:30 (+01:00)", "03:00"]
        );
        assert_eq!(clock(at("2026-03-29T01:00:00Z"), &zone), "03:00");
        assert_eq!(day_and_clock(times[0], &zone), "2026-10-25 02:30 (+02:00)");
    }

    #[test]
    fn a_new_day_is_named_once() {
        let times = ["03-01T22:45", "03-01T23:00", "03-01T23:15", "03-02T23:15"]
            .map(|utc| at(&format!("2026-{utc}:00Z")));
        assert_eq!(
            clocks(&times, &europe()),
            ["23:45", "2026-03-02 00:00", "00:15", "2026-03-03 00:15"]
        );
    }

    #[test]
    fn a_time_of_another_clock_keeps_it() {
        let here = Time::new("2026-03-01T03:00:00+01:00").unwrap();
        assert_eq!(zone_of(here, europe()), europe());
        let there = Time::new("2026-03-01T03:00:00-05:00").unwrap();
        assert_eq!(clock(there.instant(), &zone_of(there, europe())), "03:00");
    }
}
