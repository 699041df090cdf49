//! What is entered at the bench: worksheets, samples, donors, how the mixtures were made, readings.

use crossread_core::document::{FaultCode, Id, List, Text};
use crossread_core::protocol::Protocols;
use crossread_core::words::{Method, Phase, Recheck, Test};
use crossread_core::worksheet::{Decision, Worksheet, draft};
use serde::{Deserialize, Serialize};

use crate::books::{Books, Writer};
use crate::entry::Seq;
use crate::error::{JournalError, Refusal, is_blank, says};
use crate::event::{
    Cell, ControlsNoted, DonorAdded, Event, Known, Note, Override, ReadingEntered, Request, Retest,
    Retraction, SampleAdded, SegmentChecked, SetupNoted, Task, TaskRaised, Unblinded,
    WorksheetOpened,
};
use crate::journal::{Journal, Written};
use crate::known::{Warning, contradictions, is_after, told_types};
use crate::release::ends_with;
use crate::sheet::{Sheet, cell, look, reader};
use crate::terms::{Field, is_same_person};

/// How a worksheet is opened.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Opening {
    /// The worksheet's own id, new in the journal.
    pub worksheet: Id,
    /// The rules by which it is run.
    pub protocol: ProtocolName,
    /// Tube, slide or gel column.
    pub method: Method,
    /// The recipient, as it is told.
    pub recipient: draft::Recipient,
    /// What was asked for.
    #[serde(default)]
    pub request: Option<Request>,
    /// The sentences of the warnings that were shown and taken note of.
    #[serde(default)]
    pub acknowledged: Vec<Text>,
    /// Whether every mixture is read by a second person who does not see the first one's values.
    #[serde(default)]
    pub second_reader: bool,
    /// Why the recipient has only one identifier.
    #[serde(default, rename = "override")]
    pub overridden: Option<Override>,
}

/// A whole worksheet that was written elsewhere.
#[derive(Clone, Debug, PartialEq)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct TakenOver {
    /// The worksheet.
    pub worksheet: draft::Worksheet,
    /// The sentences of the warnings that were shown and taken note of.
    pub acknowledged: Vec<Text>,
    /// Why animals with one identifier, or samples that would be refused, are taken over.
    pub overridden: Option<Override>,
}

/// The id and version of a protocol.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "an id and a version is all there is to it")]
pub struct ProtocolName {
    /// Its id.
    pub id: Id,
    /// Its version.
    pub version: Id,
}

impl Journal {
    /// What must be shown before a worksheet for this recipient is opened, as it is told. Opening
    /// is refused until all of it was taken note of.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = running();
    /// let warnings = journal.warnings(&opening("WS-2", false).recipient)?;
    /// // The unit of this night runs, though `never` transfused is told.
    /// assert!(warnings[0].to_string().contains("U-5512"));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If the journal cannot be read.
    pub fn warnings(&mut self, recipient: &draft::Recipient) -> Result<Vec<Warning>, JournalError> {
        self.read(|books| Ok(books.known_of_recipient(recipient)?.1))
    }

    /// Opens a worksheet. What the journal knows of the recipient is laid over what is told, marked
    /// with the entries that say so; nothing of it makes a verdict better.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = running();
    /// let mut second = opening("WS-2", false);
    /// let refused = journal.open_worksheet(&kt("04:00"), &second, Protocols::shipped());
    /// let Err(JournalError::Refused(Refusal::Warnings(warnings))) = refused else { panic!() };
    /// // They were read, and are taken note of by name.
    /// second.acknowledged = warnings.iter().map(|of| of.to_string().as_str().into()).collect();
    /// journal.open_worksheet(&kt("04:01"), &second, Protocols::shipped())?;
    /// let opened = journal.sheet(&id("WS-2"))?;
    /// assert_eq!(opened.opening().ok_or("not opened")?.value.acknowledged, second.acknowledged);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// [`Refusal::Warnings`] with all warnings if one of them was not taken note of; a refusal if
    /// the id is taken or the recipient has not two identifiers of which one is a number; faults of
    /// the recipient or the protocol.
    pub fn open_worksheet(
        &mut self,
        writer: &Writer,
        opening: &Opening,
        protocols: &Protocols,
    ) -> Result<Written, JournalError> {
        self.write(|books| books.open(writer, opening, protocols, None))
    }

