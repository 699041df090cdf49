//! A journal with every kind of entry in it, as small as that can be.

use crossread_core::care::Check;
use crossread_core::document::{Hundredths, Id, Text, Time, Whole};
use crossread_core::protocol::{Protocol, Protocols, SHIPPED};
use crossread_core::words::{Phase, Product};
use crossread_core::worksheet::draft;
use crossread_journal::{
    Checked, ControlsNoted, DonorAdded, EmergencyRelease, Ended, Event, Journal, Kind, Known, Note,
    Observation, Observed, Opening, OutcomeMeasured, Place, Reacted, ReadOff, ReadingEntered,
    Release, SampleAdded, SetupNoted, Started, Step, StepDone, Transfused, Typed, Writer,
};
use serde_json::Value;
use strum::VariantArray as _;

pub(crate) const OF: &str = "Brindlemoor Animal Hospital";

pub(crate) fn id(text: &str) -> Id {
    Id::new(text).unwrap()
}

/// A writer at a time in the night.
pub(crate) fn by(who: &str, clock: &str) -> Writer {
    Writer::new(who, time(clock))
}

pub(crate) fn kt(clock: &str) -> Writer {
    by("KT", clock)
}

fn time(clock: &str) -> Time {
    Time::new(&format!("2026-03-01T{clock}+01:00")).unwrap()
}

pub(crate) fn opening(document: &str) -> Opening {
    serde_json::from_str(document).unwrap()
}

/// A reading in short: test, donor or `-`, phase, grade.
pub(crate) fn reading(short: &str) -> ReadingEntered {
    let parts: Vec<&str> = short.split_whitespace().collect();
    let [test, donor, phase, grade] = parts[..] else { panic!("{short}") };
    let donor = if donor == "-" { String::new() } else { format!(r#""donor":"{donor}","#) };
    let document = format!(
        r#"{{"test":"{test}",{donor}"phase":"{phase}","agglutination":"{grade}","hemolysis":0,
             "at":"2026-03-01T00:00:00+01:00"}}"#
    );
    let mut reading = draft::Reading::from_json(document.as_bytes()).unwrap();
    reading.at = None;
    ReadingEntered { reading, transcribed: false }
}

pub(crate) fn donor(document: &str) -> DonorAdded {
    let donor = draft::Donor::from_json(document.as_bytes()).unwrap();
    DonorAdded { donor, known: Known::default(), overridden: None }
}

pub(crate) fn sample(document: &str) -> SampleAdded {
    let sample = draft::Sample::from_json(document.as_bytes()).unwrap();
    SampleAdded { sample, overridden: None }
}

/// The routine rules for dogs, tubes only, without white space, sources and notes, so that little is
/// kept.
pub(crate) fn short_rules() -> Protocols {
    fn shorten(value: &mut Value) {
        match value {
            Value::Object(members) => {
                if let Some(note) = members.get_mut("note") {
                    *note = "n".into();
                }
                members.values_mut().for_each(shorten);
            }
            Value::Array(values) => values.iter_mut().for_each(shorten),
            Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
        }
    }
    let (_, text) = SHIPPED.iter().find(|(name, _)| *name == "dog-routine.json").unwrap();
    let mut document: Value = serde_json::from_str(text).unwrap();
    shorten(&mut document);
    for source in document["sources"].as_object_mut().unwrap().values_mut() {
        *source = "s".into();
    }
    document["methods"].as_object_mut().unwrap().retain(|method, _| method == "tube");
    Protocols::new([Protocol::from_json(document.to_string().as_bytes()).unwrap()])
}

