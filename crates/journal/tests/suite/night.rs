//! A night from the first call to the released unit.

use rstest::rstest;

use crate::bench::{Bench, Kind, id, kt, time};
use crossread_core::document::Text;
use crossread_core::words::Verdict;
use crossread_journal::{Event, Release, Writer};

#[rstest]
fn a_night_ends_with_a_released_unit(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench
        .open(
            r#"{ "worksheet": "WS-1", "protocol": { "id": "dog-routine", "version": "1.0.0" },
                 "method": "tube",
                 "recipient": { "id": "R-3107", "name": "Juniper", "species": "dog",
                   "types": [ { "system": "DEA 1", "result": "negative" } ],
                   "history": { "transfused": "never", "pregnant": "never", "reaction": "never" } } }"#,
        )
        .unwrap();
    bench
        .donor(
            "WS-1",
            r#"{ "id": "D-091", "species": "dog", "product": "packed_cells",
                 "types": [ { "system": "DEA 1", "result": "negative" } ],
                 "unit": { "number": "U-5512", "expires_on": "2026-03-20", "inspection": "normal" } }"#,
        )
        .unwrap();
    bench
        .sample(
            "WS-1",
            r#"{ "id": "S-1", "of": "R-3107", "role": "both", "tube": "edta", "stored": "fridge",
                 "drawn_at": "2026-03-01T01:10:00+01:00", "hemolysis": 0, "lipemia": 0, "icterus": 0,
                 "label_id": "R-3107" }"#,
        )
        .unwrap();
    bench.read("WS-1", "03:28:10", "recipient_auto - warm_37c 0 0").unwrap();
    bench.read("WS-1", "03:29:40", "major D-091 warm_37c 0 0").unwrap();
    let checked =
        bench.journal.check_segment(&kt("03:30:00"), &id("WS-1"), &id("D-091"), "5512").unwrap();
    assert!(checked.agrees);
    let issued = bench.journal.issue(&kt("03:34:00"), &id("WS-1"), "Dr Vane").unwrap();
    let Event::Issued(interpretation) = bench.journal.entry(issued.seq).unwrap().event else {
        panic!("not issued")
    };
    assert_eq!(interpretation.interpretation["pairs"][0]["verdict"], "compatible");
    let release = Release {
        worksheet: id("WS-1"),
        donor: id("D-091"),
        to: Text::from("LM"),
        veterinarian: Text::from("Dr Vane"),
        typed_recipient: Text::from("3107"),
        typed_unit: Text::from("5512"),
    };
    let written = bench.journal.release(&Writer::new("KT", time("03:40:00")), &release).unwrap();
    let Event::Released(released) = bench.journal.entry(written.seq).unwrap().event else {
        panic!("not released")
    };
    assert_eq!(released.verdict, Verdict::Compatible);
    let verified = bench.journal.verify(None).unwrap();
    assert!(verified.is_good(), "{verified:?}");
    let again = bench.journal.release(&kt("03:41:00"), &release).unwrap_err();
    assert!(again.to_string().contains("was released in entry"), "{again}");
    let mut export = Vec::new();
    bench.journal.export(&mut export).unwrap();
    let (place, _folder) = crate::bench::place(kind).unwrap();
    let mut other = crossread_journal::Journal::create_empty(&place).unwrap();
    let imported = other.import(&mut export.as_slice()).unwrap();
    assert_eq!(imported.head, bench.journal.head().unwrap());
    let mut second = Vec::new();
    other.export(&mut second).unwrap();
    assert_eq!(second, export);
}
