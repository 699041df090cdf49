//! Bias at each grade of the key, with intervals.

use super::svg::{Anchor, Drawing, LABEL, real, shorten, shown};
use crate::statistics::{Bias, Mean};

const STEP: f64 = 84.0;
const LEFT: f64 = 92.0;
const TOP: f64 = 56.0;
const TALL: f64 = 260.0;

/// Bias at each grade of the key and in all: a point at the mean of reading − key, a line for its
/// interval. A point without interval is hollow; an interval that runs out of the plot ends in an
/// arrow.
///
/// ```
/// # use crossread_teach::statistics::*;
/// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
/// let key = [0, 0, 1, 2, 3, 4, 4].map(Some);
/// let read = [Some(0), Some(0), Some(0), Some(2), Some(4), Some(4), None];
/// let pairs = Pairs::new(&scale, &key, &read)?;
/// let table = pairs.table();
/// # use crossread_teach::statistics::plot;
/// let svg = plot::bias(&table.bias(Confidence::P95), "anna, set EX-1");
/// assert!(svg.starts_with("<svg ") && svg.contains("anna, set EX-1"));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
pub fn bias(bias: &Bias, title: &str) -> String {
    let columns: Vec<(&str, &Mean)> = bias
        .by_grade
        .iter()
        .map(|grade| (grade.name.as_str(), &grade.mean))
        .chain([("all", &bias.overall)])
        .collect();
    let (step, lines) = axis(bias, &columns);
    let reach = step * lines;
    let right = LEFT + STEP * real(columns.len());
    let width = (right + 24.0).max(520.0);
    let mut drawing = Drawing::new(width, TOP + TALL + 92.0, title, describe(bias));
    let y = |value: f64| TOP + TALL / 2.0 - value / reach * (TALL / 2.0 - 10.0);
    let mut level = -lines;
    while level <= lines {
        let value = level * step;
        let (from, to) = ((LEFT, y(value)), (right, y(value)));
        if level.abs() < 0.5 {
            drawing.zero(from, to);
        } else {
            drawing.thin(from, to, "1 3");
        }
        let sign = if level > 0.5 { "+" } else { "" };
        let text = format!("{sign}{}", shown(value, usize::from(step < 1.0)));
        drawing.label(LEFT - 8.0, y(value) + 5.0, Anchor::End, &text);
        level += 1.0;
    }
    drawing.upward(24.0, TOP + TALL / 2.0, Anchor::Middle, "Grades too low (−) or too high (+)");
    for ((name, mean), place) in columns.iter().zip(0_u8..) {
        let x = LEFT + STEP * (f64::from(place) + 0.5);
        drawing.open(&format!("{name}: {}", told(mean)));
        if let Ok(interval) = mean.interval {
            let (low, high) = (interval.low.max(-reach), interval.high.min(reach));
            drawing.figure((x, y(low)), (x, y(high)), "");
            end(&mut drawing, x, y(low), if interval.low < -reach { 8.0 } else { 0.0 });
            end(&mut drawing, x, y(high), if interval.high > reach { -8.0 } else { 0.0 });
        }
        match mean.value {
            Ok(value) => drawing.circle((x, y(value)), 6.0, mean.interval.is_ok()),
            Err(_) => drawing.aside(x, y(0.0) - 8.0, Anchor::Middle, "none"),
        }
        let bottom = TOP + TALL;
        drawing.label(x, bottom + 20.0, Anchor::Middle, &shorten(name, STEP, LABEL));
        let n = format!("n {}", mean.cases.count());
        drawing.aside(x, bottom + 38.0, Anchor::Middle, &n);
        drawing.close();
    }
    let split = right - STEP;
    drawing.thin((split, TOP), (split, TOP + TALL + 40.0), "4 4");
    let middle = f64::midpoint(LEFT, split);
    drawing.label(middle, TOP + TALL + 60.0, Anchor::Middle, "Grade of the key");
    let percent = columns.iter().find_map(|(_, mean)| Some(mean.interval.ok()?.confidence));
    let note = match percent {
        Some(confidence) => {
            format!("Lines: {} % interval. Hollow: none can be given", confidence.as_percent())
        }
        None => "Hollow: no interval can be given".to_owned(),
    };
    drawing.note(LEFT, TOP + TALL + 82.0, &note);
    drawing.finish()
}

/// How far apart the lines are, in grades, and how many there are to each side of 0.
fn axis(bias: &Bias, columns: &[(&str, &Mean)]) -> (f64, f64) {
    // No reading is off by more than the scale is long, whatever an interval of few readings says.
    let most = real(bias.by_grade.len().saturating_sub(1));
    let reach = columns
        .iter()
        .map(|(_, mean)| {
            let ends = mean.interval.map_or(0.0, |i| i.low.abs().max(i.high.abs()));
            mean.value.map_or(0.0, f64::abs).max(ends)
        })
        .fold(0.5, f64::max)
        .min(most);
    let step = if reach > 2.0 { 1.0 } else { 0.5 };
    (step, (reach / step).ceil())
}

/// The end of an interval: a stroke, or an arrow that points so far on.
fn end(drawing: &mut Drawing, x: f64, y: f64, arrow: f64) {
    if arrow.abs() > 0.0 {
        drawing.outline(&[(x - 6.0, y), (x + 6.0, y), (x, y + arrow)], true);
    } else {
        drawing.figure((x - 7.0, y), (x + 7.0, y), "");
    }
}

fn told(mean: &Mean) -> String {
    let n = mean.cases.count();
    match (mean.value, mean.interval) {
        (Ok(value), Ok(i)) => {
            format!("{} ({} to {}), n {n}", shown(value, 2), shown(i.low, 2), shown(i.high, 2))
        }
        (Ok(value), Err(why)) => format!("{}, n {n}, no interval: {why}", shown(value, 2)),
        (Err(why), _) => format!("no mean: {why}"),
    }
}

fn describe(bias: &Bias) -> String {
    let mut text =
        format!("Mean of reading minus key, in grades. In all: {}.", told(&bias.overall));
    for grade in &bias.by_grade {
        text.push_str(&format!(" {}: {}.", grade.name, told(&grade.mean)));
    }
    text
}
