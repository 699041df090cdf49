//! Readings, amendments, issue: nothing is overwritten, and who had the earlier one is told.

use crossread_core::document::Text;
use crossread_core::words::{Agglutination, Grade, Verdict};
use crossread_core::worksheet::draft;
use crossread_journal::{
    DonorAdded, Event, JournalError, Known, ReadingEntered, Refusal, Task, Writer,
};
use rstest::rstest;

use crate::bench::{
    Bench, Kind, dog_but, dog_donor, id, kt, reading_of, refused, release_of, serum_of, time,
};

/// F16: what is keyed in from paper carries both times, and says so.
#[rstest]
fn f16_transcribed_from_paper(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.open_dog("WS-1", "R-3107");
    let mut reading = reading_of("recipient_auto - warm_37c 0 0");
    reading.at = Some(time("03:28:10"));
    reading.by = Some(Text::from("LM"));
    let entered = |reading: &draft::Reading, transcribed| ReadingEntered {
        reading: reading.clone(),
        transcribed,
    };
    let later = kt("06:00:00");
    let call = bench.journal.enter(&later, &id("WS-1"), entered(&reading, false));
    refused!(bench, call, Refusal::NotTranscribed);
    let written = bench.journal.enter(&later, &id("WS-1"), entered(&reading, true)).unwrap();
    let entry = bench.journal.entry(written.seq).unwrap();
    let Event::ReadingEntered(read) = &entry.event else { panic!("no reading") };
    assert_eq!((entry.at, read.reading.at), (time("06:00:00"), Some(time("03:28:10"))));
    assert_eq!((entry.by.as_str(), read.reading.by.as_ref().unwrap().as_str()), ("KT", "LM"));
    assert!(read.transcribed);
    reading.at = Some(time("06:00:01"));
    let call = bench.journal.enter(&later, &id("WS-1"), entered(&reading, true));
    refused!(bench, call, Refusal::InTheFuture(_));
    reading.at = Some(time("03:28:10"));
    reading.by = None;
    let call = bench.journal.enter(&later, &id("WS-1"), entered(&reading, true));
    refused!(bench, call, Refusal::ReaderMissing);
}

/// F19: the same mixture entered twice is two readings, the first unchanged.
#[rstest]
fn f19_readings_are_never_overwritten(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.open_dog("WS-1", "R-3107");
    bench.donor("WS-1", &dog_donor("D-091", "U-5512")).unwrap();
    bench.read("WS-1", "03:28:10", "major D-091 warm_37c 0 0").unwrap();
    let before = bench.journal.sheet(&id("WS-1")).unwrap().readings[0].clone();
    bench.read("WS-1", "03:28:40", "major D-091 warm_37c 2+ 0").unwrap();
    let sheet = bench.journal.sheet(&id("WS-1")).unwrap();
    assert_eq!(sheet.readings.len(), 2);
    assert_eq!(sheet.readings[0], before);
    let view = bench.journal.view(&id("WS-1")).unwrap();
    let grades: Vec<_> = view.worksheet.readings().iter().map(|r| r.agglutination).collect();
    assert_eq!(grades, [Agglutination::Graded(Grade::G0), Agglutination::Graded(Grade::G2)]);
}

#[rstest]
fn a_reading_at_fault_says_where(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.open_dog("WS-1", "R-3107");
    bench.donor("WS-1", &dog_donor("D-091", "U-5512")).unwrap();
    let head = bench.journal.head().unwrap();
    for (reading, pointer) in [
        ("major D-099 warm_37c 0 0", "/donor"),
        ("major - warm_37c 0 0", "/donor"),
        ("recipient_auto D-091 warm_37c 0 0", "/donor"),
    ] {
        let Err(JournalError::Faults(faults)) = bench.read("WS-1", "03:28:10", reading) else {
            panic!("no fault: {reading}")
        };
        assert_eq!(faults.as_slice()[0].pointer, pointer, "{reading}");
    }
    let mut recheck = reading_of("major D-091 warm_37c 0 0");
    recheck.after = Some(crossread_core::words::Recheck::SalineReplacement);
    let entered = ReadingEntered { reading: recheck, transcribed: false };
    let call = bench.journal.enter(&kt("03:28:10"), &id("WS-1"), entered.clone());
    let Err(JournalError::Faults(faults)) = call else { panic!("no fault") };
    assert_eq!(faults.as_slice()[0].pointer, "/after");
    assert_eq!(bench.journal.head().unwrap(), head);
    bench.read("WS-1", "03:28:10", "major D-091 warm_37c w 0").unwrap();
    bench.journal.enter(&kt("03:39:00"), &id("WS-1"), entered).unwrap();
    assert!(bench.journal.enter(&kt("03:39:00"), &id("WS-9"), Event::from(note())).is_err());
}

