//! What reads the journal.

use std::io::Write as _;

use crossread_core::document::{Date, Digest};
use crossread_core::words::System;
use crossread_journal::{Entry, Event, Field, Head, Override, Query, Wanted, Warning};
use crossread_print::{running_said, zone_of};
use jiff::tz::TimeZone;
use serde::Serialize;
use serde_json::Value;

use super::args::{Animal, Compare, List, Old, Plain, Search, Shape, Show, Verify};
use super::tell::{journal, json, lines, now};
use super::write::beside;
use crate::exit::{self, Failure};
use crate::{input, text};

pub(super) fn list(asked: &List) -> Result<u8, Failure> {
    let open = journal(&asked.at)?.open_worksheets(asked.since)?;
    lines(&asked.at, "no worksheet is unfinished", &open, |open| {
        let recipient = open.recipient.as_ref().map_or("nobody", |id| id.as_str());
        let mut said = format!(
            "{} for {recipient}, opened {}, last changed {}",
            open.worksheet, open.opened, open.changed
        );
        if open.missing.is_empty() {
            said.push_str(": no donor yet");
        }
        for (donor, missing) in &open.missing {
            let missing =
                if missing.is_empty() { "not issued".to_owned() } else { missing.join(", ") };
            said.push_str(&format!("; {donor}: {missing}"));
        }
        said
    })
}

#[derive(Serialize)]
struct ShownJson<'s> {
    entries: Vec<&'s serde_json::value::RawValue>,
    issued: Option<&'s Value>,
    today: &'s crossread_core::Interpretation,
    differences: &'s [crossread_journal::Difference],
    changed_since_issue: bool,
}

pub(super) fn show(asked: &Show) -> Result<u8, Failure> {
    let mut journal = journal(&asked.at)?;
    if asked.document {
        let view = journal.view(&asked.worksheet)?;
        let mut out = std::io::stdout().lock();
        out.write_all(&view.document)?;
        out.write_all(b"\n")?;
        return Ok(exit::RELEASABLE);
    }
    let protocol = asked.protocol.as_deref().map(input::protocol).transpose()?;
    let entries = journal.entries(&asked.worksheet)?;
    let has_donors = journal.sheet(&asked.worksheet)?.donors().next().is_some();
    if !has_donors {
        return tell_entries(&asked.at, &entries);
    }
    let shown = journal.show(&asked.worksheet, protocol.as_ref())?;
    let view = journal.view(&asked.worksheet)?;
    let releasable = shown.today.pairs.iter().all(|pair| pair.releasable);
    let status = if releasable { exit::RELEASABLE } else { exit::NOT_RELEASABLE };
    if asked.at.format != Shape::Text {
        let texts = entries.iter().map(raw).collect::<Result<Vec<_>, _>>()?;
        json(
            asked.at.format,
            &ShownJson {
                entries: texts.iter().map(AsRef::as_ref).collect(),
                issued: shown.issued.as_ref().map(|(_, issued)| &issued.interpretation),
                today: &shown.today,
                differences: &shown.differences,
                changed_since_issue: shown.changed_since_issue,
            },
        )?;
        return Ok(status);
    }
    tell_entries(&asked.at, &entries)?;
    let mut out = anstream::stdout().lock();
    match &shown.issued {
        None => writeln!(out, "\nNothing was issued yet. As it stands:\n")?,
        Some((seq, issued)) => {
            let to = &issued.to;
            writeln!(out, "\nRevision {} was issued to {to} (entry {seq}).", issued.revision)?;
            if shown.changed_since_issue {
                writeln!(out, "Something was entered since: issue it again.")?;
            }
            for difference in &shown.differences {
                let donor = difference.donor.as_deref().unwrap_or("the whole");
                let said = format!(
                    "{donor}, {}: {} then, {} today",
                    difference.what, difference.first, difference.second
                );
                text::paragraph(&mut out, "  ", "    ", &said)?;
            }
            writeln!(out, "\nToday:\n")?;
        }
    }
    text::verdict::write(&mut out, &view.worksheet, &shown.protocol, &shown.today)?;
    Ok(status)
}

fn raw(entry: &Entry) -> Result<Box<serde_json::value::RawValue>, Failure> {
    Ok(serde_json::value::RawValue::from_string(entry.to_json()?)?)
}

