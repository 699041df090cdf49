//! A look is entered key by key, and each key is kept; a clock runs from steps that are kept too.

use crossread_core::words::{Phase, Test};
use crossread_journal::{
    Cell, Event, Journal, JournalError, LookBegun, Refusal, Step, StepDone, Writer,
};
use rstest::rstest;

use crate::bench::{Bench, Kind, dog_but, dog_donor, id, kt, refused, release_of, time};

fn cell() -> Cell {
    Cell::new(Test::Major, Some(id("D-091")), Phase::Warm37c)
}

/// What was seen so far in the major of D-091 at 37 °C.
fn look(seen: &str) -> LookBegun {
    look_at(r#""test": "major", "donor": "D-091", "phase": "warm_37c""#, seen)
}

fn look_at(of: &str, seen: &str) -> LookBegun {
    serde_json::from_str(&format!(r#"{{ "of": {{ {of} }} {seen} }}"#)).unwrap()
}

fn open(kind: Kind) -> Option<Bench> {
    let mut bench = Bench::new(kind)?;
    bench.open_dog("WS-1", "R-3107");
    bench.donor("WS-1", &dog_donor("D-091", "U-5512")).unwrap();
    Some(bench)
}

#[rstest]
fn a_control_can_be_looked_at_before_there_is_a_donor(
    #[values(Kind::File, Kind::Server)] kind: Kind,
) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.open_dog("WS-1", "R-3107");
    let worksheet = id("WS-1");
    let control = Cell::new(Test::RecipientAuto, None, Phase::Warm37c);
    let of = r#""test": "recipient_auto", "phase": "warm_37c""#;
    let seen = look_at(of, r#", "hemolysis": 0, "agglutination": "0""#);
    bench.journal.begin_look(&kt("03:28:10"), &worksheet, &seen).unwrap();
    bench.journal.finish_look(&kt("03:28:20"), &worksheet, &control).unwrap();
    assert_eq!(bench.journal.sheet(&worksheet).unwrap().readings.len(), 1);
    // A mixture with a donor's cells needs the donor.
    let call = bench.journal.begin_look(&kt("03:29:40"), &worksheet, &look(""));
    assert!(matches!(call, Err(JournalError::Faults(_))), "{call:?}");
}

#[rstest]
fn each_key_is_kept_and_the_last_one_is_when_it_was_seen(
    #[values(Kind::File, Kind::Server)] kind: Kind,
) {
    let Some(mut bench) = open(kind) else { return };
    let worksheet = id("WS-1");
    bench.journal.begin_look(&kt("03:29:40"), &worksheet, &look(r#", "hemolysis": 0"#)).unwrap();
    let seen = look(r#", "hemolysis": 0, "agglutination": "2+""#);
    bench.journal.begin_look(&kt("03:29:42"), &worksheet, &seen).unwrap();
    // Everything is there after a crash, and it is no reading yet.
    let mut again = Journal::open(&bench.place).unwrap();
    assert_eq!(again.begun_looks("kt", &worksheet).unwrap(), [seen]);
    assert!(again.begun_looks("LM", &worksheet).unwrap().is_empty());
    assert!(again.sheet(&worksheet).unwrap().readings.is_empty());
    drop(again);
    let finished = bench.journal.finish_look(&kt("03:41:00"), &worksheet, &cell()).unwrap();
    let Event::ReadingEntered(entered) = bench.journal.entry(finished.seq).unwrap().event else {
        panic!("no reading")
    };
    assert_eq!(entered.reading.agglutination.unwrap().word(), "2+");
    assert_eq!(entered.reading.at, Some(time("03:29:42")), "when it was seen, not when it ended");
    assert!(!entered.transcribed);
    let sheet = bench.journal.sheet(&worksheet).unwrap();
    assert!(sheet.looks.is_empty());
    let call = bench.journal.finish_look(&kt("03:42:00"), &worksheet, &cell());
    assert!(matches!(call, Err(JournalError::Unknown { .. })), "{call:?}");
    assert!(bench.journal.verify(None).unwrap().is_good());
}

#[rstest]
fn a_look_without_a_grade_is_no_reading(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = open(kind) else { return };
    let worksheet = id("WS-1");
    bench.journal.begin_look(&kt("03:29:40"), &worksheet, &look(r#", "hemolysis": 0"#)).unwrap();
    let call = bench.journal.finish_look(&kt("03:30:00"), &worksheet, &cell());
    assert!(matches!(call, Err(JournalError::Faults(_))), "{call:?}");
    // Nothing seen takes it back.
    bench.journal.begin_look(&kt("03:31:00"), &worksheet, &look("")).unwrap();
    assert!(bench.journal.sheet(&worksheet).unwrap().looks.is_empty());
}

#[rstest]
#[case::unknown_donor(r#""test": "major", "donor": "D-999", "phase": "warm_37c""#, "")]
#[case::no_donor(r#""test": "major", "phase": "warm_37c""#, "")]
#[case::check_cells_elsewhere(
    r#""test": "major", "donor": "D-091", "phase": "warm_37c""#,
    r#", "check_cells": "2+""#
)]
#[case::dried_in_a_tube(
    r#""test": "major", "donor": "D-091", "phase": "warm_37c""#,
    r#", "dried": true"#
)]
fn a_look_at_fault_is_not_begun(#[case] of: &str, #[case] seen: &str) {
    let Some(mut bench) = open(Kind::File) else { return };
    let head = bench.journal.head().unwrap();
    let call = bench.journal.begin_look(&kt("03:29:40"), &id("WS-1"), &look_at(of, seen));
    assert!(matches!(call, Err(JournalError::Faults(_))), "{call:?}");
    assert_eq!(bench.journal.head().unwrap(), head);
}

/// What somebody saw and did not finish is never passed over.
#[rstest]
fn nothing_is_issued_or_released_over_an_unfinished_look(
    #[values(Kind::File, Kind::Server)] kind: Kind,
) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.clean_run("WS-1", "R-3107", "D-091", "U-5512");
    let worksheet = id("WS-1");
    bench.journal.issue(&kt("03:34:00"), &worksheet, "Dr Vane").unwrap();
    let begun = bench
        .journal
        .begin_look(&Writer::new("LM", time("03:35:00")), &worksheet, &look(r#", "hemolysis": 3"#))
        .unwrap();
    let release = release_of("WS-1", "D-091", "3107", "5512");
    let call = bench.journal.release(&kt("03:40:00"), &release);
    refused!(bench, call, Refusal::LookBegun { .. });
    let call = bench.journal.issue(&kt("03:40:00"), &worksheet, "Dr Vane");
    refused!(bench, call, Refusal::LookBegun { .. });
    let emergency =
        crossread_journal::EmergencyRelease { release: release.clone(), reason: "bleeding".into() };
    let call = bench.journal.release_in_emergency(&kt("03:40:00"), &emergency);
    refused!(bench, call, Refusal::LookBegun { .. });
    // Who began it may have left: another takes it back, with a reason, and it stays on the record.
    bench.journal.retract(&kt("03:41:00"), begun.seq, "LM was called away, tube gone").unwrap();
    let call = bench.journal.release(&kt("03:42:00"), &release);
    refused!(bench, call, Refusal::ChangedSinceIssue(1));
    bench.journal.issue(&kt("03:43:00"), &worksheet, "Dr Vane").unwrap();
    bench.journal.release(&kt("03:44:00"), &release).unwrap();
}

/// F22: what is begun is sealed as what is read.
#[rstest]
fn f22_a_begun_look_is_blind_too(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    let opening = dog_but("WS-1", "R-3107", r#""method""#, r#""second_reader": true, "method""#);
    bench.open(&opening).unwrap();
    bench.donor("WS-1", &dog_donor("D-091", "U-5512")).unwrap();
    let worksheet = id("WS-1");
    let seen = look(r#", "hemolysis": 4, "agglutination": "3+s""#);
    let begun = bench.journal.begin_look(&kt("03:29:40"), &worksheet, &seen).unwrap();
    let given_out = |bench: &mut Bench| {
        let mut said = bench.journal.entry(begun.seq).unwrap().to_json().unwrap();
        for entry in bench.journal.entries(&worksheet).unwrap() {
            said.push_str(&entry.to_json().unwrap());
        }
        said.push_str(&format!("{:?}", bench.journal.sheet(&worksheet).unwrap().looks));
        said.push_str(&format!("{:?}", bench.journal.begun_looks("LM", &worksheet)));
        said
    };
    assert!(!given_out(&mut bench).contains("3+s"));
    let export = bench.journal.export(&mut Vec::new());
    assert!(matches!(export, Err(JournalError::Refused(Refusal::Blind(_)))), "{export:?}");
    bench.journal.finish_look(&kt("03:30:00"), &worksheet, &cell()).unwrap();
    assert!(!given_out(&mut bench).contains("3+s"));
    bench.read_by("WS-1", "LM", "03:31:40", "major D-091 warm_37c 3+ 3").unwrap();
    assert!(given_out(&mut bench).contains("3+s"));
}

fn step(step: Step, of: Option<Cell>) -> StepDone {
    StepDone { step, phase: Phase::Warm37c, of }
}

/// Incubation from its start to the spin, and the seconds from the spin to the look.
#[rstest]
fn clocks_fill_in_what_they_measured(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = open(kind) else { return };
    let worksheet = id("WS-1");
    let journal = &mut bench.journal;
    journal.step(&kt("03:10:00"), &worksheet, &step(Step::IncubationStarted, None)).unwrap();
    journal.step(&kt("03:25:59"), &worksheet, &step(Step::Spun, None)).unwrap();
    let setup = journal.sheet(&worksheet).unwrap().setups.last().unwrap().value.setup.clone();
    assert_eq!(setup.incubation_min.unwrap().warm_37c.unwrap().get(), 15, "not rounded up");
    // Spun again: the incubation was over before.
    journal.step(&kt("03:27:00"), &worksheet, &step(Step::Spun, Some(cell()))).unwrap();
    assert_eq!(journal.sheet(&worksheet).unwrap().setups.len(), 1);
    let seen = look(r#", "hemolysis": 0, "agglutination": "0""#);
    journal.begin_look(&kt("03:27:31"), &worksheet, &seen).unwrap();
    journal.finish_look(&kt("03:29:00"), &worksheet, &cell()).unwrap();
    let sheet = journal.sheet(&worksheet).unwrap();
    assert_eq!(sheet.readings[0].value.reading.seconds.unwrap().get(), 31);
    // A recheck has no clock until it is spun itself.
    let again = look_at(
        r#""test": "major", "donor": "D-091", "phase": "warm_37c", "after": "saline_replacement""#,
        r#", "hemolysis": 0, "agglutination": "0""#,
    );
    let of = again.of.clone();
    journal.begin_look(&kt("03:33:00"), &worksheet, &again).unwrap();
    journal.finish_look(&kt("03:33:10"), &worksheet, &of).unwrap();
    assert!(journal.sheet(&worksheet).unwrap().readings[1].value.reading.seconds.is_none());
    bench.open(&dog_but("WS-2", "R-3108", r#""tube""#, r#""slide""#)).unwrap();
    let unused = StepDone { step: Step::Mixed, phase: Phase::Cold4c, of: None };
    let call = bench.journal.step(&kt("03:34:00"), &id("WS-2"), &unused);
    assert!(matches!(call, Err(JournalError::Unknown { .. })), "{call:?}");
}
