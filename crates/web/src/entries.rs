//! The record of a worksheet: every entry, and correcting one by another.

use crossread_core::document::Id;
use crossread_core::worksheet::draft;
use crossread_journal::{Entry, Event, ReadingEntered};
use maud::{Markup, html};
use serde_json::Value;

use crate::animals::{Part, facts};
use crate::answer::{Answer, Problem};
use crate::ask::{Ask, Fields};
use crate::fields::{Field, READING};
use crate::form::{document, draw, filled};
use crate::start::answering;
use crate::{address, shell};

/// Every entry of the worksheet.
pub(crate) fn page(ask: &Ask<'_>, id: &Id) -> Result<Answer, Problem> {
    let entries = ask.bench.journal().entries(id)?;
    let taken_back = taken_back(&entries);
    let every_key = ask.query.get("keys") == "yes";
    let is_key = |entry: &Entry| matches!(entry.event, Event::LookBegun(_));
    let keys = entries.iter().filter(|entry| is_key(entry)).count();
    Answer::page(
        format!("{id}: record"),
        html! {
            (shell::tabs(id.as_str(), "entries"))
            h1 { "Record" }
            p { "Nothing is ever changed here: what was wrong is taken back, and both stay." }
            @if keys > 0 && !every_key {
                p { (keys) " entries keep single keys of looks that were entered. "
                    a href=(format!("{}?keys=yes", address::sheet(id.as_str(), "entries"))) { "Show them too" } }
            }
            div.wide { table {
                thead { tr {
                    th scope="col" { "Entry" } th scope="col" { "When" } th scope="col" { "Who" }
                    th scope="col" { "What" }
                } }
                tbody { @for entry in entries.iter().filter(|entry| every_key || !is_key(entry)) {
                    tr id=(format!("entry-{}", entry.seq)) {
                        td { a href=(crate::animals::entry(id, entry.seq)) { (entry.seq) } }
                        td { (shell::clock(entry.at)) }
                        td { (entry.by) }
                        td {
                            @let said = said(entry);
                            @if taken_back.contains(&entry.seq) { s { (said) } strong { " taken back" } }
                            @else { (said) }
                            @if let Some(old) = entry.replaces { " in place of entry " (old) }
                        }
                    }
                } }
            } }
        },
    )
}

/// The entries that were taken back.
fn taken_back(entries: &[Entry]) -> Vec<u64> {
    let of = entries.iter().filter_map(|entry| match &entry.event {
        Event::Retraction(retraction) => Some(retraction.of),
        _ => None,
    });
    of.collect()
}

/// An entry in a line.
fn said(entry: &Entry) -> String {
    let kind = entry.event.kind().word().replace('_', " ");
    match &entry.event {
        Event::ReadingEntered(entered) => {
            let paper = if entered.transcribed { ", transcribed from paper" } else { "" };
            format!("{kind}: {}{paper}", crate::read::draft_text(&entered.reading))
        }
        Event::LookBegun(begun) => format!("{kind}: {}", crate::read::draft_text(&begun.reading())),
        Event::Note(note) => format!("{kind}: {}", note.text),
        Event::Retraction(taken) => format!("entry {} taken back: {}", taken.of, taken.reason),
        Event::Issued(issued) => format!("revision {} issued to {}", issued.revision, issued.to),
        Event::Handed(handed) => format!("entry {} handed to {}", handed.issued, handed.to),
        Event::Released(released) => {
            format!("unit {} of {} released to {}", released.unit, released.donor, released.to)
        }
        Event::EmergencyReleased(released) => {
            format!("{}: unit {} of {}", released.headline, released.unit, released.donor)
        }
        Event::TaskRaised(task) => format!("to do: {}", task.text),
        Event::TaskClosed(task) => format!("task {} done: {}", task.task, task.text),
        Event::DonorAdded(added) => {
            format!("{kind}: {}", added.donor.id.as_ref().map(Id::as_str).unwrap_or_default())
        }
        Event::SampleAdded(added) => {
            format!("{kind}: {}", added.sample.id.as_ref().map(Id::as_str).unwrap_or_default())
        }
        Event::SegmentChecked(checked) => {
            let agrees = if checked.agrees { "agrees" } else { "does NOT agree" };
            format!("segment of {}: {agrees}", checked.donor)
        }
        Event::StepDone(done) => {
            let step: &'static str = done.step.into();
            format!("{} {}", step.replace('_', " "), done.phase.spoken())
        }
        _ => kind,
    }
}

