//! From the released unit to the vein and back: F57 to F59.

use crossread_core::care::{Check, Sign};
use crossread_core::document::{Hundredths, Whole};
use crossread_core::worksheet::draft;
use crossread_journal::{
    Checked, EmergencyRelease, Ended, Event, JournalError, Observation, Observed, OutcomeMeasured,
    Reacted, Refusal, Retest, RetestSample, Started, Task, Typed, Warning,
};
use rstest::rstest;

use crate::bench::{Bench, Kind, dog, dog_donor, id, kt, refused, release_of, serum_of};

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
    assert_eq!((running[0].recipient.as_str(), running[0].unit.as_str()), ("R-3107", "U-5512"));
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
    // The next crossmatch of the animal reads when, what, of whom, and what came of it.
    let (_, warnings) = bench.journal.animal(&id("R-3107")).unwrap();
    let told = warnings.iter().map(ToString::to_string).find(|said| said.contains("started"));
    let told = told.unwrap();
    assert!(told.starts_with("transfused on 2026-03-01: packed cells of D-091; started"), "{told}");
    assert!(told.contains("PCV 17 % 0 h after"), "{told}");
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
        refused!(bench, call, Refusal::CheckOpen { check: of, .. } if of == *check);
        one.checks.remove(number);
        let call = bench.journal.start_transfusion(&kt("03:50:00"), &worksheet, &one);
        refused!(bench, call, Refusal::CheckOpen { check: of, .. } if of == *check);
    }
    let mut warm = start(release);
    for check in &mut warm.checks {
        check.yes &= check.check != Check::NotTooWarm;
    }
    let call = bench.journal.start_transfusion(&kt("03:50:00"), &worksheet, &warm).unwrap_err();
    // The limit is the protocol's.
    assert_eq!(
        call.to_string(),
        "Was it never warmed above 37 °C? Do not hang it. Keep it aside and tell the veterinarian."
    );
    // A fraction is no PCV in percent.
    let mut fraction = start(release);
    fraction.baseline.pcv = Hundredths::new(30);
    let call = bench.journal.start_transfusion(&kt("03:50:00"), &worksheet, &fraction);
    refused!(bench, call, Refusal::NotAPcv(_));
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