    /// Takes over a whole worksheet that was written elsewhere, on paper or by another program: all
    /// of it or nothing. Its readings carry their own times and readers, and count as transcribed;
    /// where no reader is written, `not written` stands for one. A retracted one is entered and
    /// taken back, by whom and when it is told.
    ///
    /// ```standalone_crate
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = begun();
    /// let document = include_bytes!("../../../examples/clean-run/worksheet.json");
    /// let worksheet = draft::Worksheet::from_json(document)?;
    /// let taken = TakenOver { worksheet, acknowledged: vec![], overridden: None };
    /// let later = Writer::new("KT", Time::new("2026-03-14T09:00:00+01:00").ok_or("no time")?);
    /// journal.take_over(&later, &taken, Protocols::shipped())?;
    /// let sheet = journal.sheet(&id("WS-0131"))?;
    /// assert!(sheet.readings.iter().all(|reading| reading.value.transcribed));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// As for [`Journal::open_worksheet`] and [`Journal::enter`]; the worksheet's own faults, with
    /// their places in it.
    pub fn take_over(
        &mut self,
        writer: &Writer,
        worksheet: &TakenOver,
        protocols: &Protocols,
    ) -> Result<Written, JournalError> {
        self.write(|books| books.take_over(writer, worksheet, protocols))
    }

    /// Writes something down on a worksheet: a sample, a donor, how the mixtures were made, the
    /// reagents' controls, a reading, a note.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = opened();
    /// journal.enter(&kt("02:45"), &id("WS-1"), donor())?;
    /// // A major needs a donor that stands on the worksheet.
    /// assert!(journal.enter(&kt("03:29"), &id("WS-1"), look(Some("D-092"), "0")).is_err());
    /// journal.enter(&kt("03:29"), &id("WS-1"), look(Some("D-091"), "0"))?;
    /// assert_eq!(journal.sheet(&id("WS-1"))?.readings.len(), 1);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// A [`Refusal`] that says what to do, or the faults of what was handed in, with their places in
    /// it. Nothing is written then.
    pub fn enter(
        &mut self,
        writer: &Writer,
        worksheet: &Id,
        event: impl Into<Event>,
    ) -> Result<Written, JournalError> {
        let event = event.into();
        self.write(|books| books.enter(writer, worksheet, None, event.clone()))
    }

    /// Writes down that the end of a unit's number was typed again at its segment, right or wrong.
    /// Typed wrong twice, the donor's row is locked.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = opened();
    /// let (worksheet, donor_id) = (id("WS-1"), id("D-091"));
    /// journal.enter(&kt("02:45"), &worksheet, donor())?;
    /// assert!(!journal.check_segment(&kt("03:29"), &worksheet, &donor_id, "5521")?.agrees);
    /// assert!(journal.check_segment(&kt("03:30"), &worksheet, &donor_id, "5512")?.agrees);
    /// assert!(journal.sheet(&worksheet)?.is_segment_checked(&donor_id));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If the worksheet or the donor is not known, the donor has no unit, or its row is locked and
    /// somebody tries again whose attempt was wrong.
    pub fn check_segment(
        &mut self,
        writer: &Writer,
        worksheet: &Id,
        donor: &Id,
        typed: &str,
    ) -> Result<SegmentChecked, JournalError> {
        self.write(|books| {
            let checked = books.with_sheet(worksheet, |_, sheet| {
                let known =
                    sheet.donor(donor).ok_or_else(|| JournalError::unknown("donor", donor))?;
                let unit = known.value.donor.unit.as_ref().and_then(|unit| unit.number.as_ref());
                let unit = unit.ok_or_else(|| Refusal::NoUnit(donor.clone()))?;
                let same = |by: &Text| is_same_person(by.as_str(), writer.by.as_str());
                if sheet.is_locked(donor) && sheet.wrong_attempts(donor).any(|a| same(&a.by)) {
                    return Err(Refusal::Locked(donor.clone()).into());
                }
                Ok(SegmentChecked {
                    donor: donor.clone(),
                    typed: Text::from(typed),
                    agrees: ends_with(unit.as_str(), typed),
                })
            })?;
            books.append(writer, Some(worksheet), None, checked.clone().into())?;
            Ok(checked)
        })
    }

