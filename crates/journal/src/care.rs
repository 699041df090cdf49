//! The unit on the line: what was checked before it was spiked, what was seen while it ran, how it
//! ended, and what came of it.

use crossread_core::care::{CannotCare, Check, watch};
use crossread_core::document::{Id, Text, Time};
use crossread_core::words::Product;
use jiff::Timestamp;

use crate::books::{Books, Writer};
use crate::entry::Seq;
use crate::error::{JournalError, Refusal, says};
use crate::event::{
    Ended, Event, Kind, Observation, Observed, OutcomeMeasured, Reacted, Started, Transfused,
};
use crate::journal::{Journal, Written};
use crate::release::{TYPED_AGAIN, ends_with};
use crate::sheet::{Entered, Sheet};
use crate::terms::Field;

/// A transfusion that was started and has not ended, with the times at which the animal is looked
/// at.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Running {
    /// The worksheet.
    pub worksheet: Id,
    /// How it was started.
    pub started: Entered<Started>,
    /// What was seen since, in order.
    pub observed: Vec<Entered<Observed>>,
    /// Every time at which the animal is looked at, in UTC.
    pub times: Vec<Timestamp>,
}

impl Running {
    /// The times that have come and at which, or since which, nobody wrote what they saw. A look
    /// counts for every time up to its own, from the time before it on.
    pub fn missed(&self, now: Time) -> Vec<Timestamp> {
        let last = self.observed.iter().map(|seen| seen.at.instant()).max();
        let last = last.unwrap_or_else(|| self.started.at.instant());
        let passed = self.times.iter().filter(|time| **time <= now.instant());
        passed.filter(|time| **time > last).copied().collect()
    }

    /// The next time at which the animal is looked at.
    pub fn next(&self, now: Time) -> Option<Timestamp> {
        self.times.iter().find(|time| **time > now.instant()).copied()
    }
}

impl Journal {
    /// Writes down that a released unit was spiked. It counts as a transfusion of the animal from
    /// here on.
    ///
    /// # Errors
    /// A [`Refusal`] if the release does not stand or is not valid any more, the unit is barred, an
    /// identifier that was typed again does not agree, or a check was not answered yes; and if the
    /// protocol of the worksheet has no `care` section.
    pub fn start_transfusion(
        &mut self,
        writer: &Writer,
        worksheet: &Id,
        start: &Started,
    ) -> Result<Written, JournalError> {
        self.write(|books| {
            let given = books.with_sheet(worksheet, |books, sheet| {
                let given = Given::of(sheet, start.release)?;
                if sheet.returned.iter().any(|back| back.value.release == start.release) {
                    return Err(Refusal::AlreadyReturned(start.release).into());
                }
                if sheet.started.iter().any(|other| other.value.release == start.release) {
                    return Err(Refusal::AlreadyStarted(given.unit).into());
                }
                if let Some(until) = given.until
                    && writer.at.instant() > until
                {
                    let (donor, until) = (given.donor, until.to_string());
                    return Err(Refusal::Expired { donor, until }.into());
                }
                for check in Check::ALL {
                    let yes = start.checks.iter().any(|of| of.check == *check && of.yes);
                    if !yes {
                        return Err(Refusal::CheckOpen(*check).into());
                    }
                }
                for (id, typed, what) in [
                    (&given.recipient, &start.typed_recipient, "recipient's id"),
                    (&given.unit, &start.typed_unit, "unit's number"),
                ] {
                    if !ends_with(id.as_str(), typed.as_str()) {
                        let typed = typed.as_str().to_owned();
                        return Err(Refusal::TypedWrong(TYPED_AGAIN, what, typed).into());
                    }
                }
                if start.baseline.temperature_c.is_none() {
                    return Err(Refusal::BaselineMissing.into());
                }
                books.times(sheet, writer.at, start.minutes)?;
                Ok(given)
            })?;
            books.not_barred(&given.unit)?;
            let entry = books.append(writer, Some(worksheet), None, start.clone().into())?;
            let transfused = Transfused {
                animal: given.recipient,
                at: writer.at,
                product: given.product,
                donor: Some(given.donor),
                unit: Some(given.unit),
                text: Some(Text::from(format!("started, entry {}", entry.seq).as_str())),
            };
            books.append(writer, None, None, transfused.into())?;
            Ok(Written::new(entry.seq))
        })
    }

