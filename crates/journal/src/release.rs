//! Release of a unit, and what is done when an animal cannot wait for the crossmatch.

use crossread_core::document::{Id, Text, Time};
use crossread_core::interpretation::Answer;
use crossread_core::words::{Effect, Inspection, Verdict};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use crate::books::{Books, Writer};
use crate::difference::{pairs, text_at};
use crate::entry::Seq;
use crate::error::{JournalError, Refusal, says};
use crate::event::{EmergencyReleased, Event, Kind, Released, Returned, Task, TaskRaised};
use crate::journal::{Journal, Written};
use crate::known::{Past, TypedThen, Warning, is_after, told_types};
use crate::sheet::Sheet;
use crate::store::Found;
use crate::terms::Field;

/// How many of the last characters of an identifier are typed again; all of a shorter one.
pub const TYPED_AGAIN: usize = 4;

/// The finding that a donor was incompatible with the recipient before.
const EARLIER: &str = "earlier-incompatible";

/// What is printed over an emergency release.
const NOT_COMPLETED: &str = "CROSSMATCH NOT COMPLETED";

/// Who releases which unit to whom. Who releases is the writer.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Release {
    /// The worksheet.
    pub worksheet: Id,
    /// The donor.
    pub donor: Id,
    /// Who receives the unit.
    pub to: Text,
    /// The veterinarian who decided to give it.
    pub veterinarian: Text,
    /// The last four characters of the recipient's id, read off the animal and typed again.
    pub typed_recipient: Text,
    /// The last four characters of the unit's number, read off the unit and typed again.
    pub typed_unit: Text,
}

/// An emergency release: a release, and why it cannot wait.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct EmergencyRelease {
    /// Which unit, to whom, decided by which veterinarian.
    pub release: Release,
    /// Why it cannot wait.
    pub reason: Text,
}

impl Journal {
    /// Releases a unit.
    ///
    /// It needs an issued interpretation with a releasable verdict, nothing entered since that could
    /// change it, a releasable verdict with what the journal knows today too, a time that is not
    /// before the interpretation was issued and not after `valid_until` of either verdict, a
    /// unit that has not expired and was inspected and found normal, the number typed again at the
    /// segment and at release, the recipient's id typed again, and the names of who receives it and
    /// of the veterinarian.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = issued();
    /// let mut wrong = release();
    /// wrong.typed_unit = "5521".into();
    /// assert!(journal.release(&kt("03:39"), &wrong).is_err());
    /// let written = journal.release(&kt("03:40"), &release())?;
    /// let Event::Released(released) = journal.entry(written.seq)?.event else { panic!() };
    /// assert_eq!((released.unit.as_str(), released.revision), ("U-5512", 1));
    /// // Nothing is released that was not issued.
    /// let early = read().release(&kt("03:33"), &release());
    /// assert!(matches!(early, Err(JournalError::Refused(Refusal::NotIssued(_)))));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// A [`Refusal`] with the first of these that is missing.
    pub fn release(&mut self, writer: &Writer, release: &Release) -> Result<Written, JournalError> {
        self.write(|books| {
            let event = books.with_sheet(&release.worksheet, |books, sheet| {
                let Some(issued) = sheet.last_issued() else {
                    return Err(Refusal::NotIssued(release.worksheet.clone()).into());
                };
                sheet.all_looks_finished(Some(&release.donor))?;
                let now = books.answer_now(sheet, &release.donor)?;
                let Some(of_issued) = pair_of(&issued.value.interpretation, &release.donor) else {
                    return Err(Refusal::ChangedSinceIssue(issued.value.revision).into());
                };
                of_issued.allows(&release.donor)?;
                if sheet.changed_since_issue() {
                    return Err(Refusal::ChangedSinceIssue(issued.value.revision).into());
                }
                if !now.releasable {
                    return Err(not_releasable(&now).into());
                }
                if writer.at.instant() < issued.at.instant() {
                    return Err(Refusal::BeforeIssue(issued.at.to_string()).into());
                }
                let until = of_issued.until.zip(now.valid_until);
                let Some((until, until_now)) = until else {
                    return Err(Refusal::ValidityUnknown(release.donor.clone()).into());
                };
                let until = until.min(until_now);
                let clock = books.clock(writer, sheet)?;
                clock.still_valid(&release.donor, until)?;
                let unit = books.identified_unit(writer, &clock, sheet, release)?;
                if !sheet.is_segment_checked(&release.donor) {
                    return Err(Refusal::SegmentNotChecked(unit).into());
                }
                books.types_agree(sheet, &release.donor)?;
                books.no_reaction_since(sheet, issued.seq)?;
                Ok(Released {
                    recipient: recipient_of(sheet)?,
                    donor: release.donor.clone(),
                    unit,
                    product: now.product,
                    to: release.to.clone(),
                    veterinarian: release.veterinarian.clone(),
                    issued: issued.seq,
                    revision: issued.value.revision,
                    verdict: now.verdict,
                    valid_until: Text::from(until.to_string().as_str()),
                    typed_recipient: release.typed_recipient.clone(),
                    typed_unit: release.typed_unit.clone(),
                })
            })?;
            let entry = books.append(writer, Some(&release.worksheet), None, event.into())?;
            Ok(Written::new(entry.seq))
        })
    }

