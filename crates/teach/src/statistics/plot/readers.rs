//! Reader against reader.

use super::svg::{Anchor, Drawing, LABEL, NOTE, on_shade, real, shade, shorten, shown, widest};
use crate::statistics::{Panel, Value, Weighting, kappa_value};

const CELL: f64 = 54.0;
const TOP: f64 = 56.0;

/// Cohen's kappa of every two readers, the darker the nearer to 1. A dash stands where it has no
/// value; values below 0 are white. A reader without a name is called by number.
///
/// ```
/// # use crossread_teach::statistics::*;
/// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
/// let (anna, ben) = ([0, 0, 1, 2, 4], [0, 0, 1, 2, 3]);
/// let panel = Panel::by_reader(&scale, &[anna.map(Some), ben.map(Some)])?;
/// # use crossread_teach::statistics::plot;
/// let svg = plot::readers(&panel, &["anna", ""], &Weighting::Quadratic, "Set EX-1");
/// assert!(svg.contains("anna") && svg.contains("reader 2"));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
pub fn readers(panel: &Panel, names: &[&str], weighting: &Weighting, title: &str) -> String {
    let names: Vec<String> = (0..panel.readers())
        .map(|reader| match names.get(reader) {
            Some(name) if !name.trim().is_empty() => (*name).to_owned(),
            Some(_) | None => format!("reader {}", reader.saturating_add(1)),
        })
        .collect();
    let kind = match weighting {
        Weighting::Unweighted => "unweighted",
        Weighting::Linear => "linear weights",
        Weighting::Quadratic => "quadratic weights",
        Weighting::Given(_) => "given weights",
    };
    let notes = [format!("Cohen's kappa, {kind}"), "Darker: nearer to 1. –: no value".to_owned()];
    let pairs = pairs(panel, &names, weighting);
    let told: Vec<&str> = pairs.iter().map(|pair| pair.told.as_str()).collect();
    let description = format!("Cohen's kappa of every two readers, {kind}. {}", told.join(". "));

    let left = 24.0 + widest(names.iter().map(String::as_str), LABEL, 180.0);
    let side = CELL * real(names.len());
    let wide = widest(notes.iter().map(String::as_str), NOTE, f64::MAX);
    let (width, height) = (24.0 + (left + side).max(24.0 + wide), TOP + side + 76.0);
    let mut drawing = Drawing::new(width, height, title, description);
    for pair in &pairs {
        let corner = (left + CELL * real(pair.column), TOP + CELL * real(pair.row));
        cell(&mut drawing, corner, pair);
    }
    for (name, place) in names.iter().zip(0_usize..) {
        let at = CELL * real(place);
        let middle = TOP + at + CELL / 2.0 + 5.0;
        // The first reader has no row and the last no column; a column's name stands above it.
        if place > 0 {
            drawing.label(left - 10.0, middle, Anchor::End, &shorten(name, 180.0, LABEL));
        }
        if place.saturating_add(1) < names.len() {
            let name = shorten(name, side - at - 12.0, LABEL);
            drawing.label(left + at + 6.0, middle, Anchor::Start, &name);
        }
    }
    for (note, line) in notes.iter().zip(0_u8..) {
        drawing.note(24.0, TOP + side + 32.0 + 22.0 * f64::from(line), note);
    }
    drawing.finish()
}

/// Two readers; the row is the later one.
struct Pair {
    row: usize,
    column: usize,
    value: Value,
    told: String,
}

fn pairs(panel: &Panel, names: &[String], weighting: &Weighting) -> Vec<Pair> {
    let mut pairs = Vec::new();
    for (name, row) in names.iter().zip(0_usize..) {
        for (other, column) in names.iter().zip(0_usize..).take(row) {
            let table = panel.pairs(column, row).table();
            let value = kappa_value(&table, weighting);
            let n = table.cases().count();
            let told = match value {
                Ok(value) => format!("{other} and {name}: {}, n {n}", shown(value, 2)),
                Err(why) => format!("{other} and {name}: none, n {n}, {why}"),
            };
            pairs.push(Pair { row, column, value, told });
        }
    }
    pairs
}

fn cell(drawing: &mut Drawing, (x, y): (f64, f64), pair: &Pair) {
    drawing.open(&pair.told);
    let share = pair.value.unwrap_or_default().max(0.0);
    drawing.rectangle((x, y), (CELL, CELL), &shade(share), Some(0.5));
    let at = (x + CELL / 2.0, y + CELL / 2.0 + 5.0);
    let text = pair.value.map_or_else(|_| "–".to_owned(), |value| shown(value, 2));
    drawing.text(at, LABEL, Anchor::Middle, on_shade(share), &text);
    drawing.close();
}
