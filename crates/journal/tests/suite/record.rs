//! Finding, exporting, verifying, and several benches at once.

use std::io::Write as _;

use crossread_core::document::Date;
use crossread_journal::{
    Field, Head, Journal, JournalError, Place, Query, Reacted, Refusal, Retest, RetestSample,
    Wanted, Writer,
};
use rstest::rstest;

use crate::bench::{
    Bench, Kind, dog, dog_but, dog_donor, id, kt, place, refused, release_of, serum_of, time,
};

fn found(bench: &mut Bench, wanted: Vec<Wanted>) -> Vec<String> {
    let query = Query { wanted, before: None, limit: 50 };
    let hits = bench.journal.search(&query).unwrap();
    hits.into_iter().filter_map(|hit| hit.worksheet).map(|id| id.to_string()).collect()
}

/// F52, F53: by each field; names without case and diacritics, numbers exactly.
#[rstest]
fn f52_f53_search(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    for (worksheet, recipient, name) in
        [("WS-1", "R-01", "München"), ("WS-2", "R-O1", "Straße von Ülm"), ("WS-3", "R-3", "Łada")]
    {
        bench.open(&dog(worksheet, recipient).replace("Juniper", name)).unwrap();
    }
    bench.clean_but_open("WS-1", "D-01", "U-0001");
    bench.clean_but_open("WS-2", "D-O1", "U-O001");
    bench.read_by("WS-2", "Zoë", "03:31:00", "minor D-O1 warm_37c 0 0").unwrap();
    bench.journal.issue(&kt("03:34:00"), &id("WS-1"), "Dr Vane").unwrap();
    let exactly = |field, value: &str| vec![Wanted::exactly(field, value)];
    let beginning = |value: &str| vec![Wanted::beginning(Field::Name, value)];
    for (wanted, worksheets) in [
        (exactly(Field::Recipient, "R-01"), vec!["WS-1"]),
        (exactly(Field::Recipient, "R-O1"), vec!["WS-2"]),
        (exactly(Field::Recipient, "r-01"), vec![]),
        (exactly(Field::Donor, "D-01"), vec!["WS-1"]),
        (exactly(Field::Unit, "U-0001"), vec!["WS-1"]),
        (exactly(Field::Unit, "U-O001"), vec!["WS-2"]),
        (exactly(Field::Worksheet, "WS-3"), vec!["WS-3"]),
        (exactly(Field::Name, "MUNCHEN"), vec!["WS-1"]),
        (exactly(Field::Name, "STRASSE"), vec!["WS-2"]),
        (beginning("ulm"), vec!["WS-2"]),
        (beginning("mun"), vec!["WS-1"]),
        (beginning("łAD"), vec!["WS-3"]),
        (beginning("%"), vec![]),
        (exactly(Field::Reader, "ZOE"), vec!["WS-2"]),
        (exactly(Field::Verdict, "compatible"), vec!["WS-1"]),
        (exactly(Field::Verdict, "incompatible"), vec![]),
        (exactly(Field::Date, "2026-03-01"), vec!["WS-1", "WS-3", "WS-2"]),
        (
            vec![Wanted::exactly(Field::Reader, "kt"), Wanted::exactly(Field::Donor, "D-O1")],
            vec!["WS-2"],
        ),
    ] {
        let said = format!("{wanted:?}");
        assert_eq!(found(&mut bench, wanted), worksheets, "{said}");
    }
    let day = |text| Date::new(text).unwrap();
    let outside = Wanted::between(day("2026-03-02"), day("2026-03-09"));
    assert_eq!(found(&mut bench, vec![outside]), Vec::<String>::new());
    // One page after the other gives what all at once gives.
    let all = Wanted::exactly(Field::Date, "2026-03-01");
    let query = |before| Query { wanted: vec![all.clone()], before, limit: 1 };
    let first = bench.journal.search(&query(None)).unwrap();
    let second = bench.journal.search(&query(Some(first[0].seq))).unwrap();
    assert_eq!(first[0].worksheet, Some(id("WS-1")));
    assert_eq!(second.len(), 1);
    // A verdict that was replaced says so.
    let hits = |bench: &mut Bench| {
        bench.journal.search(&Query::of(Wanted::exactly(Field::Verdict, "compatible"))).unwrap()
    };
    assert_eq!(hits(&mut bench)[0].superseded, Some(false));
    bench.read("WS-1", "03:35:00", "minor D-01 warm_37c 0 0").unwrap();
    assert_eq!(hits(&mut bench)[0].superseded, Some(true));
}