fn tell_entries(at: &super::args::At, entries: &[Entry]) -> Result<u8, Failure> {
    if at.format != Shape::Text {
        let texts = entries.iter().map(raw).collect::<Result<Vec<_>, _>>()?;
        json(at.format, &texts)?;
        return Ok(exit::RELEASABLE);
    }
    let mut out = anstream::stdout().lock();
    for entry in entries {
        let said = format!("{:>4}  {}  {:<6} {}", entry.seq, entry.at, entry.by, told(entry));
        text::paragraph(&mut out, "", "        ", &said)?;
    }
    Ok(exit::RELEASABLE)
}

/// An entry in a line.
fn told(entry: &Entry) -> String {
    let mut said = match &entry.event {
        Event::WorksheetOpened(opened) => {
            let id = opened.recipient.id.as_ref().map_or("", |id| id.as_str());
            let name = opened.recipient.name.as_ref().map_or("", |name| name.as_str());
            let protocol = &opened.protocol;
            let mut said = format!(
                "opened for {id} {name}, {}, rules {} {}",
                opened.method, protocol.id, protocol.version
            );
            if opened.second_reader {
                said.push_str(", with a second reader");
            }
            if !opened.known.is_empty() {
                let from: Vec<_> = opened.known.from.iter().map(ToString::to_string).collect();
                said.push_str(&format!("; from the journal: entries {}", from.join(", ")));
            }
            said.push_str(&forced(opened.overridden.as_ref()));
            said
        }
        Event::ReadingEntered(entered) => {
            let reading = &entered.reading;
            let cell = [
                reading.test.map(|test| test.spoken().to_owned()),
                reading.donor.as_ref().map(|donor| format!("of {donor}")),
                reading.phase.map(|phase| phase.spoken().to_owned()),
                reading.after.map(|after| format!("after {}", after.word().replace('_', " "))),
            ];
            let cell: Vec<_> = cell.into_iter().flatten().collect();
            let seen = reading.agglutination.map_or_else(
                || "waits for the second reader".to_owned(),
                |seen| {
                    let hemolysis = reading.hemolysis.map_or_else(
                        || "hemolysis not looked for".to_owned(),
                        |hemolysis| format!("hemolysis {}", hemolysis.get()),
                    );
                    let mut said = vec![seen.word().to_owned(), hemolysis];
                    said.extend(beside(reading));
                    said.join(", ")
                },
            );
            let mut said = format!("{}: {seen}", cell.join(" "));
            if entered.transcribed {
                let at = reading.at.map(|at| at.to_string()).unwrap_or_default();
                let by = reading.by.as_ref().map_or("", |by| by.as_str());
                let paper = if entry.replaces.is_none() { "transcribed from paper, " } else { "" };
                said.push_str(&format!("; {paper}seen {at} by {by}"));
            }
            said
        }
        Event::Retraction(retraction) => {
            format!("took back entry {}: {}", retraction.of, retraction.reason)
        }
        Event::Note(note) => format!("note: {}", note.text),
        Event::DonorAdded(added) => {
            let id = added.donor.id.as_ref().map_or("", |id| id.as_str());
            let unit = added.donor.unit.as_ref().and_then(|unit| unit.number.as_ref());
            let unit = unit.map_or_else(String::new, |unit| format!(", unit {unit}"));
            let looks = added.donor.unit.as_ref().and_then(|unit| unit.inspection);
            let looks = looks.map_or_else(String::new, |looks| {
                format!(", looks {}", looks.word().replace('_', " "))
            });
            format!("donor {id}{unit}{looks}{}", forced(added.overridden.as_ref()))
        }
        Event::SampleAdded(added) => {
            let id = added.sample.id.as_ref().map_or("", |id| id.as_str());
            let of = added.sample.of.as_ref().map_or("", |of| of.as_str());
            format!("sample {id} of {of}{}", forced(added.overridden.as_ref()))
        }
        Event::SegmentChecked(checked) => {
            let agrees = if checked.agrees { "agrees" } else { "DIFFERS" };
            format!("segment of {}: `{}` {agrees}", checked.donor, checked.typed)
        }
        Event::Issued(issued) => format!("issued revision {} to {}", issued.revision, issued.to),
        Event::Handed(handed) => format!("handed entry {} to {}", handed.issued, handed.to),
        Event::Released(released) => format!(
            "released unit {} of {} to {}, decided by {}",
            released.unit, released.donor, released.to, released.veterinarian
        ),
        Event::EmergencyReleased(released) => format!(
            "{}: unit {} of {} to {}, decided by {}: {}",
            released.headline,
            released.unit,
            released.donor,
            released.to,
            released.veterinarian,
            released.reason
        ),
        Event::TaskRaised(raised) => format!("task: {}", raised.text),
        Event::TaskClosed(closed) => format!("task {} done: {}", closed.task, closed.text),
        Event::ProtocolRecorded(recorded) => {
            format!("rules {} {} recorded", recorded.protocol.id, recorded.protocol.version)
        }
        Event::Returned(back) => format!("entry {} came back: {}", back.release, back.reason),
        event @ (Event::JournalOpened(_)
        | Event::SetupNoted(_)
        | Event::ControlsNoted(_)
        | Event::LookBegun(_)
        | Event::StepDone(_)
        | Event::Unblinded(_)
        | Event::Started(_)
        | Event::Observed(_)
        | Event::Ended(_)
        | Event::OutcomeMeasured(_)
        | Event::Transfused(_)
        | Event::Reacted(_)
        | Event::Typed(_)
        | Event::ClericallyChecked(_)
        | _) => {
            let kind = event.kind().word().replace('_', " ");
            match serde_json::to_value(event).map(|value| facts(&value)) {
                Ok(facts) if !facts.is_empty() => format!("{kind}: {facts}"),
                _ => kind,
            }
        }
    };
    if let Some(replaces) = entry.replaces {
        said.push_str(&format!(" (in place of entry {replaces})"));
    }
    said
}

