//! The confusion matrix.

use super::svg::{Anchor, Drawing, LABEL, NOTE, fitting, on_shade, real, shade, shorten, widest};
use crate::statistics::{Cut, Table};

const CELL: f64 = 54.0;
const SAME: &str = "Framed: the same grade. Darker: more of the row";
const NOTES: [&str; 3] = [
    SAME,
    "Hatched: missed, positive called negative",
    "Dotted: false alarm, negative called positive",
];

/// The confusion matrix: rows are the key or the first reading, columns the reading.
///
/// Cells are the darker the larger their share of the row. With a cut, cells that miss an
/// incompatibility are hatched and cells that raise a false alarm dotted, and heavy lines part
/// negative from positive.
///
/// ```
/// # use crossread_teach::statistics::*;
/// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
/// let key = [0, 0, 1, 2, 3, 4, 4].map(Some);
/// let read = [Some(0), Some(0), Some(0), Some(2), Some(4), Some(4), None];
/// let pairs = Pairs::new(&scale, &key, &read)?;
/// let table = pairs.table();
/// # use crossread_teach::statistics::plot;
/// let plain = plot::confusion(&table, "anna", "key", "answer", None);
/// let parted = plot::confusion(&table, "anna", "key", "answer", Some(scale.cut(1)?));
/// // Only a cut tells what is missed.
/// assert!(!plain.contains("Hatched") && parted.contains("Hatched"));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
pub fn confusion(
    table: &Table,
    title: &str,
    rows: &str,
    columns: &str,
    cut: Option<Cut>,
) -> String {
    let names: Vec<&str> = table.scale().names().collect();
    let longest = widest(names.iter().copied(), LABEL, 120.0);
    let upward = longest > CELL;
    let (left, top) = (64.0 + longest, if upward { 82.0 + longest } else { 92.0 });
    let side = CELL * real(names.len());
    let notes: &[&str] = if cut.is_some() { &NOTES } else { &[SAME] };
    let width = left + (side + 92.0).max(widest(notes.iter().copied(), NOTE, f64::MAX) + 12.0);
    let height = top + side + 22.0 + 22.0 * real(notes.len());

    let mut drawing = Drawing::new(width, height, title, describe(table, rows, columns, cut));
    let (middle, end) = (left + side / 2.0, left + side + 48.0);
    drawing.label(middle, 56.0, Anchor::Middle, &shorten(columns, side + 60.0, LABEL));
    drawing.upward(26.0, top + side / 2.0, Anchor::Middle, &shorten(rows, side, LABEL));
    drawing.aside(end, top - 10.0, Anchor::Middle, "all");
    for (name, place) in names.iter().zip(0_u8..) {
        let middle = CELL * (f64::from(place) + 0.5);
        let name = shorten(name, 120.0, LABEL);
        if upward {
            drawing.upward(left + middle + 5.0, top - 10.0, Anchor::Start, &name);
        } else {
            drawing.label(left + middle, top - 10.0, Anchor::Middle, &name);
        }
        drawing.label(left - 10.0, top + middle + 5.0, Anchor::End, &name);
    }
    for (counts, key) in table.rows().zip(0_u8..) {
        // No sum is over all cases, which a u32 holds.
        let all = counts.iter().fold(0_u32, |sum, count| sum.saturating_add(*count));
        let y = top + CELL * f64::from(key);
        drawing.aside(end, y + CELL / 2.0 + 5.0, Anchor::Middle, &all.to_string());
        for (&count, read) in counts.iter().zip(0_u8..) {
            let name = |grade: u8| table.scale().name(grade).unwrap_or_default();
            drawing.open(&format!("{}, then {}: {count} of {all}", name(key), name(read)));
            let share = if count == 0 { 0.0 } else { f64::from(count) / f64::from(all) };
            let turned = match cut {
                Some(cut) if cut.positive(key) && !cut.positive(read) => Turned::Missed,
                Some(cut) if !cut.positive(key) && cut.positive(read) => Turned::FalseAlarm,
                Some(_) | None => Turned::Not,
            };
            cell(&mut drawing, (left + CELL * f64::from(read), y), count, share, turned);
            drawing.close();
        }
    }
    for place in 0..=table.scale().last() {
        let at = CELL * f64::from(place) + 1.5;
        let inner = (CELL - 3.0, CELL - 3.0);
        drawing.rectangle((left + at, top + at), inner, "none", Some(2.0));
    }
    if let Some(cut) = cut {
        let at = CELL * f64::from(cut.first_positive());
        drawing.heavy((left - 34.0, top + at), (left + side, top + at));
        drawing.heavy((left + at, top - 26.0), (left + at, top + side));
    }
    for (note, place) in notes.iter().zip(1_u8..) {
        drawing.note(left, top + side + 22.0 * f64::from(place), note);
    }
    drawing.finish()
}

/// Whether a cell turns a decision around.
#[derive(Clone, Copy)]
enum Turned {
    Not,
    Missed,
    FalseAlarm,
}

fn cell(drawing: &mut Drawing, (x, y): (f64, f64), count: u32, share: f64, turned: Turned) {
    drawing.rectangle((x, y), (CELL, CELL), &shade(share), Some(0.5));
    match turned {
        Turned::Not => {}
        Turned::Missed => {
            for step in 1_u8..9 {
                let at = CELL / 4.5 * f64::from(step);
                let (start, end) = (at.min(CELL), (at - CELL).max(0.0));
                drawing.thin((x + end, y + start), (x + start, y + end), "");
            }
        }
        Turned::FalseAlarm => {
            for step in 1_u8..6 {
                let at = y + CELL / 6.0 * f64::from(step);
                drawing.thin((x + 4.5, at), (x + CELL - 3.0, at), "2 7");
            }
        }
    }
    if count == 0 {
        return;
    }
    let count = count.to_string();
    match turned {
        Turned::Not => {}
        // So that the marks do not run through the number.
        Turned::Missed | Turned::FalseAlarm => {
            let (corner, size) = ((x + 5.0, y + 16.0), (CELL - 10.0, 22.0));
            drawing.rectangle(corner, size, &shade(share), None);
        }
    }
    let high = fitting(&count, CELL - 8.0, LABEL + 1.0);
    let at = (x + CELL / 2.0, y + CELL / 2.0 + 5.0);
    drawing.text(at, high, Anchor::Middle, on_shade(share), &count);
}

fn describe(table: &Table, rows: &str, columns: &str, cut: Option<Cut>) -> String {
    let same = table.sum(|first, second| first == second);
    let mut text =
        format!("Rows: {rows}. Columns: {columns}. {}. The same grade: {same}.", table.cases());
    if let Some(cut) = cut {
        let sides = table.sides(cut);
        let first = table.scale().name(cut.first_positive()).unwrap_or_default();
        let of = |key: u8| sides.count(key, 0).saturating_add(sides.count(key, 1));
        text.push_str(&format!(
            " Positive from {first}. Missed: {} of {}. False alarms: {} of {}.",
            sides.count(1, 0),
            of(1),
            sides.count(0, 1),
            of(0),
        ));
    }
    text
}
