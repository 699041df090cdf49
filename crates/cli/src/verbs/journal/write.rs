//! What writes in the journal.

use std::io::{BufRead, BufReader};

use crossread_core::Worksheet;
use crossread_core::document::{Faults, List, Text, Whole};
use crossread_core::worksheet::draft;
use crossread_journal::{
    ControlsNoted, DonorAdded, EmergencyRelease, Event, Journal, JournalError, Known, Location,
    Opening, Place, ReadOff, ReadingEntered, Refusal, SampleAdded, SetupNoted, TakenOver,
};

use super::args::{
    Add, Amend, Clerical, Done, Enter, Import, Init, Issue, Note, Open, Overridden, Part, Reaction,
    Release, Retest, Retract, Seen, Segment, Take, Told, Transfused, Typed, Unblind,
};
use super::tell::{journal, json, written};
use crate::exit::{self, Failure};
use crate::verbs::journal::args::Shape;
use crate::{input, text};

pub(super) fn init(asked: &Init) -> Result<u8, Failure> {
    let place = Location::new(&asked.by.at.journal);
    let mut made = Journal::create(&place, &asked.of, &asked.by.writer()?)?;
    let head = made.head()?;
    println(&format!("made the journal of {} (entry {})", asked.of, head.seq))
}

pub(super) fn open(asked: &Open) -> Result<u8, Failure> {
    let document = input::document(&asked.file)?;
    let mut opening: Opening = serde_json::from_slice(&document).map_err(|error| {
        Failure::new(exit::MALFORMED, format!("{}: {error}", input::name(&asked.file)))
    })?;
    let protocols = input::protocols(&asked.protocol)?;
    let mut journal = journal(&asked.by.at)?;
    let writer = asked.by.writer()?;
    if asked.acknowledge {
        for warning in journal.warnings(&opening.recipient)? {
            told_warning(&warning.to_string())?;
            opening.acknowledged.push(Text::from(warning.to_string().as_str()));
        }
    }
    let opened = journal.open_worksheet(&writer, &opening, &protocols);
    let opened = opened.map_err(acknowledge)?;
    written(&asked.by.at, &format!("worksheet {} is open", opening.worksheet), &opened)
}

pub(super) fn take(asked: &Take) -> Result<u8, Failure> {
    let document = input::document(&asked.file)?;
    let protocols = input::protocols(&asked.protocol)?;
    let worksheet = Worksheet::from_json(&document, &protocols)
        .and_then(|_| draft::Worksheet::from_json(&document));
    let worksheet = worksheet.map_err(|faults| at_fault(&asked.file, &document, &faults))?;
    let mut journal = journal(&asked.by.at)?;
    let mut acknowledged = Vec::new();
    if let (true, Some(recipient)) = (asked.acknowledge, &worksheet.recipient) {
        for warning in journal.warnings(recipient)? {
            told_warning(&warning.to_string())?;
            acknowledged.push(Text::from(warning.to_string().as_str()));
        }
    }
    let taken_over = TakenOver { worksheet, acknowledged, overridden: asked.overridden.given() };
    let taken = journal.take_over(&asked.by.writer()?, &taken_over, &protocols);
    let taken = taken.map_err(acknowledge)?;
    written(&asked.by.at, "the worksheet is taken over", &taken)
}

/// Tells the faults of a file.
fn at_fault(file: &str, document: &[u8], faults: &Faults) -> Failure {
    let name = input::name(file);
    let told = text::faults::write(&mut anstream::stderr().lock(), name, document, faults);
    told.map_or_else(Failure::from, |()| Failure::new(exit::MALFORMED, "nothing was written"))
}

/// A refusal for warnings says each on a line, and what to do.
fn acknowledge(error: JournalError) -> Failure {
    let JournalError::Refused(Refusal::Warnings(warnings)) = &error else { return error.into() };
    let mut told = "nothing was opened. First, of this animal:".to_owned();
    for warning in warnings {
        told.push_str(&format!("\n  ! {warning}"));
    }
    told.push_str("\ntake note of it with --acknowledge; your name goes on the record with it");
    Failure::new(exit::NOT_RELEASABLE, told)
}

fn told_warning(warning: &str) -> Result<(), Failure> {
    Ok(text::paragraph(&mut anstream::stderr().lock(), "! ", "  ", warning)?)
}

fn println(line: &str) -> Result<u8, Failure> {
    text::paragraph(&mut anstream::stdout().lock(), "", "  ", line)?;
    Ok(exit::RELEASABLE)
}

