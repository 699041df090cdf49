//! Journals of earlier builds open in every later one.
//!
//! `data/first.journal` and `data/second.journal` and their exports were written once, by builds of
//! 0.1.0, with every kind of entry that there was: the first before there were transfusions on the
//! line, looks key by key and steps, the second with them. They are never written again: a change
//! that cannot open them breaks a promise.

use std::collections::BTreeSet;
use std::path::Path;

use crossread_journal::{Journal, Kind, Location};
use rstest::rstest;
use strum::VariantArray as _;

use crate::night::{OF, enter_everything, id, kt};

fn data(name: &str, what: &str) -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(format!("{name}.{what}"))
}

#[rstest]
fn an_earlier_journal_opens(#[values("first", "second")] name: &str) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("earlier.journal");
    let (file, export) = (data(name, "journal"), data(name, "ndjson"));
    if !file.exists() {
        assert!(std::env::var("CROSSREAD_WRITE_FIRST").is_ok(), "the fixture is missing");
        let mut journal =
            Journal::create(&Location::from(file.as_path()), OF, &kt("02:40:00")).unwrap();
        enter_everything(&mut journal);
        journal.export(&mut std::fs::File::create(&export).unwrap()).unwrap();
    }
    std::fs::copy(&file, &path).unwrap();
    let mut journal = Journal::open(&Location::from(path.as_path())).unwrap();
    assert!(journal.verify(None).unwrap().is_good());
    let mut now = Vec::new();
    let head = journal.export(&mut now).unwrap();
    assert_eq!(now, std::fs::read(&export).unwrap());
    // What was issued then is still shown, and the worksheet still comes to an answer today.
    let shown = journal.show(&id("WS-1"), None).unwrap();
    assert!(shown.issued.is_some());
    assert!(shown.today.pairs[0].releasable);
    // And it is taken over into either store.
    let copy = Location::from(folder.path().join("copy.journal").as_path());
    let mut copy = Journal::create_empty(&copy).unwrap();
    assert_eq!(copy.import(&mut now.as_slice()).unwrap().head, head);
}

/// No kind of entry is without a place in one of them.
#[test]
fn every_kind_stands_in_an_earlier_journal() {
    let mut kinds = BTreeSet::new();
    for line in std::fs::read_to_string(data("second", "ndjson")).unwrap().lines() {
        let entry: serde_json::Value = serde_json::from_str(line).unwrap();
        kinds.extend(entry["entry"]["kind"].as_str().map(str::to_owned));
    }
    let missing: Vec<_> = Kind::VARIANTS
        .iter()
        .map(|kind| kind.word())
        .filter(|kind| !kinds.contains(*kind))
        .collect();
    assert!(missing.is_empty(), "{missing:?}");
}