fn note() -> crossread_journal::Note {
    crossread_journal::Note { text: Text::from("called away") }
}

/// F49: an amendment shows `2+ → 0`, the reason and the person; revision 2; the verdict changes.
/// F50: the new reading carries nothing of the old one. F51: who had revision 1 is listed.
#[rstest]
fn f49_f50_f51_amendment(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.open_dog("WS-1", "R-3107");
    bench.donor("WS-1", &dog_donor("D-091", "U-5512")).unwrap();
    bench.sample("WS-1", &serum_of("R-3107")).unwrap();
    bench.read("WS-1", "03:28:10", "recipient_auto - warm_37c 0 0").unwrap();
    let mut first = reading_of("major D-091 warm_37c 2+ 0");
    first.pattern = Some(crossread_core::words::Pattern::Stacks);
    first.mixed_field = Some(true);
    let entered = ReadingEntered { reading: first, transcribed: false };
    let wrong = bench.journal.enter(&kt("03:29:40"), &id("WS-1"), entered).unwrap().seq;
    bench.journal.issue(&kt("03:34:00"), &id("WS-1"), "Dr Vane").unwrap();
    bench.journal.hand(&kt("03:36:00"), &id("WS-1"), "Dr Orr").unwrap();
    let new =
        ReadingEntered { reading: reading_of("major D-091 warm_37c 0 0"), transcribed: false };
    let amended = bench
        .journal
        .amend(&Writer::new("LM", time("05:10:00")), wrong, "wrong row", new.clone())
        .unwrap();
    // Both holders of revision 1 are to be told.
    let tasks = bench.journal.open_tasks().unwrap();
    let told: Vec<_> = tasks
        .iter()
        .map(|open| (open.task.task, open.task.tell.as_ref().unwrap().as_str()))
        .collect();
    assert_eq!(told, [(Task::TellOfAmendment, "Dr Vane"), (Task::TellOfAmendment, "Dr Orr")]);
    assert_eq!(amended.raised, [tasks[0].seq, tasks[1].seq]);
    let sheet = bench.journal.sheet(&id("WS-1")).unwrap();
    let old = sheet.readings.iter().find(|reading| reading.seq == wrong).unwrap();
    let taken = old.taken_back.as_ref().unwrap();
    assert_eq!((taken.by.as_str(), taken.reason.as_str()), ("LM", "wrong row"));
    assert_eq!(old.value.reading.agglutination.unwrap().word(), "2+");
    let now = old.amended_to(&sheet.readings).unwrap();
    assert_eq!(now.replaces, Some(wrong));
    let reading = &now.value.reading;
    assert_eq!(reading.agglutination.unwrap().word(), "0");
    assert_eq!((reading.pattern, reading.mixed_field), (None, None));
    // Of the same look: the time and the reader of the first.
    assert_eq!(reading.at, Some(time("03:29:40")));
    assert_eq!(reading.by.as_ref().unwrap().as_str(), "KT");
    assert!(sheet.changed_since_issue());
    assert_eq!(bench.verdict("WS-1", "D-091"), Verdict::CompatibleWithCaveats);
    // Releasing on the strength of revision 1 is refused in any case.
    let call = bench.journal.release(&kt("05:11:00"), &release_of("WS-1", "D-091", "3107", "5512"));
    refused!(bench, call, Refusal::NotReleasable { .. });
    bench.journal.issue(&kt("05:12:00"), &id("WS-1"), "Dr Vane").unwrap();
    let sheet = bench.journal.sheet(&id("WS-1")).unwrap();
    let second = sheet.last_issued().unwrap();
    assert_eq!((second.value.revision, second.value.replaces), (2, Some(sheet.issued[0].seq)));
    let told: Vec<_> =
        sheet.told().iter().map(|told| (told.revision, told.to.to_string())).collect();
    let names = [(1, "Dr Vane"), (1, "Dr Orr"), (2, "Dr Vane")];
    assert_eq!(told, names.map(|(revision, name)| (revision, name.to_owned())));
    // Acknowledging is an entry, once.
    bench.journal.close_task(&kt("06:10:00"), tasks[0].seq, "told by phone").unwrap();
    let call = bench.journal.close_task(&kt("06:11:00"), tasks[0].seq, "again");
    refused!(bench, call, Refusal::TaskClosed(_));
    assert_eq!(bench.journal.open_tasks().unwrap().len(), 1);
    let call = bench.journal.retract(&kt("06:12:00"), wrong, "twice");
    refused!(bench, call, Refusal::NotRetractable(..));
    let call = bench.journal.amend(&kt("06:12:00"), amended.seq, " ", new.clone());
    refused!(bench, call, Refusal::NameMissing(_));
    let call = bench.journal.amend(&kt("06:12:00"), amended.seq, "other donor", note());
    refused!(bench, call, Refusal::NotAnAmendment(_));
    bench.journal.amend(&kt("06:12:00"), amended.seq, "looked again", new).unwrap();
    assert!(bench.journal.verify(None).unwrap().is_good());
}