/// F48: what is older than a day; nothing is removed.
#[rstest]
fn f48_retention(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.open_dog("WS-1", "R-3107");
    let day = |text| Date::new(text).unwrap();
    assert_eq!(bench.journal.older_than(day("2026-03-01")).unwrap(), []);
    let old = bench.journal.older_than(day("2026-03-02")).unwrap();
    assert_eq!(old[0].worksheet, id("WS-1"));
}

/// F33: what is open is there for the next shift, with times and what is missing.
#[rstest]
fn f33_open_worksheets(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    let day = Date::new("2026-03-01").unwrap();
    bench.open_dog("WS-1", "R-3107");
    bench.donor("WS-1", &dog_donor("D-091", "U-5512")).unwrap();
    let mut again = Journal::open(&bench.place).unwrap();
    let open = again.open_worksheets(day).unwrap();
    assert_eq!(open.len(), 1);
    let (donor, missing) = &open[0].missing[0];
    assert_eq!(donor, &id("D-091"));
    assert!(missing.iter().any(|what| what.contains("major")), "{missing:?}");
    bench.clean_but_open_without_donor("WS-1");
    bench.journal.issue(&kt("03:34:00"), &id("WS-1"), "Dr Vane").unwrap();
    assert_eq!(again.open_worksheets(day).unwrap(), []);
}

impl Bench {
    fn clean_but_open_without_donor(&mut self, worksheet: &str) {
        self.sample(worksheet, &serum_of("R-3107")).unwrap();
        self.read(worksheet, "03:28:10", "recipient_auto - warm_37c 0 0").unwrap();
        self.read(worksheet, "03:29:40", "major D-091 warm_37c 0 0").unwrap();
    }
}

/// F46: export, import, export: the same bytes, also from one kind of store to the other.
#[rstest]
fn f46_export_and_import(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.clean_run("WS-1", "R-3107", "D-091", "U-5512");
    bench.journal.issue(&kt("03:34:00"), &id("WS-1"), "Dr Vane").unwrap();
    bench.journal.release(&kt("03:40:00"), &release_of("WS-1", "D-091", "3107", "5512")).unwrap();
    let mut export = Vec::new();
    let head = bench.journal.export(&mut export).unwrap();
    assert_eq!(head, bench.journal.head().unwrap());
    for other in [Kind::File, Kind::Server] {
        let Some((place, folder)) = place(other) else { continue };
        let journal = Journal::create_empty(&place).unwrap();
        let mut copy = Bench { journal, place, folder };
        let imported = copy.journal.import(&mut export.as_slice()).unwrap();
        assert_eq!((imported.head, imported.entries), (head, head.seq));
        let mut again = Vec::new();
        copy.journal.export(&mut again).unwrap();
        assert_eq!(again, export);
        assert!(copy.journal.verify(Some(head)).unwrap().is_good());
        let sheet = copy.journal.sheet(&id("WS-1")).unwrap();
        assert_eq!(sheet, bench.journal.sheet(&id("WS-1")).unwrap());
        let call = copy.journal.import(&mut export.as_slice());
        refused!(copy, call, Refusal::NotEmpty);
        // And it goes on from there.
        copy.open_dog("WS-2", "R-3108");
    }
}

/// An export that is not as it was written is refused with its line, and nothing of it is kept.
#[rstest]
fn import_of_what_was_changed(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.open_dog("WS-1", "R-3107");
    bench.donor("WS-1", &dog_donor("D-091", "U-5512")).unwrap();
    let mut export = Vec::new();
    bench.journal.export(&mut export).unwrap();
    let text = String::from_utf8(export).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    let joined = |lines: &[&str]| format!("{}\n", lines.join("\n"));
    let second = lines[1];
    let spaced = second.replacen("{\"at\"", "{ \"at\"", 1);
    for (changed, line) in [
        (String::new(), 1),
        ("{}\n".to_owned(), 1),
        (text.trim_end().to_owned(), 4),
        (joined(&[lines[0], lines[2], lines[1], lines[3]]), 2),
        (joined(&[lines[0], lines[2], lines[3]]), 2),
        (joined(&[lines[1]]), 1),
        (text.replacen("R-3107", "R-3170", 1), 3),
        (text.replacen("crossread.journal/1", "crossread.journal/2", 1), 1),
        (joined(&[lines[0], &spaced]), 2),
        (joined(&[lines[0], &format!("{second} ")]), 2),
        (joined(&[lines[0], lines[0]]), 2),
        (format!("{}\n\n", lines[0]), 2),
    ] {
        let Some((place, folder)) = place(kind) else { return };
        let journal = Journal::create_empty(&place).unwrap();
        let mut copy = Bench { journal, place, folder };
        match copy.journal.import(&mut changed.as_bytes()) {
            Err(JournalError::Import { line: at, .. }) => assert_eq!(at, line, "{changed}"),
            other => panic!("{other:?}: {changed}"),
        }
        assert_eq!(copy.journal.head().unwrap().seq, 0);
        // Whoever comes back with the right file finds the place as free as it was.
        copy.journal = Journal::create_empty(&copy.place).unwrap();
        copy.journal.import(&mut text.as_bytes()).unwrap();
        let again = Journal::create_empty(&copy.place);
        assert!(matches!(again, Err(JournalError::Exists(_))), "{again:?}");
    }
}

