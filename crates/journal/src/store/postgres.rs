//! The journal on a server that speaks the PostgreSQL protocol.
//!
//! The connection is not encrypted: it is meant for the loopback address and for sockets. One
//! database holds one journal.

use std::ops::RangeInclusive;

use crossread_core::document::Digest;
use postgres::fallible_iterator::FallibleIterator as _;
use postgres::{Client, NoTls, Transaction};

use super::{Found, Range, RawRow, RawTerm, Rows, Store};
use crate::entry::{Head, Row, Seq};
use crate::error::JournalError;
use crate::terms::{Field, Term};

/// The key of the lock that makes writers take turns.
const TURN: i64 = 0x7872_646a;
/// How long to wait while somebody else writes, in seconds.
const PATIENCE: u64 = 20;

/// The tables. Values are compared byte by byte, so that ranges mean the same as in a file.
const TABLES: &str = "
    CREATE TABLE crossread_entry (
        seq bigint PRIMARY KEY, text text NOT NULL, sha256 bytea NOT NULL
    );
    CREATE TABLE crossread_term (
        field text COLLATE \"C\" NOT NULL, value text COLLATE \"C\" NOT NULL, seq bigint NOT NULL,
        PRIMARY KEY (field, value, seq)
    );
    CREATE FUNCTION crossread_append_only() RETURNS trigger LANGUAGE plpgsql AS
        $$ BEGIN RAISE EXCEPTION 'entries are only appended'; END $$;
    CREATE TRIGGER crossread_entry_kept BEFORE UPDATE OR DELETE OR TRUNCATE ON crossread_entry
        EXECUTE FUNCTION crossread_append_only();
    CREATE TRIGGER crossread_term_kept BEFORE UPDATE OR DELETE OR TRUNCATE ON crossread_term
        EXECUTE FUNCTION crossread_append_only();
";

pub(crate) struct Postgres {
    client: Client,
    url: String,
}

impl Postgres {
    /// Makes the tables in a database that has none of them.
    pub(crate) fn create(url: &str) -> Result<Self, JournalError> {
        let mut store = Self::connect(url)?;
        if store.has_tables()? {
            return Err(JournalError::Exists("the database".to_owned()));
        }
        store.client.batch_execute(&format!("BEGIN; {TABLES} COMMIT;")).map_err(failed)?;
        Ok(store)
    }

    /// Opens a database that holds a journal.
    pub(crate) fn open(url: &str) -> Result<Self, JournalError> {
        let mut store = Self::connect(url)?;
        if !store.has_tables()? {
            return Err(JournalError::NotAJournal {
                place: "the database".to_owned(),
                why: "it has no tables of a journal; make them with `init`".to_owned(),
            });
        }
        Ok(store)
    }

    fn connect(url: &str) -> Result<Self, JournalError> {
        let mut client = Client::connect(url, NoTls).map_err(failed)?;
        client
            .batch_execute(&format!(
                "SET synchronous_commit = on; SET client_min_messages = warning; \
                 SET lock_timeout = '{PATIENCE}s'; SET standard_conforming_strings = on"
            ))
            .map_err(failed)?;
        Ok(Self { client, url: url.to_owned() })
    }

    fn has_tables(&mut self) -> Result<bool, JournalError> {
        self.client
            .query_one("SELECT to_regclass('crossread_entry') IS NOT NULL", &[])
            .and_then(|row| row.try_get(0))
            .map_err(failed)
    }
}

impl Store for Postgres {
    fn write(
        &mut self,
        work: &mut dyn FnMut(&mut dyn Rows) -> Result<(), JournalError>,
    ) -> Result<(), JournalError> {
        let mut transaction = self.client.transaction().map_err(failed)?;
        transaction.execute("SELECT pg_advisory_xact_lock($1)", &[&TURN]).map_err(failed)?;
        work(&mut Within(&mut transaction))?;
        transaction.commit().map_err(failed)
    }