/// F47: an old interpretation is shown as it was issued, and today's beside it, under another
/// protocol too.
#[rstest]
fn f47_issued_and_today(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.open_dog("WS-1", "R-3107");
    bench.clean_but_open("WS-1", "D-091", "U-5512");
    bench.read("WS-1", "03:31:00", "minor D-091 warm_37c rough 0").unwrap();
    bench.journal.issue(&kt("03:34:00"), &id("WS-1"), "Dr Vane").unwrap();
    let shown = bench.journal.show(&id("WS-1"), None).unwrap();
    assert_eq!(shown.differences, []);
    assert!(!shown.changed_since_issue);
    let (_, shipped) = crossread_core::protocol::SHIPPED
        .into_iter()
        .find(|(name, _)| *name == "dog-routine.json")
        .unwrap();
    let mut stricter: serde_json::Value = serde_json::from_str(shipped).unwrap();
    stricter["version"] = "2.0.0".into();
    stricter["hemolysis_reject_from"]["value"] = 1.into();
    stricter["reactive_from"]["value"] = "rough".into();
    let stricter = crossread_core::Protocol::from_json(stricter.to_string().as_bytes()).unwrap();
    let shown = bench.journal.show(&id("WS-1"), Some(&stricter)).unwrap();
    let what: Vec<&str> = shown.differences.iter().map(|d| d.what.as_str()).collect();
    assert!(what.contains(&"protocol version") && what.contains(&"findings"), "{what:?}");
    let (_, issued) = shown.issued.unwrap();
    assert_eq!(issued.interpretation["protocol"]["version"], "1.0.0");
    assert_eq!(shown.today.protocol.version.as_str(), "2.0.0");
    // The hash that was issued is that of the worksheet as it stood, which can be made again.
    let view = bench.journal.view(&id("WS-1")).unwrap();
    let hash = view.worksheet.digest().to_string();
    assert_eq!(issued.interpretation["worksheet"]["sha256"], hash.as_str());
}

/// What other entries rest on is not taken back from under them.
#[rstest]
fn retractions_that_would_contradict(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    let opened = bench.open_dog("WS-1", "R-3107").seq;
    let donor = bench.donor("WS-1", &dog_donor("D-091", "U-5512")).unwrap().seq;
    let first = bench.read("WS-1", "03:28:10", "major D-091 warm_37c 1+ 0").unwrap().seq;
    let call = bench.journal.retract(&kt("03:30:00"), donor, "wrong unit");
    refused!(bench, call, Refusal::RestsOnIt(_));
    let call = bench.journal.retract(&kt("03:30:00"), opened, "wrong animal");
    refused!(bench, call, Refusal::RestsOnIt(_));
    let call = bench.journal.retract(&kt("03:30:00"), 1, "no");
    refused!(bench, call, Refusal::NotRetractable(..));
    // Amended, it goes: same id, another unit. The readings stay with it.
    let added = |unit: &str| DonorAdded {
        donor: draft::Donor::from_json(dog_donor("D-091", unit).as_bytes()).unwrap(),
        known: Known::default(),
        overridden: None,
    };
    bench.journal.check_segment(&kt("03:30:00"), &id("WS-1"), &id("D-091"), "5512").unwrap();
    bench.journal.amend(&kt("03:31:00"), donor, "misread", added("U-5521")).unwrap();
    let sheet = bench.journal.sheet(&id("WS-1")).unwrap();
    assert_eq!(sheet.donors.len(), 2);
    assert_eq!(sheet.unit(&id("D-091")).unwrap().number, Some(id("U-5521")));
    // What was typed at the segment was the old number.
    assert!(!sheet.is_segment_checked(&id("D-091")));
    // A retracted first look still carries its recheck.
    let mut recheck = reading_of("major D-091 warm_37c 0 0");
    recheck.after = Some(crossread_core::words::Recheck::SalineReplacement);
    let entered = ReadingEntered { reading: recheck, transcribed: false };
    bench.journal.enter(&kt("03:39:00"), &id("WS-1"), entered).unwrap();
    bench.journal.retract(&kt("03:40:00"), first, "wrong tube").unwrap();
    let view = bench.journal.view(&id("WS-1")).unwrap();
    assert!(view.worksheet.readings()[0].retracted.is_some());
}