/// H10, H27: what a release rested on is looked at again when the unit is spiked.
#[rstest]
fn what_changed_since_the_release_stops_the_start(
    #[values(Kind::File, Kind::Server)] kind: Kind,
    #[values(
        "verdict",
        "types",
        "inspection",
        "expiry",
        "reaction",
        "look",
        "unit",
        "clock",
        "early"
    )]
    what: &str,
    #[values(false, true)] emergency: bool,
) {
    let Some(mut bench) = Bench::new(kind) else { return };
    let worksheet = id("WS-1");
    let release = release_of("WS-1", "D-091", "3107", "5512");
    let release = if emergency {
        bench.open_dog("WS-1", "R-3107");
        bench.donor("WS-1", &dog_donor("D-091", "U-5512")).unwrap();
        let emergency = EmergencyRelease { release, reason: "bleeding".into() };
        bench.journal.release_in_emergency(&kt("03:40:00"), &emergency).unwrap().seq
    } else {
        bench.clean_run("WS-1", "R-3107", "D-091", "U-5512");
        bench.journal.issue(&kt("03:34:00"), &worksheet, "Dr Vane").unwrap();
        bench.journal.release(&kt("03:40:00"), &release).unwrap().seq
    };
    let sheet = bench.journal.sheet(&worksheet).unwrap();
    let mut donor = sheet.donor(&id("D-091")).unwrap().clone();
    let mut at = kt("03:50:00");
    let time = |text: &str| crossread_core::document::Time::new(text).unwrap();
    match what {
        "verdict" => {
            bench.read("WS-1", "03:44:00", "recipient_auto - warm_37c 0 0").unwrap();
            bench.read("WS-1", "03:45:00", "major D-091 warm_37c 3+ 0").unwrap();
        }
        "types" => {
            let typed =
                draft::BloodType::from_json(br#"{ "system": "DEA 1", "result": "positive" }"#);
            let typed = Typed { animal: id("R-3107"), result: typed.unwrap(), settled_by: None };
            bench.journal.typed(&kt("03:45:00"), &typed).unwrap();
        }
        "inspection" => bench.inspect_again("WS-1", "D-091", "hemolyzed"),
        "expiry" => at.at = time("2026-03-21T00:00:00+01:00"),
        "reaction" => {
            let reacted = Reacted {
                animal: id("R-3107"),
                at: kt("03:44:00").at,
                text: "hives, to another unit".into(),
                donor: None,
                unit: None,
            };
            bench.journal.reacted(&kt("03:45:00"), &reacted).unwrap();
        }
        "look" => {
            let seen =
                br#"{ "of": { "test": "recipient_auto", "phase": "room" }, "hemolysis": 0 }"#;
            let seen = serde_json::from_slice(seen).unwrap();
            bench.journal.begin_look(&kt("03:45:00"), &worksheet, &seen).unwrap();
        }
        "unit" => {
            donor.value.donor.unit.as_mut().unwrap().number = Some(id("U-5599"));
            bench.journal.amend(&kt("03:45:00"), donor.seq, "misread", donor.value).unwrap();
        }
        "clock" => {
            let later = crossread_journal::Writer::new("LM", time("2026-03-21T00:00:00+01:00"));
            let note = crossread_journal::Note { text: "spring".into() };
            bench.journal.enter(&later, &worksheet, note).unwrap();
        }
        "early" => at = kt("03:39:59"),
        _ => panic!("{what}"),
    }
    let call = bench.journal.start_transfusion(&at, &worksheet, &start(release));
    match (what, emergency) {
        ("verdict" | "inspection", false) => refused!(bench, call, Refusal::NotReleasable { .. }),
        ("verdict" | "inspection", true) => refused!(bench, call, Refusal::Incompatible { .. }),
        ("types", false) => refused!(bench, call, Refusal::NotReleasable { .. }),
        ("types", true) => refused!(bench, call, Refusal::TypesDisagree { .. }),
        ("expiry", false) => refused!(bench, call, Refusal::Expired { .. }),
        ("expiry", true) | ("unit", _) => refused!(bench, call, Refusal::UnitNotFit { .. }),
        ("reaction", _) => refused!(bench, call, Refusal::ReactionSince { .. }),
        ("look", _) => refused!(bench, call, Refusal::LookBegun { .. }),
        ("clock", _) => refused!(bench, call, Refusal::ClockBehind { .. }),
        ("early", _) => refused!(bench, call, Refusal::BeforeRelease(_)),
        _ => panic!("{what}"),
    }
}

/// Two units are released together in the evening and run one after the other; that the first began
/// does not make the second one's samples older than they are. They keep for 72 hours from then on.
#[rstest]
fn a_second_unit_after_midnight(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some((mut bench, first)) = released(kind) else { return };
    let worksheet = id("WS-1");
    bench.donor("WS-1", &dog_donor("D-092", "U-5513")).unwrap();
    bench.read("WS-1", "03:42:00", "major D-092 warm_37c 0 0").unwrap();
    bench.journal.check_segment(&kt("03:43:00"), &worksheet, &id("D-092"), "5513").unwrap();
    bench.journal.issue(&kt("03:44:00"), &worksheet, "Dr Vane").unwrap();
    let release = release_of("WS-1", "D-092", "3107", "5513");
    let second = bench.journal.release(&kt("03:45:00"), &release).unwrap().seq;
    let on = |text: &str| {
        crossread_journal::Writer::new("KT", crossread_core::document::Time::new(text).unwrap())
    };
    let night = on("2026-03-02T00:10:00+01:00");
    bench.journal.start_transfusion(&night, &worksheet, &start(first)).unwrap();
    let second = Started { typed_unit: "5513".into(), ..start(second) };
    // Drawn 2026-03-01 00:10 UTC.
    let over = on("2026-03-04T00:10:01Z");
    let call = bench.journal.start_transfusion(&over, &worksheet, &second);
    refused!(bench, call, Refusal::Expired { .. });
    let at = on("2026-03-04T00:10:00Z");
    bench.journal.start_transfusion(&at, &worksheet, &second).unwrap();
}

/// A sign, or a fever, becomes a task at once; what is below does not. A fever is above 39 °C and more
/// than 1 °C above the baseline (International Society of Feline Medicine, 2021 consensus guidelines,
/// table 4, febrile reaction); the baseline is 38.5 °C here.
#[rstest]
#[case::usual(3900, &[], None)]
#[case::high_but_not_risen(3950, &[], None)]
#[case::fever(3951, &[], Some("a fever, 39.51 °C, after 38.5 °C before it began"))]
#[case::sign(3860, &[Sign::Hives, Sign::Vomiting], Some("hives, itching, swollen face; vomiting"))]
fn a_sign_becomes_a_task(
    #[case] temperature: u32,
    #[case] signs: &[Sign],
    #[case] why: Option<&str>,
    #[values(Kind::File, Kind::Server)] kind: Kind,
) {
    let Some((mut bench, release)) = released(kind) else { return };
    let worksheet = id("WS-1");
    let started =
        bench.journal.start_transfusion(&kt("03:50:00"), &worksheet, &start(release)).unwrap();
    let mut look = Observed { started: started.seq, seen: seen(temperature) };
    look.seen.signs = signs.to_vec();
    bench.journal.observe(&kt("03:55:00"), &worksheet, &look).unwrap();
    let tasks = bench.journal.open_tasks().unwrap();
    match (why, tasks.as_slice()) {
        (None, []) => {}
        (Some(why), [task]) => {
            assert_eq!(task.task.task, Task::StopAndCall);
            let said = format!(
                "stop unit U-5512 of R-3107 now, keep unit and line, call the veterinarian: {why}"
            );
            assert!(task.task.text.as_str().starts_with(&said), "{:?}", task.task.text);
        }
        other => panic!("{other:?}"),
    }
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
    look.seen.pcv = Hundredths::new(30);
    let call = bench.journal.observe(&kt("03:56:00"), &worksheet, &look);
    refused!(bench, call, Refusal::NotAPcv(_));
    look.seen.pcv = None;
    let Event::Observed(kept) = bench.journal.entry(written.seq).unwrap().event else {
        panic!("not observed")
    };
    assert_eq!(kept, look);
}
