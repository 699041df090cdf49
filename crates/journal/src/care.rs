//! The unit on the line: what was checked before it was spiked, what was seen while it ran, how it
//! ended, and what came of it.

use crossread_core::care::{CannotCare, Check, Warmth, warmth, watch};
use crossread_core::document::{Hundredths, Id, Text, Time};
use crossread_core::prepare::{Celsius, Exact, Pcv};
use crossread_core::words::Product;
use jiff::Timestamp;

use crate::books::{Books, Writer};
use crate::entry::Seq;
use crate::error::{JournalError, Refusal, says};
use crate::event::{
    Ended, Event, Kind, Observation, Observed, OutcomeMeasured, Reacted, Started, Task, TaskRaised,
    Transfused,
};
use crate::journal::{Journal, Written};
use crate::release::{TYPED_AGAIN, ends_with, not_releasable};
use crate::sheet::{Entered, Sheet};
use crate::terms::Field;

/// A transfusion that was started and has not ended, with the times at which the animal is looked
/// at.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Running {
    /// The worksheet.
    pub worksheet: Id,
    /// The animal that it runs into.
    pub recipient: Id,
    /// The unit's number.
    pub unit: Id,
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
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = running();
    /// let runs = &journal.running()?[0];
    /// // Looked at at 03:50, and to be looked at every five minutes.
    /// assert!(runs.missed(time("03:54")).is_empty());
    /// assert_eq!(runs.missed(time("04:01")).len(), 2);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn missed(&self, now: Time) -> Vec<Timestamp> {
        let last = self.observed.iter().map(|seen| seen.at.instant()).max();
        let last = last.unwrap_or_else(|| self.started.at.instant());
        let passed = self.times.iter().filter(|time| **time <= now.instant());
        passed.filter(|time| **time > last).copied().collect()
    }

    /// The next time at which the animal is looked at.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = running();
    /// let runs = &journal.running()?[0];
    /// assert_eq!(runs.next(time("03:52")), Some(time("03:55").instant()));
    /// assert_eq!(runs.next(time("06:00")), None);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn next(&self, now: Time) -> Option<Timestamp> {
        self.times.iter().find(|time| **time > now.instant()).copied()
    }
}

