//! Two processes that write in one file at the same time.

use crossread_journal::{Journal, Location};

use crate::child::{acknowledged, journal, start};
use crate::night::id;

#[test]
fn two_processes_interleave_and_lose_nothing() {
    const EACH: usize = 500;
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("night.journal");
    drop(journal(&Location::from(path.as_path())));
    let place = path.to_str().unwrap();
    let children = ["KT", "LM"].map(|name| start(place, name, EACH));
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
    let first = each[0].iter().max().unwrap();
    assert!(each[1].iter().any(|seq| seq < first));
}