    /// Releases a unit before its crossmatch is completed. What was not tested is written down from
    /// the worksheet itself, and a task to finish the crossmatch stays open.
    ///
    /// The unit must be identified and fit for use as for any release. What a crossmatch found
    /// incompatible, now or before, is not released this way, nor anything while types disagree or
    /// a look that bears on the donor waits for the second reader.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = opened();
    /// journal.enter(&kt("02:45"), &id("WS-1"), donor())?;
    /// let reason = "PCV 8 %, no time to incubate".into();
    /// let emergency = EmergencyRelease { release: release(), reason };
    /// let written = journal.release_in_emergency(&kt("02:50"), &emergency)?;
    /// let Event::EmergencyReleased(released) = journal.entry(written.seq)?.event else { panic!() };
    /// assert_eq!(released.headline.as_str(), "CROSSMATCH NOT COMPLETED");
    /// assert_eq!(journal.open_tasks()?[0].task.task, Task::FinishCrossmatch);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// A [`Refusal`] that says what is missing.
    pub fn release_in_emergency(
        &mut self,
        writer: &Writer,
        emergency: &EmergencyRelease,
    ) -> Result<Written, JournalError> {
        let release = &emergency.release;
        self.write(|books| {
            let event = books.with_sheet(&release.worksheet, |books, sheet| {
                let now = books.answer_now(sheet, &release.donor)?;
                books.nothing_against(sheet, &now)?;
                let clock = books.clock(writer, sheet)?;
                if now.releasable
                    && now.valid_until.is_some_and(|until| clock.latest.instant() <= until)
                {
                    return Err(Refusal::Completed(release.donor.clone()).into());
                }
                says(emergency.reason.as_str(), "why it cannot wait")?;
                let unit = books.identified_unit(writer, &clock, sheet, release)?;
                Ok(EmergencyReleased {
                    headline: Text::from(NOT_COMPLETED),
                    recipient: recipient_of(sheet)?,
                    donor: release.donor.clone(),
                    unit,
                    product: now.product,
                    to: release.to.clone(),
                    veterinarian: release.veterinarian.clone(),
                    reason: emergency.reason.clone(),
                    not_tested: open_points(sheet, &now),
                    typed_recipient: release.typed_recipient.clone(),
                    typed_unit: release.typed_unit.clone(),
                })
            })?;
            let owed: Vec<_> = event.not_tested.iter().map(Text::as_str).collect();
            let text = format!(
                "finish the crossmatch of {}, unit {}, which was released before: {}",
                event.donor.as_str(),
                event.unit.as_str(),
                owed.join("; ")
            );
            let entry = books.append(writer, Some(&release.worksheet), None, event.into())?;
            let task = TaskRaised {
                task: Task::FinishCrossmatch,
                text: Text::from(text.as_str()),
                about: entry.seq,
                donor: Some(release.donor.clone()),
                tell: None,
                cell: None,
            };
            let mut written = Written::new(entry.seq);
            written.raised.push(books.raise(writer, &release.worksheet, task)?);
            Ok(written)
        })
    }

