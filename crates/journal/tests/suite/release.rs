//! Release and emergency release: what is refused, and what is left to do.

use crossread_core::document::Text;
use crossread_core::words::TypeResult::{Negative, Positive};
use crossread_core::words::Verdict;
use crossread_core::worksheet::draft;
use crossread_journal::{
    DonorAdded, EmergencyRelease, Event, JournalError, Known, Refusal, Task, Writer,
};
use rstest::rstest;

use crate::bench::{Bench, Kind, dog_donor, id, kt, refused, release_of, serum_of, time};

/// A worksheet that was issued and can be released.
fn ready(kind: Kind) -> Option<Bench> {
    let mut bench = Bench::new(kind)?;
    bench.clean_run("WS-1", "R-3107", "D-091", "U-5512");
    bench.journal.issue(&kt("03:34:00"), &id("WS-1"), "Dr Vane").unwrap();
    Some(bench)
}

/// F07: the unit's number typed again at the segment; wrong twice, the row is locked.
#[rstest]
fn f07_segment(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.open_dog("WS-1", "R-3107");
    bench.donor("WS-1", &dog_donor("D-091", "U-5512")).unwrap();
    let mut typed = |by: &str, text: &str| {
        let writer = Writer::new(by, time("03:00:00"));
        bench.journal.check_segment(&writer, &id("WS-1"), &id("D-091"), text)
    };
    assert!(!typed("KT", "5521").unwrap().agrees);
    assert!(!typed("KT", "").unwrap().agrees);
    assert!(matches!(typed("KT", "5512"), Err(JournalError::Refused(Refusal::Locked(_)))));
    let call = bench.read("WS-1", "03:28:10", "major D-091 warm_37c 0 0");
    refused!(bench, call, Refusal::Locked(_));
    let sheet = bench.journal.sheet(&id("WS-1")).unwrap();
    assert_eq!(sheet.segments.len(), 2);
    // Another person gets it right.
    let writer = Writer::new("LM", time("03:10:00"));
    let checked = bench.journal.check_segment(&writer, &id("WS-1"), &id("D-091"), "5512").unwrap();
    assert!(checked.agrees);
    bench.read("WS-1", "03:28:10", "major D-091 warm_37c 0 0").unwrap();
}

/// F38: each thing that is missing is refused with its reason; with all of it, it goes.
#[rstest]
fn f38_release(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = ready(kind) else { return };
    let good = release_of("WS-1", "D-091", "3107", "5512");
    for (recipient, unit) in [("3170", "5512"), ("3107", "551"), ("R-3107", "5512"), ("", "5512")] {
        let release = release_of("WS-1", "D-091", recipient, unit);
        let call = bench.journal.release(&kt("03:40:00"), &release);
        refused!(bench, call, Refusal::TypedWrong(..));
    }
    let mut nobody = good.clone();
    nobody.to = Text::from(" ");
    let call = bench.journal.release(&kt("03:40:00"), &nobody);
    refused!(bench, call, Refusal::NameMissing("who receives the unit"));
    let mut nobody = good.clone();
    nobody.veterinarian = Text::from("");
    let call = bench.journal.release(&kt("03:40:00"), &nobody);
    refused!(bench, call, Refusal::NameMissing("the veterinarian"));
    let call = bench.journal.release(&Writer::new("", time("03:40:00")), &good);
    refused!(bench, call, Refusal::NameMissing("who releases"));
    let unknown = release_of("WS-1", "D-099", "3107", "5512");
    assert!(matches!(
        bench.journal.release(&kt("03:40:00"), &unknown),
        Err(JournalError::Unknown { .. })
    ));
    let written = bench.journal.release(&kt("03:40:00"), &good).unwrap();
    let call = bench.journal.release(&kt("03:41:00"), &good);
    refused!(bench, call, Refusal::AlreadyReleased { .. });
    bench.journal.take_unit_back(&kt("04:00:00"), written.seq, "not needed").unwrap();
    let call = bench.journal.take_unit_back(&kt("04:00:00"), written.seq, "again");
    refused!(bench, call, Refusal::AlreadyReturned(_));
    // What lay in a car or a pocket is looked at and identified again before it leaves again.
    let call = bench.journal.release(&kt("04:10:00"), &good);
    refused!(bench, call, Refusal::CameBack { returned, .. } if returned == written.seq + 1);
    bench.inspect_again("WS-1", "D-091", "normal");
    bench.journal.issue(&kt("04:12:00"), &id("WS-1"), "Dr Vane").unwrap();
    let call = bench.journal.release(&kt("04:13:00"), &good);
    refused!(bench, call, Refusal::SegmentNotChecked(_));
    bench.journal.check_segment(&kt("04:14:00"), &id("WS-1"), &id("D-091"), "5512").unwrap();
    bench.journal.release(&kt("04:15:00"), &good).unwrap();
}

