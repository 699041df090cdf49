//! Release of a unit, and what is done when an animal cannot wait for the crossmatch.

use crossread_core::document::{Id, Text};
use crossread_core::interpretation::Answer;
use crossread_core::words::{Effect, Inspection, Verdict};
use serde::{Deserialize, Serialize};

use crate::books::{Books, Writer};
use crate::difference::{pairs, text_at};
use crate::entry::Seq;
use crate::error::{JournalError, Refusal, says};
use crate::event::{EmergencyReleased, Event, Kind, Released, Returned, Task, TaskRaised};
use crate::journal::{Journal, Written};
use crate::known::{Past, TypedThen, Warning, told_types};
use crate::sheet::Sheet;
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
                if writer.at.instant() > until {
                    let (donor, until) = (release.donor.clone(), until.to_string());
                    return Err(Refusal::Expired { donor, until }.into());
                }
                let unit = books.identified_unit(writer, sheet, release)?;
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
                if now.verdict == Verdict::Incompatible {
                    let (donor, headline) = (now.donor.clone(), now.headline);
                    return Err(Refusal::Incompatible { donor, headline }.into());
                }
                // A new worksheet is no way around what an earlier one found.
                if now.findings.iter().any(|finding| finding.slug == EARLIER) {
                    let donor = now.donor;
                    let headline = "It was incompatible with this recipient before.".to_owned();
                    return Err(Refusal::Incompatible { donor, headline }.into());
                }
                if sheet.waits(&release.donor) {
                    let awaited = sheet.awaited().iter().map(ToString::to_string).collect();
                    return Err(Refusal::SecondReaderMissing(awaited).into());
                }
                sheet.all_looks_finished(Some(&release.donor))?;
                // Typing takes minutes, and the wrong type can kill in the first of them.
                books.types_agree(sheet, &release.donor)?;
                let issued = sheet.last_issued().map(|issued| &issued.value.interpretation);
                let issued = issued.and_then(|issued| pair_of(issued, &release.donor));
                let issued_incompatible =
                    issued.filter(|issued| issued.verdict == Some(Verdict::Incompatible));
                if let Some(issued) = issued_incompatible {
                    let (donor, headline) = (release.donor.clone(), issued.headline);
                    return Err(Refusal::Incompatible { donor, headline }.into());
                }
                if now.releasable
                    && now.valid_until.is_some_and(|until| writer.at.instant() <= until)
                {
                    return Err(Refusal::Completed(release.donor.clone()).into());
                }
                says(emergency.reason.as_str(), "why it cannot wait")?;
                let unit = books.identified_unit(writer, sheet, release)?;
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
        let told = told_of_donor(sheet, donor)?;
        let of_donor = self.past(donor, Some(&sheet.id))?.known(&told);
        let recipient = recipient_of(sheet)?;
        let mut past = self.past(&recipient, Some(&sheet.id))?;
        // What this worksheet found about another donor tells as much of the recipient as what an
        // earlier one found. About the donor itself it speaks through its own verdict.
        self.came(sheet, &mut past)?;
        past.incompatible.retain(|pair| pair.donor != *donor || pair.worksheet != sheet.id);
        let known = past.known(&told_of_recipient(sheet));
        let interpretation = self.interpretation_knowing(sheet, &known, donor, &of_donor)?;
        let found = interpretation.pairs.into_iter().find(|pair| pair.donor == *donor);
        found.ok_or_else(|| JournalError::unknown("donor", donor))
    }

    /// The unit of a release, if it is identified and fit to be given.
    fn identified_unit(
        &mut self,
        writer: &Writer,
        sheet: &Sheet,
        release: &Release,
    ) -> Result<Id, JournalError> {
        let donor = &release.donor;
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
            Some(day) if day < writer.at.date() => {
                return Err(refused(&format!("it expired on {day}")).into());
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
        self.not_barred(&number)?;
        if let Some(release) = self.release_of(&number)? {
            return Err(Refusal::AlreadyReleased { unit: number, release }.into());
        }
        Ok(number)
    }

    /// The release of a unit that has not come back.
    fn release_of(&mut self, unit: &Id) -> Result<Option<Seq>, JournalError> {
        let mut releases = Vec::new();
        self.rows.with_term(Field::Unit, unit.as_str(), 0, &mut |row| {
            let entry = row.entry()?;
            if matches!(entry.event.kind(), Kind::Released | Kind::EmergencyReleased) {
                releases.push(entry.seq);
            }
            Ok(())
        })?;
        for release in releases {
            if !self.rows.has_term(Field::Answers, &release.to_string())? {
                return Ok(Some(release));
            }
        }
        Ok(None)
    }

    /// Whether the recipient has not reacted to a transfusion since an interpretation was issued.
    fn no_reaction_since(&mut self, sheet: &Sheet, issued: Seq) -> Result<(), JournalError> {
        let animal = recipient_of(sheet)?;
        let past = self.past(&animal, Some(&sheet.id))?;
        match past.reactions.iter().map(|reaction| reaction.seq).find(|seq| *seq > issued) {
            Some(seq) => Err(Refusal::ReactionSince { animal, seq }.into()),
            None => Ok(()),
        }
    }

    /// Whether the types of recipient and donor agree with everything that was ever entered of
    /// them, or a new typing settled it and the worksheet says what it settled on.
    fn types_agree(&mut self, sheet: &Sheet, donor: &Id) -> Result<(), JournalError> {
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
    until: Option<jiff::Timestamp>,
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

fn not_releasable(answer: &Answer) -> Refusal {
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

fn recipient_of(sheet: &Sheet) -> Result<Id, JournalError> {
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
