//! Agreement statistics against papers, other libraries, plain definitions and edge cases.
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::float_arithmetic,
    clippy::arithmetic_side_effects,
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    clippy::cast_precision_loss,
    clippy::cast_sign_loss,
    clippy::naive_bytecount,
    clippy::similar_names,
    clippy::string_slice,
    reason = "a helper of a test may fail the test"
)]

mod bench;
mod definitions;
mod faults;
mod libraries;
mod plots;
mod published;
mod resampling;
mod undefined;

use crossread_teach::statistics::{Interval, Panel, Scale, Table, Value};
use serde_json::Value as Json;

/// The grades of the exercises.
const GRADES: [&str; 6] = ["0", "w", "1+", "2+", "3+", "4+"];

fn grades() -> Scale {
    Scale::new(GRADES).unwrap()
}

/// A scale of so many grades without meaning.
fn scale(grades: usize) -> Scale {
    Scale::new((0..grades).map(|grade| grade.to_string())).unwrap()
}

fn table(rows: &[&[u32]]) -> Table {
    Table::new(&scale(rows.len()), rows).unwrap()
}

fn data(file: &str) -> Json {
    let path = format!("{}/tests/data/{file}", env!("CARGO_MANIFEST_DIR"));
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

fn rows(json: &Json) -> Vec<Vec<u32>> {
    serde_json::from_value(json.clone()).unwrap()
}

fn table_of(json: &Json) -> Table {
    let rows = rows(json);
    Table::new(&scale(rows.len()), &rows).unwrap()
}

/// A panel of items whose grades are the places in `categories`.
fn panel_of(items: &Json, categories: &Json) -> Panel {
    let categories: Vec<u8> = serde_json::from_value(categories.clone()).unwrap();
    let items: Vec<Vec<Option<u8>>> = serde_json::from_value(items.clone()).unwrap();
    let place = |grade: u8| categories.iter().position(|c| *c == grade).unwrap() as u8;
    let items: Vec<Vec<Option<u8>>> =
        items.iter().map(|item| item.iter().map(|g| g.map(place)).collect()).collect();
    Panel::by_item(&scale(categories.len()), &items).unwrap()
}

/// Equal to 1e-10, or both without value.
#[track_caller]
fn same(value: Value, expected: &Json, what: &str) {
    same_to(value, expected, 1e-10, what);
}

#[track_caller]
fn same_to(value: Value, expected: &Json, tolerance: f64, what: &str) {
    match (value, expected.as_f64()) {
        (Ok(value), Some(expected)) => {
            assert!((value - expected).abs() <= tolerance, "{what}: {value}, expected {expected}");
        }
        (Err(_), None) => assert!(expected.is_null(), "{what}: nothing to compare with"),
        (value, _) => panic!("{what}: {value:?}, expected {expected}"),
    }
}

#[track_caller]
fn same_ends(interval: Interval, expected: &Json, tolerance: f64, what: &str) {
    same_to(Ok(interval.low), &expected[0], tolerance, what);
    same_to(Ok(interval.high), &expected[1], tolerance, what);
}

/// Whether a value rounds to what was printed, in either way of rounding a half.
#[track_caller]
fn prints(value: f64, printed: &str) {
    let decimals = printed.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    let half = 0.5 * 0.1_f64.powi(i32::try_from(decimals).unwrap()) + 1e-12;
    let expected: f64 = printed.parse().unwrap();
    assert!((value - expected).abs() <= half, "{value}, printed {printed}");
}
