//! The second reader is blind: no query gives out what the first one saw.

use crossread_core::document::Date;
use crossread_core::words::Recheck;
use crossread_core::worksheet::draft;
use crossread_journal::{
    Field, Journal, JournalError, Query, ReadingEntered, Refusal, Task, Wanted,
};
use rstest::rstest;

use crate::bench::{Bench, Kind, dog_but, dog_donor, id, kt, reading_of, refused, serum_of};

fn blind(kind: Kind) -> Option<Bench> {
    let mut bench = Bench::new(kind)?;
    let opening = dog_but("WS-1", "R-3107", r#""method""#, r#""second_reader": true, "method""#);
    bench.open(&opening).unwrap();
    bench.donor("WS-1", &dog_donor("D-091", "U-5512")).unwrap();
    bench.sample("WS-1", &serum_of("R-3107")).unwrap();
    Some(bench)
}

/// Everything that can be asked, as text.
fn everything(journal: &mut Journal) -> String {
    let worksheet = id("WS-1");
    let mut said = String::new();
    let head = journal.head().unwrap();
    for seq in 1..=head.seq {
        let entry = journal.entry(seq).unwrap();
        if let Ok(json) = entry.to_json() {
            // The protocol's own document names every grade.
            if !json.contains("protocol_recorded") {
                said.push_str(&json);
            }
        }
    }
    said.push_str(&format!("{:?}", journal.sheet(&worksheet).unwrap().readings));
    for entry in journal.entries(&worksheet).unwrap() {
        said.push_str(&format!("{entry:?}"));
    }
    let view = journal.view(&worksheet).unwrap();
    said.push_str(str::from_utf8(&view.document).unwrap());
    said.push_str(&format!("{:?}", view.worksheet.readings()));
    let interpretation = journal.interpretation(&worksheet).unwrap();
    said.push_str(&serde_json::to_string(&interpretation.pairs).unwrap());
    said.push_str(&format!("{:?}", journal.show(&worksheet, None).unwrap().today.pairs));
    said.push_str(&format!("{:?}", journal.open_worksheets(Date::new("2026-01-01").unwrap())));
    said.push_str(&format!("{:?}", journal.animal(&id("R-3107")).unwrap()));
    said.push_str(&format!(
        "{:?}",
        journal.search(&Query::of(Wanted::exactly(Field::Reader, "kt")))
    ));
    said.push_str(&format!("{:?}", journal.side_by_side(&worksheet, &worksheet, &id("D-091"))));
    said.push_str(&format!("{:?}", journal.open_tasks().unwrap()));
    let mut export = Vec::new();
    let call = journal.export(&mut export);
    assert!(matches!(call, Err(JournalError::Refused(Refusal::Blind(_)))), "{call:?}");
    assert!(export.is_empty());
    said
}

/// F22: until the second reader has entered, nothing gives the first one's values away.
#[rstest]
fn f22_blind_second_reader(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = blind(kind) else { return };
    let nothing_read = everything_but_times(&mut bench.journal);
    // Grades that stand nowhere else in an answer.
    let first = bench.read("WS-1", "03:29:40", "major D-091 warm_37c 3+s 4").unwrap();
    let said = everything(&mut bench.journal);
    for value in ["3+s", "G3s", "\"hemolysis\":4", "hemolysis: Some(4)", "Graded"] {
        assert!(!said.contains(value), "{value} in {said}");
    }
    // And no answer depends on what it was.
    let interpretation = bench.journal.interpretation(&id("WS-1")).unwrap();
    assert_eq!(serde_json::to_value(&interpretation.pairs).unwrap(), nothing_read);
    let call = bench.journal.issue(&kt("03:30:00"), &id("WS-1"), "Dr Vane");
    refused!(bench, call, Refusal::SecondReaderMissing(_));
    // The first reader looks again: still nobody else has seen it.
    bench.read("WS-1", "03:30:40", "major D-091 warm_37c 3+s 4").unwrap();
    bench.read_by("WS-1", "kt", "03:30:50", "major D-091 warm_37c 3+s 4").unwrap();
    assert!(!everything(&mut bench.journal).contains("3+s"));
    // Another worksheet of the animal does not tell either, but that something waits.
    let (_, warnings) = bench.journal.animal(&id("R-3107")).unwrap();
    assert!(warnings.iter().any(|warning| warning.to_string().contains("wait for the second")));
    // The second reader: both are there, and both count.
    let second = bench.read_by("WS-1", "LM", "03:31:40", "major D-091 warm_37c 3+ 3").unwrap();
    assert!(second.raised.is_empty());
    let sheet = bench.journal.sheet(&id("WS-1")).unwrap();
    assert_eq!(sheet.readings[0].seq, first.seq);
    assert_eq!(sheet.readings[0].value.reading.agglutination.unwrap().word(), "3+s");
    assert!(bench.journal.export(&mut Vec::new()).is_ok());
    // Each mixture for itself.
    bench.read("WS-1", "03:32:40", "recipient_auto - warm_37c 2+w 0").unwrap();
    let sheet = bench.journal.sheet(&id("WS-1")).unwrap();
    assert!(sheet.readings.last().unwrap().value.reading.agglutination.is_none());
}

fn everything_but_times(journal: &mut Journal) -> serde_json::Value {
    let interpretation = journal.interpretation(&id("WS-1")).unwrap();
    serde_json::to_value(&interpretation.pairs).unwrap()
}

/// Two readers on different sides of a cut-off: the mixture itself is looked at a third time.
#[rstest]
#[case::across("0 0", "1+ 0", true)]
#[case::doubtful("0 0", "rough 0", true)]
#[case::lysis("0 0", "0 1", true)]
#[case::unreadable("0 0", "unreadable 0", true)]
#[case::same_side("1+ 0", "4+ 0", false)]
#[case::same("0 0", "0 0", false)]
fn a_disagreement_asks_for_a_third_look(
    #[case] one: &str,
    #[case] other: &str,
    #[case] asks: bool,
    #[values(Kind::File, Kind::Server)] kind: Kind,
) {
    let Some(mut bench) = blind(kind) else { return };
    bench.read("WS-1", "03:29:40", &format!("major D-091 warm_37c {one}")).unwrap();
    let second =
        bench.read_by("WS-1", "LM", "03:30:10", &format!("major D-091 warm_37c {other}")).unwrap();
    assert_eq!(second.raised.len(), usize::from(asks));
    let tasks = bench.journal.open_tasks().unwrap();
    assert_eq!(
        tasks.iter().filter(|open| open.task.task == Task::ThirdLook).count(),
        usize::from(asks)
    );
    // A third reading raises nothing more.
    let third = bench.read_by("WS-1", "OP", "03:31:10", "major D-091 warm_37c 2+ 0").unwrap();
    assert!(third.raised.len() <= usize::from(!asks));
}

/// An opening that was amended is still one worksheet.
#[rstest]
fn a_refused_export_names_each_worksheet_once(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = blind(kind) else { return };
    let opened = bench.journal.sheet(&id("WS-1")).unwrap().opened.remove(0);
    bench.journal.amend(&kt("02:50:00"), opened.seq, "asked again", opened.value).unwrap();
    bench.read("WS-1", "03:29:40", "major D-091 warm_37c 0 0").unwrap();
    match bench.journal.export(&mut Vec::new()) {
        Err(JournalError::Refused(Refusal::Blind(sheets))) => assert_eq!(sheets, [id("WS-1")]),
        other => panic!("{other:?}"),
    }
}

#[rstest]
fn unblinding_is_on_the_record(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = blind(kind) else { return };
    bench.read("WS-1", "03:29:40", "major D-091 warm_37c 3+s 0").unwrap();
    bench.journal.unblind(&kt("04:00:00"), &id("WS-1"), "nobody else is here").unwrap();
    let sheet = bench.journal.sheet(&id("WS-1")).unwrap();
    assert_eq!(sheet.readings[0].value.reading.agglutination.unwrap().word(), "3+s");
    bench.journal.issue(&kt("04:01:00"), &id("WS-1"), "Dr Vane").unwrap();
    bench.journal.export(&mut Vec::new()).unwrap();
}

/// F50, F22: an amendment cannot repeat what it is not shown, so a sealed look is taken back and
/// entered anew, and nothing of it is lost on the way.
#[rstest]
fn a_sealed_reading_is_not_amended(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = blind(kind) else { return };
    let first = bench.read("WS-1", "03:29:40", "major D-091 warm_37c 1+ 3").unwrap();
    let look = |after: Option<Recheck>| {
        let reading = draft::Reading { after, ..reading_of("major D-091 warm_37c 0 -") };
        ReadingEntered { reading, transcribed: false }
    };
    let bare = look(None);
    let call = bench.journal.amend(&kt("03:30:00"), first.seq, "wrong tube", bare.clone());
    refused!(bench, call, Refusal::AmendsSealed(seq) if seq == first.seq);
    // A recheck of a look that waits is not shown either.
    let recheck = look(Some(Recheck::SalineReplacement));
    let again = bench.journal.enter(&kt("03:31:00"), &id("WS-1"), recheck.clone()).unwrap();
    let call = bench.journal.amend(&kt("03:32:00"), again.seq, "wrong tube", recheck);
    refused!(bench, call, Refusal::AmendsSealed(_));
    // Read by both, it is seen, and amended.
    bench.read_by("WS-1", "LM", "03:33:00", "major D-091 warm_37c 1+ 3").unwrap();
    bench.journal.amend(&kt("03:34:00"), first.seq, "wrong tube", bare).unwrap();
}