/// F45: what was kept elsewhere shows that the end was cut off.
#[rstest]
fn f45_a_head_that_was_kept(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.open_dog("WS-1", "R-3107");
    let kept = bench.journal.head().unwrap();
    assert!(bench.journal.verify(Some(kept)).unwrap().is_good());
    let later = Head::new(kept.seq + 1, kept.sha256);
    let bad = bench.journal.verify(Some(later)).unwrap().first_bad.unwrap();
    assert_eq!(bad.seq, kept.seq + 1);
    let other = Head::new(kept.seq - 1, kept.sha256);
    assert_eq!(bench.journal.verify(Some(other)).unwrap().first_bad.unwrap().seq, kept.seq - 1);
}

/// Two benches on one worksheet: their entries interleave, none is lost, the chain is whole.
#[rstest]
fn two_benches_on_one_worksheet(#[values(Kind::File, Kind::Server)] kind: Kind) {
    const EACH: usize = 60;
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.open_dog("WS-1", "R-3107");
    bench.donor("WS-1", &dog_donor("D-091", "U-5512")).unwrap();
    let mut written: Vec<u64> = std::thread::scope(|scope| {
        let benches = ["KT", "LM"].map(|name| {
            let place = bench.place.clone();
            scope.spawn(move || {
                let mut journal = Journal::open(&place).unwrap();
                let mut written = Vec::new();
                for number in 0..EACH {
                    let at = time(&format!("03:{:02}:{:02}", number / 60, number % 60));
                    let reading = crate::bench::reading_of("major D-091 warm_37c 0 0");
                    let entered = crossread_journal::ReadingEntered { reading, transcribed: false };
                    let writer = Writer::new(name, at);
                    written.push(journal.enter(&writer, &id("WS-1"), entered).unwrap().seq);
                }
                written
            })
        });
        benches.into_iter().flat_map(|bench| bench.join().unwrap()).collect()
    });
    written.sort_unstable();
    written.dedup();
    assert_eq!(written.len(), 2 * EACH);
    let sheet = bench.journal.sheet(&id("WS-1")).unwrap();
    let read: Vec<u64> = sheet.readings.iter().map(|reading| reading.seq).collect();
    assert_eq!(read, written);
    assert!(bench.journal.verify(None).unwrap().is_good());
}

/// A unit of a clean run that was released, and to which the animal reacted.
fn reacted(kind: Kind) -> Option<Bench> {
    let mut bench = Bench::new(kind)?;
    bench.clean_run("WS-1", "R-3107", "D-091", "U-5512");
    bench.journal.issue(&kt("03:34:00"), &id("WS-1"), "Dr Vane").unwrap();
    bench.journal.release(&kt("03:40:00"), &release_of("WS-1", "D-091", "3107", "5512")).unwrap();
    let reacted = Reacted {
        animal: id("R-3107"),
        at: time("04:30:00"),
        text: "fever and red urine".into(),
        donor: Some(id("D-091")),
        unit: Some(id("U-5512")),
    };
    bench.journal.reacted(&kt("04:31:00"), &reacted).unwrap();
    Some(bench)
}