/// H27: a unit that came back from one animal is not released to another, nor in an emergency, on
/// what was seen before it left.
#[rstest]
fn a_unit_that_came_back(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = ready(kind) else { return };
    bench.clean_run("WS-2", "R-3120", "D-091", "U-5512");
    bench.journal.issue(&kt("03:35:00"), &id("WS-2"), "Dr Vane").unwrap();
    bench.open_dog("WS-3", "R-3133");
    bench.donor("WS-3", &dog_donor("D-091", "U-5512")).unwrap();
    let first = release_of("WS-1", "D-091", "3107", "5512");
    let released = bench.journal.release(&kt("03:40:00"), &first).unwrap();
    bench.journal.take_unit_back(&kt("05:00:00"), released.seq, "was in the car").unwrap();
    let other = release_of("WS-2", "D-091", "3120", "5512");
    let call = bench.journal.release(&kt("05:10:00"), &other);
    refused!(bench, call, Refusal::CameBack { .. });
    let emergency = |worksheet: &str, recipient: &str| EmergencyRelease {
        release: release_of(worksheet, "D-091", recipient, "5512"),
        reason: Text::from("bleeding"),
    };
    let call = bench.journal.release_in_emergency(&kt("05:12:00"), &emergency("WS-3", "3133"));
    refused!(bench, call, Refusal::CameBack { .. });
    // A worksheet opened since has been told of the unit since.
    bench.open_dog("WS-4", "R-3140");
    bench.donor("WS-4", &dog_donor("D-091", "U-5512")).unwrap();
    bench.journal.release_in_emergency(&kt("05:13:00"), &emergency("WS-4", "3140")).unwrap();
}