    /// Writes down that a released unit came back unused.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = released();
    /// let release = journal.seq;
    /// journal.take_unit_back(&kt("03:55"), release, "not opened, was never out of the box")?;
    /// assert!(journal.animal(&id("R-3107"))?.1.is_empty());
    /// assert!(journal.take_unit_back(&kt("03:56"), release, "again").is_err());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If the entry is no release, the unit came back already, or the reason is missing.
    pub fn take_unit_back(
        &mut self,
        writer: &Writer,
        release: Seq,
        reason: &str,
    ) -> Result<Written, JournalError> {
        self.write(|books| {
            let entry = books.entry(release)?;
            let worksheet = match (&entry.event, &entry.worksheet) {
                (Event::Released(_) | Event::EmergencyReleased(_), Some(id)) => id.clone(),
                _ => return Err(JournalError::unknown("release", &release)),
            };
            if books.rows.has_term(Field::Answers, &release.to_string())? {
                return Err(Refusal::AlreadyReturned(release).into());
            }
            let started = books.with_sheet(&worksheet, |_, sheet| {
                let of = sheet.started.iter().find(|of| of.value.release == release);
                Ok(of.map(|_| sheet.id.clone()))
            })?;
            if started.is_some() {
                return Err(Refusal::NotRetractable(release, "the unit was spiked").into());
            }
            says(reason, "why it came back, and in what state")?;
            let event = Returned { release, reason: Text::from(reason) };
            let entry = books.append(writer, Some(&worksheet), None, event.into())?;
            Ok(Written::new(entry.seq))
        })
    }
}

