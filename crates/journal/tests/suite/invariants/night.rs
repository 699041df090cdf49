//! A journal to which anything is done.

use std::collections::BTreeMap;
use std::path::Path;

use crossread_core::Protocols;
use crossread_core::care::Check;
use crossread_core::document::{Hundredths, Id, Time};
use crossread_core::words::Product;
use crossread_core::worksheet::draft;
use crossread_journal::{
    Checked, EmergencyRelease, Event, Journal, JournalError, Location, Note, Observation, Opening,
    Place, Reacted, ReadOff, Release, Retest, RetestSample, Sheet, Started, Transfused, Typed,
    Writer,
};
use tempfile::TempDir;

use super::acts::Act;
use super::words::{
    DONORS, READERS, RECIPIENTS, TYPES, WORKSHEETS, at, donor_told, end, mostly, one, opening,
    reading, recipient_told, sample, text,
};
use crate::bench::id;

/// Kinds of entries that can be taken back.
const TAKEN_BACK: [&str; 6] =
    ["reading", "donor_added", "sample_added", "worksheet_opened", "transfused", "reaction"];
/// Kinds of entries that a unit comes back from.
const RELEASES: [&str; 2] = ["release", "emergency_release"];

/// A journal, what was done to it, and the clock.
pub(super) struct Night {
    pub(super) journal: Journal,
    pub(super) place: Location,
    pub(super) folder: TempDir,
    pub(super) minute: i32,
    /// Every entry, and its kind.
    pub(super) written: Vec<(u64, &'static str)>,
    /// What was done, refused and written, and how often.
    pub(super) seen: BTreeMap<&'static str, u32>,
}

impl Night {
    pub(super) fn new() -> Self {
        // In memory, if the system has files there: nobody pulls the plug here.
        let memory = Path::new("/dev/shm");
        let folder =
            if memory.is_dir() { TempDir::new_in(memory) } else { TempDir::new() }.unwrap();
        let place = Location::from(folder.path().join("night.journal").as_path());
        let writer = Writer::new("KT", at(0));
        let journal = Journal::create(&place, "Brindlemoor Animal Hospital", &writer).unwrap();
        Self { journal, place, folder, minute: 240, written: Vec::new(), seen: BTreeMap::new() }
    }

    pub(super) fn now(&self) -> Time {
        at(self.minute)
    }

    pub(super) fn by(&self, reader: &str) -> Writer {
        Writer::new(reader, self.now())
    }

    /// The latest time at which anything was written since an entry, or now.
    pub(super) fn latest(&mut self, since: u64) -> Time {
        let head = self.journal.head().unwrap().seq;
        let written = (since..=head).map(|seq| self.journal.entry(seq).unwrap().at);
        let latest = written.max_by_key(|at| at.instant());
        let now = self.now();
        latest.filter(|latest| latest.instant() > now.instant()).unwrap_or(now)
    }

    /// A worksheet: mostly one that is open.
    pub(super) fn sheet(&mut self, number: u8) -> Id {
        let open: Vec<Id> = self.sheets().into_iter().map(|sheet| sheet.id).collect();
        mostly(&open, number).unwrap_or_else(|| id(one(&WORKSHEETS, number)))
    }

    /// The name of a worksheet: mostly one that nobody has.
    pub(super) fn new_sheet(&mut self, number: u8) -> Id {
        let open = self.sheets();
        let free = WORKSHEETS.iter().map(|name| id(name));
        let free: Vec<Id> = free.filter(|id| open.iter().all(|sheet| sheet.id != *id)).collect();
        mostly(&free, number).unwrap_or_else(|| id(one(&WORKSHEETS, number)))
    }

    /// A donor: mostly one of the worksheet.
    pub(super) fn donor(&mut self, on: &Id, number: u8) -> Id {
        let sheet = self.journal.sheet(on).ok();
        let donors = sheet.iter().flat_map(Sheet::donors);
        let donors: Vec<Id> = donors.filter_map(|donor| donor.value.donor.id.clone()).collect();
        mostly(&donors, number).unwrap_or_else(|| id(one(&DONORS, number)))
    }

    /// An entry: mostly one of the kinds.
    pub(super) fn entry(&self, of: &[&str], number: u8) -> u64 {
        let fit = self.written.iter().filter(|(_, kind)| of.contains(kind));
        let fit: Vec<u64> = fit.map(|(seq, _)| *seq).rev().collect();
        mostly(&fit, number).unwrap_or_else(|| u64::from(number) % 40)
    }

    pub(super) fn sheets(&mut self) -> Vec<Sheet> {
        WORKSHEETS.iter().filter_map(|name| self.journal.sheet(&id(name)).ok()).collect()
    }