/// H10: a clock that was set back does not make an expired crossmatch or unit valid again.
#[rstest]
fn a_clock_set_back(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = ready(kind) else { return };
    let at = |text: &str| Writer::new("KT", crossread_core::document::Time::new(text).unwrap());
    let note = |text: &str| crossread_journal::Note { text: Text::from(text) };
    let release = release_of("WS-1", "D-091", "3107", "5512");
    // Written on another worksheet, a second after the crossmatch ended.
    bench.open_dog("WS-2", "R-3120");
    let late = at("2026-03-08T00:10:01Z");
    let written = bench.journal.enter(&late, &id("WS-2"), note("the printer is empty")).unwrap();
    let call = bench.journal.release(&kt("03:40:00"), &release);
    refused!(bench, call, Refusal::ClockBehind { seq, .. } if seq == written.seq);
    // That the last entry has the old time again changes nothing.
    bench.journal.enter(&kt("03:41:00"), &id("WS-2"), note("filled")).unwrap();
    let call = bench.journal.release(&kt("03:42:00"), &release);
    refused!(bench, call, Refusal::ClockBehind { seq, .. } if seq == written.seq);
    // Nor does a worksheet that is opened under the old time, with a sample of the old time.
    let mut bench = ready(kind).unwrap();
    bench.journal.enter(&late, &id("WS-1"), note("the printer is empty")).unwrap();
    bench.clean_run("WS-2", "R-3120", "D-092", "U-5513");
    bench.journal.issue(&kt("03:41:00"), &id("WS-2"), "Dr Vane").unwrap();
    let other = release_of("WS-2", "D-092", "3120", "5513");
    let call = bench.journal.release(&kt("03:42:00"), &other);
    refused!(bench, call, Refusal::ClockBehind { .. });
    // A worksheet that was opened since is not held up by it.
    bench.clean_run("WS-3", "R-3133", "D-092", "U-5513");
    bench.journal.issue(&kt("03:43:00"), &id("WS-3"), "Dr Vane").unwrap();
    bench.journal.release(&kt("03:44:00"), &release_of("WS-3", "D-092", "3133", "5513")).unwrap();
    // The unit's day, in an emergency too.
    bench.donor("WS-3", &dog_donor("D-093", "U-5514")).unwrap();
    bench.journal.enter(&at("2026-03-21T00:00:00+01:00"), &id("WS-2"), note("spring")).unwrap();
    let emergency = EmergencyRelease {
        release: release_of("WS-3", "D-093", "3133", "5514"),
        reason: Text::from("bleeding"),
    };
    let call = bench.journal.release_in_emergency(&kt("03:50:00"), &emergency);
    refused!(bench, call, Refusal::ClockBehind { .. });
}

/// H10: whoever decided to give a unit is told when the crossmatch that freed it would not any more.
#[rstest]
fn a_released_unit_that_would_not_be_now(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = ready(kind) else { return };
    let release = release_of("WS-1", "D-091", "3107", "5512");
    let released = bench.journal.release(&kt("03:40:00"), &release).unwrap().seq;
    let informed = |bench: &mut Bench| {
        let open = bench.journal.open_tasks().unwrap();
        open.into_iter().filter(|open| open.task.task == Task::InformVeterinarian).count()
    };
    bench.journal.issue(&kt("03:41:00"), &id("WS-1"), "LM").unwrap();
    assert_eq!(informed(&mut bench), 0);
    bench.read("WS-1", "03:45:00", "recipient_auto - antiglobulin 0 0").unwrap();
    bench.read("WS-1", "03:46:00", "major D-091 antiglobulin 2+ 0").unwrap();
    let issued = bench.journal.issue(&kt("03:47:00"), &id("WS-1"), "LM").unwrap();
    assert_eq!(informed(&mut bench), 1);
    let said = format!(
        "inform the veterinarian, Dr Vane: D-091, unit U-5512, was released (entry {released}) \
         and is incompatible"
    );
    let said = issued.notices.iter().any(|notice| notice.as_str().starts_with(&said));
    assert!(said, "{issued:?}");
    // Once is enough while it is open, and after it was done.
    bench.journal.issue(&kt("03:48:00"), &id("WS-1"), "LM").unwrap();
    assert_eq!(informed(&mut bench), 1);
    let open = bench.journal.open_tasks().unwrap();
    let task = open.iter().find(|open| open.task.task == Task::InformVeterinarian).unwrap().seq;
    bench.journal.close_task(&kt("03:49:00"), task, "told Dr Vane by telephone").unwrap();
    bench.journal.issue(&kt("03:50:00"), &id("WS-1"), "LM").unwrap();
    assert_eq!(informed(&mut bench), 0);
    // What came back needs no warning.
    let mut bench = ready(kind).unwrap();
    let released = bench.journal.release(&kt("03:40:00"), &release).unwrap().seq;
    bench.journal.take_unit_back(&kt("03:45:00"), released, "not needed").unwrap();
    bench.read("WS-1", "03:46:00", "major D-091 antiglobulin 2+ 0").unwrap();
    bench.journal.issue(&kt("03:47:00"), &id("WS-1"), "LM").unwrap();
    assert_eq!(informed(&mut bench), 0);
}