    /// Shows first readings although the second reader has not entered, and writes down why.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = begun();
    /// journal.open_worksheet(&kt("02:41"), &opening("WS-1", true), Protocols::shipped())?;
    /// journal.enter(&kt("03:28"), &id("WS-1"), look(None, "0"))?;
    /// assert_eq!(journal.sheet(&id("WS-1"))?.awaited().len(), 1);
    /// journal.unblind(&kt("03:30"), &id("WS-1"), "nobody else is in the house")?;
    /// assert!(journal.sheet(&id("WS-1"))?.awaited().is_empty());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If there is no such worksheet, or the reason is missing.
    pub fn unblind(
        &mut self,
        writer: &Writer,
        worksheet: &Id,
        reason: &str,
    ) -> Result<Written, JournalError> {
        self.write(|books| {
            books.with_sheet(worksheet, |_, _| Ok(()))?;
            says(reason, "the reason")?;
            let event = Unblinded { reason: Text::from(reason) };
            let entry = books.append(writer, Some(worksheet), None, event.into())?;
            Ok(Written::new(entry.seq))
        })
    }
}

impl Books<'_> {
    /// Opens a worksheet, perhaps to test a pair again.
    pub(crate) fn open(
        &mut self,
        writer: &Writer,
        opening: &Opening,
        protocols: &Protocols,
        retest_of: Option<&Retest>,
    ) -> Result<Written, JournalError> {
        let id = &opening.worksheet;
        if self.rows.has_term(Field::Worksheet, id.as_str())? {
            return Err(Refusal::WorksheetExists(id.clone()).into());
        }
        let recipient = &opening.recipient;
        let name = recipient.name.as_ref().map(Text::as_str);
        identified(recipient.id.as_ref(), name, None, opening.overridden.as_ref())?;
        opening_is_good(opening, protocols)?;
        let (known, warnings) = self.known_of_recipient(recipient)?;
        let noted = |warning: &Warning| {
            let said = warning.to_string();
            opening.acknowledged.iter().any(|noted| noted.as_str() == said)
        };
        if !warnings.iter().all(noted) {
            return Err(Refusal::Warnings(warnings).into());
        }
        let ProtocolName { id: name, version } = &opening.protocol;
        let protocol =
            protocols.get(name, version).ok_or_else(|| JournalError::unknown("protocol", name))?;
        let event = WorksheetOpened {
            protocol: self.record(writer, protocol)?,
            method: opening.method,
            recipient: recipient.clone(),
            known,
            acknowledged: opening.acknowledged.clone(),
            request: opening.request.clone(),
            second_reader: opening.second_reader,
            retest_of: retest_of.cloned(),
            overridden: opening.overridden.clone(),
        };
        let entry = self.append(writer, Some(id), None, event.into())?;
        let mut written = Written::new(entry.seq);
        for warning in &warnings {
            if let Warning::TypesDisagree { animal, .. } = warning {
                written.raised.push(self.raise(
                    writer,
                    id,
                    TaskRaised {
                        task: Task::TypeAgain,
                        text: Text::from(warning.to_string().as_str()),
                        about: entry.seq,
                        donor: Some(animal.clone()),
                        tell: None,
                        cell: None,
                    },
                )?);
            }
        }
        Ok(written)
    }

    fn take_over(
        &mut self,
        writer: &Writer,
        taken_over: &TakenOver,
        protocols: &Protocols,
    ) -> Result<Written, JournalError> {
        let TakenOver { worksheet, acknowledged, overridden } = taken_over;
        let document = serde_json::to_vec(worksheet).map_err(JournalError::Unwritable)?;
        Worksheet::from_json(&document, protocols).map_err(JournalError::Faults)?;
        let (Some(id), Some(method), Some(recipient)) =
            (&worksheet.id, worksheet.method, &worksheet.recipient)
        else {
            return Err(JournalError::unknown("id, method or recipient on", "the worksheet"));
        };
        let named = worksheet.protocol.clone().unwrap_or_default();
        let (Some(protocol), Some(version)) = (named.id, named.version) else {
            return Err(JournalError::unknown("protocol on", "the worksheet"));
        };
        let opening = Opening {
            worksheet: id.clone(),
            protocol: ProtocolName { id: protocol, version },
            method,
            recipient: recipient.clone(),
            request: None,
            acknowledged: acknowledged.clone(),
            second_reader: false,
            overridden: None,
        };
        // A decision stands only where a rule was set aside by it.
        let decided =
            |said: Option<&Decision>| said.map(Override::from).or_else(|| overridden.clone());
        let mut written = or_decided(decided(recipient.decision.as_ref()), |overridden| {
            let opening = Opening { overridden, ..opening.clone() };
            self.open(writer, &opening, protocols, None)
        })?;
        let mut enter = |books: &mut Self, event: Event| {
            let entered = books.enter(writer, id, None, event)?;
            written.notices.extend(entered.notices);
            Ok::<_, JournalError>(entered.seq)
        };
        for donor in elements(worksheet.donors.as_ref()) {
            or_decided(decided(donor.decision.as_ref()), |overridden| {
                let (donor, known) = (donor.clone(), Known::default());
                enter(self, DonorAdded { donor, known, overridden }.into())
            })?;
        }
        for sample in elements(worksheet.samples.as_ref()) {
            or_decided(decided(sample.decision.as_ref()), |overridden| {
                enter(self, SampleAdded { sample: sample.clone(), overridden }.into())
            })?;
        }
        if let Some(setup) = &worksheet.setup {
            enter(self, SetupNoted { setup: setup.clone() }.into())?;
        }
        if let Some(controls) = &worksheet.reagent_controls {
            enter(self, ControlsNoted { controls: controls.clone() }.into())?;
        }
        // First looks first: a recheck may stand before its first look in a document.
        let mut readings: Vec<draft::Reading> = elements(worksheet.readings.as_ref()).collect();
        readings.sort_by_key(|reading| reading.after.is_some());
        for mut reading in readings {
            let retracted = reading.retracted.take();
            if reading.by.is_none() {
                reading.by = Some(Text::from("not written"));
            }
            let seq = enter(self, ReadingEntered { reading, transcribed: true }.into())?;
            if let Some(retracted) = retracted {
                let reason = retracted.reason.clone().unwrap_or_else(|| Text::from("not written"));
                let event = Retraction { of: seq, reason, told: Some(retracted) };
                self.append(writer, Some(id), None, event.into())?;
            }
        }
        if let Some(remarks) = &worksheet.remarks {
            enter(self, Note { text: remarks.clone() }.into())?;
        }
        Ok(written)
    }

    pub(crate) fn raise(
        &mut self,
        writer: &Writer,
        worksheet: &Id,
        task: TaskRaised,
    ) -> Result<Seq, JournalError> {
        Ok(self.append(writer, Some(worksheet), None, task.into())?.seq)
    }

    fn known_of_recipient(
        &mut self,
        told: &draft::Recipient,
    ) -> Result<(Known, Vec<Warning>), JournalError> {
        let Some(id) = &told.id else { return Ok((Known::default(), Vec::new())) };
        let past = self.past(id, None)?;
        let types = told_types(told.types.as_ref());
        let history = told.history.clone().unwrap_or_default();
        let mut warnings = past.warnings(id, &types);
        warnings.extend(contradictions(&past, history.transfused, history.reaction));
        Ok((past.known(&types), warnings))
    }

    /// Writes down what was entered on a worksheet, in place of a retracted entry if it amends one.
    pub(crate) fn enter(
        &mut self,
        writer: &Writer,
        worksheet: &Id,
        replaces: Option<Seq>,
        event: Event,
    ) -> Result<Written, JournalError> {
        self.enter_seen(writer, writer, worksheet, replaces, event)
    }

    /// Writes down what was seen by who saw it at the time, which can be earlier than the writing.
    pub(crate) fn enter_seen(
        &mut self,
        writer: &Writer,
        seen: &Writer,
        worksheet: &Id,
        replaces: Option<Seq>,
        event: Event,
    ) -> Result<Written, JournalError> {
        let (event, notices) =
            self.with_sheet(worksheet, |books, sheet| books.check(seen, sheet, event))?;
        let is_reading = matches!(event, Event::ReadingEntered(_));
        let entry = self.append(writer, Some(worksheet), replaces, event)?;
        let mut written = Written::new(entry.seq);
        written.notices = notices;
        if is_reading {
            let raised = self.with_sheet(worksheet, Books::third_look)?;
            for task in raised {
                written.notices.push(task.text.clone());
                written.raised.push(self.raise(writer, worksheet, task)?);
            }
        }
        Ok(written)
    }

    /// Checks what is to be entered, and completes it with what the journal knows.
    fn check(
        &mut self,
        writer: &Writer,
        sheet: &Sheet,
        event: Event,
    ) -> Result<(Event, Vec<Text>), JournalError> {
        let mut notices = Vec::new();
        let event = match event {
            Event::SampleAdded(added) => {
                self.check_sample(writer, sheet, &added)?;
                Event::SampleAdded(added)
            }
            Event::DonorAdded(added) => {
                Event::DonorAdded(self.check_donor(sheet, added, &mut notices)?)
            }
            Event::SetupNoted(SetupNoted { setup }) => {
                let mut probe = probe(sheet);
                probe.setup = Some(setup.clone());
                self.is_good(sheet, &probe, "/setup")?;
                Event::SetupNoted(SetupNoted { setup })
            }
            Event::ControlsNoted(ControlsNoted { controls }) => {
                let mut probe = probe(sheet);
                probe.reagent_controls = Some(controls.clone());
                self.is_good(sheet, &probe, "/reagent_controls")?;
                Event::ControlsNoted(ControlsNoted { controls })
            }
            Event::ReadingEntered(entered) => {
                Event::ReadingEntered(self.check_reading(writer, sheet, entered)?)
            }
            Event::Note(Note { text }) => Event::Note(Note { text }),
            _ => {
                return Err(Refusal::NotByHand(event.kind().word()).into());
            }
        };
        Ok((event, notices))
    }

    fn check_sample(
        &mut self,
        writer: &Writer,
        sheet: &Sheet,
        added: &SampleAdded,
    ) -> Result<(), JournalError> {
        let mut probe = probe(sheet);
        // The others too, so that two with one id are found.
        let mut samples: Vec<_> = sheet
            .samples
            .iter()
            .filter(|sample| sample.stands())
            .map(|sample| sample.value.sample.clone())
            .collect();
        let part = format!("/samples/{}", samples.len());
        samples.push(added.sample.clone());
        probe.samples = Some(samples.into_iter().collect());
        self.is_good(sheet, &probe, &part)?;
        if added.sample.drawn_at.is_some_and(|drawn| is_after(drawn, writer.at)) {
            return Err(Refusal::InTheFuture("the drawing of the sample").into());
        }
        if added.overridden.is_some() {
            return is_named(added.overridden.as_ref());
        }
        let sample = &added.sample;
        let (Some(id), Some(of)) = (&sample.id, &sample.of) else { return Ok(()) };
        match &sample.label_id {
            None => return Err(Refusal::LabelNotRead(id.clone()).into()),
            Some(label) if label != of => {
                let (sample, animal) = (id.clone(), of.clone());
                let label = label.as_str().to_owned();
                return Err(Refusal::LabelDisagrees { sample, label, animal }.into());
            }
            Some(_) => {}
        }
        let gives_plasma = sample.role.is_some_and(crossread_core::words::SampleRole::gives_plasma);
        let protocols = self.protocol_of(sheet)?;
        let hemolysis = sample.hemolysis.map(crossread_core::document::Whole::get);
        let rejected = |hemolysis| protocols.iter().any(|p| p.rejects_plasma(hemolysis));
        if gives_plasma && hemolysis.is_some_and(rejected) {
            return Err(Refusal::SampleRejected(id.clone()).into());
        }
        Ok(())
    }

    fn check_donor(
        &mut self,
        sheet: &Sheet,
        mut added: DonorAdded,
        notices: &mut Vec<Text>,
    ) -> Result<DonorAdded, JournalError> {
        let mut probe = probe(sheet);
        let mut donors: Vec<_> = sheet.donors().map(|donor| donor.value.donor.clone()).collect();
        let place = format!("/donors/{}", donors.len());
        donors.push(added.donor.clone());
        probe.donors = Some(donors.into_iter().collect());
        self.is_good(sheet, &probe, &place)?;
        let donor = &added.donor;
        let unit = donor.unit.as_ref().and_then(|unit| unit.number.as_ref());
        let name = donor.name.as_ref().map(Text::as_str);
        identified(donor.id.as_ref(), name, unit, added.overridden.as_ref())?;
        if let Some(unit) = unit {
            let has = |other: &draft::Donor| {
                other.id != donor.id
                    && other.unit.as_ref().and_then(|u| u.number.as_ref()) == Some(unit)
            };
            for other in sheet.donors().filter(|other| has(&other.value.donor)) {
                let of = other.value.donor.id.as_ref().map_or("another donor", |id| id.as_str());
                let said = format!("unit {} stands for {of} on this worksheet too", unit.as_str());
                notices.push(Text::from(said.as_str()));
            }
            for other in self.worksheets_with_unit(unit, &sheet.id)? {
                let said =
                    format!("unit {} stands on worksheet {} too", unit.as_str(), other.as_str());
                notices.push(Text::from(said.as_str()));
            }
        }
        if let Some(id) = &donor.id {
            let types = told_types(donor.types.as_ref());
            let past = self.past(id, Some(&sheet.id))?;
            let disagreements = past.disagreements(id, &types);
            notices.extend(disagreements.iter().map(|w| Text::from(w.to_string().as_str())));
            let mut known = past.known(&types);
            known.incompatible_with.clear();
            added.known = known;
        }
        Ok(added)
    }

    /// The other worksheets on which a unit stands.
    fn worksheets_with_unit(&mut self, unit: &Id, but: &Id) -> Result<Vec<Id>, JournalError> {
        let mut found: Vec<Id> = Vec::new();
        self.rows.with_term(Field::Unit, unit.as_str(), 0, &mut |row| {
            let other = row.entry()?.worksheet;
            found.extend(other.filter(|other| other != but && !found.contains(other)));
            Ok(())
        })?;
        Ok(found)
    }

    fn check_reading(
        &mut self,
        writer: &Writer,
        sheet: &Sheet,
        mut entered: ReadingEntered,
    ) -> Result<ReadingEntered, JournalError> {
        let reading = &mut entered.reading;
        if reading.at.is_none() && entered.transcribed {
            return Err(Refusal::TimeMissing.into());
        }
        // Who reads now need not say when and who.
        reading.at.get_or_insert(writer.at);
        if reading.by.is_none() && !entered.transcribed {
            reading.by = Some(writer.by.clone());
        }
        if reading.retracted.is_some() {
            return Err(Refusal::NotByHand("retracted").into());
        }
        let mut probe = probe(sheet);
        let mut readings: Vec<draft::Reading> = Vec::new();
        if reading.after.is_some() {
            // Its first look, without which a recheck is at fault.
            let first = |other: &draft::Reading| {
                other.after.is_none()
                    && other.test == reading.test
                    && other.donor == reading.donor
                    && other.phase == reading.phase
            };
            let others = sheet.readings.iter().map(|entered| &entered.value.reading);
            readings.extend(others.filter(|other| first(other)).take(1).cloned());
        }
        let part = format!("/readings/{}", readings.len());
        readings.push(reading.clone());
        probe.readings = Some(readings.into_iter().collect());
        self.is_good(sheet, &probe, &part)?;
        if reading.at.is_some_and(|at| is_after(at, writer.at)) {
            return Err(Refusal::InTheFuture("the reading").into());
        }
        let now = reading.at.is_some_and(|at| at.instant() == writer.at.instant())
            && reading.by.as_ref() == Some(&writer.by);
        if !now && !entered.transcribed {
            return Err(Refusal::NotTranscribed.into());
        }
        if reading.by.as_ref().is_none_or(|by| is_blank(by.as_str())) {
            return Err(Refusal::ReaderMissing.into());
        }
        if let Some(donor) = &reading.donor
            && sheet.is_locked(donor)
        {
            return Err(Refusal::Locked(donor.clone()).into());
        }
        Ok(entered)
    }

    /// Whether a probe of the worksheet is without fault, but for donors while there is none yet.
    pub(crate) fn is_good(
        &mut self,
        sheet: &Sheet,
        probe: &draft::Worksheet,
        part: &str,
    ) -> Result<(), JournalError> {
        let protocols = self.protocol_of(sheet)?;
        good(probe, &protocols, part, sheet.donors().next().is_none())
    }

    /// The mixtures whose two readers disagree across a cut-off, and that nobody was asked to look
    /// at a third time.
    fn third_look(&mut self, sheet: &Sheet) -> Result<Vec<TaskRaised>, JournalError> {
        let Some(opened) = sheet.opening() else { return Ok(Vec::new()) };
        if !opened.value.second_reader {
            return Ok(Vec::new());
        }
        let protocols = self.protocol_of(sheet)?;
        let Some(protocol) = protocols.iter().next() else { return Ok(Vec::new()) };
        let Some(last) = sheet.readings.last() else { return Ok(Vec::new()) };
        let Some(of) = cell(&last.value.reading) else { return Ok(Vec::new()) };
        let asked = sheet.tasks.iter().any(|(task, _)| task.value.cell.as_ref() == Some(&of));
        if sheet.is_sealed(last) || asked {
            return Ok(Vec::new());
        }
        let others = sheet.readings.iter().filter(|other| {
            other.stands()
                && cell(&other.value.reading).as_ref() == Some(&of)
                && !is_same_person(reader(other), reader(last))
        });
        let disagree = others
            .filter_map(|other| Some((look(&other.value.reading)?, look(&last.value.reading)?)))
            .any(|(one, other)| protocol.disagree(one, other));
        if !disagree {
            return Ok(Vec::new());
        }
        let text = format!("two readers disagree on {of}: look at the mixture itself a third time");
        Ok(vec![TaskRaised {
            task: Task::ThirdLook,
            text: Text::from(text.as_str()),
            about: last.seq,
            donor: of.donor.clone(),
            tell: None,
            cell: Some(of),
        }])
    }
}