impl Books<'_> {
    /// What a pair comes to as the worksheet stands, with everything the journal knows today.
    ///
    /// A recipient that this very worksheet found incompatible with another donor counts as
    /// exposed, as it would on the next worksheet: its samples keep for the shorter time. The rules
    /// leave open whether a worksheet is part of its own past; read so, it can only end sooner.
    pub(crate) fn answer_now(&mut self, sheet: &Sheet, donor: &Id) -> Result<Answer, JournalError> {
        let past = self.past(&recipient_of(sheet)?, Some(&sheet.id))?;
        self.answer_given(sheet, donor, past)
    }

    /// What a pair comes to when its unit is spiked, after it was released.
    ///
    /// The units of this very worksheet count as given on the day its first sample was drawn at the
    /// latest: they expose the recipient, so that its samples keep for the shorter time, but do not
    /// turn the samples into ones from before a transfusion. A second unit that was released with
    /// the first could not be started after midnight otherwise.
    pub(crate) fn answer_at_start(
        &mut self,
        sheet: &Sheet,
        donor: &Id,
    ) -> Result<Answer, JournalError> {
        let recipient = recipient_of(sheet)?;
        let mut past = self.past(&recipient, Some(&sheet.id))?;
        let drawn = sheet
            .samples
            .iter()
            .filter(|sample| sample.stands() && sample.value.sample.of.as_ref() == Some(&recipient))
            .filter_map(|sample| sample.value.sample.drawn_at.map(Time::date));
        if let Some(day) = drawn.min() {
            let released = sheet.releases.iter().map(|of| of.seq);
            let released = released.chain(sheet.emergency_releases.iter().map(|of| of.seq));
            // A start and the transfusion that it is are written in one transaction, in that order.
            let given = sheet.started.iter().map(|of| of.seq.saturating_add(1));
            past.given_by(&released.chain(given).collect::<Vec<_>>(), day);
        }
        self.answer_given(sheet, donor, past)
    }

    fn answer_given(
        &mut self,
        sheet: &Sheet,
        donor: &Id,
        mut past: Past,
    ) -> Result<Answer, JournalError> {
        let told = told_of_donor(sheet, donor)?;
        let of_donor = self.past(donor, Some(&sheet.id))?.known(&told);
        // What this worksheet found about another donor tells as much of the recipient as what an
        // earlier one found. About the donor itself it speaks through its own verdict.
        self.came(sheet, &mut past)?;
        past.incompatible.retain(|pair| pair.donor != *donor || pair.worksheet != sheet.id);
        let known = past.known(&told_of_recipient(sheet));
        let interpretation = self.interpretation_knowing(sheet, &known, donor, &of_donor)?;
        let found = interpretation.pairs.into_iter().find(|pair| pair.donor == *donor);
        found.ok_or_else(|| JournalError::unknown("donor", donor))
    }

    /// Whether nothing is known that forbids a unit even where an animal cannot wait: what a
    /// crossmatch found incompatible, now, when it was issued, or before; types that disagree; a
    /// look that nobody else has seen or that is not finished.
    pub(crate) fn nothing_against(
        &mut self,
        sheet: &Sheet,
        now: &Answer,
    ) -> Result<(), JournalError> {
        let donor = &now.donor;
        let incompatible = |headline: String| {
            let donor = donor.clone();
            Err(Refusal::Incompatible { donor, headline }.into())
        };
        if now.verdict == Verdict::Incompatible {
            return incompatible(now.headline.clone());
        }
        // A new worksheet is no way around what an earlier one found.
        if now.findings.iter().any(|finding| finding.slug == EARLIER) {
            return incompatible("It was incompatible with this recipient before.".to_owned());
        }
        if sheet.waits(donor) {
            let awaited = sheet.awaited().iter().map(ToString::to_string).collect();
            return Err(Refusal::SecondReaderMissing(awaited).into());
        }
        sheet.all_looks_finished(Some(donor))?;
        // Typing takes minutes, and the wrong type can kill in the first of them.
        self.types_agree(sheet, donor)?;
        let issued = sheet.last_issued().map(|issued| &issued.value.interpretation);
        match issued.and_then(|issued| pair_of(issued, donor)) {
            Some(issued) if issued.verdict == Some(Verdict::Incompatible) => {
                incompatible(issued.headline)
            }
            _ => Ok(()),
        }
    }

    /// What time it is at least: a clock that was set back does not make time that has passed come
    /// again. Nothing that was written since the worksheet was opened, or last before, is later than
    /// now.
    pub(crate) fn clock(&mut self, writer: &Writer, sheet: &Sheet) -> Result<Clock, JournalError> {
        // The entry before the opening tells of a clock that was set back before it.
        let opened = sheet.opened.first().map_or(1, |opened| opened.seq);
        let from = opened.saturating_sub(1).max(1);
        let mut clock = Clock { now: writer.at, latest: writer.at, written: None };
        let last = self.head()?.seq;
        self.rows.scan(from..=last, &mut |row| {
            let found = Found { seq: row.seq, text: row.text };
            let at = found.entry()?.at;
            if is_after(at, clock.latest) {
                clock.latest = at;
                clock.written = Some(row.seq);
            }
            Ok(true)
        })?;
        Ok(clock)
    }

    /// The unit of a donor, if it is fit to be given: its row is not locked, it has not expired, was
    /// inspected and found normal, since it last came back too, and no animal reacted to it.
    pub(crate) fn fit_unit(
        &mut self,
        clock: &Clock,
        sheet: &Sheet,
        donor: &Id,
    ) -> Result<Id, JournalError> {
        if sheet.is_locked(donor) {
            return Err(Refusal::Locked(donor.clone()).into());
        }
        let unit = sheet.unit(donor).ok_or_else(|| Refusal::NoUnit(donor.clone()))?;
        let number = unit.number.clone().ok_or_else(|| Refusal::NoUnit(donor.clone()))?;
        let refused = |why: &str| Refusal::UnitNotFit {
            donor: donor.clone(),
            unit: number.clone(),
            why: why.to_owned(),
        };
        match unit.expires_on {
            None => return Err(refused("nobody wrote when it expires").into()),
            Some(day) if day < clock.now.date() => {
                return Err(refused(&format!("it expired on {day}")).into());
            }
            Some(day) if day < clock.latest.date() => {
                return Err(clock.behind(format!("unit {} expired on {day}", number.as_str())));
            }
            Some(_) => {}
        }
        match unit.inspection {
            Some(Inspection::Normal) => {}
            None | Some(Inspection::NotInspected) => {
                return Err(refused("it was not inspected: look at it and amend its entry").into());
            }
            Some(seen @ (Inspection::Hemolyzed | Inspection::Discolored | Inspection::Clotted)) => {
                return Err(refused(&format!("it looked {}", seen.word())).into());
            }
        }
        if let Some(returned) = self.last_return(&number)?
            && sheet.donor(donor).is_none_or(|entered| entered.seq < returned)
        {
            return Err(Refusal::CameBack { unit: number, returned }.into());
        }
        self.not_barred(&number)?;
        Ok(number)
    }

    /// The unit of a release, if it is fit to be given and was identified again.
    fn identified_unit(
        &mut self,
        writer: &Writer,
        clock: &Clock,
        sheet: &Sheet,
        release: &Release,
    ) -> Result<Id, JournalError> {
        let number = self.fit_unit(clock, sheet, &release.donor)?;
        for (name, what) in [
            (&release.to, "who receives the unit"),
            (&release.veterinarian, "the veterinarian"),
            (&writer.by, "who releases"),
        ] {
            says(name.as_str(), what)?;
        }
        let recipient = recipient_of(sheet)?;
        for (id, typed, what) in [
            (&recipient, &release.typed_recipient, "recipient's id"),
            (&number, &release.typed_unit, "unit's number"),
        ] {
            if !ends_with(id.as_str(), typed.as_str()) {
                let typed = typed.as_str().to_owned();
                return Err(Refusal::TypedWrong(TYPED_AGAIN, what, typed).into());
            }
        }
        let released = self.releases_of(&number)?;
        if let Some((release, _)) = released.into_iter().find(|(_, returned)| returned.is_none()) {
            return Err(Refusal::AlreadyReleased { unit: number, release }.into());
        }
        Ok(number)
    }

    /// The releases of a unit, on any worksheet, each with the entry by which it came back.
    fn releases_of(&mut self, unit: &Id) -> Result<Vec<(Seq, Option<Seq>)>, JournalError> {
        let mut releases = Vec::new();
        self.rows.with_term(Field::Unit, unit.as_str(), 0, &mut |row| {
            let entry = row.entry()?;
            if matches!(entry.event.kind(), Kind::Released | Kind::EmergencyReleased) {
                releases.push((entry.seq, None));
            }
            Ok(())
        })?;
        for (release, returned) in &mut releases {
            self.rows.with_term(Field::Answers, &release.to_string(), 0, &mut |row| {
                *returned = Some(row.seq);
                Ok(())
            })?;
        }
        Ok(releases)
    }

    /// The entry by which a unit came back last.
    fn last_return(&mut self, unit: &Id) -> Result<Option<Seq>, JournalError> {
        Ok(self.releases_of(unit)?.into_iter().filter_map(|(_, returned)| returned).max())
    }

    /// Whether the recipient has not reacted to a transfusion since an entry.
    pub(crate) fn no_reaction_since(
        &mut self,
        sheet: &Sheet,
        entry: Seq,
    ) -> Result<(), JournalError> {
        let animal = recipient_of(sheet)?;
        let past = self.past(&animal, Some(&sheet.id))?;
        match past.reactions.iter().map(|reaction| reaction.seq).find(|seq| *seq > entry) {
            Some(seq) => Err(Refusal::ReactionSince { animal, seq }.into()),
            None => Ok(()),
        }
    }

    /// Whether the types of recipient and donor agree with everything that was ever entered of
    /// them, or a new typing settled it and the worksheet says what it settled on.
    pub(crate) fn types_agree(&mut self, sheet: &Sheet, donor: &Id) -> Result<(), JournalError> {
        let recipient = recipient_of(sheet)?;
        let told = [told_of_recipient(sheet), told_of_donor(sheet, donor)?];
        for (animal, told) in [&recipient, donor].into_iter().zip(told) {
            let past: Past = self.past(animal, None)?;
            if let Some(Warning::TypesDisagree { animal, system, earlier, now, .. }) =
                past.disagreements(animal, &told).into_iter().next()
            {
                return Err(Refusal::TypesDisagree {
                    animal,
                    system: system.word(),
                    earlier: earlier.word(),
                    now: now.word(),
                }
                .into());
            }
        }
        Ok(())
    }
}