/// The same where the donor was taken off the worksheet, and no verdict says anything of it.
#[rstest]
fn a_released_unit_of_a_donor_taken_back(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = ready(kind) else { return };
    bench.donor("WS-1", &dog_donor("D-092", "U-5513")).unwrap();
    let donor = bench.journal.sheet(&id("WS-1")).unwrap();
    let donor = donor.donor(&id("D-092")).unwrap().seq;
    let emergency = EmergencyRelease {
        release: release_of("WS-1", "D-092", "3107", "5513"),
        reason: Text::from("bleeding"),
    };
    bench.journal.release_in_emergency(&kt("03:40:00"), &emergency).unwrap();
    bench.journal.retract(&kt("03:45:00"), donor, "another dog").unwrap();
    let issued = bench.journal.issue(&kt("03:47:00"), &id("WS-1"), "LM").unwrap();
    let said = issued.notices.iter().any(|notice| notice.as_str().contains("D-092, unit U-5513"));
    assert!(said, "{issued:?}");
}

/// F38, H10: the end of the validity, at, under and over, by the clock and not by the offset.
#[rstest]
fn f38_validity(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = ready(kind) else { return };
    // Drawn 2026-03-01 00:10 UTC from an animal never transfused: 168 hours in the fridge.
    let over = crossread_core::document::Time::new("2026-03-08T00:10:01Z").unwrap();
    let at = crossread_core::document::Time::new("2026-03-08T05:10:00+05:00").unwrap();
    let release = release_of("WS-1", "D-091", "3107", "5512");
    let call = bench.journal.release(&Writer::new("KT", over), &release);
    refused!(bench, call, Refusal::Expired { .. });
    bench.journal.release(&Writer::new("KT", at), &release).unwrap();
}

/// H10: a transfusion that the journal learns of later shortens what was issued before.
#[rstest]
fn a_transfusion_shortens_the_validity(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = ready(kind) else { return };
    bench.donor("WS-1", &dog_donor("D-092", "U-5513")).unwrap();
    bench.read("WS-1", "03:35:00", "major D-092 warm_37c 0 0").unwrap();
    bench.journal.check_segment(&kt("03:36:00"), &id("WS-1"), &id("D-092"), "5513").unwrap();
    bench.journal.issue(&kt("03:37:00"), &id("WS-1"), "Dr Vane").unwrap();
    let first = release_of("WS-1", "D-091", "3107", "5512");
    bench.journal.release(&kt("03:40:00"), &first).unwrap();
    // 72 hours now, since the animal counts as exposed: until 2026-03-04 00:10 UTC.
    let second = release_of("WS-1", "D-092", "3107", "5513");
    let over = crossread_core::document::Time::new("2026-03-04T00:10:01Z").unwrap();
    let call = bench.journal.release(&Writer::new("KT", over), &second);
    refused!(bench, call, Refusal::Expired { .. });
    let at = crossread_core::document::Time::new("2026-03-04T00:10:00Z").unwrap();
    bench.journal.release(&Writer::new("KT", at), &second).unwrap();
}