    fn read(
        &mut self,
        work: &mut dyn FnMut(&mut dyn Rows) -> Result<(), JournalError>,
    ) -> Result<(), JournalError> {
        let mut transaction = self
            .client
            .build_transaction()
            .isolation_level(postgres::IsolationLevel::RepeatableRead)
            .read_only(true)
            .start()
            .map_err(failed)?;
        work(&mut Within(&mut transaction))
    }

    fn faults(&mut self) -> Result<Vec<String>, JournalError> {
        let kept: i64 = self
            .client
            .query_one(
                "SELECT count(*) FROM pg_trigger WHERE tgname IN \
                 ('crossread_entry_kept', 'crossread_term_kept') AND tgenabled IN ('O', 'A')",
                &[],
            )
            .and_then(|row| row.try_get(0))
            .map_err(failed)?;
        let missing = "the triggers that refuse changes are missing or switched off";
        Ok(if kept == 2 { Vec::new() } else { vec![missing.to_owned()] })
    }

    fn again(&self) -> Option<Box<dyn Store>> {
        Some(Box::new(Self::connect(&self.url).ok()?))
    }
}

/// The rows within a transaction.
struct Within<'t, 'c>(&'t mut Transaction<'c>);

fn place(seq: Seq) -> i64 {
    i64::try_from(seq).unwrap_or(i64::MAX)
}

fn row(of: &postgres::Row) -> Result<Row, JournalError> {
    let seq: i64 = of.try_get(0).map_err(failed)?;
    let seq = u64::try_from(seq).unwrap_or(0);
    let hash: &[u8] = of.try_get(2).map_err(failed)?;
    let hash = <[u8; 32]>::try_from(hash)
        .map_err(|_wrong| JournalError::damaged(seq, "its hash has not 32 bytes"))?;
    Ok(Row { seq, text: of.try_get(1).map_err(failed)?, sha256: Digest::from(hash) })
}