/// What a file holds, read as one part of a worksheet.
fn part(part: Part, file: &str, overridden: &Overridden) -> Result<Event, Failure> {
    let document = input::document(file)?;
    let read = || -> Result<Event, Faults> {
        Ok(match part {
            Part::Sample => Event::from(SampleAdded {
                sample: draft::Sample::from_json(&document)?,
                overridden: overridden.given(),
            }),
            Part::Donor => Event::from(DonorAdded {
                donor: draft::Donor::from_json(&document)?,
                known: Known::default(),
                overridden: overridden.given(),
            }),
            Part::Setup => Event::from(SetupNoted { setup: draft::Setup::from_json(&document)? }),
            Part::Controls => Event::from(ControlsNoted {
                controls: draft::ReagentControls::from_json(&document)?,
            }),
        })
    };
    read().map_err(|faults| at_fault(file, &document, &faults))
}

pub(super) fn add(asked: &Add) -> Result<u8, Failure> {
    let event = part(asked.part, &asked.file, &asked.overridden)?;
    let kind = event.kind().word().replace('_', " ");
    let mut journal = journal(&asked.by.at)?;
    let added = journal.enter(&asked.by.writer()?, &asked.worksheet, event)?;
    written(&asked.by.at, &kind, &added)
}

pub(super) fn enter(asked: &Enter) -> Result<u8, Failure> {
    let cell = asked.cell().map_err(Failure::misuse)?;
    let mut reading = draft::Reading {
        test: Some(cell.test),
        donor: cell.donor,
        phase: Some(cell.phase),
        agglutination: Some(cell.agglutination),
        ..draft::Reading::default()
    };
    let transcribed = asked.seen.lay_over(&mut reading)?;
    let said = said(&reading);
    let mut journal = journal(&asked.by.at)?;
    let entered = ReadingEntered { reading, transcribed };
    let entered = journal.enter(&asked.by.writer()?, &asked.worksheet, entered)?;
    written(&asked.by.at, &said, &entered)
}

/// A reading, read back.
fn said(reading: &draft::Reading) -> String {
    let mut said = reading.test.map_or_else(String::new, |test| test.spoken().to_owned());
    if let Some(donor) = &reading.donor {
        said.push_str(&format!(" of {donor}"));
    }
    if let Some(phase) = reading.phase {
        said.push_str(&format!(" {}", phase.spoken()));
    }
    if let Some(after) = reading.after {
        said.push_str(&format!(" after {}", after.word().replace('_', " ")));
    }
    if let Some(seen) = reading.agglutination {
        said.push_str(&format!(": {}", seen.word()));
    }
    match reading.hemolysis {
        Some(hemolysis) => said.push_str(&format!(", hemolysis {}", hemolysis.get())),
        None => said.push_str(", hemolysis not looked for"),
    }
    for what in beside(reading) {
        said.push_str(&format!(", {what}"));
    }
    said
}

/// What else a reading says, beside what mixture it is of, grade and hemolysis.
pub(super) fn beside(reading: &draft::Reading) -> Vec<String> {
    let mut said = Vec::new();
    said.extend(reading.pattern.map(|pattern| format!("pattern {}", pattern.word())));
    let flag = |is: bool, yes: &str, no: &str| if is { yes } else { no }.to_owned();
    said.extend(reading.mixed_field.map(|is| flag(is, "mixed field", "no mixed field")));
    said.extend(reading.saline_parts.map(|parts| format!("{} parts of saline", parts.get())));
    said.extend(reading.check_cells.map(|grade| format!("check cells {}", grade.word())));
    said.extend(reading.seconds.map(|seconds| format!("{} s", seconds.get())));
    said.extend(reading.dried.map(|is| flag(is, "dried", "not dried")));
    let artefacts = reading.artefacts.iter().flat_map(List::iter);
    said.extend(artefacts.map(|(_, artefact)| artefact.word().replace('_', " ")));
    said
}

impl Seen {
    /// Writes what was seen into a reading of a mixture. Whether it is transcribed from paper.
    fn lay_over(&self, reading: &mut draft::Reading) -> Result<bool, Failure> {
        reading.hemolysis = self.hemolysis.and_then(Told::seen);
        reading.pattern = self.pattern.and_then(Told::seen);
        reading.mixed_field = self.mixed_field;
        if self.after.is_some() {
            reading.after = self.after;
        }
        if let Some(parts) = self.saline_parts {
            let parts = Whole::new(parts);
            reading.saline_parts =
                Some(parts.ok_or_else(|| Failure::misuse("--saline-parts is at least 1"))?);
        }
        reading.check_cells = self.check_cells.and_then(Told::seen);
        reading.seconds = self.seconds.and_then(Told::seen);
        reading.dried = self.dried;
        let artefacts: List<_> = self.artefact.iter().filter_map(|told| told.seen()).collect();
        reading.artefacts = (!artefacts.is_empty()).then_some(artefacts);
        if self.read_at.is_some() {
            reading.at = self.read_at;
            reading.by = self.reader.as_deref().map(Text::from);
        }
        Ok(self.read_at.is_some())
    }