/// Enters one thing of every kind.
pub(crate) fn enter_everything(journal: &mut Journal) {
    let rules = short_rules();
    let (first, second) = (id("WS-1"), id("WS-2"));
    let unit = |donor: &str, unit: &str| donor_of(donor, unit);
    journal
        .open_worksheet(
            &kt("02:41:00"),
            &opening(
                r#"{ "worksheet": "WS-1", "protocol": { "id": "dog-routine", "version": "1.0.0" },
                     "method": "tube", "recipient": { "id": "R-3107", "name": "Juniper",
                       "species": "dog", "types": [ { "system": "DEA 1", "result": "negative" } ],
                       "history": { "transfused": "never", "pregnant": "never",
                         "reaction": "never" } } }"#,
            ),
            &rules,
        )
        .unwrap();
    journal.enter(&kt("02:43:00"), &first, unit("D-091", "U-5512")).unwrap();
    journal
        .enter(
            &kt("02:44:00"),
            &first,
            sample(
                r#"{ "id": "S-1", "of": "R-3107", "role": "both", "tube": "edta", "stored": "fridge",
                     "drawn_at": "2026-03-01T01:10:00+01:00", "hemolysis": 0, "lipemia": 0,
                     "icterus": 0, "label_id": "R-3107" }"#,
            ),
        )
        .unwrap();
    let setup = draft::Setup::from_json(br#"{ "cells_percent": 4.0, "washes": 3 }"#).unwrap();
    journal.enter(&kt("02:50:00"), &first, SetupNoted { setup }).unwrap();
    let controls =
        br#"{ "positive": { "expected": "2+", "read": "2+" }, "negative": { "read": "0" } }"#;
    let controls = draft::ReagentControls::from_json(controls).unwrap();
    journal.enter(&kt("02:51:00"), &first, ControlsNoted { controls }).unwrap();
    let spun = StepDone { step: Step::Spun, phase: Phase::Warm37c, of: None };
    journal.step(&kt("03:28:00"), &first, &spun).unwrap();
    let seen = br#"{ "of": { "test": "recipient_auto", "phase": "warm_37c" }, "hemolysis": 0 }"#;
    journal.begin_look(&kt("03:28:05"), &first, &serde_json::from_slice(seen).unwrap()).unwrap();
    journal.enter(&kt("03:28:10"), &first, reading("recipient_auto - warm_37c 0")).unwrap();
    let wrong = journal.enter(&kt("03:29:40"), &first, reading("major D-091 warm_37c w")).unwrap();
    journal.issue(&kt("03:30:00"), &first, "Dr Vane").unwrap();
    let amended = journal
        .amend(&kt("03:31:00"), wrong.seq, "wrong tube", reading("major D-091 warm_37c 0"))
        .unwrap();
    let task = amended.raised[0];
    journal.close_task(&kt("03:32:00"), task, "told by telephone").unwrap();
    journal.enter(&kt("03:32:30"), &first, Note { text: Text::from("second tube read") }).unwrap();
    journal.check_segment(&kt("03:33:00"), &first, &id("D-091"), "5512").unwrap();
    journal.issue(&kt("03:34:00"), &first, "Dr Vane").unwrap();
    journal.hand(&kt("03:35:00"), &first, "LM").unwrap();
    let released = journal.release(&kt("03:40:00"), &release("WS-1", "D-091", "5512")).unwrap();
    journal.take_unit_back(&kt("03:50:00"), released.seq, "not needed, still cold").unwrap();
    journal
        .clerical_check(
            &kt("03:51:00"),
            &first,
            &id("D-091"),
            &[ReadOff { place: Place::Unit, what: Text::from("unit"), read: Text::from("U-5512") }],
        )
        .unwrap();
    journal
        .open_worksheet(
            &kt("04:00:00"),
            &opening(
                r#"{ "worksheet": "WS-2", "protocol": { "id": "dog-routine", "version": "1.0.0" },
                     "method": "tube", "second_reader": true,
                     "recipient": { "id": "R-3113", "name": "Pascoe", "species": "dog" } }"#,
            ),
            &rules,
        )
        .unwrap();
    journal.enter(&kt("04:01:00"), &second, unit("D-072", "U-5522")).unwrap();
    journal.enter(&kt("04:02:00"), &second, reading("major D-072 warm_37c 0")).unwrap();
    journal.unblind(&kt("04:03:00"), &second, "nobody else is here").unwrap();
    let emergency = EmergencyRelease {
        release: release("WS-2", "D-072", "5522"),
        reason: Text::from("bleeding to death"),
    };
    let released = journal.release_in_emergency(&kt("04:04:00"), &emergency).unwrap();
    let started = Started {
        release: released.seq,
        ml: Hundredths::new(20_000).unwrap(),
        minutes: 60,
        checks: Check::ALL.iter().map(|check| Checked { check: *check, yes: true }).collect(),
        baseline: Observation { temperature_c: Hundredths::new(3850), ..Observation::default() },
        typed_recipient: Text::from("3113"),
        typed_unit: Text::from("5522"),
    };
    let started = journal.start_transfusion(&kt("04:04:30"), &second, &started).unwrap().seq;
    let look = Observed {
        started,
        seen: Observation { heart: Whole::new(120), ..Observation::default() },
    };
    journal.observe(&kt("04:09:30"), &second, &look).unwrap();
    let ended = Ended { started, ml: None, stopped: false, text: Text::from("run in") };
    journal.end_transfusion(&kt("04:20:00"), &second, &ended).unwrap();
    let outcome = OutcomeMeasured { started, hours: 0, pcv: Hundredths::new(2500).unwrap() };
    journal.outcome(&kt("04:21:00"), &second, &outcome).unwrap();
    let of_animal = [
        Event::from(Transfused {
            animal: id("R-3113"),
            at: time("04:05:00"),
            product: Product::PackedCells,
            donor: Some(id("D-072")),
            unit: Some(id("U-5522")),
            text: None,
        }),
        Event::from(Reacted {
            animal: id("R-3113"),
            at: time("04:30:00"),
            text: Text::from("vomited, 39.8 °C"),
            donor: Some(id("D-072")),
            unit: Some(id("U-5522")),
        }),
        Event::from(Typed {
            animal: id("R-3113"),
            result: draft::BloodType::from_json(br#"{ "system": "DEA 1", "result": "positive" }"#)
                .unwrap(),
            settled_by: None,
        }),
    ];
    for event in of_animal {
        let writer = kt("04:40:00");
        match event {
            Event::Transfused(event) => journal.transfused(&writer, &event).unwrap(),
            Event::Reacted(event) => journal.reacted(&writer, &event).unwrap(),
            Event::Typed(event) => journal.typed(&writer, &event).unwrap(),
            other => panic!("{other:?}"),
        };
    }
}