/// What a value holds, in words: each key with its value, as far down as there is one.
fn facts(value: &Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::Bool(is) => if *is { "yes" } else { "no" }.to_owned(),
        Value::Number(number) => number.to_string(),
        Value::String(text) => text.clone(),
        Value::Array(items) => items.iter().map(facts).collect::<Vec<_>>().join("; "),
        Value::Object(fields) => {
            let of = fields
                .iter()
                .map(|(key, value)| format!("{} {}", key.replace('_', " "), facts(value)));
            of.collect::<Vec<_>>().join(", ")
        }
    }
}

/// The decision by which something was entered in spite of a refusal.
fn forced(overridden: Option<&Override>) -> String {
    overridden.map_or_else(String::new, |overridden| {
        format!("; used by decision of {}: {}", overridden.by, overridden.reason)
    })
}

#[derive(Serialize)]
struct AnimalJson<'a> {
    warnings: &'a [Warning],
    worksheets: &'a [crossread_core::document::Id],
    types: Vec<(System, crossread_core::words::TypeResult, u64)>,
}

pub(super) fn animal(asked: &Animal) -> Result<u8, Failure> {
    let (past, warnings) = journal(&asked.at)?.animal(&asked.animal)?;
    if asked.at.format != Shape::Text {
        let types = past.types.iter().map(|typed| (typed.system, typed.result, typed.seq));
        json(
            asked.at.format,
            &AnimalJson {
                warnings: &warnings,
                worksheets: &past.worksheets,
                types: types.collect(),
            },
        )?;
        return Ok(exit::RELEASABLE);
    }
    let mut out = anstream::stdout().lock();
    if warnings.is_empty() {
        writeln!(out, "{}: nothing in this journal to warn of", asked.animal)?;
    }
    for warning in &warnings {
        text::paragraph(&mut out, "! ", "  ", &warning.to_string())?;
    }
    for typed in &past.types {
        let on = typed.on.map(|on| format!(" on {on}")).unwrap_or_default();
        let settles = if typed.settles { ", which settles it" } else { "" };
        let (system, result) = (typed.system, typed.result);
        writeln!(out, "type {system} {result}{on} (entry {}){settles}", typed.seq)?;
    }
    for id in &past.worksheets {
        writeln!(out, "worksheet {id}")?;
    }
    Ok(exit::RELEASABLE)
}

pub(super) fn search(asked: &Search) -> Result<u8, Failure> {
    let mut wanted = Vec::new();
    let exact = [
        (Field::Unit, &asked.unit),
        (Field::Recipient, &asked.recipient),
        (Field::Donor, &asked.donor),
        (Field::Reader, &asked.reader),
    ];
    for (field, value) in exact {
        wanted.extend(value.as_ref().map(|value| Wanted::exactly(field, value)));
    }
    wanted.extend(asked.name.as_ref().map(|name| Wanted::beginning(Field::Name, name)));
    wanted.extend(asked.verdict.map(|verdict| Wanted::exactly(Field::Verdict, verdict.word())));
    if asked.from.is_some() || asked.to.is_some() {
        let day = |text| Date::new(text).ok_or_else(|| Failure::misuse("no such day"));
        let from = asked.from.map_or_else(|| day("0001-01-01"), Ok)?;
        let to = asked.to.map_or_else(|| day("9999-12-31"), Ok)?;
        wanted.push(Wanted::between(from, to));
    }
    if wanted.is_empty() {
        return Err(Failure::misuse("say what to look for, such as --recipient R-3107"));
    }
    let query = Query { wanted, before: asked.before, limit: asked.limit };
    let hits = journal(&asked.at)?.search(&query)?;
    lines(&asked.at, "nothing was found", &hits, |hit| {
        let worksheet = hit.worksheet.as_ref().map_or("no worksheet", |id| id.as_str());
        let stands = match hit.superseded {
            Some(true) => ", superseded",
            Some(false) => ", stands",
            None => "",
        };
        let kind = hit.kind.replace('_', " ");
        format!("{worksheet}  {}  {}  {kind}{stands} (entry {})", hit.at, hit.by, hit.seq)
    })
}