    /// What an older reading holds and nobody says again, or says not to be so: the options that
    /// are missing.
    fn unsaid(&self, old: &draft::Reading) -> Vec<&'static str> {
        let missing = [
            (old.hemolysis.is_some() && self.hemolysis.is_none(), "--hemolysis"),
            (old.pattern.is_some() && self.pattern.is_none(), "--pattern"),
            (old.mixed_field.is_some() && self.mixed_field.is_none(), "--mixed-field"),
            (old.saline_parts.is_some() && self.saline_parts.is_none(), "--saline-parts"),
            (old.check_cells.is_some() && self.check_cells.is_none(), "--check-cells"),
            (old.seconds.is_some() && self.seconds.is_none(), "--seconds"),
            (old.dried.is_some() && self.dried.is_none(), "--dried"),
            (old.artefacts.is_some() && self.artefact.is_empty(), "--artefact"),
        ];
        missing.into_iter().filter_map(|(is, option)| is.then_some(option)).collect()
    }
}

pub(super) fn note(asked: &Note) -> Result<u8, Failure> {
    let mut journal = journal(&asked.by.at)?;
    let event = crossread_journal::Note { text: Text::from(asked.text.as_str()) };
    let noted = journal.enter(&asked.by.writer()?, &asked.worksheet, event)?;
    written(&asked.by.at, "note", &noted)
}

pub(super) fn amend(asked: &Amend) -> Result<u8, Failure> {
    let mut journal = journal(&asked.by.at)?;
    let old = journal.entry(asked.entry)?;
    let event = match (&old.event, &asked.file) {
        (Event::ReadingEntered(old_reading), None) => {
            let on = old.worksheet.as_ref().map(|id| journal.sheet(id)).transpose()?;
            if on.is_some_and(|sheet| sheet.is_entry_sealed(asked.entry)) {
                return Err(JournalError::from(Refusal::AmendsSealed(asked.entry)).into());
            }
            let of = &old_reading.reading;
            let mut unsaid = asked.seen.unsaid(of);
            if asked.grade.is_none() {
                unsaid.insert(0, "--grade");
            }
            if !unsaid.is_empty() {
                return Err(Failure::misuse(format!(
                    "entry {} says: {}. Say again what holds, or that it does not: {}",
                    asked.entry,
                    said(of),
                    unsaid.join(", ")
                )));
            }
            let mut reading = draft::Reading {
                test: of.test,
                donor: of.donor.clone(),
                phase: of.phase,
                after: of.after,
                agglutination: asked.grade,
                ..draft::Reading::default()
            };
            let transcribed = asked.seen.lay_over(&mut reading)?;
            Event::from(ReadingEntered { reading, transcribed })
        }
        (Event::SampleAdded(_), Some(file)) => part(Part::Sample, file, &asked.overridden)?,
        (Event::DonorAdded(_), Some(file)) => part(Part::Donor, file, &asked.overridden)?,
        (Event::SetupNoted(_), Some(file)) => part(Part::Setup, file, &asked.overridden)?,
        (Event::ControlsNoted(_), Some(file)) => part(Part::Controls, file, &asked.overridden)?,
        (Event::ReadingEntered(_), Some(_)) => {
            return Err(Failure::misuse("a reading is amended with --grade and the like"));
        }
        (_, None) => return Err(Failure::misuse("give a file with what stands there instead")),
        (other, Some(_)) => {
            let kind = other.kind().word();
            return Err(Failure::misuse(format!("an entry of kind {kind} is not amended here")));
        }
    };
    let amended = journal.amend(&asked.by.writer()?, asked.entry, &asked.reason, event)?;
    written(&asked.by.at, &format!("in place of entry {}", asked.entry), &amended)
}

pub(super) fn retract(asked: &Retract) -> Result<u8, Failure> {
    let mut journal = journal(&asked.by.at)?;
    let retracted = journal.retract(&asked.by.writer()?, asked.entry, &asked.reason)?;
    written(&asked.by.at, &format!("entry {} is taken back", asked.entry), &retracted)
}