    /// Writes down what was seen while a unit runs.
    ///
    /// # Errors
    /// If no such transfusion runs.
    pub fn observe(
        &mut self,
        writer: &Writer,
        worksheet: &Id,
        observed: &Observed,
    ) -> Result<Written, JournalError> {
        self.while_running(writer, worksheet, observed.started, &observed.clone().into())
    }

    /// Writes down that a unit has run in, or was stopped.
    ///
    /// # Errors
    /// If no such transfusion runs.
    pub fn end_transfusion(
        &mut self,
        writer: &Writer,
        worksheet: &Id,
        ended: &Ended,
    ) -> Result<Written, JournalError> {
        if ended.stopped {
            says(ended.text.as_str(), "why it was stopped")?;
        }
        self.while_running(writer, worksheet, ended.started, &ended.clone().into())
    }

    fn while_running(
        &mut self,
        writer: &Writer,
        worksheet: &Id,
        started: Seq,
        event: &Event,
    ) -> Result<Written, JournalError> {
        self.write(|books| {
            books.with_sheet(worksheet, |_, sheet| {
                let runs = sheet.running().any(|running| running.seq == started);
                if runs { Ok(()) } else { Err(Refusal::NotRunning(started).into()) }
            })?;
            let entry = books.append(writer, Some(worksheet), None, event.clone())?;
            Ok(Written::new(entry.seq))
        })
    }

    /// Writes down the PCV after a transfusion.
    ///
    /// # Errors
    /// If there is no such transfusion.
    pub fn outcome(
        &mut self,
        writer: &Writer,
        worksheet: &Id,
        outcome: &OutcomeMeasured,
    ) -> Result<Written, JournalError> {
        self.write(|books| {
            books.with_sheet(worksheet, |_, sheet| {
                let known = sheet.started.iter().any(|of| of.seq == outcome.started);
                let none = || JournalError::unknown("transfusion", &outcome.started);
                known.then_some(()).ok_or_else(none)
            })?;
            let entry = books.append(writer, Some(worksheet), None, outcome.clone().into())?;
            Ok(Written::new(entry.seq))
        })
    }

    /// Writes down a reaction to a unit of a worksheet: the transfusion is stopped if it still runs,
    /// and the unit is barred for every animal from here on.
    ///
    /// # Errors
    /// If there is no such transfusion, or nobody says what was seen.
    pub fn reaction_to(
        &mut self,
        writer: &Writer,
        worksheet: &Id,
        ended: &Ended,
    ) -> Result<Written, JournalError> {
        says(ended.text.as_str(), "what was seen")?;
        self.write(|books| {
            let (given, runs) = books.with_sheet(worksheet, |_, sheet| {
                let started = sheet.started.iter().find(|of| of.seq == ended.started);
                let none = || JournalError::unknown("transfusion", &ended.started);
                let started = started.ok_or_else(none)?;
                let runs = sheet.running().any(|running| running.seq == ended.started);
                Ok((Given::of(sheet, started.value.release)?, runs))
            })?;
            if runs {
                let stopped = Ended { stopped: true, ..ended.clone() };
                books.append(writer, Some(worksheet), None, stopped.into())?;
            }
            let reacted = Reacted {
                animal: given.recipient,
                at: writer.at,
                text: ended.text.clone(),
                donor: Some(given.donor),
                unit: Some(given.unit),
            };
            let entry = books.append(writer, None, None, reacted.into())?;
            Ok(Written::new(entry.seq))
        })
    }