impl std::fmt::Display for Cell {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.test.spoken())?;
        if let Some(donor) = &self.donor {
            write!(f, " of {}", donor.as_str())?;
        }
        write!(f, " {}", self.phase.spoken())?;
        if let Some(after) = self.after {
            write!(f, " after {}", after.word().replace('_', " "))?;
        }
        Ok(())
    }
}

/// Does something, and where a rule refuses it that a named person can set aside, does it by their
/// decision.
fn or_decided<T>(
    decided: Option<Override>,
    mut work: impl FnMut(Option<Override>) -> Result<T, JournalError>,
) -> Result<T, JournalError> {
    match work(None) {
        Err(JournalError::Refused(
            Refusal::OneIdentifier(_)
            | Refusal::IdWithoutDigit(_)
            | Refusal::LabelDisagrees { .. }
            | Refusal::LabelNotRead(_)
            | Refusal::SampleRejected(_),
        )) if decided.is_some() => work(decided),
        done => done,
    }
}

impl From<&Decision> for Override {
    fn from(decision: &Decision) -> Self {
        let of = |text: &Option<Text>| text.clone().unwrap_or_else(|| Text::from(""));
        Self { by: of(&decision.by), reason: of(&decision.reason) }
    }
}

/// The elements of a list, to keep.
fn elements<T: Clone>(list: Option<&List<T>>) -> impl Iterator<Item = T> {
    list.into_iter().flat_map(List::iter).map(|(_, element)| element.clone())
}