/// What an entry holds, as a form of its kind, if it is corrected by a form.
fn correctable(entry: &Entry) -> Option<(&'static [Field], Option<Part>, Value)> {
    let value = |value: Result<Value, serde_json::Error>| value.ok();
    match &entry.event {
        Event::ReadingEntered(entered) => {
            Some((READING, None, value(serde_json::to_value(&entered.reading))?))
        }
        Event::DonorAdded(added) => {
            let part = Part::Donor;
            Some((part.fields(), Some(part), value(serde_json::to_value(&added.donor))?))
        }
        Event::SampleAdded(added) => {
            let part = Part::Sample;
            Some((part.fields(), Some(part), value(serde_json::to_value(&added.sample))?))
        }
        Event::SetupNoted(noted) => {
            let part = Part::Setup;
            Some((part.fields(), Some(part), value(serde_json::to_value(&noted.setup))?))
        }
        Event::ControlsNoted(noted) => {
            let part = Part::Controls;
            Some((part.fields(), Some(part), value(serde_json::to_value(&noted.controls))?))
        }
        _ => None,
    }
}

/// Counts the values in a document.
fn leaves(value: &Value, all: &mut usize) {
    match value {
        Value::Object(object) => object.values().for_each(|value| leaves(value, all)),
        Value::Array(list) => list.iter().for_each(|value| leaves(value, all)),
        _ => *all = all.saturating_add(1),
    }
}

/// Whether a form shows all of a document, so that nothing is lost when it is sent.
fn is_whole(fields: &[Field], held: &Value) -> bool {
    let shown = document(fields, &filled(fields, held));
    // A time is shown in the zone of this place, so that only how many values there are is compared.
    let (mut one, mut other) = (0, 0);
    leaves(held, &mut one);
    leaves(&shown, &mut other);
    one == other
}

/// One entry, with what can be done about it.
pub(crate) fn one(ask: &Ask<'_>, id: &Id, seq: &str) -> Result<Answer, Problem> {
    shown(ask, id, seq, None)
}

fn shown(ask: &Ask<'_>, id: &Id, seq: &str, problem: Option<&Problem>) -> Result<Answer, Problem> {
    let seq: u64 = seq.parse().map_err(|_no_number| Problem::NoPage)?;
    let mut journal = ask.bench.journal();
    let entry = journal.entry(seq)?;
    let entries = journal.entries(id)?;
    let sealed = journal.sheet(id)?.is_entry_sealed(seq);
    drop(journal);
    if entry.worksheet.as_ref() != Some(id) {
        return Err(Problem::NoPage);
    }
    let gone = taken_back(&entries).contains(&seq);
    let held = correctable(&entry);
    Answer::page(
        format!("Entry {seq}"),
        html! {
            (shell::tabs(id.as_str(), ""))
            h1 { "Entry " (seq) }
            @if let Some(problem) = problem { (problem.shown()) }
            p.big { (said(&entry)) }
            p { (shell::clock(entry.at)) " by " strong { (entry.by) } }
            @if let Some((fields, _, held)) = &held { (facts(fields, Some(held))) }
            @if gone { p.warning { "This entry was taken back. It stays on the record." } }
            @else { (correction(ask, &entry, sealed)) }
        },
    )
}

