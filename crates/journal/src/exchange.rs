//! Export and import: the journal as NDJSON, one line an entry.
//!
//! A line is `{"entry":…,"sha256":"…"}`: the entry's canonical text and its hash. So an export of an
//! import of an export is the same, byte for byte.

use std::collections::BTreeSet;
use std::io::{BufRead, Write};

use crossread_core::document::Digest;
use serde::Deserialize;
use serde_json::value::RawValue;

use crate::entry::{Entry, Envelope, Head, Row, Seq};
use crate::error::{JournalError, Refusal};
use crate::event::{Event, FORMAT, Kind};
use crate::journal::Journal;
use crate::store::Rows;
use crate::terms::{Field, Term, terms};

/// Longest line that is taken over, in bytes.
const LONGEST: u64 = 64 * 1024 * 1024;

/// What was taken over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Imported {
    /// How many entries.
    pub entries: u64,
    /// The last of them.
    pub head: Head,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Line<'l> {
    #[serde(borrow)]
    entry: &'l RawValue,
    sha256: Digest,
}

impl Journal {
    /// Writes every entry as a line.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = read();
    /// let mut export = Vec::new();
    /// let head = journal.export(&mut export)?;
    /// let lines: Vec<_> = std::str::from_utf8(&export)?.lines().collect();
    /// assert_eq!(lines.len() as u64, head.seq);
    /// assert!(lines.last().ok_or("no line")?.ends_with(&format!(r#""sha256":"{}"}}"#, head.sha256)));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// [`Refusal::Blind`] while readings wait for the second reader, because their values would
    /// stand in the export; and if reading or writing fails.
    pub fn export(&mut self, to: &mut dyn Write) -> Result<Head, JournalError> {
        self.read(|books| {
            let mut blind = Vec::new();
            let mut sheets = BTreeSet::new();
            books.rows.scan(0..=Seq::MAX, &mut |row| {
                let envelope = row.text.and_then(|text| Envelope::read(text).ok());
                let Some(envelope) = envelope else { return Ok(true) };
                if envelope.kind == Kind::WorksheetOpened
                    && let Ok(entry) = envelope.open()
                    && let (Event::WorksheetOpened(opened), Some(id)) =
                        (&entry.event, entry.worksheet)
                    && opened.second_reader
                {
                    // One whose opening was amended comes twice.
                    sheets.insert(id);
                }
                Ok(true)
            })?;
            for id in sheets {
                if books.with_sheet(&id, |_, sheet| {
                    let begun = sheet.looks.iter().any(|begun| sheet.is_look_sealed(begun));
                    Ok(begun || !sheet.awaited().is_empty())
                })? {
                    blind.push(id);
                }
            }
            if !blind.is_empty() {
                return Err(Refusal::Blind(blind).into());
            }
            let mut head = Head::NONE;
            books.rows.scan(0..=Seq::MAX, &mut |row| {
                let (Some(text), Some(sha256)) = (row.text, row.sha256) else {
                    return Err(JournalError::damaged(row.seq, "it cannot be read"));
                };
                let row = Row { seq: row.seq, text: text.to_owned(), sha256 };
                to.write_all(row.line().as_bytes())?;
                head = Head::new(row.seq, row.sha256);
                Ok(true)
            })?;
            to.flush()?;
            Ok(head)
        })
    }

    /// Takes over an export into a journal that has no entry: all of it or nothing.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut export = Vec::new();
    /// read().export(&mut export)?;
    /// let changed = String::from_utf8(export)?.replace("U-5512", "U-5513");
    /// let folder = tempfile::tempdir()?;
    /// let place = Location::from(folder.path().join("copy.journal").as_path());
    /// let mut copy = Journal::create_empty(&place)?;
    /// // The donor's entry, line 4, is not as it was written, and nothing is taken over.
    /// let refused = copy.import(&mut changed.as_bytes()).unwrap_err();
    /// assert!(matches!(refused, JournalError::Import { line: 4, .. }));
    /// assert_eq!(copy.head()?.seq, 0);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// [`Refusal::NotEmpty`]; [`JournalError::Import`] with the first line that is not as it was written:
    /// not a line of an export, a hash that does not belong to its entry, an entry that does not
    /// follow the one before, or is not in canonical form.
    pub fn import(&mut self, from: &mut dyn BufRead) -> Result<Imported, JournalError> {
        self.write(|books| {
            if books.rows.head()?.seq != 0 {
                return Err(Refusal::NotEmpty.into());
            }
            let mut last = Head::NONE;
            let mut line = Vec::new();
            loop {
                line.clear();
                let number = last.seq.saturating_add(1);
                let mut limited = std::io::Read::take(&mut *from, LONGEST);
                if limited.read_until(b'\n', &mut line)? == 0 {
                    break;
                }
                last = take_over(books.rows, &line, number, last)?;
            }
            if last.seq == 0 {
                let what = "the export is empty; it has at least the line that opens the journal";
                return Err(JournalError::Import { line: 1, what: what.to_owned() });
            }
            Ok(Imported { entries: last.seq, head: last })
        })
    }
}

/// Takes over one line after the entry `last`.
fn take_over(
    rows: &mut dyn Rows,
    line: &[u8],
    number: u64,
    last: Head,
) -> Result<Head, JournalError> {
    let wrong = |what: String| Err(JournalError::Import { line: number, what });
    let Some(line) = line.strip_suffix(b"\n") else {
        return wrong("it does not end with a line feed: the export is cut off".to_owned());
    };
    let read: Line<'_> = match serde_json::from_slice(line) {
        Ok(read) => read,
        Err(error) => {
            return wrong(format!(
                "not a line of an export, `{{\"entry\":…,\"sha256\":…}}`: {error}"
            ));
        }
    };
    let text = read.entry.get();
    if Digest::of(text.as_bytes()) != read.sha256 {
        return wrong("the entry and its hash do not belong together".to_owned());
    }
    let entry = match Entry::read(text) {
        Ok(entry) => entry,
        Err(error) => return wrong(format!("the entry cannot be read: {error}")),
    };
    let expected: Seq = last.seq.saturating_add(1);
    if entry.seq != expected || entry.previous != last.sha256 {
        return wrong(format!(
            "the entry does not follow the one before: expected entry {expected}"
        ));
    }
    let opens = match &entry.event {
        Event::JournalOpened(opened) => {
            if opened.format.as_str() != FORMAT {
                return wrong(format!(
                    "the format is `{}`, expected `{FORMAT}`",
                    opened.format.as_str()
                ));
            }
            true
        }
        _ => false,
    };
    if opens != (expected == 1) {
        return wrong("the first entry opens the journal, and no other does".to_owned());
    }
    let row = entry.row()?;
    if row.text != text || row.line().as_bytes().strip_suffix(b"\n") != Some(line) {
        return wrong("the line is not in canonical form (RFC 8785)".to_owned());
    }
    let mut found = Vec::new();
    terms(&entry, &mut |field: Field, value| {
        found.push(Term { field, value: value.to_owned(), seq: entry.seq });
    });
    rows.append(&row, &found)?;
    Ok(Head::new(row.seq, row.sha256))
}