/// A worksheet with the same recipient, donors and samples as a sheet, and no readings.
pub(crate) fn probe(sheet: &Sheet) -> draft::Worksheet {
    let opened = sheet.opening().map(|opened| opened.value.clone());
    let donors: List<draft::Donor> =
        sheet.donors().map(|donor| donor.value.donor.clone()).collect();
    draft::Worksheet {
        format: Some(Text::from(crossread_core::worksheet::FORMAT)),
        id: Some(sheet.id.clone()),
        protocol: opened.as_ref().map(|opened| draft::ProtocolRef {
            id: Some(opened.protocol.id.clone()),
            version: Some(opened.protocol.version.clone()),
        }),
        method: opened.as_ref().map(|opened| opened.method),
        recipient: opened.map(|opened| opened.recipient),
        donors: Some(donors),
        readings: Some(List::default()),
        ..draft::Worksheet::default()
    }
}

/// Whether a worksheet is without fault; that it has no donors yet is none.
fn good(
    probe: &draft::Worksheet,
    protocols: &Protocols,
    part: &str,
    no_donors_yet: bool,
) -> Result<(), JournalError> {
    let document = serde_json::to_vec(probe).map_err(JournalError::Unwritable)?;
    let Err(faults) = Worksheet::from_json(&document, protocols) else { return Ok(()) };
    let but = no_donors_yet.then_some(FaultCode::NoDonors);
    faults.of_part(part, but).map_or(Ok(()), |faults| Err(JournalError::Faults(faults)))
}

