//! Whether every entry is as it was written.

use std::collections::BTreeSet;
use std::hash::{DefaultHasher, Hash as _, Hasher as _};

use crossread_core::document::Digest;

use crate::entry::{Envelope, Head, Seq};
use crate::error::JournalError;
use crate::journal::Journal;
use crate::store::{RawRow, Rows};
use crate::terms::{Field, terms};

/// What was found.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Verified {
    /// How many entries were looked at.
    pub entries: u64,
    /// The last of them. Keep it elsewhere, and later hand it to [`Journal::verify`].
    pub head: Head,
    /// The first entry that is not as it was written.
    pub first_bad: Option<Bad>,
    /// What is wrong with the store beside its entries: its shape, or how the database keeps it.
    pub store: Vec<String>,
}

/// An entry that is not as it was written.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Bad {
    /// Which entry.
    pub seq: Seq,
    /// What is wrong.
    pub what: String,
}

impl Verified {
    /// Whether everything is as it was written.
    pub fn is_good(&self) -> bool {
        self.first_bad.is_none() && self.store.is_empty()
    }
}

impl Journal {
    /// Looks at every entry: its place, its hash, the hash of the one before in it, whether it can
    /// be read, and whether it is found by what it should be found by. With `kept`, a head that was
    /// kept elsewhere, also whether the journal still has that entry.
    ///
    /// # Errors
    /// If the journal cannot be read at all.
    pub fn verify(&mut self, kept: Option<Head>) -> Result<Verified, JournalError> {
        let mut store = self.store.faults()?;
        let mut verified =
            Verified { entries: 0, head: Head::NONE, first_bad: None, store: Vec::new() };
        let looked = self.read(|books| {
            let rows: &mut dyn Rows = books.rows;
            let mut chain = Chain { last: Head::NONE, sum: 0, terms: 0 };
            let mut first_bad = None;
            rows.scan(0, &mut |row| match chain.add(&row) {
                Ok(()) => Ok(true),
                Err(what) => {
                    first_bad = Some(Bad { seq: chain.last.seq.saturating_add(1), what });
                    Ok(false)
                }
            })?;
            if first_bad.is_none() {
                let mut index = Chain { last: Head::NONE, sum: 0, terms: 0 };
                rows.all_terms(&mut |field, value, seq| index.term(field, value, seq))?;
                if (index.sum, index.terms) != (chain.sum, chain.terms) {
                    first_bad = Some(first_misplaced(rows)?);
                }
            }
            if let (None, Some(kept)) = (&first_bad, kept) {
                let found = rows.row(kept.seq)?.map(|row| row.sha256);
                if found != Some(kept.sha256) {
                    let what = "it is not the entry whose hash was kept".to_owned();
                    let seq = kept.seq.min(chain.last.seq.saturating_add(1));
                    first_bad = Some(Bad { seq, what });
                }
            }
            Ok((chain.last, first_bad))
        });
        match looked {
            Ok((head, first_bad)) => {
                verified.head = head;
                verified.entries = head.seq;
                verified.first_bad = first_bad;
            }
            // A page that the database itself cannot read: the entries before it were read.
            Err(error @ (JournalError::Sqlite(_) | JournalError::Postgres(_))) => {
                store.push(format!("it cannot be read to its end: {error}"));
                verified.first_bad = self.first_unreadable()?;
            }
            Err(error) => return Err(error),
        }
        verified.store = store;
        Ok(verified)
    }

    /// The first entry that the database cannot give out.
    fn first_unreadable(&mut self) -> Result<Option<Bad>, JournalError> {
        self.read(|books| {
            let mut last = 0;
            let ended = books.rows.scan(0, &mut |row| {
                last = row.seq;
                Ok(true)
            });
            Ok(ended.err().map(|error| {
                let seq = last.saturating_add(1);
                Bad { seq, what: format!("it cannot be read: {error}") }
            }))
        })
    }
}

/// The entries so far: the last one, and what their terms come to, whatever their order.
struct Chain {
    last: Head,
    sum: u64,
    terms: u64,
}

impl Chain {
    fn add(&mut self, row: &RawRow<'_>) -> Result<(), String> {
        let seq = self.last.seq.saturating_add(1);
        if row.seq != seq {
            return Err(format!("it is missing: the next one is {}", row.seq));
        }
        let text = row.text.ok_or("its text is not text")?;
        let hash = Digest::of(text.as_bytes());
        if row.sha256 != Some(hash) {
            return Err("its text and its hash do not belong together".to_owned());
        }
        let envelope =
            Envelope::read(text).map_err(|error| format!("it cannot be read: {error}"))?;
        if envelope.seq != seq {
            return Err(format!("it says that it is entry {}", envelope.seq));
        }
        if envelope.previous != self.last.sha256 {
            return Err("it does not follow the entry before it".to_owned());
        }
        let entry = envelope.open().map_err(|error| format!("it cannot be read: {error}"))?;
        terms(&entry, &mut |field, value| self.term(field.word(), value, seq));
        self.last = Head::new(seq, hash);
        Ok(())
    }

    fn term(&mut self, field: &str, value: &str, seq: Seq) {
        let mut hasher = DefaultHasher::new();
        (field, value, seq).hash(&mut hasher);
        self.sum = self.sum.wrapping_add(hasher.finish());
        self.terms = self.terms.wrapping_add(1);
    }
}

/// The first entry that is found by something it should not be found by, or the other way round.
fn first_misplaced(rows: &mut dyn Rows) -> Result<Bad, JournalError> {
    let mut index: BTreeSet<(Seq, String, String)> = BTreeSet::new();
    rows.all_terms(&mut |field, value, seq| {
        index.insert((seq, field.to_owned(), value.to_owned()));
    })?;
    let mut first: Option<Bad> = None;
    let mut last = 0;
    rows.scan(0, &mut |row| {
        let Some(entry) = row.text.and_then(|text| Envelope::read(text).ok()?.open().ok()) else {
            return Ok(true);
        };
        last = entry.seq;
        let mut missing = None;
        terms(&entry, &mut |field: Field, value| {
            if !index.remove(&(entry.seq, field.word().to_owned(), value.to_owned())) {
                missing.get_or_insert(field);
            }
        });
        let misplaced = index.first().is_some_and(|(seq, ..)| *seq <= entry.seq);
        let what = match missing {
            Some(field) => format!("it is not found by its {}", field.word()),
            None if misplaced => "it is found by what it does not say".to_owned(),
            None => return Ok(true),
        };
        first = Some(Bad { seq: entry.seq, what });
        Ok(false)
    })?;
    let beyond =
        || Bad { seq: last, what: "the index names entries that are not there".to_owned() };
    Ok(first.unwrap_or_else(beyond))
}
