//! Two processes that write in one file at the same time.

use std::time::Duration;

use crossread_journal::{Journal, Location};

use crate::child::{acknowledged, journal, start};
use crate::night::id;

#[test]
fn two_processes_interleave_and_lose_nothing() {
    const EACH: usize = 1_000;
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("night.journal");
    drop(journal(&Location::from(path.as_path())));
    let place = path.to_str().unwrap();
    // Nobody begins before both are there.
    let gate = rusqlite::Connection::open(&path).unwrap();
    gate.execute_batch("BEGIN IMMEDIATE").unwrap();
    let children = ["KT", "LM"].map(|name| start(place, name, EACH));
    std::thread::sleep(Duration::from_millis(500));
    gate.execute_batch("COMMIT").unwrap();
    drop(gate);
    let said = children.map(|child| child.wait_with_output().unwrap());
    let each: Vec<Vec<u64>> = said
        .iter()
        .map(|output| {
            assert!(output.status.success());
            acknowledged(&output.stdout)
        })
        .collect();
    let mut all: Vec<u64> = each.concat();
    all.sort_unstable();
    all.dedup();
    assert_eq!(all.len(), 2 * EACH);
    let mut journal = Journal::open(&Location::from(path.as_path())).unwrap();
    let sheet = journal.sheet(&id("WS-1")).unwrap();
    let read: Vec<u64> = sheet.readings.iter().map(|reading| reading.seq).collect();
    assert_eq!(read, all);
    assert!(journal.verify(None).unwrap().is_good());
    // They did take turns.
    let by: Vec<_> = sheet.readings.iter().map(|reading| reading.by.as_str()).collect();
    let turns = by.windows(2).filter(|two| two[0] != two[1]).count();
    println!("{turns} turns in {} entries", by.len());
    assert!(turns > 1);
}