/// F57: the pair tested again, side by side with the first result, and no cause claimed.
#[rstest]
fn f57_the_pair_is_tested_again(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = reacted(kind) else { return };
    let again = Retest {
        worksheet: id("WS-1"),
        donor: id("D-091"),
        sample: RetestSample::AfterTransfusion,
    };
    let call = bench.journal.retest(&kt("05:00:00"), &id("WS-2"), &again, &[]);
    let Err(JournalError::Refused(Refusal::Warnings(warnings))) = call else { panic!("{call:?}") };
    let noted: Vec<_> = warnings.iter().map(|w| w.to_string().as_str().into()).collect();
    bench.journal.retest(&kt("05:00:00"), &id("WS-2"), &again, &noted).unwrap();
    let sheet = bench.journal.sheet(&id("WS-2")).unwrap();
    assert_eq!(sheet.unit(&id("D-091")).unwrap().number, Some(id("U-5512")));
    assert_eq!(sheet.opening().unwrap().value.retest_of, Some(again));
    let post = serum_of("R-3107").replace("S-R-3107", "S-2").replace("01:10:00", "04:45:00");
    let sample = crossread_core::worksheet::draft::Sample::from_json(post.as_bytes()).unwrap();
    let added = crossread_journal::SampleAdded { sample, overridden: None };
    bench.journal.enter(&kt("05:10:00"), &id("WS-2"), added).unwrap();
    bench.read("WS-2", "05:20:00", "recipient_auto - warm_37c 0 0").unwrap();
    bench.read("WS-2", "05:21:00", "major D-091 warm_37c 2+ 0").unwrap();
    let rows = bench.journal.side_by_side(&id("WS-1"), &id("WS-2"), &id("D-091")).unwrap();
    let changed: Vec<_> = rows
        .iter()
        .filter(|row| row.changed)
        .map(|row| (row.what.as_str(), row.first.as_str(), row.second.as_str()))
        .collect();
    assert_eq!(
        changed,
        [
            (
                "recipient sample",
                "S-R-3107 drawn 2026-03-01T01:10:00+01:00",
                "S-2 drawn 2026-03-01T04:45:00+01:00"
            ),
            ("verdict", "compatible", "incompatible"),
            ("major at 37 °C", "0, hemolysis 0, negative", "2+, hemolysis 0, reactive"),
        ]
    );
    let said = format!("{rows:?}");
    assert!(!said.contains("cause") && !said.contains("because"), "{said}");
}

/// F58: every identifier compared; one swapped digit is flagged with both strings.
#[rstest]
fn f58_identifiers_are_compared(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = reacted(kind) else { return };
    let off = |place, what: &str, read: &str| crossread_journal::ReadOff {
        place,
        what: what.into(),
        read: read.into(),
    };
    let read = [
        off(Place::Request, "recipient", "R-3107"),
        off(Place::Sample, "recipient", "R-3107"),
        off(Place::Sample, "recipient name", "Juniper"),
        off(Place::Unit, "unit", "U-5521"),
        off(Place::Report, "unit", "U-5512"),
        off(Place::Unit, "chip", "941"),
    ];
    let checked =
        bench.journal.clerical_check(&kt("05:30:00"), &id("WS-1"), &id("D-091"), &read).unwrap();
    let differ: Vec<_> = checked
        .compared
        .iter()
        .filter(|compared| !compared.agrees)
        .map(|compared| {
            let recorded = compared.recorded.as_ref().map_or("nothing", |text| text.as_str());
            (compared.what.as_str(), recorded, compared.read.as_str())
        })
        .collect();
    assert_eq!(differ, [("unit", "U-5512", "U-5521"), ("chip", "nothing", "941")]);
}

/// F59: all units of the donor, and where they went.
#[rstest]
fn f59_all_units_of_the_donor(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = reacted(kind) else { return };
    bench.open_dog("WS-3", "R-3108");
    bench.donor("WS-3", &dog_donor("D-091", "U-5600")).unwrap();
    // Whose unit it was, nobody wrote; its number says it.
    let hives = Reacted {
        animal: id("R-3120"),
        at: kt("04:00:00").at,
        text: "hives".into(),
        donor: None,
        unit: Some(id("U-5600")),
    };
    bench.journal.reacted(&kt("04:01:00"), &hives).unwrap();
    let units = bench.journal.units_of(&id("D-091")).unwrap();
    let units: Vec<_> = units
        .iter()
        .map(|unit| {
            let number = unit.unit.as_ref().map_or("", |id| id.as_str());
            let recipient = unit.recipient.as_ref().map_or("", |id| id.as_str());
            (number, recipient, unit.what)
        })
        .collect();
    assert_eq!(
        units,
        [
            ("U-5512", "R-3107", "donor_added"),
            ("U-5512", "R-3107", "release"),
            ("U-5512", "R-3107", "reaction"),
            ("U-5600", "R-3108", "donor_added"),
            ("U-5600", "R-3120", "reaction"),
        ]
    );
}