fn correction(ask: &Ask<'_>, entry: &Entry, sealed: bool) -> Markup {
    let reason = html! {
        div.field {
            label for="reason" { "Why" }
            input #reason name="reason" type="text" autocomplete="off" value=(ask.form.get("reason"));
        }
    };
    let can_be_taken_back = matches!(
        entry.event,
        Event::ReadingEntered(_)
            | Event::LookBegun(_)
            | Event::DonorAdded(_)
            | Event::SampleAdded(_)
            | Event::SetupNoted(_)
            | Event::ControlsNoted(_)
    );
    let form = correctable(entry).filter(|_| !sealed).map(|(fields, part, held)| {
        let whole = part.is_none() || is_whole(fields, &held);
        let given = if ask.posts { ask.form.clone() } else { filled(fields, &held) };
        (fields, part, given, whole)
    });
    html! {
        @if let Some((fields, part, given, whole)) = &form {
            h2 { "Correct it" }
            @if *whole {
                form.sheet method="post" {
                    (shell::token(ask))
                    (draw(fields, given))
                    @if part.is_some_and(Part::can_be_overridden) {
                        details {
                            summary { "It is refused, and somebody answers for it" }
                            (answering(given))
                        }
                    }
                    (reason)
                    button.main { "Put this in its place" }
                }
            } @else {
                p { "This entry holds more than the form shows. Correct it with `crossread journal amend`." }
            }
        }
        @if sealed {
            p { "It waits for the second reader, so it is not corrected: take it back with a reason and read the mixture again." }
        }
        @if can_be_taken_back {
            h2 { "Take it back" }
            form.sheet method="post" {
                (shell::token(ask))
                input type="hidden" name="retract" value="yes";
                div.field {
                    label for="why" { "Why" }
                    input #why name="reason" type="text" autocomplete="off";
                }
                button { "Take it back, with nothing in its place" }
            }
        }
    }
}

/// Corrects the entry or takes it back.
pub(crate) fn amend(ask: &Ask<'_>, id: &Id, seq: &str) -> Result<Answer, Problem> {
    let writer = ask.writer()?;
    let number: u64 = seq.parse().map_err(|_no_number| Problem::NoPage)?;
    match put_right(ask, id, number, &writer) {
        Ok(()) => Ok(Answer::GoTo(address::sheet(id.as_str(), "entries"))),
        Err(problem) => shown(ask, id, seq, Some(&problem)),
    }
}

fn put_right(
    ask: &Ask<'_>,
    id: &Id,
    seq: u64,
    writer: &crossread_journal::Writer,
) -> Result<(), Problem> {
    let reason = ask.form.get("reason");
    let mut journal = ask.bench.journal();
    let entry = journal.entry(seq)?;
    if entry.worksheet.as_ref() != Some(id) {
        return Err(Problem::NoPage);
    }
    if ask.form.get("retract") == "yes" {
        journal.retract(writer, seq, reason)?;
        return Ok(());
    }
    let event = match (&entry.event, correctable(&entry)) {
        (Event::ReadingEntered(old), _) => Event::from(corrected(&old.reading, &ask.form)?),
        (_, Some((_, Some(part), _))) => part.event(&ask.form)?,
        _ => return Err(Problem::Told("this entry is not corrected here".to_owned())),
    };
    journal.amend(writer, seq, reason, event)?;
    Ok(())
}

/// A reading with what was filled in, in the same mixture, seen when it is entered.
fn corrected(old: &draft::Reading, form: &Fields) -> Result<ReadingEntered, Problem> {
    let mut seen = document(READING, form);
    let held = serde_json::to_value(old).map_err(|error| Problem::Told(error.to_string()))?;
    if let Some(seen) = seen.as_object_mut() {
        for key in ["test", "phase", "donor", "after", "at", "seconds"] {
            if let Some(value) = held.get(key) {
                seen.insert(key.to_owned(), value.clone());
            }
        }
    }
    let mut reading =
        draft::Reading::from_json(seen.to_string().as_bytes()).map_err(Problem::Faults)?;
    (reading.at, reading.by) = (None, None);
    Ok(ReadingEntered { reading, transcribed: false })
}
