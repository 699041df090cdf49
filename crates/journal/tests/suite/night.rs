//! A night from the first call to the released unit.

use rstest::rstest;

use crate::bench::{Bench, Kind, id, kt, release_of, time};
use crossread_core::words::Verdict;
use crossread_journal::{Event, Journal, Writer};

#[rstest]
fn a_night_ends_with_a_released_unit(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.clean_run("WS-1", "R-3107", "D-091", "U-5512");
    let issued = bench.journal.issue(&kt("03:34:00"), &id("WS-1"), "Dr Vane").unwrap();
    let Event::Issued(interpretation) = bench.journal.entry(issued.seq).unwrap().event else {
        panic!("not issued")
    };
    assert_eq!(interpretation.interpretation["pairs"][0]["verdict"], "compatible");
    let release = release_of("WS-1", "D-091", "3107", "5512");
    let written = bench.journal.release(&Writer::new("KT", time("03:40:00")), &release).unwrap();
    let Event::Released(released) = bench.journal.entry(written.seq).unwrap().event else {
        panic!("not released")
    };
    assert_eq!(released.verdict, Verdict::Compatible);
    let verified = bench.journal.verify(None).unwrap();
    assert!(verified.is_good(), "{verified:?}");
    let mut again = Journal::open(&bench.place).unwrap();
    assert_eq!(again.sheet(&id("WS-1")).unwrap(), bench.journal.sheet(&id("WS-1")).unwrap());
}