/// An amended donor keeps its place among the donors.
#[rstest]
fn an_amended_donor_keeps_its_place(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.open_dog("WS-1", "R-3107");
    let first = bench.donor("WS-1", &dog_donor("D-091", "U-5512")).unwrap().seq;
    bench.donor("WS-1", &dog_donor("D-092", "U-5513")).unwrap();
    let donor = draft::Donor::from_json(dog_donor("D-091", "U-5519").as_bytes()).unwrap();
    let added = DonorAdded { donor, known: Known::default(), overridden: None };
    bench.journal.amend(&kt("03:31:00"), first, "misread", added).unwrap();
    let view = bench.journal.view(&id("WS-1")).unwrap();
    let units: Vec<_> = view
        .worksheet
        .donors()
        .iter()
        .map(|donor| donor.unit.as_ref().unwrap().number.as_ref().unwrap().to_string())
        .collect();
    assert_eq!(units, ["U-5519", "U-5513"]);
}

fn slugs(bench: &mut Bench) -> Vec<&'static str> {
    let interpretation = bench.journal.interpretation(&id("WS-1")).unwrap();
    interpretation.pairs[0].findings.iter().map(|finding| finding.slug).collect()
}

/// F20: read at the limit of the protocol's window, and one second after it.
#[rstest]
#[case(300, false)]
#[case(301, true)]
fn f20_reading_window(
    #[case] seconds: u32,
    #[case] late: bool,
    #[values(Kind::File, Kind::Server)] kind: Kind,
) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.open_dog("WS-1", "R-3107");
    bench.donor("WS-1", &dog_donor("D-091", "U-5512")).unwrap();
    let mut reading = reading_of("major D-091 warm_37c 0 0");
    reading.seconds = crossread_core::document::Whole::new(seconds);
    let entered = ReadingEntered { reading, transcribed: false };
    bench.journal.enter(&kt("03:28:10"), &id("WS-1"), entered).unwrap();
    assert_eq!(slugs(&mut bench).contains(&"reading-delayed"), late);
}

/// F06: a sample of an animal that may have been transfused, at its limit of age and one minute
/// after it.
#[rstest]
#[case("2026-03-04T01:10:00+01:00", false)]
#[case("2026-03-04T01:11:00+01:00", true)]
fn f06_sample_age(
    #[case] read_at: &str,
    #[case] old: bool,
    #[values(Kind::File, Kind::Server)] kind: Kind,
) {
    let Some(mut bench) = Bench::new(kind) else { return };
    let opening =
        dog_but("WS-1", "R-3107", r#""transfused": "never""#, r#""transfused": "unknown""#);
    bench.open(&opening).unwrap();
    bench.donor("WS-1", &dog_donor("D-091", "U-5512")).unwrap();
    bench.sample("WS-1", &serum_of("R-3107")).unwrap();
    let entered =
        ReadingEntered { reading: reading_of("major D-091 warm_37c 0 0"), transcribed: false };
    let at = crossread_core::document::Time::new(read_at).unwrap();
    bench.journal.enter(&Writer::new("KT", at), &id("WS-1"), entered).unwrap();
    assert_eq!(slugs(&mut bench).contains(&"sample-too-old"), old);
}
