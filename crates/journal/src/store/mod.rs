//! Where entries are kept. A store knows rows and terms, and nothing of what they mean.
//!
//! There are two, each a handful of statements: SQLite in a file, and a server that speaks the
//! PostgreSQL protocol, for several benches at once. In both, a row is one entry's canonical text
//! with its hash; nothing is ever updated or deleted, and triggers refuse it.

pub(crate) mod postgres;
pub(crate) mod sqlite;

use std::ops::RangeInclusive;

use crossread_core::document::Digest;

use crate::entry::{Entry, Head, Row, Seq};
use crate::error::JournalError;
use crate::terms::{Field, Term};

/// A store of entries.
pub(crate) trait Store: Send {
    /// Runs `work` while nobody else writes. What it appended is durable when this returns, and
    /// nothing of it is there if this fails.
    fn write(
        &mut self,
        work: &mut dyn FnMut(&mut dyn Rows) -> Result<(), JournalError>,
    ) -> Result<(), JournalError>;

    /// Runs `work` on one state of the journal, whatever others write meanwhile.
    fn read(
        &mut self,
        work: &mut dyn FnMut(&mut dyn Rows) -> Result<(), JournalError>,
    ) -> Result<(), JournalError>;

    /// What is wrong with the store itself, beside its rows: its shape, and how the database
    /// keeps it.
    fn faults(&mut self) -> Result<Vec<String>, JournalError>;

    /// The same store once more, so that two threads can read in it; none if there cannot be two.
    fn again(&self) -> Option<Box<dyn Store>>;
}

/// The rows of a store, within one transaction.
pub(crate) trait Rows {
    /// The last entry.
    fn head(&mut self) -> Result<Head, JournalError>;

    /// One entry.
    fn row(&mut self, seq: Seq) -> Result<Option<Row>, JournalError>;

    /// Calls `each` with every row of the range, in order, until it says stop. A row that is not as
    /// a row should be is handed on as far as it can be read.
    fn scan(
        &mut self,
        range: RangeInclusive<Seq>,
        each: &mut dyn FnMut(RawRow<'_>) -> Result<bool, JournalError>,
    ) -> Result<(), JournalError>;

    /// Calls `each` with every row that has the term, in order, after `after`. The value is as it
    /// stands in the entry, here and in [`Rows::has_term`].
    fn with_term(
        &mut self,
        field: Field,
        value: &str,
        after: Seq,
        each: &mut dyn FnMut(&Found<'_>) -> Result<(), JournalError>,
    ) -> Result<(), JournalError>;

    /// Calls `each` with the rows whose value of the field lies in the range, the latest first, at
    /// most `limit`, all before `before`.
    fn find(
        &mut self,
        field: Field,
        range: &Range,
        before: Seq,
        limit: u32,
        each: &mut dyn FnMut(&Found<'_>) -> Result<(), JournalError>,
    ) -> Result<(), JournalError>;

    /// Whether any entry has the term.
    fn has_term(&mut self, field: Field, value: &str) -> Result<bool, JournalError>;

    /// Calls `each` with every term of the index, in order.
    fn all_terms(&mut self, each: &mut dyn FnMut(RawTerm<'_>)) -> Result<(), JournalError>;

    /// Appends a row and its terms.
    fn append(&mut self, row: &Row, terms: &[Term]) -> Result<(), JournalError>;
}

/// A row as it was found.
#[derive(Debug)]
pub(crate) struct RawRow<'r> {
    pub(crate) seq: Seq,
    /// The text, unless it is no UTF-8.
    pub(crate) text: Option<&'r str>,
    /// The hash, unless it is not one.
    pub(crate) sha256: Option<Digest>,
}

/// A term as it was found: the bytes that stand there, whatever they are.
#[derive(Clone, Copy, Debug)]
pub(crate) struct RawTerm<'t> {
    pub(crate) field: &'t [u8],
    pub(crate) value: &'t [u8],
    pub(crate) seq: Seq,
}

/// A row that was found by a term.
#[derive(Debug)]
pub(crate) struct Found<'r> {
    pub(crate) seq: Seq,
    /// The text, unless it is no UTF-8.
    pub(crate) text: Option<&'r str>,
}

impl<'r> Found<'r> {
    pub(crate) fn text(&self) -> Result<&'r str, JournalError> {
        self.text.ok_or_else(|| JournalError::damaged(self.seq, "its text is not text"))
    }

    pub(crate) fn entry(&self) -> Result<Entry, JournalError> {
        Entry::read(self.text()?).map_err(|error| {
            JournalError::damaged(self.seq, format!("its text cannot be read: {error}"))
        })
    }
}

/// Which values of a field are looked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Range {
    /// This one.
    Exactly(String),
    /// Those that begin with it.
    Prefix(String),
    /// From the first to the second, both included.
    Between(String, String),
}

impl Range {
    /// The least value, and the least that is beyond it or whether the last is included.
    pub(crate) fn bounds(&self) -> (String, String) {
        match self {
            Self::Exactly(value) => (value.clone(), value.clone()),
            // No text that begins with the prefix sorts after the prefix and the last code point.
            Self::Prefix(value) => (value.clone(), format!("{value}{}", char::MAX)),
            Self::Between(from, to) => (from.clone(), to.clone()),
        }
    }
}