/// What an issued interpretation, perhaps of an older engine, says of a pair.
#[derive(Debug)]
struct PairThen {
    /// Unknown words of an engine to come are no verdict, and allow nothing.
    verdict: Option<Verdict>,
    said: String,
    headline: String,
    until: Option<Timestamp>,
}

impl PairThen {
    fn allows(&self, donor: &Id) -> Result<(), Refusal> {
        if self.verdict.is_some_and(Verdict::is_releasable) {
            return Ok(());
        }
        Err(Refusal::NotReleasable {
            donor: donor.clone(),
            verdict: self.verdict.map_or("of an unknown verdict", Verdict::spoken),
            headline: format!("{} ({})", self.headline, self.said),
        })
    }
}

fn pair_of(interpretation: &serde_json::Value, donor: &Id) -> Option<PairThen> {
    let pair = pairs(interpretation).find(|pair| text_at(pair, "/donor") == donor.as_str())?;
    let releasable = pair.get("releasable").and_then(serde_json::Value::as_bool) == Some(true);
    let verdict = text_at(pair, "/verdict");
    Some(PairThen {
        verdict: verdict.parse().ok().filter(|v: &Verdict| v.is_releasable() == releasable),
        said: verdict.to_owned(),
        headline: text_at(pair, "/headline").to_owned(),
        until: text_at(pair, "/valid_until").parse().ok(),
    })
}

