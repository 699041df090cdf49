//! One entry of the journal: its envelope, its canonical text and its place in the chain.

use crossread_core::document::{Digest, Id, Text, Time};
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;

use crate::canonical::canonical;
use crate::error::JournalError;
use crate::event::{Event, Kind};
use crate::whole;

/// The place of an entry in the journal, from 1, without gaps.
pub type Seq = u64;

/// One entry: who wrote what, when, and after which other entry.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Entry {
    /// Its place in the journal.
    pub seq: Seq,
    /// When it was written, by the writer's clock.
    pub at: Time,
    /// Who wrote it.
    pub by: Text,
    /// The worksheet that it belongs to, if it belongs to one.
    pub worksheet: Option<Id>,
    /// The retracted entry in whose place it stands, if it amends one.
    pub replaces: Option<Seq>,
    /// What was written.
    pub event: Event,
    /// The hash of the entry before; all zeros for the first.
    pub previous: Digest,
}

/// An entry as it is kept: its canonical text (RFC 8785) and the hash of that text.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Row {
    /// Its place in the journal.
    pub seq: Seq,
    /// One JSON object in canonical form.
    pub text: String,
    /// SHA-256 of the text.
    pub sha256: Digest,
}

/// The last entry of a journal: its place and its hash. Who keeps it elsewhere can tell later that
/// nothing before it was changed and nothing after it was cut off.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Head {
    /// The place of the last entry.
    pub seq: Seq,
    /// Its hash.
    pub sha256: Digest,
}

impl Head {
    /// The head before the first entry.
    pub(crate) const NONE: Self = Self { seq: 0, sha256: Digest::NONE };

    /// A head that was kept elsewhere.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// # use crossread_core::document::Digest;
    /// let mut journal = released();
    /// let head = journal.head()?;
    /// // Printed on the report of the night, and typed again later.
    /// let (seq, printed) = (head.seq, head.sha256.to_string());
    /// let kept = Head::new(seq, Digest::new(&printed).ok_or("no hash")?);
    /// assert_eq!(kept, head);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn new(seq: Seq, sha256: Digest) -> Self {
        Self { seq, sha256 }
    }
}

#[derive(Serialize)]
struct Written<'e> {
    at: Time,
    body: &'e Event,
    by: &'e Text,
    kind: Kind,
    previous: Digest,
    #[serde(skip_serializing_if = "Option::is_none")]
    replaces: Option<Seq>,
    seq: Seq,
    #[serde(skip_serializing_if = "Option::is_none")]
    worksheet: Option<&'e Id>,
}

/// The envelope of an entry whose body was not looked at.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Envelope<'t> {
    pub(crate) at: Time,
    #[serde(borrow)]
    pub(crate) body: &'t RawValue,
    pub(crate) by: Text,
    pub(crate) kind: Kind,
    pub(crate) previous: Digest,
    #[serde(default)]
    pub(crate) replaces: Option<Seq>,
    pub(crate) seq: Seq,
    #[serde(default)]
    pub(crate) worksheet: Option<Id>,
}

impl<'t> Envelope<'t> {
    pub(crate) fn read(text: &'t str) -> Result<Self, serde_json::Error> {
        serde_json::from_str(text)
    }

    /// The entry, with its body read.
    pub(crate) fn open(self) -> Result<Entry, serde_json::Error> {
        let Self { at, body, by, kind, previous, replaces, seq, worksheet } = self;
        let event = Event::read(kind, &mut serde_json::Deserializer::from_str(body.get()))?;
        Ok(Entry { seq, at, by, worksheet, replaces, event, previous })
    }
}

impl Entry {
    /// Reads the text of an entry.
    pub(crate) fn read(text: &str) -> Result<Self, serde_json::Error> {
        whole::read::<whole::All>(text)
    }

    /// The entry as JSON, in canonical form.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = opened();
    /// let seq = journal.head()?.seq;
    /// let entry = journal.entry(seq)?.to_json()?;
    /// assert!(entry.starts_with(r#"{"at":"2026-03-01T02:41:00+01:00","body":{"#));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If it cannot be put into that form.
    pub fn to_json(&self) -> Result<String, JournalError> {
        Ok(self.row()?.text)
    }

    /// The entry as it is kept.
    pub(crate) fn row(&self) -> Result<Row, JournalError> {
        let Self { seq, at, by, worksheet, replaces, event, previous } = self;
        let written = Written {
            at: *at,
            body: event,
            by,
            kind: event.kind(),
            previous: *previous,
            replaces: *replaces,
            seq: *seq,
            worksheet: worksheet.as_ref(),
        };
        let text = canonical(&written).map_err(JournalError::Unwritable)?;
        let sha256 = Digest::of(text.as_bytes());
        Ok(Row { seq: *seq, text, sha256 })
    }
}

impl Row {
    pub(crate) fn entry(&self) -> Result<Entry, JournalError> {
        Entry::read(&self.text).map_err(|error| {
            JournalError::damaged(self.seq, format!("its text cannot be read: {error}"))
        })
    }

    /// The line of an export.
    pub(crate) fn line(&self) -> String {
        format!("{{\"entry\":{},\"sha256\":\"{}\"}}\n", self.text, self.sha256)
    }
}