/// Hands on rows of place and text.
fn found(
    rows: &[postgres::Row],
    each: &mut dyn FnMut(&Found<'_>) -> Result<(), JournalError>,
) -> Result<(), JournalError> {
    for row in rows {
        let seq: i64 = row.try_get(0).map_err(failed)?;
        each(&Found { seq: u64::try_from(seq).unwrap_or(0), text: row.try_get(1).ok() })?;
    }
    Ok(())
}

impl Rows for Within<'_, '_> {
    fn head(&mut self) -> Result<Head, JournalError> {
        let found = self
            .0
            .query_opt("SELECT seq, '', sha256 FROM crossread_entry ORDER BY seq DESC LIMIT 1", &[])
            .map_err(failed)?;
        let Some(found) = found else { return Ok(Head::NONE) };
        let found = row(&found)?;
        Ok(Head::new(found.seq, found.sha256))
    }

    fn row(&mut self, seq: Seq) -> Result<Option<Row>, JournalError> {
        let query = "SELECT seq, text, sha256 FROM crossread_entry WHERE seq = $1";
        let found = self.0.query_opt(query, &[&place(seq)]).map_err(failed)?;
        found.as_ref().map(row).transpose()
    }

    fn scan(
        &mut self,
        range: RangeInclusive<Seq>,
        each: &mut dyn FnMut(RawRow<'_>) -> Result<bool, JournalError>,
    ) -> Result<(), JournalError> {
        let query = "SELECT seq, text, sha256 FROM crossread_entry \
                     WHERE seq BETWEEN $1 AND $2 ORDER BY seq";
        let (from, to) = (place(*range.start()), place(*range.end()));
        let mut rows = self.0.query_raw(query, [from, to]).map_err(failed)?;
        while let Some(row) = rows.next().map_err(failed)? {
            let seq: i64 = row.try_get(0).map_err(failed)?;
            let hash: Option<&[u8]> = row.try_get(2).ok();
            let raw = RawRow {
                seq: u64::try_from(seq).unwrap_or(0),
                text: row.try_get(1).ok(),
                sha256: hash.and_then(|hash| <[u8; 32]>::try_from(hash).ok()).map(Digest::from),
            };
            if !each(raw)? {
                break;
            }
        }
        Ok(())
    }

    fn with_term(
        &mut self,
        field: Field,
        value: &str,
        after: Seq,
        each: &mut dyn FnMut(&Found<'_>) -> Result<(), JournalError>,
    ) -> Result<(), JournalError> {
        let query = "SELECT e.seq, e.text FROM crossread_term t \
                     JOIN crossread_entry e ON e.seq = t.seq \
                     WHERE field = $1 AND value = $2 AND t.seq > $3 ORDER BY t.seq";
        let rows = self
            .0
            .query(query, &[&field.word(), &field.fold(value), &place(after)])
            .map_err(failed)?;
        found(&rows, each)
    }

    fn find(
        &mut self,
        field: Field,
        range: &Range,
        before: Seq,
        limit: u32,
        each: &mut dyn FnMut(&Found<'_>) -> Result<(), JournalError>,
    ) -> Result<(), JournalError> {
        let (from, to) = range.bounds();
        let query = "SELECT seq, text FROM crossread_entry WHERE seq IN \
                     (SELECT seq FROM crossread_term WHERE field = $1 AND value BETWEEN $2 AND $3 \
                     AND seq < $4) ORDER BY seq DESC LIMIT $5";
        let limit = i64::from(limit);
        let rows = self
            .0
            .query(query, &[&field.word(), &from, &to, &place(before), &limit])
            .map_err(failed)?;
        found(&rows, each)
    }

    fn has_term(&mut self, field: Field, value: &str) -> Result<bool, JournalError> {
        let query = "SELECT 1 FROM crossread_term WHERE field = $1 AND value = $2 LIMIT 1";
        let found =
            self.0.query_opt(query, &[&field.word(), &field.fold(value)]).map_err(failed)?;
        Ok(found.is_some())
    }

    fn all_terms(&mut self, each: &mut dyn FnMut(RawTerm<'_>)) -> Result<(), JournalError> {
        let query = "SELECT field, value, seq FROM crossread_term ORDER BY field, value, seq";
        let none: [i64; 0] = [];
        let mut rows = self.0.query_raw(query, none).map_err(failed)?;
        while let Some(row) = rows.next().map_err(failed)? {
            let field: &str = row.try_get(0).map_err(failed)?;
            let value: &str = row.try_get(1).map_err(failed)?;
            let seq: i64 = row.try_get(2).map_err(failed)?;
            let (field, value) = (field.as_bytes(), value.as_bytes());
            each(RawTerm { field, value, seq: u64::try_from(seq).unwrap_or(0) });
        }
        Ok(())
    }

    fn append(&mut self, row: &Row, terms: &[Term]) -> Result<(), JournalError> {
        let hash: &[u8] = row.sha256.as_bytes();
        self.0
            .execute(
                "INSERT INTO crossread_entry (seq, text, sha256) VALUES ($1, $2, $3)",
                &[&place(row.seq), &row.text, &hash],
            )
            .map_err(failed)?;
        for term in terms {
            self.0
                .execute(
                    "INSERT INTO crossread_term (field, value, seq) VALUES ($1, $2, $3)",
                    &[&term.field.word(), &term.value, &place(term.seq)],
                )
                .map_err(failed)?;
        }
        Ok(())
    }
}

/// What a failure of the server means to who writes.
fn failed(error: postgres::Error) -> JournalError {
    use postgres::error::SqlState;
    match error.code() {
        Some(code) if *code == SqlState::LOCK_NOT_AVAILABLE => JournalError::Busy(PATIENCE),
        Some(code) if *code == SqlState::DISK_FULL => JournalError::Full,
        Some(code) if *code == SqlState::READ_ONLY_SQL_TRANSACTION => JournalError::ReadOnly,
        _ => JournalError::Postgres(error),
    }
}