/// H10: what the worksheet itself found about one donor shortens the time for another, as it would
/// on a worksheet opened later; who issues it is told.
#[rstest]
#[case::reacted("4+", "normal")]
#[case::unit_unfit("0", "clotted")]
fn an_incompatible_donor_shortens_the_validity(
    #[case] grade: &str,
    #[case] inspection: &str,
    #[values(Kind::File, Kind::Server)] kind: Kind,
) {
    let Some(mut bench) = ready(kind) else { return };
    let mut donor: serde_json::Value = serde_json::from_str(&dog_donor("D-072", "U-5513")).unwrap();
    donor["unit"]["inspection"] = inspection.into();
    bench.donor("WS-1", &donor.to_string()).unwrap();
    bench.read("WS-1", "03:35:00", &format!("major D-072 warm_37c {grade} 0")).unwrap();
    let issued = bench.journal.issue(&kt("03:37:00"), &id("WS-1"), "Dr Vane").unwrap();
    assert_eq!(bench.verdict("WS-1", "D-072"), Verdict::Incompatible);
    let said = "D-091 can be released until 2026-03-04T00:10:00Z, not until 2026-03-08T00:10:00Z";
    assert!(issued.notices.iter().any(|notice| notice.as_str().starts_with(said)), "{issued:?}");
    // 72 hours, as of an exposed animal.
    let release = release_of("WS-1", "D-091", "3107", "5512");
    let over = crossread_core::document::Time::new("2026-03-04T00:10:01Z").unwrap();
    let call = bench.journal.release(&Writer::new("KT", over), &release);
    refused!(bench, call, Refusal::Expired { .. });
    // The other one stays what it is, in an emergency too.
    let other = release_of("WS-1", "D-072", "3107", "5513");
    bench.journal.check_segment(&kt("03:38:00"), &id("WS-1"), &id("D-072"), "5513").unwrap();
    let emergency = EmergencyRelease { release: other, reason: Text::from("bleeding") };
    let call = bench.journal.release_in_emergency(&kt("03:40:00"), &emergency);
    refused!(bench, call, Refusal::Incompatible { .. });
    let at = crossread_core::document::Time::new("2026-03-04T00:10:00Z").unwrap();
    bench.journal.release(&Writer::new("KT", at), &release).unwrap();
}

/// H27: a unit that expired, was not inspected, or looked wrong.
#[rstest]
#[case::day_before("2026-02-28", "normal", Some("it expired on 2026-02-28"))]
#[case::the_day("2026-03-01", "normal", None)]
#[case::nobody_wrote("", "normal", Some("nobody wrote when it expires"))]
#[case::not_inspected("2026-03-20", "not_inspected", Some("it was not inspected"))]
#[case::nobody_looked("2026-03-20", "", Some("it was not inspected"))]
fn h27_unit(
    #[case] expires: &str,
    #[case] inspection: &str,
    #[case] why: Option<&str>,
    #[values(Kind::File, Kind::Server)] kind: Kind,
) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.open_dog("WS-1", "R-3107");
    let mut donor: serde_json::Value = serde_json::from_str(&dog_donor("D-091", "U-5512")).unwrap();
    for (key, value) in [("expires_on", expires), ("inspection", inspection)] {
        if value.is_empty() {
            donor["unit"].as_object_mut().unwrap().remove(key);
        } else {
            donor["unit"][key] = value.into();
        }
    }
    bench.donor("WS-1", &donor.to_string()).unwrap();
    bench.sample("WS-1", &serum_of("R-3107")).unwrap();
    bench.read("WS-1", "03:28:10", "recipient_auto - warm_37c 0 0").unwrap();
    bench.read("WS-1", "03:29:40", "major D-091 warm_37c 0 0").unwrap();
    bench.journal.check_segment(&kt("03:30:00"), &id("WS-1"), &id("D-091"), "5512").unwrap();
    bench.journal.issue(&kt("03:34:00"), &id("WS-1"), "Dr Vane").unwrap();
    let release = release_of("WS-1", "D-091", "3107", "5512");
    match (bench.journal.release(&kt("03:40:00"), &release), why) {
        (Err(JournalError::Refused(Refusal::UnitNotFit { why: said, .. })), Some(why)) => {
            assert!(said.starts_with(why), "{said}");
        }
        // The core finds the expired unit by itself.
        (Ok(_), None) | (Err(JournalError::Refused(Refusal::NotReleasable { .. })), Some(_)) => {}
        other => panic!("{other:?}"),
    }
}

