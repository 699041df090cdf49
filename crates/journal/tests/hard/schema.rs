//! The published schema of a line of an export takes every kind of entry, and nothing else.

use std::collections::BTreeSet;

use crossread_journal::{Journal, Kind, Location};
use serde_json::{Value, json};
use strum::VariantArray as _;

use crate::flip::folder;
use crate::night::{OF, enter_everything, kt};

/// Every line is valid, and is not with something added, left out, or of another type.
#[test]
fn lines_of_an_export_are_valid() {
    let schema = crossread_journal::schema::PUBLISHED.to_json().unwrap();
    let validator = jsonschema::validator_for(&serde_json::from_str(&schema).unwrap()).unwrap();
    let folder = folder();
    let place = Location::from(folder.path().join("everything.journal").as_path());
    let mut journal = Journal::create(&place, OF, &kt("02:40:00")).unwrap();
    enter_everything(&mut journal);
    let mut export = Vec::new();
    journal.export(&mut export).unwrap();
    let mut kinds = BTreeSet::new();
    for line in String::from_utf8(export).unwrap().lines() {
        let line: Value = serde_json::from_str(line).unwrap();
        let faults: Vec<_> = validator.iter_errors(&line).map(|fault| fault.to_string()).collect();
        assert!(faults.is_empty(), "{faults:?}: {line}");
        let kind = line["entry"]["kind"].as_str().unwrap().to_owned();
        let refused = |change: &dyn Fn(&mut Value)| {
            let mut line = line.clone();
            change(&mut line);
            assert!(!validator.is_valid(&line), "{kind}: {line}");
        };
        refused(&|line| line["entry"]["purple"] = json!(1));
        refused(&|line| line["entry"]["body"]["purple"] = json!(1));
        refused(&|line| line["entry"]["kind"] = json!("purple"));
        refused(&|line| line["entry"]["body"] = json!({ "purple": 1 }));
        refused(&|line| line["sha256"] = json!("0"));
        for field in ["at", "body", "by", "kind", "previous", "seq"] {
            refused(&|line| line["entry"][field] = json!([]));
            refused(&|line| drop(line["entry"].as_object_mut().unwrap().remove(field)));
        }
        kinds.insert(kind);
    }
    let all: BTreeSet<_> = Kind::VARIANTS.iter().map(|kind| kind.word().to_owned()).collect();
    assert_eq!(kinds, all);
}
