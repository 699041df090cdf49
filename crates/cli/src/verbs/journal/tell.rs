//! How the journal's answers are told: to people, or as JSON.

use std::io::Write as _;

use crossread_core::document::{Text, Time};
use crossread_journal::{Journal, JournalError, Location, Writer, Written};
use serde::Serialize;

use super::args::{At, By, Shape};
use crate::exit::{self, Failure};
use crate::text;

/// Opens the journal.
pub(super) fn journal(at: &At) -> Result<Journal, Failure> {
    opened(&at.journal)
}

/// Opens the journal at a place: a file, or the URL of a database.
pub(crate) fn opened(place: &str) -> Result<Journal, Failure> {
    Ok(Journal::open(&Location::new(place))?)
}

impl By {
    /// Who writes, and when: by the clock, with the offset of this place.
    pub(super) fn writer(&self) -> Result<Writer, Failure> {
        if self.name.trim().is_empty() {
            return Err(Failure::misuse("--by needs a name"));
        }
        Ok(Writer::new(&self.name, self.now.map_or_else(now, Ok)?))
    }
}

/// The time by the clock, to the millisecond.
pub(crate) fn now() -> Result<Time, Failure> {
    let now = jiff::ZonedDateTime::now();
    let shown = now.strftime("%Y-%m-%dT%H:%M:%S%.3f%:z").to_string();
    Time::new(&shown)
        .ok_or_else(|| Failure::new(exit::PROGRAM, format!("the clock shows no time: {shown}")))
}

impl From<JournalError> for Failure {
    fn from(error: JournalError) -> Self {
        let status = match &error {
            JournalError::Refused(_) => exit::NOT_RELEASABLE,
            JournalError::Faults(_) | JournalError::Import { .. } => exit::MALFORMED,
            JournalError::Unknown { .. } | JournalError::NotAJournal { .. } => exit::MISSING,
            JournalError::Exists(_) | JournalError::Full | JournalError::ReadOnly => {
                exit::CANNOT_WRITE
            }
            JournalError::Busy(_)
            | JournalError::Damaged { .. }
            | JournalError::Unwritable(_)
            | JournalError::Io(_)
            | JournalError::Sqlite(_)
            | JournalError::Postgres(_)
            | _ => exit::IO,
        };
        if let JournalError::Faults(faults) = &error {
            let mut told = error.to_string();
            for fault in faults.as_slice() {
                let at = if fault.pointer.is_empty() { "/" } else { &fault.pointer };
                told.push_str(&format!(
                    "\n  {at}: {}\n    expected {}\n    found    {}",
                    fault.code, fault.expected, fault.found
                ));
                if let Some(hint) = &fault.hint {
                    told.push_str(&format!("\n    hint     {hint}"));
                }
            }
            return Self::new(status, told);
        }
        Self::new(status, error.to_string())
    }
}

#[derive(Serialize)]
struct Told<'w> {
    entry: u64,
    notices: &'w [Text],
    tasks: &'w [u64],
}

/// Tells what was written.
pub(super) fn written(at: &At, what: &str, written: &Written) -> Result<u8, Failure> {
    let Written { seq, notices, raised, .. } = written;
    match at.format {
        Shape::Json | Shape::Ndjson => {
            json(at.format, &Told { entry: *seq, notices, tasks: raised })?;
        }
        Shape::Text => {
            let mut out = anstream::stdout().lock();
            text::paragraph(&mut out, "", "  ", &format!("entry {seq}: {what}"))?;
            for notice in notices {
                text::paragraph(&mut out, "! ", "  ", notice.as_str())?;
            }
            for task in raised {
                text::paragraph(&mut out, "task ", "  ", &format!("{task} is open"))?;
            }
        }
    }
    Ok(exit::RELEASABLE)
}

/// Writes a JSON document.
pub(crate) fn json(shape: Shape, document: &impl Serialize) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    match shape {
        Shape::Ndjson => serde_json::to_writer(&mut out, document)?,
        Shape::Json | Shape::Text => serde_json::to_writer_pretty(&mut out, document)?,
    }
    out.write_all(b"\n")?;
    Ok(out.flush()?)
}

/// Writes a list of lines, or says that there is none.
pub(super) fn lines<T: Serialize>(
    at: &At,
    none: &str,
    items: &[T],
    said: impl Fn(&T) -> String,
) -> Result<u8, Failure> {
    match at.format {
        Shape::Json => json(at.format, &items)?,
        Shape::Ndjson => items.iter().try_for_each(|item| json(at.format, item))?,
        Shape::Text => {
            let mut out = anstream::stdout().lock();
            if items.is_empty() {
                writeln!(out, "{none}")?;
            }
            for item in items {
                text::paragraph(&mut out, "", "  ", &said(item))?;
            }
        }
    }
    Ok(exit::RELEASABLE)
}