    /// Every transfusion of this journal that runs, with the times at which the animal is looked at.
    ///
    /// # Errors
    /// If the journal cannot be read.
    pub fn running(&mut self) -> Result<Vec<Running>, JournalError> {
        self.read(|books| {
            let mut worksheets = Vec::new();
            books.rows.with_term(Field::Listed, Kind::Started.word(), 0, &mut |row| {
                worksheets.extend(row.entry()?.worksheet);
                Ok(())
            })?;
            worksheets.dedup();
            let mut all = Vec::new();
            for id in worksheets {
                all.extend(books.with_sheet(&id, Books::running_on)?);
            }
            all.sort_by_key(|running: &Running| running.started.seq);
            all.dedup_by_key(|running| running.started.seq);
            Ok(all)
        })
    }
}

impl Books<'_> {
    fn running_on(&mut self, sheet: &Sheet) -> Result<Vec<Running>, JournalError> {
        let mut all = Vec::new();
        for started in sheet.running() {
            let times = self.times(sheet, started.at, started.value.minutes)?;
            let of = |seen: &&Entered<Observed>| seen.value.started == started.seq;
            all.push(Running {
                worksheet: sheet.id.clone(),
                started: started.clone(),
                observed: sheet.observed.iter().filter(of).cloned().collect(),
                times,
            });
        }
        Ok(all)
    }

    /// When the animal is looked at, by the rules of the worksheet.
    fn times(
        &mut self,
        sheet: &Sheet,
        begins: Time,
        minutes: u32,
    ) -> Result<Vec<Timestamp>, JournalError> {
        let protocols = self.protocol_of(sheet)?;
        let times = match protocols.iter().next() {
            Some(protocol) => watch(protocol, begins, minutes),
            None => Err(CannotCare::NoSection),
        };
        times.map_err(|why| Refusal::NoCare(why.to_string()).into())
    }

    /// Whether nobody wrote a reaction to a unit.
    pub(crate) fn not_barred(&mut self, unit: &Id) -> Result<(), JournalError> {
        let mut reactions = Vec::new();
        self.rows.with_term(Field::Unit, unit.as_str(), 0, &mut |row| {
            let entry = row.entry()?;
            if matches!(entry.event, Event::Reacted(_)) {
                reactions.push(entry.seq);
            }
            Ok(())
        })?;
        for reaction in reactions {
            if !self.rows.has_term(Field::Answers, &reaction.to_string())? {
                return Err(Refusal::Barred { unit: unit.clone(), reaction }.into());
            }
        }
        Ok(())
    }
}

/// What was released.
struct Given {
    recipient: Id,
    donor: Id,
    unit: Id,
    product: Product,
    /// Until when it may be given; none for an emergency release.
    until: Option<Timestamp>,
}

impl Given {
    fn of(sheet: &Sheet, release: Seq) -> Result<Self, JournalError> {
        if let Some(of) = sheet.releases.iter().find(|of| of.seq == release) {
            let of = &of.value;
            // A time that cannot be read is none that has not passed.
            let until: Result<Timestamp, _> = of.valid_until.as_str().parse();
            let unknown = |_unread| Refusal::ValidityUnknown(of.donor.clone());
            return Ok(Self {
                recipient: of.recipient.clone(),
                donor: of.donor.clone(),
                unit: of.unit.clone(),
                product: of.product,
                until: Some(until.map_err(unknown)?),
            });
        }
        let of = sheet.emergency_releases.iter().find(|of| of.seq == release);
        let of = &of.ok_or_else(|| JournalError::unknown("release", &release))?.value;
        Ok(Self {
            recipient: of.recipient.clone(),
            donor: of.donor.clone(),
            unit: of.unit.clone(),
            product: of.product,
            until: None,
        })
    }
}

impl Sheet {
    /// The transfusions that were started and have not ended.
    pub fn running(&self) -> impl Iterator<Item = &Entered<Started>> {
        let ended =
            |of: &&Entered<Started>| !self.ended.iter().any(|ended| ended.value.started == of.seq);
        self.started.iter().filter(ended)
    }
}

impl Observation {
    /// Whether something was written.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}