pub(super) fn segment(asked: &Segment) -> Result<u8, Failure> {
    let mut journal = journal(&asked.by.at)?;
    let Segment { worksheet, donor, typed, .. } = asked;
    let checked = journal.check_segment(&asked.by.writer()?, worksheet, donor, typed)?;
    if checked.agrees {
        return println(&format!("{donor}: the segment agrees with the unit's number"));
    }
    let locked = journal.sheet(worksheet)?.is_locked(donor);
    let then = if locked {
        "the row is locked: amend the donor's entry, or have another person type it"
    } else {
        "go back to the segment and look again"
    };
    let message = format!("{donor}: `{typed}` is not the end of the unit's number; {then}");
    Err(Failure::new(exit::NOT_RELEASABLE, message))
}

pub(super) fn unblind(asked: &Unblind) -> Result<u8, Failure> {
    let mut journal = journal(&asked.by.at)?;
    let done = journal.unblind(&asked.by.writer()?, &asked.worksheet, &asked.reason)?;
    written(&asked.by.at, "first readings are shown", &done)
}

pub(super) fn issue(asked: &Issue) -> Result<u8, Failure> {
    let mut journal = journal(&asked.by.at)?;
    let issued = journal.issue(&asked.by.writer()?, &asked.worksheet, &asked.to)?;
    let revision =
        journal.sheet(&asked.worksheet)?.last_issued().map_or(0, |issued| issued.value.revision);
    written(&asked.by.at, &format!("revision {revision} was issued to {}", asked.to), &issued)?;
    let interpretation = journal.interpretation(&asked.worksheet)?;
    let releasable = interpretation.pairs.iter().all(|pair| pair.releasable);
    Ok(if releasable { exit::RELEASABLE } else { exit::NOT_RELEASABLE })
}

pub(super) fn hand(asked: &Issue) -> Result<u8, Failure> {
    let mut journal = journal(&asked.by.at)?;
    let handed = journal.hand(&asked.by.writer()?, &asked.worksheet, &asked.to)?;
    written(&asked.by.at, &format!("handed to {}", asked.to), &handed)
}

pub(super) fn release(asked: &Release) -> Result<u8, Failure> {
    let mut journal = journal(&asked.by.at)?;
    let writer = asked.by.writer()?;
    let release = crossread_journal::Release {
        worksheet: asked.worksheet.clone(),
        donor: asked.donor.clone(),
        to: Text::from(asked.to.as_str()),
        veterinarian: Text::from(asked.veterinarian.as_str()),
        typed_recipient: Text::from(asked.recipient_ends.as_str()),
        typed_unit: Text::from(asked.unit_ends.as_str()),
    };
    let Some(reason) = &asked.emergency else {
        let released = journal.release(&writer, &release)?;
        return written(
            &asked.by.at,
            &format!("the unit of {} is released", asked.donor),
            &released,
        );
    };
    let emergency = EmergencyRelease { release, reason: Text::from(reason.as_str()) };
    let released = journal.release_in_emergency(&writer, &emergency)?;
    let Event::EmergencyReleased(said) = journal.entry(released.seq)?.event else {
        return Err(Failure::new(exit::PROGRAM, "the release is not on the record"));
    };
    let not_tested: Vec<_> = said.not_tested.iter().map(Text::as_str).collect();
    let what = format!(
        "{}: unit {} of {} for {}. {}",
        said.headline,
        said.unit,
        said.donor,
        said.recipient,
        not_tested.join("; ")
    );
    written(&asked.by.at, &what, &released)?;
    // What was given untested must never look like a crossmatch that went well.
    Ok(exit::NOT_RELEASABLE)
}

pub(super) fn take_back(asked: &Retract) -> Result<u8, Failure> {
    let mut journal = journal(&asked.by.at)?;
    let back = journal.take_unit_back(&asked.by.writer()?, asked.entry, &asked.reason)?;
    written(&asked.by.at, "the unit came back", &back)
}

pub(super) fn transfused(asked: &Transfused) -> Result<u8, Failure> {
    let mut journal = journal(&asked.by.at)?;
    let writer = asked.by.writer()?;
    let event = crossread_journal::Transfused {
        animal: asked.animal.clone(),
        at: asked.at.unwrap_or(writer.at),
        product: asked.product,
        donor: asked.donor.clone(),
        unit: asked.unit.clone(),
        text: asked.text.as_deref().map(Text::from),
    };
    written(&asked.by.at, "transfused", &journal.transfused(&writer, &event)?)
}

