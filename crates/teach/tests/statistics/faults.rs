//! What is handed in wrongly is named, all of it, with its place.

use crossread_teach::statistics::{
    Answers, Bootstrap, ClassReport, Confidence, Disagreements, Faults, MOST_GRADES, Pairs, Panel,
    Repeats, Scale, Table,
};

use super::{grades, scale};

#[track_caller]
fn says<T: std::fmt::Debug>(result: Result<T, Faults>, lines: &[&str]) {
    let faults = result.unwrap_err();
    assert_eq!(faults.iter().count(), lines.len(), "{faults}");
    for (fault, line) in faults.to_string().lines().zip(lines) {
        assert!(fault.starts_with(line), "{fault:?} does not begin with {line:?}");
        assert!(fault.contains(';'), "{fault:?} has no hint");
    }
}

#[test]
fn scales() {
    says(Scale::new(["0", "", "0"]), &["grade 2: expected a name", "grade 3: `0` is named twice"]);
    says(Scale::new(["0"]), &["expected from 2 to 16 grades, found `1`"]);
    let many = (0..=MOST_GRADES).map(|grade| grade.to_string());
    says(Scale::new(many), &["expected from 2 to 16 grades, found `17`"]);
    for cut in [0, 6, 255] {
        says(grades().cut(cut), &["expected the first positive grade from 1 to 5"]);
    }
    assert!((1..6).all(|cut| grades().cut(cut).is_ok()));
}

#[test]
fn readings() {
    says(
        Pairs::new(&grades(), &[Some(6), Some(0), None], &[Some(1), Some(255)]),
        &[
            "reader 1, item 1: expected a grade from 0 to 5, found `6`",
            "reader 2, item 2: expected a grade from 0 to 5, found `255`",
            "reader 2: expected 3 entries, found `2`",
        ],
    );
    let ragged: [&[Option<u8>]; 2] = [&[Some(1), Some(9)], &[Some(1)]];
    says(
        Panel::by_reader(&grades(), &ragged),
        &["reader 1, item 2: expected a grade", "reader 2: expected 2 entries, found `1`"],
    );
    says(
        Panel::by_item(&grades(), &ragged),
        &["reader 2, item 1: expected a grade", "item 2: expected 2 entries, found `1`"],
    );
    says(
        Repeats::find(&grades(), &[("P-1", Some(1)), ("P-1", Some(7))]),
        &["reader 1, item 2: expected a grade from 0 to 5, found `7`"],
    );
    let answers: [&[Option<bool>]; 2] = [&[None, None], &[None]];
    says(Answers::new(&answers), &["reader 2: expected 2 entries, found `1`"]);
}

#[test]
fn tables_and_weights() {
    let rows: [&[u32]; 2] = [&[1, 2, 3], &[1, 2]];
    says(
        Table::new(&scale(3), &rows),
        &["table 1: expected 3 entries, found `2`", "row 2: expected 3 entries, found `2`"],
    );
    says(Table::new(&scale(2), &[[u32::MAX, 0], [1, 0]]), &["expected at most 4294967295 cases"]);
    assert_eq!(Table::new(&scale(2), &[[u32::MAX, 0], [0, 0]]).unwrap().cases().count(), u32::MAX);
    says(
        Disagreements::new(&scale(2), &[[1.0, f64::NAN], [-1.0, 0.0]]),
        &["row 1, column 1", "row 1, column 2", "row 2, column 1"],
    );
    says(Disagreements::new(&scale(2), &[[0.0; 2]; 2]), &["expected a disagreement above 0"]);
}

#[test]
fn settings() {
    for percent in [50.0, 100.0, 0.95, f64::NAN, f64::INFINITY] {
        says(Confidence::percent(percent), &["expected a confidence between 50 and 100 percent"]);
    }
    for resamples in [0, 1_000_001] {
        says(Bootstrap::new(resamples, 1, 1), &["expected from 1 to 1000000 resamples"]);
    }
    let panel = Panel::by_reader(&grades(), &[[Some(1), Some(2)]]).unwrap();
    let bootstrap = Bootstrap::new(100, 1, 1).unwrap();
    let cut = grades().cut(2).unwrap();
    says(
        ClassReport::new(&panel, &[Some(9)], cut, Confidence::P95, &bootstrap),
        &["key 1: expected 2 entries, found `1`", "key, item 1: expected a grade from 0 to 5"],
    );
}