/// What is not issued, changed since, or was never typed at the segment.
#[rstest]
fn release_needs_what_was_issued(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.open_dog("WS-1", "R-3107");
    bench.donor("WS-1", &dog_donor("D-091", "U-5512")).unwrap();
    bench.sample("WS-1", &serum_of("R-3107")).unwrap();
    bench.read("WS-1", "03:28:10", "recipient_auto - warm_37c 0 0").unwrap();
    bench.read("WS-1", "03:29:40", "major D-091 warm_37c 0 0").unwrap();
    let release = release_of("WS-1", "D-091", "3107", "5512");
    let call = bench.journal.release(&kt("03:40:00"), &release);
    refused!(bench, call, Refusal::NotIssued(_));
    bench.journal.issue(&kt("03:41:00"), &id("WS-1"), "Dr Vane").unwrap();
    let call = bench.journal.release(&kt("03:42:00"), &release);
    refused!(bench, call, Refusal::SegmentNotChecked(_));
    bench.journal.check_segment(&kt("03:43:00"), &id("WS-1"), &id("D-091"), "5512").unwrap();
    bench.read("WS-1", "03:44:00", "minor D-091 warm_37c 0 0").unwrap();
    let call = bench.journal.release(&kt("03:45:00"), &release);
    refused!(bench, call, Refusal::ChangedSinceIssue(1));
    bench.read("WS-1", "03:46:00", "major D-091 antiglobulin 1+ 0").unwrap();
    bench.journal.issue(&kt("03:47:00"), &id("WS-1"), "Dr Vane").unwrap();
    let call = bench.journal.release(&kt("03:48:00"), &release);
    refused!(bench, call, Refusal::NotReleasable { .. });
}

/// F39: an emergency release says that the crossmatch is not completed, what is not tested and why,
/// needs the veterinarian, and leaves an open task.
#[rstest]
fn f39_emergency_release(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.open_dog("WS-1", "R-3107");
    bench.donor("WS-1", &dog_donor("D-091", "U-5512")).unwrap();
    let emergency = |veterinarian: &str, reason: &str| EmergencyRelease {
        release: {
            let mut release = release_of("WS-1", "D-091", "3107", "5512");
            release.veterinarian = Text::from(veterinarian);
            release
        },
        reason: Text::from(reason),
    };
    let call = bench.journal.release_in_emergency(&kt("02:50:00"), &emergency("", "bleeding"));
    refused!(bench, call, Refusal::NameMissing("the veterinarian"));
    let call = bench.journal.release_in_emergency(&kt("02:50:00"), &emergency("Dr Vane", " "));
    refused!(bench, call, Refusal::NameMissing("why it cannot wait"));
    let good = emergency("Dr Vane", "PCV 9 % and falling");
    let written = bench.journal.release_in_emergency(&kt("02:50:00"), &good).unwrap();
    let Event::EmergencyReleased(released) = bench.journal.entry(written.seq).unwrap().event else {
        panic!("not released")
    };
    assert_eq!(released.headline.as_str(), "CROSSMATCH NOT COMPLETED");
    let not_tested: Vec<_> = released.not_tested.iter().map(Text::as_str).collect();
    assert!(not_tested.contains(&"major not tested"), "{not_tested:?}");
    let text = serde_json::to_string(&released).unwrap().to_lowercase();
    assert!(!text.contains("compatible"), "{text}");
    let tasks = bench.journal.open_tasks().unwrap();
    assert_eq!((tasks.len(), tasks[0].task.task), (1, Task::FinishCrossmatch));

    // F40: finished as incompatible, the veterinarian is to be informed.
    bench.sample("WS-1", &serum_of("R-3107")).unwrap();
    bench.read("WS-1", "03:28:10", "recipient_auto - warm_37c 0 0").unwrap();
    bench.journal.issue(&kt("03:29:00"), &id("WS-1"), "Dr Vane").unwrap();
    assert_eq!(bench.journal.open_tasks().unwrap().len(), 1);
    bench.read("WS-1", "03:29:40", "major D-091 warm_37c 3+ 0").unwrap();
    let issued = bench.journal.issue(&kt("03:31:00"), &id("WS-1"), "Dr Vane").unwrap();
    let tasks = bench.journal.open_tasks().unwrap();
    let [inform] = tasks.as_slice() else { panic!("{tasks:?}") };
    assert_eq!(inform.task.task, Task::InformVeterinarian);
    assert_eq!(inform.task.about, issued.seq);
    assert_eq!(inform.since.as_str(), time("03:31:00").to_string());
    // A completed incompatible crossmatch is no emergency.
    let other = EmergencyRelease { reason: Text::from("now"), ..good };
    let call = bench.journal.release_in_emergency(&kt("03:50:00"), &other);
    refused!(bench, call, Refusal::Incompatible { .. });
}

