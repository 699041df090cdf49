//! F60: the marking table on a set of thirty items, with each mark written down by hand.

use std::fs;
use std::path::Path;

use crossread_core::Protocols;
use crossread_teach::marking::{Class, Options, Responses, csv, mark_all};
use crossread_teach::set::Exercise;

fn data(name: &str) -> Vec<u8> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data");
    fs::read(folder.join(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
}

/// The set, resting on the protocols that ship now: no mark of it hangs on their hashes.
fn thirty() -> Exercise {
    let mut set: serde_json::Value =
        serde_json::from_slice(&data("thirty.json")).expect("the set is JSON");
    for item in set["items"].as_array_mut().expect("items") {
        let id = item["rules"]["id"].as_str().expect("an id").to_owned();
        let mut shipped = Protocols::shipped().iter();
        let protocol = shipped.find(|one| one.id().as_str() == id).expect("it ships");
        item["rules"]["sha256"] = protocol.digest().to_string().into();
    }
    let document = set.to_string();
    Exercise::from_json(document.as_bytes(), Protocols::shipped())
        .unwrap_or_else(|faults| panic!("{faults}"))
}

#[test]
fn f60_the_marking_table_on_thirty_items() {
    let exercise = thirty();
    let answers = Responses::from_csv(&data("answers.csv"), &exercise).expect("answers");
    let marked = mark_all(&exercise, &answers, &Options::default()).expect("marks");
    let by_hand = String::from_utf8(data("marks.csv")).expect("text");
    let by_hand: Vec<Vec<&str>> =
        by_hand.lines().skip(1).map(|line| line.split(',').collect()).collect();
    assert_eq!(by_hand.len(), 30);
    let told = csv(&marked);
    let told: Vec<Vec<&str>> = told.lines().skip(1).map(|line| line.split(',').collect()).collect();
    assert_eq!(told.len(), 30);
    for (told, by_hand) in told.iter().zip(&by_hand) {
        // item, student, answer, key, class, score, rule
        assert_eq!([told[0], told[2], told[4], told[5]], by_hand[..], "{told:?}");
    }
    // 7 exact and 4 near of 30 are 9 points, 30 %.
    let outcome = &marked.students[0];
    assert_eq!((outcome.score_hundredths, outcome.items), (900, 30));
    assert_eq!(outcome.percent_hundredths, 3000);
    let counts = Class::ALL.iter().map(|class| outcome.tally.count(*class));
    // critical, false positive, forced, withheld, minor error, near, exact
    assert_eq!(counts.collect::<Vec<_>>(), [6, 3, 2, 1, 7, 4, 7]);
    // By consequence 18 are right: exact, near and minor errors. Grades and hemolysis were read of
    // ten items that can be read, and one of them exactly.
    assert_eq!((outcome.decision.right, outcome.decision.of), (18, 30));
    assert_eq!((outcome.grade.right, outcome.grade.of), (1, 10));
    assert!(!outcome.passed);
}
