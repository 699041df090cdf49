//! A class over time.

use super::svg::{Anchor, Drawing, LABEL, NOTE, real, shorten, shown, widest};
use crate::statistics::{Figure, Interval, Undefined};

const STEP: f64 = 92.0;
const LEFT: f64 = 84.0;
const TOP: f64 = 56.0;
const TALL: f64 = 280.0;
const NOTES: [&str; 2] = ["Strokes: interval. Hollow: under 30 cases", "A broken line: no value"];

/// A figure at one time.
#[derive(Clone, Debug, PartialEq)]
#[expect(clippy::exhaustive_structs, reason = "what is drawn, given by the caller")]
pub struct Point {
    /// When: what stands below the plot.
    pub when: String,
    /// The figure, with its cases.
    pub figure: Figure,
    /// Its interval, if it has one.
    pub interval: Result<Interval, Undefined>,
}

/// What is followed over time: a class or a reader. All series have the same times.
#[derive(Clone, Debug, PartialEq)]
#[expect(clippy::exhaustive_structs, reason = "what is drawn, given by the caller")]
pub struct Series {
    /// The name, set at the end of its line.
    pub name: String,
    /// The figures, earliest first.
    pub points: Vec<Point>,
}

/// Figures from −1 to 1 over time, each series with its own mark and line, and intervals as
/// strokes. Where a figure has no value its line is broken.
///
/// There are six marks: more than six series can be told apart by their names only.
///
/// ```
/// # use crossread_teach::statistics::*;
/// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
/// let (anna, ben) = ([0, 0, 1, 2, 4], [0, 0, 1, 2, 3]);
/// let panel = Panel::by_reader(&scale, &[anna.map(Some), ben.map(Some)])?;
/// # use crossread_teach::statistics::plot::{Point, Series, over_time};
/// let at = |when: &str| Point {
///     when: when.to_owned(),
///     figure: alpha(&panel, Metric::Ordinal),
///     interval: Err(Undefined::NoCases),
/// };
/// let class = Series { name: "class of 2026".to_owned(), points: vec![at("spring"), at("fall")] };
/// let svg = over_time(&[class], "Grades", "alpha");
/// assert!(svg.contains("class of 2026") && svg.contains("spring"));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
pub fn over_time(series: &[Series], title: &str, figure: &str) -> String {
    let times: Vec<&str> = series
        .iter()
        .max_by_key(|series| series.points.len())
        .map(|longest| longest.points.iter().map(|point| point.when.as_str()).collect())
        .unwrap_or_default();
    let lowest = series
        .iter()
        .flat_map(|series| &series.points)
        .flat_map(|point| [point.figure.value, point.interval.map(|interval| interval.low)])
        .flatten()
        .fold(0.0, f64::min)
        .max(-1.0);
    let floor = (lowest * 5.0).floor() / 5.0;
    let right = LEFT + STEP * real(times.len());
    let names = widest(series.iter().map(|series| series.name.as_str()), LABEL, 200.0);
    let notes = LEFT + 12.0 + widest(NOTES.into_iter(), NOTE, f64::MAX);
    let height = (TOP + TALL + 84.0).max(TOP + 40.0 + 18.0 * real(series.len()));
    let width = (right + 30.0 + names).max(notes);
    let mut drawing = Drawing::new(width, height, title, describe(series, figure));
    let y = |value: f64| TOP + (1.0 - value.clamp(-1.0, 1.0)) / (1.0 - floor) * TALL;

    let mut level = 1.0;
    while level > floor - 0.1 {
        let (from, to) = ((LEFT, y(level)), (right, y(level)));
        if level.abs() < 0.05 {
            drawing.zero(from, to);
        } else {
            drawing.thin(from, to, "1 3");
        }
        drawing.label(LEFT - 8.0, y(level) + 5.0, Anchor::End, &shown(level, 1));
        level -= 0.2;
    }
    drawing.upward(26.0, TOP + TALL / 2.0, Anchor::Middle, &shorten(figure, TALL, LABEL));
    for (when, place) in times.iter().zip(0_usize..) {
        let x = LEFT + STEP * (real(place) + 0.5);
        let when = shorten(when, STEP - 6.0, NOTE);
        drawing.aside(x, TOP + TALL + 22.0, Anchor::Middle, &when);
    }
    let count = real(series.len());
    let mut ends = Vec::new();
    for (one, place) in series.iter().zip(0_usize..) {
        // Series stand a little beside each other, so that their intervals can be told apart.
        let aside = (real(place) - (count - 1.0) / 2.0) * (60.0 / count).min(14.0);
        let x = |place: usize| LEFT + STEP * (real(place) + 0.5) + aside;
        let look = Look::of(place);
        drawing.open(&one.name);
        join(&mut drawing, one, look, &x, &y);
        let last = mark(&mut drawing, one, look, &x, &y);
        drawing.close();
        if let Some(at) = last {
            ends.push((at, look, &one.name));
        }
    }
    // Names that would lie on each other move down.
    ends.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut free = TOP;
    for (at, look, name) in ends {
        let at = at.max(free);
        free = at + 18.0;
        look.draw(&mut drawing, (right + 8.0, at), true);
        drawing.label(right + 20.0, at + 5.0, Anchor::Start, &shorten(name, 200.0, LABEL));
    }
    for (note, line) in NOTES.iter().zip(0_u8..) {
        drawing.note(LEFT, TOP + TALL + 48.0 + 20.0 * f64::from(line), note);
    }
    drawing.finish()
}

