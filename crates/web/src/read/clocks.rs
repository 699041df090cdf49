//! The clocks of a run: incubation and the window for reading, as times of the day.

use crossread_core::document::Time;
use crossread_core::words::{Method, Phase, Test};
use crossread_journal::{Cell, Step};
use jiff::{SignedDuration, Timestamp};
use maud::{Markup, html};

use super::table::Table;

/// A moment that a clock shows, and the one that the page counts down to.
fn at(moment: Timestamp, like: Time) -> Markup {
    let shown =
        moment.to_zoned_datetime(like.offset().to_time_zone()).strftime("%H:%M:%S").to_string();
    html! { time.due data-due=(moment.as_millisecond()) { (shown) } }
}

fn later(from: Time, seconds: u32) -> Option<Timestamp> {
    from.instant().checked_add(SignedDuration::from_secs(i64::from(seconds))).ok()
}

/// The clocks of every phase that the table shows.
pub(crate) fn clocks(table: &Table, now: Time) -> Markup {
    html! {
        ul.clocks { @for (phase, _) in &table.columns { (clock(table, *phase, now)) } }
    }
}

fn clock(table: &Table, phase: Phase, now: Time) -> Markup {
    let rules = table.protocol.method(table.method());
    let any = Cell::new(Test::RecipientAuto, None, phase);
    let started = table.sheet.step_before(&any, &[Step::IncubationStarted], now);
    let ended = table.sheet.step_before(&any, &[Step::Spun, Step::Mixed], now);
    let running = started
        .filter(|started| ended.is_none_or(|ended| ended.at.instant() < started.at.instant()));
    let minutes = rules.and_then(|rules| rules.incubation(phase));
    let window = rules.and_then(crossread_core::protocol::MethodRules::reading_window);
    let late = rules.and_then(crossread_core::protocol::MethodRules::late_after);
    let last = match table.method() {
        Method::Slide => (Step::Mixed, "Mixed now"),
        Method::Tube | Method::Gel => (Step::Spun, "Spun now"),
    };
    let button = |step: Step, said: &str| {
        let word: &'static str = step.into();
        html! { button name="step" value=(format!("{word}|{phase}")) { (said) } }
    };
    html! {
        li {
            strong { (phase_name(phase)) } ": "
            @if let Some(started) = running {
                "incubating since " (clock_of(started.at)) ". "
                @if let Some((lo, hi)) = minutes {
                    @if let Some(from) = later(started.at, lo.saturating_mul(60)) {
                        span.wait { "Not before " (at(from, started.at)) } " "
                    }
                    @if let Some(to) = later(started.at, hi.saturating_mul(60)) {
                        span.limit { "not after " (at(to, started.at)) } ". "
                    }
                }
            }
            @if let Some(ended) = ended {
                @if running.is_none() {
                    @let step: &'static str = ended.value.step.into();
                    (step) " " (clock_of(ended.at)) ". "
                    @if let Some((lo, hi)) = window {
                        @if let Some(from) = later(ended.at, lo) {
                            span.wait { "Read from " (at(from, ended.at)) } " "
                        }
                        @if let Some(to) = later(ended.at, hi) {
                            span.limit { "until " (at(to, ended.at)) } ". "
                        }
                    } @else if let Some(late) = late {
                        @if let Some(to) = later(ended.at, late) {
                            span.limit { "Read until " (at(to, ended.at)) } ". "
                        }
                    }
                }
            }
            @if running.is_none() && ended.is_none() { "no clock runs. " }
            @if table.method() != Method::Slide {
                (button(Step::IncubationStarted, "Incubation starts now")) " "
            }
            (button(last.0, last.1))
        }
    }
}

/// A clock time to the second.
pub(crate) fn clock_of(time: Time) -> String {
    let text = time.to_string();
    let clock = text.split_once('T').map_or("", |(_, rest)| rest);
    clock.get(..8).unwrap_or(clock).to_owned()
}

/// The name of a phase as a heading.
pub(crate) fn phase_name(phase: Phase) -> &'static str {
    match phase {
        Phase::Room => "Room temperature",
        Phase::Warm37c => "37 °C",
        Phase::Antiglobulin => "Antiglobulin",
        Phase::Cold4c => "4 °C",
    }
}
