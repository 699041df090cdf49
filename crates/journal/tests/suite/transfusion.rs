//! From the released unit to the vein and back: F57 to F59.

use crossread_core::care::{Check, Sign};
use crossread_core::document::{Hundredths, Whole};
use crossread_core::worksheet::draft;
use crossread_journal::{
    Checked, Ended, Event, JournalError, Observation, Observed, OutcomeMeasured, Refusal, Retest,
    RetestSample, Started, Warning,
};
use rstest::rstest;

use crate::bench::{Bench, Kind, dog, id, kt, refused, release_of, serum_of};

/// A night with a unit of WS-1 released at 03:40; the entry of the release.
fn released(kind: Kind) -> Option<(Bench, u64)> {
    let mut bench = Bench::new(kind)?;
    bench.clean_run("WS-1", "R-3107", "D-091", "U-5512");
    bench.journal.issue(&kt("03:34:00"), &id("WS-1"), "Dr Vane").unwrap();
    let release = release_of("WS-1", "D-091", "3107", "5512");
    let released = bench.journal.release(&kt("03:40:00"), &release).unwrap();
    Some((bench, released.seq))
}

fn start(release: u64) -> Started {
    Started {
        release,
        ml: Hundredths::new(30_000).unwrap(),
        minutes: 100,
        checks: Check::ALL.iter().map(|check| Checked { check: *check, yes: true }).collect(),
        baseline: seen(3850),
        typed_recipient: "3107".into(),
        typed_unit: "5512".into(),
    }
}

fn seen(temperature: u32) -> Observation {
    Observation {
        temperature_c: Hundredths::new(temperature),
        heart: Whole::new(110),
        ..Observation::default()
    }
}

#[rstest]
fn f57_a_night_from_the_release_to_the_re_test(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some((mut bench, release)) = released(kind) else { return };
    let worksheet = id("WS-1");
    let journal = &mut bench.journal;
    let started = journal.start_transfusion(&kt("03:50:00"), &worksheet, &start(release)).unwrap();
    // The times of the protocol: every 5 minutes for 15, then every 15, and the end.
    let running = journal.running().unwrap();
    assert_eq!(running.len(), 1);
    assert_eq!(running[0].times.len(), 10);
    assert_eq!(running[0].missed(kt("03:54:59").at).len(), 0);
    assert_eq!(running[0].missed(kt("03:55:00").at).len(), 1);
    let look = Observed { started: started.seq, seen: seen(3860) };
    journal.observe(&kt("03:55:10"), &worksheet, &look).unwrap();
    let running = journal.running().unwrap();
    assert_eq!(running[0].missed(kt("03:59:00").at), []);
    assert_eq!(running[0].missed(kt("04:06:00").at).len(), 2);
    // A reaction: stopped, the unit barred for every animal.
    let ended = Ended {
        started: started.seq,
        ml: Hundredths::new(4_000),
        stopped: true,
        text: "vomited, 40.1 °C, urine red".into(),
    };
    journal.reaction_to(&kt("04:06:00"), &worksheet, &ended).unwrap();
    assert!(journal.running().unwrap().is_empty());
    let sheet = journal.sheet(&worksheet).unwrap();
    assert!(sheet.ended[0].value.stopped);
    let (_, warnings) = journal.animal(&id("R-3107")).unwrap();
    assert!(warnings.iter().any(|warning| matches!(warning, Warning::Reaction(_))));
    assert!(warnings.iter().any(|warning| matches!(warning, Warning::Transfused(_))));
    // Sibling units of the donor are listed.
    let units = journal.units_of(&id("D-091")).unwrap();
    assert!(units.iter().any(|unit| unit.unit == Some(id("U-5512"))));
    // One action opens each re-test, with the sample from before and with the one from after, once
    // what happened to the animal was taken note of.
    for (sample, name, drawn, major) in [
        (RetestSample::BeforeTransfusion, "WS-2", "01:10:00", "0"),
        (RetestSample::AfterTransfusion, "WS-3", "04:45:00", "2+"),
    ] {
        let again = Retest { worksheet: worksheet.clone(), donor: id("D-091"), sample };
        let call = bench.journal.retest(&kt("05:00:00"), &id(name), &again, &[]);
        let Err(JournalError::Refused(Refusal::Warnings(warnings))) = call else {
            panic!("{call:?}")
        };
        assert!(warnings.iter().any(|warning| matches!(warning, Warning::Reaction(_))));
        let noted: Vec<_> = warnings.iter().map(|of| of.to_string().as_str().into()).collect();
        bench.journal.retest(&kt("05:00:00"), &id(name), &again, &noted).unwrap();
        let serum = serum_of("R-3107").replace("S-R-3107", name).replace("01:10:00", drawn);
        let sample = draft::Sample::from_json(serum.as_bytes()).unwrap();
        let added = crossread_journal::SampleAdded { sample, overridden: None };
        bench.journal.enter(&kt("05:04:00"), &id(name), added).unwrap();
        bench.read(name, "05:05:00", "recipient_auto - warm_37c 0 0").unwrap();
        bench.read(name, "05:06:00", &format!("major D-091 warm_37c {major} 0")).unwrap();
    }
    // Side by side with the first result: the sample from before gives the same, the one from after
    // does not, and what changed is named.
    let mut changed = |second: &str| -> Vec<(String, String, String)> {
        let rows = bench.journal.side_by_side(&worksheet, &id(second), &id("D-091")).unwrap();
        let rows = rows.into_iter().filter(|row| row.changed && row.what.starts_with("major"));
        rows.map(|row| (row.what, row.first, row.second)).collect()
    };
    assert_eq!(changed("WS-2"), []);
    let [negative, reactive] = ["0, hemolysis 0, negative", "2+, hemolysis 0, reactive"];
    assert_eq!(
        changed("WS-3"),
        [("major at 37 °C".to_owned(), negative.to_owned(), reactive.to_owned())]
    );
    // The unit is not released again, also not to another animal.
    bench.open(&dog("WS-4", "R-3120")).unwrap();
    bench.clean_but_open("WS-4", "D-091", "U-5512");
    bench.journal.issue(&kt("05:10:00"), &id("WS-4"), "Dr Vane").unwrap();
    let call = bench.journal.release(&kt("05:12:00"), &release_of("WS-4", "D-091", "3120", "5512"));
    refused!(bench, call, Refusal::Barred { .. });
    let outcome =
        OutcomeMeasured { started: started.seq, hours: 0, pcv: Hundredths::new(1700).unwrap() };
    bench.journal.outcome(&kt("05:20:00"), &worksheet, &outcome).unwrap();
    assert!(bench.journal.verify(None).unwrap().is_good());
}