/// What time it is: by who writes, and by what was written before.
pub(crate) struct Clock {
    /// By the clock of who writes.
    pub(crate) now: Time,
    /// The latest of that and of the times of entries.
    latest: Time,
    /// The entry with that time, if it lies after `now`.
    written: Option<Seq>,
}

impl Clock {
    /// Whether a crossmatch still holds.
    pub(crate) fn still_valid(&self, donor: &Id, until: Timestamp) -> Result<(), JournalError> {
        if self.now.instant() > until {
            let (donor, until) = (donor.clone(), until.to_string());
            return Err(Refusal::Expired { donor, until }.into());
        }
        if self.latest.instant() > until {
            return Err(
                self.behind(format!("the crossmatch of {} held until {until}", donor.as_str()))
            );
        }
        Ok(())
    }

    fn behind(&self, what: String) -> JournalError {
        let (seq, at) = (self.written.unwrap_or_default(), self.latest.to_string());
        Refusal::ClockBehind { what, seq, at }.into()
    }
}

pub(crate) fn not_releasable(answer: &Answer) -> Refusal {
    Refusal::NotReleasable {
        donor: answer.donor.clone(),
        verdict: answer.verdict.spoken(),
        headline: answer.headline.clone(),
    }
}

/// What a pair lacks: what was not tested, and every finding that keeps it from being released.
fn open_points(sheet: &Sheet, now: &Answer) -> Vec<Text> {
    let mut points: Vec<String> =
        now.not_tested.iter().map(|untested| format!("{} not tested", untested.spoken())).collect();
    let keeps = now.findings.iter().filter(|finding| finding.effect > Effect::Caveat);
    points.extend(keeps.map(|finding| finding.title.to_owned()));
    if !sheet.is_segment_checked(&now.donor) {
        points.push("unit number not typed again at the segment".to_owned());
    }
    points.into_iter().map(|text| Text::from(text.as_str())).collect()
}

fn told_of_recipient(sheet: &Sheet) -> Vec<TypedThen> {
    let opened = sheet.opening().map(|opened| &opened.value.recipient);
    told_types(opened.and_then(|recipient| recipient.types.as_ref()))
}

fn told_of_donor(sheet: &Sheet, donor: &Id) -> Result<Vec<TypedThen>, JournalError> {
    let entered = sheet.donor(donor).ok_or_else(|| JournalError::unknown("donor", donor))?;
    Ok(told_types(entered.value.donor.types.as_ref()))
}

pub(crate) fn recipient_of(sheet: &Sheet) -> Result<Id, JournalError> {
    let id = sheet.recipient().cloned();
    id.ok_or_else(|| JournalError::unknown("recipient of worksheet", &sheet.id))
}

/// Whether what was typed is the end of an identifier: its last four characters, or all of a
/// shorter one, exactly, but for spaces around them.
pub(crate) fn ends_with(identifier: &str, typed: &str) -> bool {
    let skip = identifier.chars().count().saturating_sub(TYPED_AGAIN);
    let end: String = identifier.chars().skip(skip).collect();
    !typed.trim().is_empty() && end.trim() == typed.trim()
}