fn donor_of(id: &str, unit: &str) -> DonorAdded {
    donor(&format!(
        r#"{{ "id": "{id}", "species": "dog", "product": "packed_cells",
              "types": [ {{ "system": "DEA 1", "result": "negative" }} ],
              "unit": {{ "number": "{unit}", "expires_on": "2026-03-20", "inspection": "normal" }} }}"#
    ))
}

fn release(worksheet: &str, donor: &str, unit: &str) -> Release {
    let recipient = if worksheet == "WS-1" { "3107" } else { "3113" };
    Release {
        worksheet: id(worksheet),
        donor: id(donor),
        to: Text::from("LM"),
        veterinarian: Text::from("Dr Vane"),
        typed_recipient: Text::from(recipient),
        typed_unit: Text::from(unit),
    }
}

#[test]
fn the_night_has_every_kind_of_entry() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("n.journal");
    let mut journal = Journal::create(&path.as_path().into(), OF, &kt("02:40:00")).unwrap();
    enter_everything(&mut journal);
    let head = journal.head().unwrap();
    let mut kinds = std::collections::BTreeSet::new();
    for seq in 1..=head.seq {
        kinds.insert(journal.entry(seq).unwrap().event.kind().word());
    }
    assert_eq!(kinds.len(), Kind::VARIANTS.len(), "{kinds:?}");
}
