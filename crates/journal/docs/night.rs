// The night that the examples of the documentation share: one worksheet, WS-1, one dog, R-3107, one
// donor, D-091, with its unit U-5512. Each function goes on where the one before ends.

use std::ops::{Deref, DerefMut};

use crossread_core::care::Check;
pub use crossread_core::document::{Hundredths, Id, Time};
pub use crossread_core::protocol::Protocols;
pub use crossread_core::worksheet::draft;
pub use crossread_journal::*;

/// A journal in a folder of its own, which goes with it.
pub struct Night {
    journal: Journal,
    pub folder: tempfile::TempDir,
    /// The entry of the last step.
    pub seq: Seq,
}

impl Deref for Night {
    type Target = Journal;

    fn deref(&self) -> &Journal {
        &self.journal
    }
}

impl DerefMut for Night {
    fn deref_mut(&mut self) -> &mut Journal {
        &mut self.journal
    }
}

pub fn id(text: &str) -> Id {
    Id::new(text).unwrap()
}

/// A time of the night: `03:34`.
pub fn time(clock: &str) -> Time {
    Time::new(&format!("2026-03-01T{clock}:00+01:00")).unwrap()
}

/// The technician of the night, writing at a time.
pub fn kt(clock: &str) -> Writer {
    Writer::new("KT", time(clock))
}

/// How a worksheet for the dog is opened; `second_reader` if every mixture is read by two.
pub fn opening(worksheet: &str, second_reader: bool) -> Opening {
    serde_json::from_value(serde_json::json!({
        "worksheet": worksheet, "protocol": { "id": "dog-routine", "version": "1.0.0" },
        "method": "tube", "second_reader": second_reader,
        "recipient": { "id": "R-3107", "name": "Juniper", "species": "dog",
            "types": [{ "system": "DEA 1", "result": "negative" }],
            "history": { "transfused": "never", "pregnant": "never", "reaction": "never" } },
    }))
    .unwrap()
}

/// A journal with its first entry.
pub fn begun() -> Night {
    let folder = tempfile::tempdir().unwrap();
    let place = Location::from(folder.path().join("night.journal").as_path());
    let journal = Journal::create(&place, "Brindlemoor Animal Hospital", &kt("02:40")).unwrap();
    Night { journal, folder, seq: 1 }
}

/// The worksheet was opened.
pub fn opened() -> Night {
    let mut night = begun();
    let written = night.open_worksheet(&kt("02:41"), &opening("WS-1", false), Protocols::shipped());
    night.seq = written.unwrap().seq;
    night
}

pub fn donor() -> DonorAdded {
    let donor = br#"{ "id": "D-091", "species": "dog", "product": "packed_cells",
        "types": [{ "system": "DEA 1", "result": "negative" }],
        "unit": { "number": "U-5512", "expires_on": "2026-03-20", "inspection": "normal" } }"#;
    let donor = draft::Donor::from_json(donor).unwrap();
    DonorAdded { donor, known: Known::default(), overridden: None }
}

pub fn sample() -> SampleAdded {
    let sample = br#"{ "id": "S-1", "of": "R-3107", "role": "both", "tube": "serum",
        "stored": "fridge", "drawn_at": "2026-03-01T01:10:00+01:00", "hemolysis": 0, "lipemia": 0,
        "icterus": 0, "clots": false, "agglutinated": false, "label_id": "R-3107" }"#;
    SampleAdded { sample: draft::Sample::from_json(sample).unwrap(), overridden: None }
}

/// A first look at 37 °C: the major, or without a donor the recipient's autocontrol.
pub fn look(donor: Option<&str>, grade: &str) -> ReadingEntered {
    let mut reading = draft::Reading {
        test: Some(if donor.is_some() { "major" } else { "recipient_auto" }.parse().unwrap()),
        donor: donor.map(id),
        phase: Some("warm_37c".parse().unwrap()),
        hemolysis: Some(crossread_core::words::Hemolysis::new(0).unwrap()),
        ..draft::Reading::default()
    };
    let grade = grade.parse().unwrap();
    reading.agglutination = Some(crossread_core::words::Agglutination::Graded(grade));
    ReadingEntered { reading, transcribed: false }
}

/// Donor and sample were entered, autocontrol and major read 0 at 37 °C, the segment was checked.
pub fn read() -> Night {
    let mut night = opened();
    let worksheet = id("WS-1");
    night.enter(&kt("02:45"), &worksheet, donor()).unwrap();
    night.enter(&kt("02:46"), &worksheet, sample()).unwrap();
    night.enter(&kt("03:28"), &worksheet, look(None, "0")).unwrap();
    night.seq = night.enter(&kt("03:29"), &worksheet, look(Some("D-091"), "0")).unwrap().seq;
    night.check_segment(&kt("03:30"), &worksheet, &id("D-091"), "5512").unwrap();
    night
}

/// The interpretation was issued.
pub fn issued() -> Night {
    let mut night = read();
    night.seq = night.issue(&kt("03:34"), &id("WS-1"), "Dr Vane").unwrap().seq;
    night
}

pub fn release() -> Release {
    Release {
        worksheet: id("WS-1"),
        donor: id("D-091"),
        to: "LM".into(),
        veterinarian: "Dr Vane".into(),
        typed_recipient: "3107".into(),
        typed_unit: "5512".into(),
    }
}

/// The unit was released.
pub fn released() -> Night {
    let mut night = issued();
    night.seq = night.release(&kt("03:40"), &release()).unwrap().seq;
    night
}

/// The unit was spiked: 300 mL in 100 minutes, every check answered yes.
pub fn started(release: Seq) -> Started {
    Started {
        release,
        ml: Hundredths::new(300_00).unwrap(),
        minutes: 100,
        checks: Check::ALL.iter().map(|check| Checked { check: *check, yes: true }).collect(),
        baseline: Observation { temperature_c: Hundredths::new(38_50), ..Observation::default() },
        typed_recipient: "3107".into(),
        typed_unit: "5512".into(),
    }
}

/// The unit runs.
pub fn running() -> Night {
    let mut night = released();
    let start = started(night.seq);
    night.seq = night.start_transfusion(&kt("03:50"), &id("WS-1"), &start).unwrap().seq;
    night
}

/// The unit has run in.
pub fn ended() -> Night {
    let mut night = running();
    let end = Ended { started: night.seq, ml: None, stopped: false, text: "no sign".into() };
    night.end_transfusion(&kt("05:30"), &id("WS-1"), &end).unwrap();
    night
}