fn opening_is_good(opening: &Opening, protocols: &Protocols) -> Result<(), JournalError> {
    let probe = draft::Worksheet {
        format: Some(Text::from(crossread_core::worksheet::FORMAT)),
        id: Some(opening.worksheet.clone()),
        protocol: Some(draft::ProtocolRef {
            id: Some(opening.protocol.id.clone()),
            version: Some(opening.protocol.version.clone()),
        }),
        method: Some(opening.method),
        recipient: Some(opening.recipient.clone()),
        donors: Some(List::default()),
        readings: Some(List::default()),
        ..draft::Worksheet::default()
    };
    good(&probe, protocols, "", true)
}

/// Whether an animal has two identifiers, one of them a number, or a named person's word instead.
pub(crate) fn identified(
    id: Option<&Id>,
    name: Option<&str>,
    unit: Option<&Id>,
    overridden: Option<&Override>,
) -> Result<(), JournalError> {
    let Some(id) = id else { return Ok(()) };
    if overridden.is_some() {
        return is_named(overridden);
    }
    if !id.as_str().chars().any(|c| c.is_ascii_digit()) {
        return Err(Refusal::IdWithoutDigit(id.clone()).into());
    }
    if unit.is_none() && name.is_none_or(is_blank) {
        return Err(Refusal::OneIdentifier(id.clone()).into());
    }
    Ok(())
}