impl Journal {
    /// Writes down that a released unit was spiked. It counts as a transfusion of the animal from
    /// here on.
    ///
    /// Everything that a release rests on is looked at again, with what the journal knows by now: a
    /// verdict that changed, types that disagree, a reaction, an inspection that was amended, a
    /// unit that expired. The units of this very worksheet that were given in the meantime shorten
    /// how long its samples keep, and nothing else.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = released();
    /// let mut start = started(journal.seq);
    /// start.typed_unit = "5521".into();
    /// assert!(journal.start_transfusion(&kt("03:50"), &id("WS-1"), &start).is_err());
    /// start.typed_unit = "5512".into();
    /// journal.start_transfusion(&kt("03:51"), &id("WS-1"), &start)?;
    /// assert_eq!(journal.running()?.len(), 1);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// A [`Refusal`] if the release does not stand, is not valid any more or would not be made now,
    /// an identifier that was typed again does not agree, or a check was not answered yes; and if
    /// the protocol of the worksheet has no `care` section.
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
                let protocols = books.protocol_of(sheet)?;
                for check in Check::ALL.iter().copied() {
                    let yes = start.checks.iter().any(|of| of.check == check && of.yes);
                    if !yes {
                        let asked = protocols.iter().next().map(|rules| check.asked(rules));
                        let asked = asked
                            .unwrap_or(Err(CannotCare::NoSection))
                            .map_err(|why| no_care(&why))?;
                        return Err(Refusal::CheckOpen { check, asked }.into());
                    }
                }
                is_pcv(start.baseline.pcv)?;
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
                books.may_still_be_given(writer, sheet, &given)?;
                Ok(given)
            })?;
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

    /// Writes down what was seen while a unit runs. A sign, or a temperature that is a fever by the
    /// rules of the worksheet, becomes a task: stop it, and call the veterinarian.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = running();
    /// let seen = Observation { temperature_c: Hundredths::new(40_10), ..Observation::default() };
    /// let look = Observed { started: journal.seq, seen };
    /// let written = journal.observe(&kt("03:55"), &id("WS-1"), &look)?;
    /// // Above 39 °C and more than 1 °C above the baseline of 38.5 °C.
    /// assert_eq!(written.raised.len(), 1);
    /// assert_eq!(journal.open_tasks()?[0].task.task, Task::StopAndCall);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If no such transfusion runs, or a PCV is not one in percent.
    pub fn observe(
        &mut self,
        writer: &Writer,
        worksheet: &Id,
        observed: &Observed,
    ) -> Result<Written, JournalError> {
        is_pcv(observed.seen.pcv)?;
        self.write(|books| {
            let alarm = books.with_sheet(worksheet, |books, sheet| {
                let running = sheet.running().find(|of| of.seq == observed.started);
                let running = running.ok_or(Refusal::NotRunning(observed.started))?;
                let Some(why) = books.alarm(sheet, &running.value.baseline, &observed.seen)? else {
                    return Ok(None);
                };
                let given = Given::of(sheet, running.value.release)?;
                let text = format!(
                    "stop unit {} of {} now, keep unit and line, call the veterinarian: {why}",
                    given.unit.as_str(),
                    given.recipient.as_str()
                );
                Ok(Some((Text::from(text.as_str()), given.donor)))
            })?;
            let seen = books.append(writer, Some(worksheet), None, observed.clone().into())?;
            let mut written = Written::new(seen.seq);
            if let Some((text, donor)) = alarm {
                written.notices.push(text.clone());
                let task = TaskRaised {
                    task: Task::StopAndCall,
                    text,
                    about: seen.seq,
                    donor: Some(donor),
                    tell: None,
                    cell: None,
                };
                written.raised.push(books.raise(writer, worksheet, task)?);
            }
            Ok(written)
        })
    }

    /// Writes down that a unit has run in, or was stopped.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = running();
    /// let end = Ended { started: journal.seq, ml: None, stopped: false, text: "no sign".into() };
    /// journal.end_transfusion(&kt("05:30"), &id("WS-1"), &end)?;
    /// assert!(journal.running()?.is_empty());
    /// // It ended once.
    /// assert!(journal.end_transfusion(&kt("05:31"), &id("WS-1"), &end).is_err());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
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
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = ended();
    /// let pcv = Hundredths::new(24_00).ok_or("out of range")?;
    /// let outcome = OutcomeMeasured { started: journal.seq, hours: 0, pcv };
    /// journal.outcome(&kt("05:40"), &id("WS-1"), &outcome)?;
    /// assert_eq!(journal.sheet(&id("WS-1"))?.outcomes[0].value.pcv, pcv);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If there is no such transfusion, or the PCV is not one in percent.
    pub fn outcome(
        &mut self,
        writer: &Writer,
        worksheet: &Id,
        outcome: &OutcomeMeasured,
    ) -> Result<Written, JournalError> {
        is_pcv(Some(outcome.pcv))?;
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
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = running();
    /// let text = "vomited, urine red".into();
    /// let end = Ended { started: journal.seq, ml: Hundredths::new(40_00), stopped: true, text };
    /// journal.reaction_to(&kt("04:06"), &id("WS-1"), &end)?;
    /// assert!(journal.running()?.is_empty());
    /// let (_, warnings) = journal.animal(&id("R-3107"))?;
    /// assert!(warnings.iter().any(|of| matches!(of, Warning::Reaction(_))));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
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
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = running();
    /// let runs = &journal.running()?[0];
    /// assert_eq!((runs.recipient.as_str(), runs.unit.as_str()), ("R-3107", "U-5512"));
    /// assert_eq!(runs.times.last(), Some(&time("05:30").instant()));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
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
    /// Why a unit is stopped, by what was seen beside the baseline.
    fn alarm(
        &mut self,
        sheet: &Sheet,
        baseline: &Observation,
        seen: &Observation,
    ) -> Result<Option<String>, JournalError> {
        let mut why: Vec<String> = seen.signs.iter().map(|sign| sign.spoken().to_owned()).collect();
        if let (Some(before), Some(now)) = (baseline.celsius(), seen.celsius()) {
            let protocols = self.protocol_of(sheet)?;
            let judged = protocols.iter().next().map(|rules| warmth(rules, &before, &now));
            if let Some(Ok(Warmth::Fever)) = judged {
                why.push(format!("a fever, {now}, after {before} before it began"));
            }
        }
        Ok((!why.is_empty()).then(|| why.join("; ")))
    }

    fn running_on(&mut self, sheet: &Sheet) -> Result<Vec<Running>, JournalError> {
        let mut all = Vec::new();
        for started in sheet.running() {
            let times = self.times(sheet, started.at, started.value.minutes)?;
            let of = |seen: &&Entered<Observed>| seen.value.started == started.seq;
            let given = Given::of(sheet, started.value.release)?;
            all.push(Running {
                worksheet: sheet.id.clone(),
                recipient: given.recipient,
                unit: given.unit,
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
        times.map_err(|why| no_care(&why))
    }

    /// Whether a unit that was released may be spiked now.
    fn may_still_be_given(
        &mut self,
        writer: &Writer,
        sheet: &Sheet,
        given: &Given,
    ) -> Result<(), JournalError> {
        if writer.at.instant() < given.released.instant() {
            return Err(Refusal::BeforeRelease(given.released.to_string()).into());
        }
        let donor = &given.donor;
        let clock = self.clock(writer, sheet)?;
        if let Some(until) = given.until {
            clock.still_valid(donor, until)?;
        }
        let now = self.answer_at_start(sheet, donor)?;
        if given.until.is_some() {
            if !now.releasable {
                return Err(not_releasable(&now).into());
            }
            let until = now.valid_until.ok_or_else(|| Refusal::ValidityUnknown(donor.clone()))?;
            clock.still_valid(donor, until)?;
        }
        self.nothing_against(sheet, &now)?;
        let unit = self.fit_unit(&clock, sheet, donor)?;
        if unit != given.unit {
            let why = format!("the worksheet names unit {} by now", unit.as_str());
            let (donor, unit) = (donor.clone(), given.unit.clone());
            return Err(Refusal::UnitNotFit { donor, unit, why }.into());
        }
        self.no_reaction_since(sheet, given.release)
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

fn no_care(why: &CannotCare) -> JournalError {
    Refusal::NoCare(why.to_string()).into()
}

/// Whether a PCV is in percent: a fraction would be written down as one that no animal has.
fn is_pcv(written: Option<Hundredths<80>>) -> Result<(), Refusal> {
    let Some(written) = written else { return Ok(()) };
    let read = Pcv::new(Exact::hundredths(written.hundredths()));
    read.map(drop).map_err(|error| Refusal::NotAPcv(error.to_string()))
}

/// What was released.
struct Given {
    /// The entry of the release, and its time.
    release: Seq,
    released: Time,
    recipient: Id,
    donor: Id,
    unit: Id,
    product: Product,
    /// Until when it may be given; none for an emergency release.
    until: Option<Timestamp>,
}

impl Given {
    fn of(sheet: &Sheet, release: Seq) -> Result<Self, JournalError> {
        if let Some(entered) = sheet.releases.iter().find(|of| of.seq == release) {
            let of = &entered.value;
            // A time that cannot be read is none that has not passed.
            let until: Result<Timestamp, _> = of.valid_until.as_str().parse();
            let unknown = |_unread| Refusal::ValidityUnknown(of.donor.clone());
            return Ok(Self {
                release,
                released: entered.at,
                recipient: of.recipient.clone(),
                donor: of.donor.clone(),
                unit: of.unit.clone(),
                product: of.product,
                until: Some(until.map_err(unknown)?),
            });
        }
        let entered = sheet.emergency_releases.iter().find(|of| of.seq == release);
        let entered = entered.ok_or_else(|| JournalError::unknown("release", &release))?;
        let of = &entered.value;
        Ok(Self {
            release,
            released: entered.at,
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
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// assert_eq!(running().sheet(&id("WS-1"))?.running().count(), 1);
    /// assert_eq!(ended().sheet(&id("WS-1"))?.running().count(), 0);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn running(&self) -> impl Iterator<Item = &Entered<Started>> {
        let ended =
            |of: &&Entered<Started>| !self.ended.iter().any(|ended| ended.value.started == of.seq);
        self.started.iter().filter(ended)
    }
}

impl Observation {
    /// The temperature, exactly.
    ///
    /// ```
    /// # use crossread_core::document::Hundredths;
    /// # use crossread_journal::Observation;
    /// let seen = Observation { temperature_c: Hundredths::new(38_60), ..Observation::default() };
    /// assert_eq!(seen.celsius().unwrap().to_string(), "38.6 °C");
    /// assert!(!seen.is_empty() && Observation::default().is_empty());
    /// ```
    pub fn celsius(&self) -> Option<Celsius> {
        let written = self.temperature_c?;
        Celsius::new(Exact::hundredths(written.hundredths())).ok()
    }

    /// Whether something was written.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}