pub(super) fn compare(asked: &Compare) -> Result<u8, Failure> {
    let Compare { at, first, second, donor } = asked;
    let rows = journal(at)?.side_by_side(first, second, donor)?;
    if at.format == Shape::Text {
        let mut out = anstream::stdout().lock();
        writeln!(out, "{donor} on {first} and on {second}. What changed is no cause.")?;
    }
    lines(at, "nothing was read", &rows, |row| {
        let mark = if row.changed { "CHANGED " } else { "same    " };
        format!("{mark} {}: {} | {}", row.what, row.first, row.second)
    })
}

pub(super) fn units(asked: &Animal) -> Result<u8, Failure> {
    let units = journal(&asked.at)?.units_of(&asked.animal)?;
    lines(&asked.at, "no unit of this donor stands in the journal", &units, |unit| {
        let number = unit.unit.as_ref().map_or("no number", |id| id.as_str());
        let recipient = unit.recipient.as_ref().map_or("nobody", |id| id.as_str());
        let on = unit.worksheet.as_ref().map_or_else(String::new, |id| format!(" on {id}"));
        let what = unit.what.replace('_', " ");
        format!("unit {number} for {recipient}{on}: {what} (entry {})", unit.seq)
    })
}

pub(super) fn tasks(asked: &Plain) -> Result<u8, Failure> {
    let mut journal = journal(&asked.at)?;
    let tasks = journal.open_tasks()?;
    if asked.at.format == Shape::Text {
        let now = now()?;
        let zone = zone_of(now, TimeZone::system());
        for running in journal.running()? {
            let said = format!("{}: {}", running.worksheet, running_said(&running, now, &zone));
            text::paragraph(&mut anstream::stdout().lock(), "! ", "  ", &said)?;
        }
    }
    lines(&asked.at, "no task is open", &tasks, |open| {
        format!("{} since {} on {}: {}", open.seq, open.since, open.worksheet, open.task.text)
    })
}

pub(super) fn old(asked: &Old) -> Result<u8, Failure> {
    let old = journal(&asked.at)?.older_than(asked.before)?;
    lines(&asked.at, "no worksheet is older", &old, |old| {
        format!("{}: last entry {} of {}", old.worksheet, old.seq, old.last)
    })
}

pub(super) fn verify(asked: &Verify) -> Result<u8, Failure> {
    let kept = asked.kept.as_deref().map(head).transpose()?;
    let verified = journal(&asked.at)?.verify(kept)?;
    let mut out = anstream::stdout().lock();
    for fault in &verified.store {
        text::paragraph(&mut out, "the store: ", "  ", fault)?;
    }
    if let Some(bad) = &verified.first_bad {
        text::paragraph(&mut out, "", "  ", &format!("entry {}: {}", bad.seq, bad.what))?;
    }
    if verified.is_good() {
        let head = verified.head;
        writeln!(out, "{} entries, each as it was written", verified.entries)?;
        writeln!(out, "the last is {}:{}", head.seq, head.sha256)?;
        return Ok(exit::RELEASABLE);
    }
    Ok(exit::NOT_RELEASABLE)
}

/// `ENTRY:HASH`.
fn head(text: &str) -> Result<Head, Failure> {
    let read = text
        .split_once(':')
        .and_then(|(seq, hash)| Some(Head::new(seq.parse().ok()?, Digest::new(hash)?)));
    read.ok_or_else(|| Failure::misuse("--kept is an entry and its hash, as `verify` prints them"))
}

pub(super) fn export(asked: &Plain) -> Result<u8, Failure> {
    let mut out = std::io::BufWriter::new(std::io::stdout().lock());
    journal(&asked.at)?.export(&mut out)?;
    out.flush()?;
    Ok(exit::RELEASABLE)
}