#[rstest]
fn a_unit_is_spiked_only_when_everything_is_answered(
    #[values(Kind::File, Kind::Server)] kind: Kind,
) {
    let Some((mut bench, release)) = released(kind) else { return };
    let worksheet = id("WS-1");
    for (number, check) in Check::ALL.iter().enumerate() {
        let mut one = start(release);
        one.checks[number].yes = false;
        let call = bench.journal.start_transfusion(&kt("03:50:00"), &worksheet, &one);
        refused!(bench, call, Refusal::CheckOpen(of) if of == *check);
        one.checks.remove(number);
        let call = bench.journal.start_transfusion(&kt("03:50:00"), &worksheet, &one);
        refused!(bench, call, Refusal::CheckOpen(of) if of == *check);
    }
    let mut wrong = start(release);
    wrong.typed_unit = "5521".into();
    let call = bench.journal.start_transfusion(&kt("03:50:00"), &worksheet, &wrong);
    refused!(bench, call, Refusal::TypedWrong(..));
    let mut cold = start(release);
    cold.baseline.temperature_c = None;
    let call = bench.journal.start_transfusion(&kt("03:50:00"), &worksheet, &cold);
    refused!(bench, call, Refusal::BaselineMissing);
    // A month later the crossmatch does not hold any more.
    let late = crossread_journal::Writer::new(
        "KT",
        crossread_core::document::Time::new("2026-04-05T03:50:00+02:00").unwrap(),
    );
    let call = bench.journal.start_transfusion(&late, &worksheet, &start(release));
    refused!(bench, call, Refusal::Expired { .. });
    let started =
        bench.journal.start_transfusion(&kt("03:50:00"), &worksheet, &start(release)).unwrap();
    let call = bench.journal.start_transfusion(&kt("03:51:00"), &worksheet, &start(release));
    refused!(bench, call, Refusal::AlreadyStarted(_));
    // What was spiked does not come back to the refrigerator.
    let call = bench.journal.take_unit_back(&kt("03:52:00"), release, "not needed");
    refused!(bench, call, Refusal::NotRetractable(..));
    let ended = Ended { started: started.seq, ml: None, stopped: true, text: "".into() };
    let call = bench.journal.end_transfusion(&kt("05:30:00"), &worksheet, &ended);
    refused!(bench, call, Refusal::NameMissing(_));
    let ended = Ended { stopped: false, ..ended };
    bench.journal.end_transfusion(&kt("05:30:00"), &worksheet, &ended).unwrap();
    let look = Observed { started: started.seq, seen: seen(3860) };
    let call = bench.journal.observe(&kt("05:31:00"), &worksheet, &look);
    refused!(bench, call, Refusal::NotRunning(_));
}

/// What is written down while it runs is on the record with every sign.
#[rstest]
fn signs_are_kept(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some((mut bench, release)) = released(kind) else { return };
    let worksheet = id("WS-1");
    let started =
        bench.journal.start_transfusion(&kt("03:50:00"), &worksheet, &start(release)).unwrap();
    let mut look = Observed { started: started.seq, seen: seen(3990) };
    look.seen.signs = Sign::ALL.to_vec();
    let written = bench.journal.observe(&kt("03:55:00"), &worksheet, &look).unwrap();
    let Event::Observed(kept) = bench.journal.entry(written.seq).unwrap().event else {
        panic!("not observed")
    };
    assert_eq!(kept, look);
}