    /// Does it, whether that is allowed or not.
    pub(super) fn try_to(&mut self, act: &Act) -> Result<(), JournalError> {
        let kt = self.by("KT");
        let animal = |number: u8| {
            let all = RECIPIENTS.iter().chain(&DONORS).copied().collect::<Vec<_>>();
            id(one(&all, number))
        };
        match *act {
            Act::Wait(minutes) => self.minute = (self.minute + minutes).max(1),
            Act::Open { worksheet, recipient, history, typed, noted, blind } => {
                let told = recipient_told(recipient, history, typed);
                let mut acknowledged = Vec::new();
                if noted {
                    let warnings = self.journal.warnings(&told)?;
                    acknowledged = warnings.iter().map(|w| text(&w.to_string())).collect();
                }
                let opening = Opening {
                    acknowledged,
                    second_reader: blind,
                    ..opening(&self.new_sheet(worksheet), told)
                };
                self.journal.open_worksheet(&kt, &opening, Protocols::shipped())?;
            }
            Act::Donor { worksheet, donor, unit, typed, expired, inspection } => {
                let on = self.sheet(worksheet);
                let added = donor_told(one(&DONORS, donor), unit, typed, expired, inspection);
                self.journal.enter(&kt, &on, added)?;
            }
            Act::Sample { worksheet, label, hemolysis, hours_ago } => {
                let on = self.sheet(worksheet);
                let of = self.journal.sheet(&on)?.recipient().unwrap().clone();
                let label = if label { of.as_str() } else { "R-9999" };
                let drawn = at(self.minute - 60 * i32::from(hours_ago));
                let seq = self.journal.head()?.seq;
                let mut added = sample(of.as_str(), label, drawn, hemolysis);
                added.sample.id = Some(id(&format!("S-{seq}")));
                self.journal.enter(&kt, &on, added)?;
            }
            Act::Read { worksheet, donor, mixture, look, reader, transcribed } => {
                let on = self.sheet(worksheet);
                let mut entered = reading(mixture, &self.donor(&on, donor), look);
                if transcribed {
                    entered.transcribed = true;
                    entered.reading.at = Some(at(self.minute - 5));
                    entered.reading.by = Some(text(one(&READERS, reader)));
                }
                let writer = self.by(one(&READERS, reader));
                self.journal.enter(&writer, &on, entered)?;
            }
            Act::ReadClean { worksheet, donor } => {
                let on = self.sheet(worksheet);
                let of = self.donor(&on, donor);
                for mixture in [0, 2] {
                    self.journal.enter(&kt, &on, reading(mixture, &of, 0))?;
                }
                self.try_to(&Act::Segment { worksheet, donor, right: true, reader: 0 })?;
            }
            Act::Note { worksheet } => {
                let on = self.sheet(worksheet);
                self.journal.enter(&kt, &on, Note { text: text("x") })?;
            }
            Act::Segment { worksheet, donor, right, reader } => {
                let on = self.sheet(worksheet);
                let donor = self.donor(&on, donor);
                let typed = if right { self.unit_end(&on, &donor) } else { "0000".to_owned() };
                let writer = self.by(one(&READERS, reader));
                self.journal.check_segment(&writer, &on, &donor, &typed)?;
            }
            Act::Unblind { worksheet } => {
                let on = self.sheet(worksheet);
                self.journal.unblind(&kt, &on, "nobody else is here")?;
            }
            Act::Issue { worksheet } => {
                let on = self.sheet(worksheet);
                self.journal.issue(&kt, &on, "Dr Vane")?;
            }
            Act::Hand { worksheet } => {
                let on = self.sheet(worksheet);
                self.journal.hand(&kt, &on, "LM")?;
            }
            Act::Release { worksheet, donor, typed, emergency } => {
                let on = self.sheet(worksheet);
                let donor = self.donor(&on, donor);
                let sheet = self.journal.sheet(&on)?;
                let recipient = sheet.recipient().unwrap().as_str();
                let typed = if typed { end(recipient) } else { "0000".to_owned() };
                let typed_unit = text(&self.unit_end(&on, &donor));
                let release = Release {
                    worksheet: on,
                    donor,
                    to: text("LM"),
                    veterinarian: text("Dr Vane"),
                    typed_recipient: text(&typed),
                    typed_unit,
                };
                if emergency {
                    let reason = text("bleeding to death");
                    let emergency = EmergencyRelease { release, reason };
                    self.journal.release_in_emergency(&kt, &emergency)?;
                } else {
                    self.journal.release(&kt, &release)?;
                }
            }
            Act::Start { entry } => {
                let release = self.entry(&RELEASES, entry);
                let on = self.journal.entry(release)?.worksheet.unwrap_or_else(|| id("WS-1"));
                let sheet = self.journal.sheet(&on)?;
                let donors = sheet.releases.iter().map(|of| (of.seq, &of.value.donor));
                let hurried = sheet.emergency_releases.iter();
                let donors = donors.chain(hurried.map(|of| (of.seq, &of.value.donor)));
                let donor = donors.into_iter().find(|(seq, _)| *seq == release);
                let donor = donor.map_or_else(|| id("D-091"), |(_, donor)| donor.clone());
                let start = Started {
                    release,
                    ml: Hundredths::new(20_000).unwrap(),
                    minutes: 60,
                    checks: Check::ALL
                        .iter()
                        .map(|check| Checked { check: *check, yes: true })
                        .collect(),
                    baseline: Observation {
                        temperature_c: Hundredths::new(3850),
                        ..Observation::default()
                    },
                    typed_recipient: text(&end(sheet.recipient().unwrap().as_str())),
                    typed_unit: text(&self.unit_end(&on, &donor)),
                };
                self.journal.start_transfusion(&kt, &on, &start)?;
            }
            Act::Retract { entry } => {
                let of = self.entry(&TAKEN_BACK, entry);
                self.journal.retract(&kt, of, "wrong tube")?;
            }
            Act::AmendReading { entry, look } => {
                let of = self.entry(&["reading"], entry);
                let mut entered = reading(0, &id("D-091"), look);
                if let Event::ReadingEntered(old) = self.journal.entry(of)?.event {
                    entered.reading.test = old.reading.test;
                    entered.reading.donor = old.reading.donor;
                    entered.reading.phase = old.reading.phase;
                }
                self.journal.amend(&kt, of, "wrong tube", entered)?;
            }
            Act::AmendDonor { entry, unit, typed } => {
                let of = self.entry(&["donor_added"], entry);
                let donor = match self.journal.entry(of)?.event {
                    Event::DonorAdded(old) => old.donor.id.unwrap(),
                    _ => id("D-091"),
                };
                let added = donor_told(donor.as_str(), unit, typed, false, 0);
                self.journal.amend(&kt, of, "read again", added)?;
            }
            Act::AmendOpening { entry, history, typed } => {
                let of = self.entry(&["worksheet_opened"], entry);
                let Event::WorksheetOpened(mut opened) = self.journal.entry(of)?.event else {
                    let note = Note { text: text("x") };
                    return self.journal.amend(&kt, of, "x", note).map(drop);
                };
                let told = recipient_told(0, history, typed);
                opened.recipient.history = told.history;
                opened.recipient.types = told.types;
                self.journal.amend(&kt, of, "asked again", opened)?;
            }
            Act::CloseTask { entry } => {
                let task = self.entry(&["task_raised"], entry);
                self.journal.close_task(&kt, task, "told by telephone")?;
            }
            Act::TakeUnitBack { entry } => {
                let release = self.entry(&RELEASES, entry);
                self.journal.take_unit_back(&kt, release, "not needed, still cold")?;
            }
            Act::Transfused { animal: of, days_ago } => {
                let event = Transfused {
                    animal: animal(of),
                    at: at(self.minute - 1_440 * i32::from(days_ago)),
                    product: Product::PackedCells,
                    donor: Some(id(one(&DONORS, of))),
                    unit: None,
                    text: None,
                };
                self.journal.transfused(&kt, &event)?;
            }
            Act::Reacted { animal: of } => {
                let (animal, at) = (animal(of), self.now());
                let event = Reacted { animal, at, text: text("vomited"), donor: None, unit: None };
                self.journal.reacted(&kt, &event)?;
            }
            Act::Typed { animal: of, typed, settles } => {
                let result =
                    format!(r#"{{ "system": "DEA 1", "result": "{}" }}"#, one(&TYPES, typed));
                let event = Typed {
                    animal: animal(of),
                    result: draft::BloodType::from_json(result.as_bytes()).unwrap(),
                    settled_by: settles.then(|| text("S-77")),
                };
                self.journal.typed(&kt, &event)?;
            }
            Act::Retest { worksheet, again, donor, before } => {
                let again = self.sheet(again);
                let sample = if before {
                    RetestSample::BeforeTransfusion
                } else {
                    RetestSample::AfterTransfusion
                };
                let donor = self.donor(&again, donor);
                let told = self.journal.sheet(&again)?;
                let warnings = self.journal.warnings(&told.opening().unwrap().value.recipient)?;
                let noted: Vec<_> = warnings.iter().map(|w| text(&w.to_string())).collect();
                let again = Retest { worksheet: again, donor, sample };
                let on = self.new_sheet(worksheet);
                self.journal.retest(&kt, &on, &again, &noted)?;
            }
            Act::ClericalCheck { worksheet, donor } => {
                let on = self.sheet(worksheet);
                let donor = self.donor(&on, donor);
                let read = ReadOff { place: Place::Unit, what: text("unit"), read: text("U-5512") };
                self.journal.clerical_check(&kt, &on, &donor, &[read])?;
            }
        }
        Ok(())
    }

    /// The last characters of the number of a donor's unit.
    pub(super) fn unit_end(&mut self, on: &Id, donor: &Id) -> String {
        let sheet = self.journal.sheet(on).ok();
        let unit = sheet.and_then(|sheet| sheet.unit(donor)?.number.clone());
        unit.map_or_else(|| "0000".to_owned(), |unit| end(unit.as_str()))
    }
}