/// Whether an override has a name and a reason.
fn is_named(overridden: Option<&Override>) -> Result<(), JournalError> {
    let Some(Override { by, reason }) = overridden else { return Ok(()) };
    says(by.as_str(), "who decided the override")?;
    says(reason.as_str(), "the reason of the override")?;
    Ok(())
}

impl Cell {
    /// A mixture at a phase.
    ///
    /// ```
    /// # use crossread_core::{document::Id, words::{Phase, Recheck, Test}};
    /// # use crossread_journal::Cell;
    /// let major = Cell::new(Test::Major, Id::new("D-091"), Phase::Warm37c);
    /// assert_eq!(major.to_string(), "major of D-091 at 37 °C");
    /// let diluted = major.after(Some(Recheck::SalineDilution));
    /// assert_eq!(diluted.after, Some(Recheck::SalineDilution));
    /// ```
    pub fn new(test: Test, donor: Option<Id>, phase: Phase) -> Self {
        Self { test, donor, phase, after: None }
    }

    /// The same mixture after a treatment, or, without one, at its first look.
    ///
    /// ```
    /// # use crossread_core::words::{Phase, Recheck, Test};
    /// # use crossread_journal::Cell;
    /// let control = Cell::new(Test::RecipientAuto, None, Phase::Room);
    /// let diluted = control.clone().after(Some(Recheck::SalineDilution));
    /// assert_ne!(diluted, control);
    /// assert_eq!(diluted.after(None), control);
    /// ```
    #[must_use]
    pub fn after(self, after: Option<Recheck>) -> Self {
        Self { after, ..self }
    }
}