/// A releasable pair is released as usual; an unfit or mistyped unit not even in an emergency.
#[rstest]
fn emergency_is_no_way_round(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = ready(kind) else { return };
    let emergency = |release| EmergencyRelease { release, reason: Text::from("bleeding") };
    let release = release_of("WS-1", "D-091", "3107", "5512");
    let call = bench.journal.release_in_emergency(&kt("03:40:00"), &emergency(release));
    refused!(bench, call, Refusal::Completed(_));
    let unfit = dog_donor("D-092", "U-5513").replace("normal", "hemolyzed");
    bench.donor("WS-1", &unfit).unwrap();
    let release = release_of("WS-1", "D-092", "3107", "5513");
    let call = bench.journal.release_in_emergency(&kt("03:40:00"), &emergency(release));
    refused!(bench, call, Refusal::Incompatible { .. } | Refusal::UnitNotFit { .. });
    bench.donor("WS-1", &dog_donor("D-093", "U-5514")).unwrap();
    let release = release_of("WS-1", "D-093", "3107", "5541");
    let call = bench.journal.release_in_emergency(&kt("03:40:00"), &emergency(release));
    refused!(bench, call, Refusal::TypedWrong(..));
}

/// Ids shorter than four characters are typed whole; a unit without number is not released.
#[rstest]
fn short_identifiers(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.open_dog("WS-1", "R7");
    let mut donor: serde_json::Value = serde_json::from_str(&dog_donor("D9", "U1")).unwrap();
    donor["name"] = "Bramble".into();
    let number = donor["unit"].take();
    donor.as_object_mut().unwrap().remove("unit");
    let seq = bench.donor("WS-1", &donor.to_string()).unwrap().seq;
    bench.sample("WS-1", &serum_of("R7")).unwrap();
    bench.read("WS-1", "03:28:10", "recipient_auto - warm_37c 0 0").unwrap();
    bench.read("WS-1", "03:29:40", "major D9 warm_37c 0 0").unwrap();
    bench.journal.issue(&kt("03:34:00"), &id("WS-1"), "Dr Vane").unwrap();
    let release = release_of("WS-1", "D9", "R7", "U1");
    let call = bench.journal.release(&kt("03:35:00"), &release);
    refused!(bench, call, Refusal::NoUnit(_));
    donor["unit"] = number;
    let donor = draft::Donor::from_json(donor.to_string().as_bytes()).unwrap();
    let added = DonorAdded { donor, known: Known::default(), overridden: None };
    bench.journal.amend(&kt("03:36:00"), seq, "unit drawn", added).unwrap();
    bench.journal.check_segment(&kt("03:37:00"), &id("WS-1"), &id("D9"), "U1").unwrap();
    bench.journal.issue(&kt("03:38:00"), &id("WS-1"), "Dr Vane").unwrap();
    bench.journal.release(&kt("03:39:00"), &release).unwrap();
}

