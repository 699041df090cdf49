//! Whether every entry is as it was written.

use std::collections::BTreeSet;
use std::hash::{BuildHasher as _, Hasher as _, RandomState};
use std::ops::Range;
use std::sync::mpsc::sync_channel;
use std::thread;

use crossread_core::document::Digest;

use crate::entry::{Entry, Head, Seq};
use crate::error::JournalError;
use crate::journal::Journal;
use crate::store::{RawRow, Rows};
use crate::terms::{Field, terms};
use crate::whole;

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
    /// Without `kept` nobody can tell a journal from one whose last entries were cut off. In a file
    /// that was not closed, as a killed process leaves it, the last entries, at most some hundreds,
    /// lie in the write-ahead log beside it. If a byte of the log changes before the file is opened
    /// again, SQLite takes the log from there on for an unfinished write and drops it: what is left
    /// is sound, and only a kept head shows that entries are gone.
    ///
    /// # Errors
    /// If the journal cannot be read at all.
    pub fn verify(&mut self, kept: Option<Head>) -> Result<Verified, JournalError> {
        let mut store = self.store.faults()?;
        let mut verified =
            Verified { entries: 0, head: Head::NONE, first_bad: None, store: Vec::new() };
        let looked = self.read(|books| {
            let rows: &mut dyn Rows = books.rows;
            let (chain, mut first_bad) = follow(rows)?;
            if first_bad.is_none() {
                let mut index = Index::beside(&chain.terms);
                rows.all_terms(&mut |field, value, seq| index.add(field, value, seq))?;
                if !index.sum.equals(&chain.terms) {
                    first_bad = Some(first_misplaced(rows)?);
                } else if let Some(seq) = index.unordered {
                    let what = "its place in the index is not where it is looked for".to_owned();
                    first_bad = Some(Bad { seq, what });
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

/// Looks at every entry until one is bad. The rows are read and hashed on this thread and looked at
/// on another, which takes about as long.
fn follow(rows: &mut dyn Rows) -> Result<(Chain, Option<Bad>), JournalError> {
    thread::scope(|scope| {
        let (give, take) = sync_channel::<Batch>(2);
        let looking = thread::Builder::new().spawn_scoped(scope, move || {
            let mut chain = Chain { last: Head::NONE, terms: Sum::default() };
            let bad = take.iter().find_map(|batch| chain.first_bad(&batch));
            (chain, bad)
        })?;
        let mut batch = Batch::default();
        let scanned = rows.scan(0, &mut |row| {
            batch.add(&row);
            // Nobody takes any more once one is bad.
            Ok(!batch.is_full() || give.send(std::mem::take(&mut batch)).is_ok())
        });
        give.send(batch).unwrap_or_default();
        drop(give);
        let broke_off = |_| std::io::Error::other("looking at the entries broke off");
        let (chain, bad) = looking.join().map_err(broke_off)?;
        if bad.is_none() {
            scanned?;
        }
        Ok((chain, bad))
    })
}

/// Rows on their way from one thread to the other, with the hashes of their texts.
#[derive(Default)]
struct Batch {
    texts: String,
    rows: Vec<Hashed>,
}

struct Hashed {
    seq: Seq,
    /// Where the text lies and what its hash is, unless it is no UTF-8.
    text: Option<(Range<usize>, Digest)>,
    /// The hash that is kept beside it, unless it is not one.
    sha256: Option<Digest>,
}

impl Batch {
    fn add(&mut self, row: &RawRow<'_>) {
        let RawRow { seq, text, sha256 } = *row;
        let text = text.map(|text| {
            let start = self.texts.len();
            self.texts.push_str(text);
            (start..self.texts.len(), Digest::of(text.as_bytes()))
        });
        self.rows.push(Hashed { seq, text, sha256 });
    }

    fn is_full(&self) -> bool {
        self.texts.len() >= 64 * 1024
    }
}

/// The entries so far: the last one, and their terms.
struct Chain {
    last: Head,
    terms: Sum,
}

impl Chain {
    /// Goes on until an entry is bad.
    fn first_bad(&mut self, batch: &Batch) -> Option<Bad> {
        batch.rows.iter().find_map(|row| {
            let what = self.add(&batch.texts, row).err()?;
            Some(Bad { seq: self.last.seq.saturating_add(1), what })
        })
    }

    fn add(&mut self, texts: &str, row: &Hashed) -> Result<(), String> {
        let seq = self.last.seq.saturating_add(1);
        if row.seq != seq {
            return Err(format!("it is missing: the next one is {}", row.seq));
        }
        let (range, hash) = row.text.as_ref().ok_or("its text is not text")?;
        if row.sha256 != Some(*hash) {
            return Err("its text and its hash do not belong together".to_owned());
        }
        let text = texts.get(range.clone()).unwrap_or_default();
        let entry = whole::read::<whole::Terms>(text)
            .map_err(|error| format!("it cannot be read: {error}"))?;
        if entry.seq != seq {
            return Err(format!("it says that it is entry {}", entry.seq));
        }
        if entry.previous != self.last.sha256 {
            return Err("it does not follow the entry before it".to_owned());
        }
        terms(&entry, &mut |field, value| self.terms.add(field.word(), value, seq));
        self.last = Head::new(seq, *hash);
        Ok(())
    }
}

/// What many terms come to, whatever their order. The hash is keyed anew each time, so that nobody
/// can choose terms that come to the same.
#[derive(Default)]
struct Sum {
    keys: RandomState,
    hashes: u64,
    terms: u64,
    /// One term as bytes.
    term: Vec<u8>,
}

impl Sum {
    /// A sum of no terms that can be compared with this one.
    fn empty(&self) -> Self {
        Self { keys: self.keys.clone(), ..Self::default() }
    }

    fn add(&mut self, field: &str, value: &str, seq: Seq) {
        // No field has this byte, and all the rest is value.
        self.term.clear();
        self.term.extend_from_slice(&seq.to_le_bytes());
        self.term.extend_from_slice(field.as_bytes());
        self.term.push(0xff);
        self.term.extend_from_slice(value.as_bytes());
        let mut hasher = self.keys.build_hasher();
        hasher.write(&self.term);
        self.hashes = self.hashes.wrapping_add(hasher.finish());
        self.terms = self.terms.wrapping_add(1);
    }

    fn equals(&self, other: &Self) -> bool {
        (self.hashes, self.terms) == (other.hashes, other.terms)
    }
}

/// The terms of the index, which come in order.
struct Index {
    sum: Sum,
    last: (String, String, Seq),
    unordered: Option<Seq>,
}

impl Index {
    /// No terms yet, to be compared with a sum.
    fn beside(sum: &Sum) -> Self {
        Self { sum: sum.empty(), last: (String::new(), String::new(), 0), unordered: None }
    }

    fn add(&mut self, field: &str, value: &str, seq: Seq) {
        self.sum.add(field, value, seq);
        let (last_field, last_value, last_seq) = &mut self.last;
        if (field, value, seq) <= (last_field.as_str(), last_value.as_str(), *last_seq) {
            self.unordered.get_or_insert(seq);
        }
        if last_field != field {
            field.clone_into(last_field);
        }
        if last_value != value {
            value.clone_into(last_value);
        }
        *last_seq = seq;
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
        let Some(entry) = row.text.and_then(|text| Entry::read(text).ok()) else {
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
    // What is left is beyond the last entry.
    Ok(first.unwrap_or_else(|| {
        let seq = index.first().map_or_else(|| last.saturating_add(1), |(seq, ..)| *seq);
        Bad { seq, what: "the index names it, and it is not there".to_owned() }
    }))
}