/// Texts that look like something else come back as they went in, are found, and do nothing.
#[rstest]
fn injection_through_every_text(#[values(Kind::File, Kind::Server)] kind: Kind) {
    const LONG: &str = include_str!("../../../../LICENSE-MIT");
    const TEXTS: [&str; 10] = [
        "'; DROP TABLE entry; --1",
        "\"}],\"seq\":999,\"x\":[{\"1",
        "<script>alert(1)</script>",
        "%_1' OR '1'='1",
        "nul \u{0} bell \u{7} esc \u{1b}[31m 1",
        "\u{202e}1 backwards",
        "line\nbreak\r\n\t1",
        "e\u{301}\u{fffd}\u{10ffff}1",
        "$1 ?1 {0} %s 1",
        LONG,
    ];
    let Some(mut bench) = Bench::new(kind) else { return };
    for (number, text) in TEXTS.iter().enumerate() {
        let quoted = serde_json::to_string(text).unwrap();
        let quoted = quoted.trim_matches('"');
        let worksheet = format!("{text}{number}");
        let opening = dog_but(
            "WS-X",
            "R-X1",
            r#""method""#,
            r#""request": { "recipient": "R-X1", "by": "TEXT", "text": "TEXT" },
               "override": { "by": "TEXT", "reason": "TEXT" }, "method""#,
        );
        let opening = opening
            .replace("WS-X", &format!("{quoted}{number}"))
            .replace("R-X1", &format!("{quoted}R{number}"))
            .replace("Juniper", "TEXT")
            .replace("TEXT", quoted);
        bench.open(&opening).unwrap();
        let (recipient, donor, unit) =
            (format!("{text}R{number}"), format!("{text}D{number}"), format!("{text}U{number}"));
        let donor_json = dog_donor("D-X", "U-X")
            .replace("D-X", &format!("{quoted}D{number}"))
            .replace("U-X", &format!("{quoted}U{number}"));
        let seq = bench.donor(&worksheet, &donor_json).unwrap().seq;
        let sample = serum_of("R-X").replace("R-X", &format!("{quoted}R{number}"));
        bench.sample(&worksheet, &sample).unwrap();
        let mut reading = crate::bench::reading_of("major D-X warm_37c 2+ 0");
        reading.donor = Some(id(&donor));
        let entered = crossread_journal::ReadingEntered { reading, transcribed: false };
        let writer = Writer::new(text, time("03:30:00"));
        let read = bench.journal.enter(&writer, &id(&worksheet), entered).unwrap().seq;
        let note = crossread_journal::Note { text: (*text).into() };
        bench.journal.enter(&writer, &id(&worksheet), note).unwrap();
        bench.journal.check_segment(&writer, &id(&worksheet), &id(&donor), text).unwrap();
        bench.journal.issue(&writer, &id(&worksheet), text).unwrap();
        bench.journal.retract(&writer, read, text).unwrap();
        let reacted = Reacted {
            animal: id(&recipient),
            at: time("03:30:00"),
            text: (*text).into(),
            donor: Some(id(&donor)),
            unit: Some(id(&unit)),
        };
        bench.journal.reacted(&writer, &reacted).unwrap();
        let sheet = bench.journal.sheet(&id(&worksheet)).unwrap();
        assert_eq!(sheet.recipient(), Some(&id(&recipient)));
        assert_eq!(sheet.notes[0].value.text.as_str(), *text);
        assert_eq!(sheet.donors[0].seq, seq);
        for (field, value) in [
            (Field::Recipient, &recipient),
            (Field::Donor, &donor),
            (Field::Unit, &unit),
            (Field::Worksheet, &worksheet),
        ] {
            let hits = found(&mut bench, vec![Wanted::exactly(field, value)]);
            assert_eq!(hits, [worksheet.as_str()], "{field:?} {value:?}");
        }
        let readers = found(&mut bench, vec![Wanted::exactly(Field::Reader, text)]);
        assert_eq!(readers, [worksheet.as_str()]);
    }
    assert!(bench.journal.verify(None).unwrap().is_good());
    let mut export = Vec::new();
    bench.journal.export(&mut export).unwrap();
    let Some((place, folder)) = place(kind) else { return };
    let journal = Journal::create_empty(&place).unwrap();
    let mut copy = Bench { journal, place, folder };
    copy.journal.import(&mut export.as_slice()).unwrap();
    let mut again = Vec::new();
    copy.journal.export(&mut again).unwrap();
    std::io::sink().write_all(&again).unwrap();
    assert_eq!(again, export);
}

#[rstest]
fn what_is_no_journal(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some((place, _folder)) = place(kind) else { return };
    assert!(matches!(Journal::open(&place), Err(JournalError::NotAJournal { .. })));
    let bench = Bench { journal: Journal::create_empty(&place).unwrap(), place, folder: None };
    // Without an entry it can be taken for an export, and is no place for a journal of one's own.
    assert!(Journal::create_empty(&bench.place).is_ok());
    let created = Journal::create(&bench.place, "Brindlemoor Animal Hospital", &kt("02:40:00"));
    assert!(matches!(created, Err(JournalError::Exists(_))));
}