/// A sample drawn before a transfusion that the journal knows makes nothing releasable, although
/// nobody told of it on the worksheet.
#[rstest]
fn a_sample_from_before_a_transfusion(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = ready(kind) else { return };
    let transfused = crossread_journal::Transfused {
        animal: id("R-3107"),
        at: crossread_core::document::Time::new("2026-03-02T08:00:00+01:00").unwrap(),
        product: crossread_core::words::Product::PackedCells,
        donor: None,
        unit: None,
        text: None,
    };
    let later = crossread_core::document::Time::new("2026-03-02T09:00:00+01:00").unwrap();
    bench.journal.transfused(&Writer::new("LM", later), &transfused).unwrap();
    let release = release_of("WS-1", "D-091", "3107", "5512");
    let call = bench.journal.release(&Writer::new("KT", later), &release);
    refused!(bench, call, Refusal::NotReleasable { .. });
}

/// A reaction after the issue is looked at before another unit leaves on the same interpretation.
#[rstest]
fn a_reaction_after_the_issue(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = ready(kind) else { return };
    let reacted = crossread_journal::Reacted {
        animal: id("R-3107"),
        at: time("03:35:00"),
        text: Text::from("hives"),
        donor: None,
        unit: None,
    };
    bench.journal.reacted(&kt("03:36:00"), &reacted).unwrap();
    let release = release_of("WS-1", "D-091", "3107", "5512");
    let call = bench.journal.release(&kt("03:40:00"), &release);
    refused!(bench, call, Refusal::ReactionSince { .. });
    bench.journal.issue(&kt("03:41:00"), &id("WS-1"), "Dr Vane").unwrap();
    bench.journal.release(&kt("03:42:00"), &release).unwrap();
}

/// F55: while types disagree, not even an emergency frees a unit.
#[rstest]
fn f55_no_emergency_while_types_disagree(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.open_dog("WS-1", "R-3107");
    bench.donor("WS-1", &dog_donor("D-091", "U-5512")).unwrap();
    let typed = |result, settled_by: Option<&str>| crossread_journal::Typed {
        animal: id("R-3107"),
        result: draft::BloodType {
            system: Some(crossread_core::words::System::Dea1),
            result: Some(result),
            on: None,
        },
        settled_by: settled_by.map(Text::from),
    };
    bench.journal.typed(&kt("02:50:00"), &typed(Positive, None)).unwrap();
    let emergency = EmergencyRelease {
        release: release_of("WS-1", "D-091", "3107", "5512"),
        reason: Text::from("bleeding"),
    };
    let call = bench.journal.release_in_emergency(&kt("02:51:00"), &emergency);
    refused!(bench, call, Refusal::TypesDisagree { .. });
    bench.journal.typed(&kt("02:55:00"), &typed(Negative, Some("S-9"))).unwrap();
    bench.journal.release_in_emergency(&kt("02:56:00"), &emergency).unwrap();
}

/// F55: a worksheet that was run on another type than the one that was settled frees nothing.
#[rstest]
fn f55_settled_against_the_worksheet(#[values(Kind::File, Kind::Server)] kind: Kind) {
    for animal in ["R-3107", "D-091"] {
        let Some(mut bench) = ready(kind) else { return };
        let typed = crossread_journal::Typed {
            animal: id(animal),
            result: draft::BloodType {
                system: Some(crossread_core::words::System::Dea1),
                result: Some(Positive),
                on: None,
            },
            settled_by: Some(Text::from("S-9")),
        };
        bench.journal.typed(&kt("03:35:00"), &typed).unwrap();
        let release = release_of("WS-1", "D-091", "3107", "5512");
        let call = bench.journal.release(&kt("03:40:00"), &release);
        refused!(bench, call, Refusal::NotReleasable { .. });
        bench.journal.issue(&kt("03:41:00"), &id("WS-1"), "Dr Vane").unwrap();
        let call = bench.journal.release(&kt("03:42:00"), &release);
        refused!(bench, call, Refusal::NotReleasable { .. });
        let emergency = EmergencyRelease { release, reason: Text::from("bleeding") };
        let call = bench.journal.release_in_emergency(&kt("03:43:00"), &emergency);
        refused!(bench, call, Refusal::TypesDisagree { .. });
    }
}
