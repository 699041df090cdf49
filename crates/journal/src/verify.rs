//! Whether every entry is as it was written.

mod at_once;
mod sum;

use std::collections::BTreeSet;

use crossread_core::document::Digest;

use self::sum::{Index, Sum};
use crate::entry::{Entry, Head, Seq};
use crate::error::JournalError;
use crate::journal::Journal;
use crate::store::{RawRow, RawTerm, Rows};
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
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = released();
    /// let kept = journal.head()?;
    /// let verified = journal.verify(Some(kept))?;
    /// assert!(verified.is_good());
    /// assert_eq!((verified.entries, verified.head), (kept.seq, kept));
    /// // A head that this journal never had: its end was cut off, or it is another journal.
    /// let longer = Head::new(kept.seq + 1, kept.sha256);
    /// assert!(!journal.verify(Some(longer))?.is_good());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If the journal cannot be read at all.
    pub fn verify(&mut self, kept: Option<Head>) -> Result<Verified, JournalError> {
        let mut other = self.store.again();
        let mut faults = None;
        let at_once = self.read(|books| {
            let good = at_once::is_good(books.rows, other.take(), &mut faults)?;
            good.map(|head| Ok((head, lost(books.rows, head, kept)?))).transpose()
        });
        let mut store = match faults {
            Some(faults) => faults,
            None => self.store.faults()?,
        };
        let (head, first_bad) = match at_once {
            Ok(Some(looked)) => looked,
            Ok(None) => {
                let (head, first_bad) = self.in_order(kept, &mut store)?;
                if first_bad.is_none() && store.is_empty() {
                    store.push("it was not the same when it was read again".to_owned());
                }
                (head, first_bad)
            }
            // What failed will fail again, or it was the second connection.
            Err(_) => self.in_order(kept, &mut store)?,
        };
        Ok(Verified { entries: head.seq, head, first_bad, store })
    }

    /// Looks at one entry after the other, up to the first bad one.
    fn in_order(
        &mut self,
        kept: Option<Head>,
        store: &mut Vec<String>,
    ) -> Result<(Head, Option<Bad>), JournalError> {
        let looked = self.read(|books| {
            let rows: &mut dyn Rows = books.rows;
            let mut terms = Sum::default();
            let (last, bad) = follow(rows, &mut terms)?;
            if bad.is_some() {
                return Ok((last, bad));
            }
            let mut index = Index::beside(&terms);
            rows.all_terms(&mut |term| index.add(term))?;
            if !index.sum.equals(&terms) {
                return Ok((last, Some(first_misplaced(rows)?)));
            }
            if let Some(seq) = index.unordered {
                let what = "its place in the index is not where it is looked for".to_owned();
                return Ok((last, Some(Bad { seq, what })));
            }
            Ok((last, lost(rows, last, kept)?))
        });
        match looked {
            // A page that the database itself cannot read: the entries before it were read.
            Err(error @ (JournalError::Sqlite(_) | JournalError::Postgres(_))) => {
                store.push(format!("it cannot be read to its end: {error}"));
                Ok((Head::NONE, self.first_unreadable()?))
            }
            looked => looked,
        }
    }

    /// The first entry that the database cannot give out.
    fn first_unreadable(&mut self) -> Result<Option<Bad>, JournalError> {
        self.read(|books| {
            let mut last = 0;
            let ended = books.rows.scan(0..=Seq::MAX, &mut |row| {
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

/// Whether the entry whose hash was kept elsewhere is not there any more.
fn lost(rows: &mut dyn Rows, last: Head, kept: Option<Head>) -> Result<Option<Bad>, JournalError> {
    let Some(kept) = kept else { return Ok(None) };
    if rows.row(kept.seq)?.map(|row| row.sha256) == Some(kept.sha256) {
        return Ok(None);
    }
    let what = "it is not the entry whose hash was kept".to_owned();
    Ok(Some(Bad { seq: kept.seq.min(last.seq.saturating_add(1)), what }))
}

/// Looks at every entry until one is bad.
fn follow(rows: &mut dyn Rows, terms: &mut Sum) -> Result<(Head, Option<Bad>), JournalError> {
    let mut chain = Chain { last: Head::NONE, terms };
    let mut bad = None;
    rows.scan(0..=Seq::MAX, &mut |row| {
        if let Err(what) = chain.add(&row) {
            bad = Some(Bad { seq: chain.last.seq.saturating_add(1), what });
        }
        Ok(bad.is_none())
    })?;
    Ok((chain.last, bad))
}

/// The entries so far: the last one, and their terms.
struct Chain<'t> {
    last: Head,
    terms: &'t mut Sum,
}

impl Chain<'_> {
    /// Goes on with the next entry, or says what is wrong with it.
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
        let entry = whole::read::<whole::Terms>(text)
            .map_err(|error| format!("it cannot be read: {error}"))?;
        if entry.seq != seq {
            return Err(format!("it says that it is entry {}", entry.seq));
        }
        if entry.previous != self.last.sha256 {
            return Err("it does not follow the entry before it".to_owned());
        }
        terms(&entry, &mut |field, value| {
            let (field, value) = (field.word().as_bytes(), value.as_bytes());
            self.terms.add(RawTerm { field, value, seq });
        });
        self.last = Head::new(seq, hash);
        Ok(())
    }
}

/// The first entry that is found by something it should not be found by, or the other way round.
fn first_misplaced(rows: &mut dyn Rows) -> Result<Bad, JournalError> {
    let mut index: BTreeSet<(Seq, Vec<u8>, Vec<u8>)> = BTreeSet::new();
    rows.all_terms(&mut |RawTerm { field, value, seq }| {
        index.insert((seq, field.to_owned(), value.to_owned()));
    })?;
    let mut first: Option<Bad> = None;
    let mut last = 0;
    rows.scan(0..=Seq::MAX, &mut |row| {
        let Some(entry) = row.text.and_then(|text| Entry::read(text).ok()) else {
            return Ok(true);
        };
        last = entry.seq;
        let mut missing = None;
        terms(&entry, &mut |field: Field, value| {
            if !index.remove(&(entry.seq, field.word().into(), value.into())) {
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