pub(super) fn reaction(asked: &Reaction) -> Result<u8, Failure> {
    let mut journal = journal(&asked.by.at)?;
    let writer = asked.by.writer()?;
    let event = crossread_journal::Reacted {
        animal: asked.animal.clone(),
        at: asked.at.unwrap_or(writer.at),
        text: Text::from(asked.text.as_str()),
        donor: asked.donor.clone(),
        unit: asked.unit.clone(),
    };
    written(&asked.by.at, "reaction", &journal.reacted(&writer, &event)?)
}

pub(super) fn typed(asked: &Typed) -> Result<u8, Failure> {
    let mut journal = journal(&asked.by.at)?;
    let event = crossread_journal::Typed {
        animal: asked.animal.clone(),
        result: draft::BloodType {
            system: Some(asked.system),
            result: Some(asked.result),
            on: asked.on,
        },
        settled_by: asked.settled_by.as_deref().map(Text::from),
    };
    written(&asked.by.at, "typed", &journal.typed(&asked.by.writer()?, &event)?)
}

pub(super) fn retest(asked: &Retest) -> Result<u8, Failure> {
    let mut journal = journal(&asked.by.at)?;
    let again = crossread_journal::Retest {
        worksheet: asked.of.clone(),
        donor: asked.donor.clone(),
        sample: asked.sample,
    };
    let writer = asked.by.writer()?;
    let opened = match journal.retest(&writer, &asked.worksheet, &again, &[]) {
        Err(JournalError::Refused(Refusal::Warnings(warnings))) if asked.acknowledge => {
            let mut noted = Vec::new();
            for warning in &warnings {
                told_warning(&warning.to_string())?;
                noted.push(Text::from(warning.to_string().as_str()));
            }
            journal.retest(&writer, &asked.worksheet, &again, &noted)
        }
        other => other,
    };
    let opened = opened.map_err(acknowledge)?;
    written(&asked.by.at, &format!("worksheet {} is open", asked.worksheet), &opened)
}

pub(super) fn clerical(asked: &Clerical) -> Result<u8, Failure> {
    let mut journal = journal(&asked.by.at)?;
    let read = asked.read.iter().map(|read| read_off(read)).collect::<Result<Vec<_>, _>>()?;
    let Clerical { worksheet, donor, .. } = asked;
    let checked = journal.clerical_check(&asked.by.writer()?, worksheet, donor, &read)?;
    let all_agree = checked.compared.iter().all(|compared| compared.agrees);
    match asked.by.at.format {
        Shape::Json | Shape::Ndjson => json(asked.by.at.format, &checked)?,
        Shape::Text => {
            let mut out = anstream::stdout().lock();
            for compared in &checked.compared {
                let place: &'static str = compared.place.into();
                let recorded = compared.recorded.as_ref().map_or("nothing", Text::as_str);
                let line = if compared.agrees {
                    format!("agrees   {place}, {}: {recorded}", compared.what)
                } else {
                    format!(
                        "DIFFERS  {place}, {}: the record has {recorded}, and {} was read",
                        compared.what, compared.read
                    )
                };
                text::paragraph(&mut out, "", "         ", &line)?;
            }
        }
    }
    Ok(if all_agree { exit::RELEASABLE } else { exit::NOT_RELEASABLE })
}

/// `PLACE:WHAT=AS READ`.
fn read_off(text: &str) -> Result<ReadOff, Failure> {
    let wrong = || {
        let expected = "expected PLACE:WHAT=AS READ, such as unit:unit=U-5512";
        Failure::misuse(format!("`{text}`: {expected}"))
    };
    let (place, rest) = text.split_once(':').ok_or_else(wrong)?;
    let (what, read) = rest.split_once('=').ok_or_else(wrong)?;
    let place: Place = place.parse().map_err(|_unknown| wrong())?;
    Ok(ReadOff { place, what: Text::from(what), read: Text::from(read) })
}

pub(super) fn done(asked: &Done) -> Result<u8, Failure> {
    let mut journal = journal(&asked.by.at)?;
    let closed = journal.close_task(&asked.by.writer()?, asked.task, &asked.text)?;
    written(&asked.by.at, &format!("task {} is closed", asked.task), &closed)
}

pub(super) fn import(asked: &Import) -> Result<u8, Failure> {
    let mut from: Box<dyn BufRead> = Box::new(BufReader::new(input::open(&asked.file)?));
    let mut journal = Journal::create_empty(&Location::new(&asked.at.journal))?;
    let imported = journal.import(&mut from)?;
    println(&format!(
        "took over {} entries; the last has the hash {}",
        imported.entries, imported.head.sha256
    ))
}
