//! The journal of the first release opens in every later one.
//!
//! `data/first.journal` and its export were written once, by 0.1.0, with every kind of entry. They
//! are never written again: a change that cannot open them breaks a promise.

use std::path::Path;

use crossread_journal::{Journal, Location};

use crate::night::{OF, enter_everything, id, kt};

fn data(name: &str) -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(name)
}

#[test]
fn the_journal_of_the_first_release_opens() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("first.journal");
    let (file, export) = (data("first.journal"), data("first.ndjson"));
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