/// Draws the line through the figures, broken where there is none.
fn join(
    drawing: &mut Drawing,
    series: &Series,
    look: Look,
    x: &impl Fn(usize) -> f64,
    y: &impl Fn(f64) -> f64,
) {
    let mut before = None;
    for (point, place) in series.points.iter().zip(0_usize..) {
        let at = point.figure.value.ok().map(|value| (x(place), y(value)));
        if let (Some(from), Some(to)) = (before, at) {
            drawing.figure(from, to, look.dash());
        }
        before = at;
    }
}

/// Draws the figures with their intervals; gives the height of the last of them.
fn mark(
    drawing: &mut Drawing,
    series: &Series,
    look: Look,
    x: &impl Fn(usize) -> f64,
    y: &impl Fn(f64) -> f64,
) -> Option<f64> {
    let mut last = None;
    for (point, place) in series.points.iter().zip(0_usize..) {
        let Ok(value) = point.figure.value else { continue };
        let x = x(place);
        drawing.open(&told(point));
        if let Ok(interval) = point.interval {
            let (low, high) = (y(interval.low), y(interval.high));
            drawing.thin((x, low), (x, high), "");
            for end in [low, high] {
                drawing.thin((x - 5.0, end), (x + 5.0, end), "");
            }
        }
        look.draw(drawing, (x, y(value)), !point.figure.cases.few());
        drawing.close();
        last = Some(y(value));
    }
    last
}

/// The mark and line of a series; told apart without color.
#[derive(Clone, Copy)]
enum Look {
    Circle,
    Square,
    Triangle,
    Diamond,
    Hourglass,
    Wedge,
}

impl Look {
    fn of(place: usize) -> Self {
        match place.checked_rem(6) {
            Some(1) => Self::Square,
            Some(2) => Self::Triangle,
            Some(3) => Self::Diamond,
            Some(4) => Self::Hourglass,
            Some(5) => Self::Wedge,
            Some(_) | None => Self::Circle,
        }
    }

    fn dash(self) -> &'static str {
        match self {
            Self::Circle => "",
            Self::Square => "8 4",
            Self::Triangle => "2 4",
            Self::Diamond => "10 3 2 3",
            Self::Hourglass => "14 4",
            Self::Wedge => "6 2 2 2 2 2",
        }
    }

    fn draw(self, drawing: &mut Drawing, (x, y): (f64, f64), filled: bool) {
        let corners: &[(f64, f64)] = match self {
            Self::Circle => return drawing.circle((x, y), 5.5, filled),
            Self::Square => &[(-5.0, -5.0), (5.0, -5.0), (5.0, 5.0), (-5.0, 5.0)],
            Self::Triangle => &[(0.0, -6.0), (6.0, 4.5), (-6.0, 4.5)],
            Self::Diamond => &[(0.0, -6.5), (6.5, 0.0), (0.0, 6.5), (-6.5, 0.0)],
            Self::Hourglass => &[(-5.5, -5.5), (5.5, -5.5), (-5.5, 5.5), (5.5, 5.5)],
            Self::Wedge => &[(0.0, 6.0), (6.0, -4.5), (-6.0, -4.5)],
        };
        let corners: Vec<(f64, f64)> = corners.iter().map(|(dx, dy)| (x + dx, y + dy)).collect();
        drawing.outline(&corners, filled);
    }
}

fn told(point: &Point) -> String {
    let (when, cases) = (&point.when, point.figure.cases);
    match (point.figure.value, point.interval) {
        (Ok(value), Ok(i)) => {
            let (low, high) = (shown(i.low, 2), shown(i.high, 2));
            format!("{when}: {} ({low} to {high}), {cases}", shown(value, 2))
        }
        (Ok(value), Err(why)) => {
            format!("{when}: {}, {cases}, no interval: {why}", shown(value, 2))
        }
        (Err(why), _) => format!("{when}: none, {cases}, {why}"),
    }
}

fn describe(series: &[Series], figure: &str) -> String {
    let mut text = format!("{figure} over time.");
    for one in series {
        let points: Vec<String> = one.points.iter().map(told).collect();
        text.push_str(&format!(" {}: {}.", one.name, points.join("; ")));
    }
    text
}
