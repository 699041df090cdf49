//! A wrong key never passes: whatever is changed of a key, or of what is shown, is found when the
//! set is read (H29).

use crossread_core::Protocols;
use crossread_core::words::{Grade, Species};
use crossread_teach::set::{Ask, Exercise, Kind, Wanted, make};
use serde_json::{Value, json};

use crate::shared::{checked, picture, protocol, set};

fn refused(set: &Value, at: &str) {
    let document = serde_json::to_vec(set).expect("it can be written");
    let faults = Exercise::from_json(&document, Protocols::shipped()).expect_err("a fault");
    assert!(faults.as_slice().iter().any(|fault| fault.at == at), "{at}: {faults}");
}

/// All pairs of grades on both scales: a changed key, and a changed drawing under the old key.
#[test]
fn a_changed_grade_is_found_for_every_pair() {
    let dogs = protocol(Species::Dog);
    let main = ["0", "w", "1+", "2+", "3+", "4+"].map(str::to_owned).to_vec();
    let full = Grade::ALL.iter().map(|grade| grade.word().to_owned()).collect::<Vec<_>>();
    for (scale, grades) in [("main", main), ("full", full)] {
        for key in &grades {
            let item = picture(dogs, "agglutination", &json!({ "seen": key }), key, &grades);
            let good = set(scale, &[], &[item]);
            checked(&good, Protocols::shipped());
            for other in grades.iter().filter(|other| *other != key) {
                let mut changed = good.clone();
                changed["items"][0]["key"] = json!(other);
                refused(&changed, "/items/0/key");
                let mut redrawn = good.clone();
                redrawn["items"][0]["shown"]["seen"] = json!(other);
                refused(&redrawn, "/items/0/key");
            }
        }
    }
}

#[test]
fn changed_hemolysis_and_patterns_are_found() {
    let dogs = protocol(Species::Dog);
    let levels: Vec<_> = (0..=4).map(|level| level.to_string()).collect();
    for (level, key) in levels.iter().enumerate() {
        let item = picture(dogs, "hemolysis", &json!({ "hemolysis": level }), key, &levels);
        for other in levels.iter().filter(|other| *other != key) {
            let mut changed = set("main", &[], std::slice::from_ref(&item));
            changed["items"][0]["key"] = json!(other);
            refused(&changed, "/items/0/key");
        }
    }
    let choices = ["free_cells", "rouleaux", "stacks_and_clumps", "clumps"].map(str::to_owned);
    let stacks = json!({ "view": "microscope", "seen": "1+", "pattern": "stacks" });
    let item = picture(dogs, "pattern", &stacks, "rouleaux", &choices);
    for pattern in ["both", "clumps"] {
        let mut changed = set("main", &[], std::slice::from_ref(&item));
        changed["items"][0]["shown"]["pattern"] = json!(pattern);
        refused(&changed, "/items/0/key");
    }
}

/// Every other verdict, and every other choice of a finding, in the place of every key of a set
/// that covers the catalogue. Runs are interpreted anew, so a few of each are enough of the time.
#[test]
fn a_changed_verdict_or_finding_is_found() {
    let wanted = Wanted { seed: 3, items: 12, kinds: vec![Kind::Text], ..Wanted::default() };
    let made = make(&wanted, Protocols::shipped()).expect("a set");
    let good: Value = serde_json::from_str(&made.exercise.set().to_json()).expect("JSON");
    let mut tried = 0;
    for (number, item) in made.exercise.set().items.iter().enumerate() {
        assert!(matches!(item.ask, Ask::Verdict | Ask::Finding));
        for other in item.choices.iter().filter(|other| **other != item.key) {
            let mut changed = good.clone();
            changed["items"][number]["key"] = json!(other);
            refused(&changed, &format!("/items/{number}/key"));
            tried += 1;
        }
    }
    assert_eq!(tried, 60);
}

/// A reading changed across the cut-off changes the verdict, and the old key is found out.
#[test]
fn a_changed_reading_is_found_by_the_key() {
    let wanted = Wanted { items: 2, kinds: vec![Kind::Text], cover: true, ..Wanted::default() };
    let made = make(&wanted, Protocols::shipped()).expect("a set");
    let whole = made.exercise.set();
    let asked = whole.items.iter().position(|item| item.key == "major-reactive").expect("one");
    let run = whole.items[asked].run.clone().expect("a run");
    let mut changed: Value = serde_json::from_str(&whole.to_json()).expect("JSON");
    let place = whole.runs.iter().position(|one| one.id == run).expect("the run");
    for reading in changed["runs"][place]["worksheet"]["readings"].as_array_mut().expect("readings")
    {
        reading["agglutination"] = json!("0");
        reading.as_object_mut().expect("an object").remove("pattern");
    }
    refused(&changed, &format!("/items/{asked}/key"));
}

/// Everything that is wrong with a set is told at once, each with its place.
#[test]
fn every_fault_of_a_set_is_told_at_once() {
    let dogs = protocol(Species::Dog);
    let grades = ["0", "w"].map(str::to_owned);
    let item = picture(dogs, "agglutination", &json!({}), "0", &grades);
    let mut bad = set("main", &[], &[item.clone(), item]);
    bad["format"] = json!("crossread.worksheet/1");
    bad["watermark"] = json!("");
    bad["near_hundredths"] = json!(101);
    bad["items"][0]["choices"] = json!(["0", "0", "wq"]);
    bad["items"][0]["rules"]["sha256"] = json!("0".repeat(64));
    bad["items"][1]["key"] = json!("w");
    bad["items"][1]["experts"] = json!(["4+"]);
    let document = serde_json::to_vec(&bad).expect("it can be written");
    let faults = Exercise::from_json(&document, Protocols::shipped()).expect_err("faults");
    let places: Vec<_> = faults.as_slice().iter().map(|fault| fault.at.as_str()).collect();
    assert_eq!(
        places,
        [
            "/format",
            "/watermark",
            "/near_hundredths",
            "/items/1/id",
            "/items/0/rules",
            "/items/0/choices/1",
            "/items/0/choices/2",
            "/items/1/experts",
            "/items/1/key",
        ]
    );
    for fault in faults.as_slice() {
        assert!(!fault.expected.is_empty() && !fault.found.is_empty());
    }
}

#[test]
fn what_is_no_set_is_refused_with_its_place() {
    let refuse = |document: &str| {
        let faults = Exercise::from_json(document.as_bytes(), Protocols::shipped());
        faults.expect_err("a fault").as_slice()[0].clone()
    };
    let worksheet = refuse(include_str!("../../../../examples/clean-run/worksheet.json"));
    assert!(worksheet.found.contains("crossread.worksheet/1"), "{worksheet}");
    let broken = refuse("{\n  \"format\": nope");
    assert_eq!(broken.line, Some(2));
    let good = set("main", &[], &[]).to_string();
    let unknown = refuse(&good.replacen('{', "{\"extra\": 1, ", 1));
    assert!(unknown.found.contains("extra"), "{unknown}");
}
