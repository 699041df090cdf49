//! The journal in a file: SQLite with a write-ahead log, synced at every commit.

use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};
use std::time::Duration;

use crossread_core::document::Digest;
use rusqlite::config::DbConfig;
use rusqlite::types::ValueRef;
use rusqlite::{Connection, ErrorCode, OpenFlags, OptionalExtension as _, params};

use super::{Found, Range, RawRow, RawTerm, Rows, Store};
use crate::entry::{Head, Row, Seq};
use crate::error::JournalError;
use crate::terms::{Field, Term};

/// Marks the file as a journal of this program: "xrdj" as a number.
const APPLICATION: i64 = 0x7872_646a;
/// The layout of the tables.
const LAYOUT: i64 = 1;
/// How long to wait while somebody else writes, in seconds.
const PATIENCE: u64 = 20;

/// The tables, one statement each. `verify` compares them with what is in the file.
const TABLES: [&str; 8] = [
    "CREATE TABLE entry (seq INTEGER PRIMARY KEY, text TEXT NOT NULL, sha256 BLOB NOT NULL) STRICT",
    "CREATE TABLE term (field TEXT NOT NULL, value TEXT NOT NULL, seq INTEGER NOT NULL, \
     PRIMARY KEY (field, value, seq)) STRICT, WITHOUT ROWID",
    "CREATE TRIGGER entry_update BEFORE UPDATE ON entry \
     BEGIN SELECT RAISE(ABORT, 'entries are only appended'); END",
    "CREATE TRIGGER entry_delete BEFORE DELETE ON entry \
     BEGIN SELECT RAISE(ABORT, 'entries are only appended'); END",
    "CREATE TRIGGER entry_insert BEFORE INSERT ON entry \
     WHEN NEW.seq <> (SELECT coalesce(max(seq), 0) + 1 FROM entry) \
     BEGIN SELECT RAISE(ABORT, 'entries follow each other without gaps'); END",
    "CREATE TRIGGER term_update BEFORE UPDATE ON term \
     BEGIN SELECT RAISE(ABORT, 'terms are only appended'); END",
    "CREATE TRIGGER term_delete BEFORE DELETE ON term \
     BEGIN SELECT RAISE(ABORT, 'terms are only appended'); END",
    "CREATE TRIGGER term_insert BEFORE INSERT ON term \
     WHEN NOT EXISTS (SELECT 1 FROM entry WHERE seq = NEW.seq) \
     BEGIN SELECT RAISE(ABORT, 'a term belongs to an entry'); END",
];

#[derive(Debug)]
pub(crate) struct Sqlite {
    connection: Connection,
    path: PathBuf,
    /// Which file it is, whatever lies at the path later.
    file: Option<Identity>,
    access: Access,
}

/// What can be done with the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Access {
    Write,
    Read,
    /// Read, where nothing can be written beside the file either, which SQLite wants to do.
    ReadAlone,
}

impl Sqlite {
    /// Makes a new file. Whatever is there already stays as it is.
    pub(crate) fn create(path: &Path) -> Result<Self, JournalError> {
        // Made by the file system, so that of two who try at once only one succeeds.
        let made = std::fs::OpenOptions::new().write(true).create_new(true).open(path);
        made.map_err(|error| match error.kind() {
            std::io::ErrorKind::AlreadyExists => JournalError::Exists(path.display().to_string()),
            std::io::ErrorKind::StorageFull => JournalError::Full,
            std::io::ErrorKind::ReadOnlyFilesystem => JournalError::ReadOnly,
            _ => JournalError::Io(error),
        })?;
        Self::connect(path, Access::Write)
            .and_then(|mut store| store.make().map(|()| store))
            .inspect_err(|_| {
                // A file without tables is of no use to anybody.
                for file in [path.to_owned(), beside(path, "-wal"), beside(path, "-shm")] {
                    std::fs::remove_file(file).unwrap_or_default();
                }
            })
    }

    fn make(&mut self) -> Result<(), JournalError> {
        let connection = &mut self.connection;
        connection.pragma_update(None, "journal_mode", "WAL").map_err(failed)?;
        // All at once: whoever finds the mark of a journal finds its tables.
        let transaction = connection.transaction().map_err(failed)?;
        transaction.pragma_update(None, "application_id", APPLICATION).map_err(failed)?;
        transaction.pragma_update(None, "user_version", LAYOUT).map_err(failed)?;
        for statement in TABLES {
            transaction.execute_batch(statement).map_err(failed)?;
        }
        transaction.commit().map_err(failed)
    }

    /// Opens a file that is a journal.
    pub(crate) fn open(path: &Path) -> Result<Self, JournalError> {
        let not =
            |why: String| JournalError::NotAJournal { place: path.display().to_string(), why };
        if !path.is_file() {
            return Err(not("there is no such file; make one with `init`".to_owned()));
        }
        let writable = std::fs::OpenOptions::new().write(true).open(path).is_ok();
        let access = if writable { Access::Write } else { Access::Read };
        let mut store = match Self::connect(path, access) {
            Err(JournalError::Sqlite(error))
                if error.sqlite_error_code() == Some(ErrorCode::CannotOpen) =>
            {
                Self::connect_alone(path)?
            }
            Err(JournalError::Sqlite(error))
                if error.sqlite_error_code() == Some(ErrorCode::NotADatabase) =>
            {
                return Err(not("it is a file of another program".to_owned()));
            }
            other => other?,
        };
        let application = match store.number("application_id") {
            Err(error) if error.sqlite_error_code() == Some(ErrorCode::CannotOpen) => {
                // It is not the file that cannot be opened, but what SQLite keeps beside it.
                store = Self::connect_alone(path)?;
                store.number("application_id")
            }
            other => other,
        };
        match application {
            Ok(APPLICATION) => {}
            Ok(0) if store.is_bare() => {
                return Err(not("its making was broken off, and nothing is in it; remove it and \
                                make it again"
                    .to_owned()));
            }
            Ok(_) => return Err(not("it is a file of another program".to_owned())),
            Err(error) => match failed(error) {
                JournalError::Sqlite(error) => {
                    return Err(not(format!("it cannot be read ({error})")));
                }
                other => return Err(other),
            },
        }
        let layout = store.number("user_version").map_err(failed)?;
        if layout != LAYOUT {
            return Err(not(format!(
                "its layout is number {layout}, and this program knows {LAYOUT}"
            )));
        }
        Ok(store)
    }

    fn connect(path: &Path, access: Access) -> Result<Self, JournalError> {
        let flags = match access {
            Access::Write => OpenFlags::SQLITE_OPEN_READ_WRITE,
            Access::Read => OpenFlags::SQLITE_OPEN_READ_ONLY,
            Access::ReadAlone => OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_URI,
        };
        let name = match access {
            Access::Write | Access::Read => path.to_owned(),
            Access::ReadAlone => immutable(path),
        };
        let mut connection =
            Connection::open_with_flags(name, flags | OpenFlags::SQLITE_OPEN_NO_MUTEX)
                .map_err(failed)?;
        connection.busy_handler(Some(wait)).map_err(failed)?;
        connection.set_prepared_statement_cache_capacity(32);
        // Plans do not follow the values that are bound, or else each call would plan anew.
        connection.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_QPSG, true).map_err(failed)?;
        // Every commit is on the disk before it is acknowledged.
        connection.pragma_update(None, "synchronous", "FULL").map_err(failed)?;
        connection.pragma_update(None, "foreign_keys", false).map_err(failed)?;
        connection.pragma_update(None, "trusted_schema", false).map_err(failed)?;
        connection.pragma_update(None, "cell_size_check", true).map_err(failed)?;
        let path = std::path::absolute(path)?;
        let file = identity(&path);
        Ok(Self { connection, path, file, access })
    }

    /// Opens the file where nothing can be written beside it. Then its write-ahead log is not read,
    /// so there must be none.
    fn connect_alone(path: &Path) -> Result<Self, JournalError> {
        if std::fs::metadata(beside(path, "-wal")).is_ok_and(|log| log.len() > 0) {
            return Err(JournalError::NotClosed(path.display().to_string()));
        }
        Self::connect(path, Access::ReadAlone)
    }

    fn number(&self, name: &str) -> rusqlite::Result<i64> {
        self.connection.pragma_query_value(None, name, |row| row.get(0))
    }

    /// Whether there is no table.
    fn is_bare(&self) -> bool {
        let tables = self
            .connection
            .query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get::<_, i64>(0));
        tables.is_ok_and(|tables| tables == 0)
    }
}

/// Waits a moment while somebody else writes, unless that has been tried for too long. SQLite's own
/// waiting grows to 100 ms, in which another bench writes hundreds of entries.
fn wait(tries: i32) -> bool {
    let longest = PATIENCE.saturating_mul(1_000);
    let patient = u64::try_from(tries).is_ok_and(|tries| tries < longest);
    if patient {
        std::thread::sleep(Duration::from_millis(1));
    }
    patient
}

/// What tells one file from another: the device and the number on it.
#[cfg(unix)]
type Identity = (u64, u64);

#[cfg(unix)]
fn identity(path: &Path) -> Option<Identity> {
    use std::os::unix::fs::MetadataExt as _;
    std::fs::metadata(path).ok().map(|file| (file.dev(), file.ino()))
}

/// Elsewhere nothing can take the place of a file that is open.
#[cfg(not(unix))]
type Identity = ();

#[cfg(not(unix))]
fn identity(path: &Path) -> Option<Identity> {
    path.is_file().then_some(())
}

/// The name by which SQLite opens a file that it takes to be unchanging.
fn immutable(path: &Path) -> PathBuf {
    let mut uri = String::from("file:");
    for byte in path.as_os_str().as_encoded_bytes() {
        if byte.is_ascii_alphanumeric() {
            uri.push(char::from(*byte));
        } else {
            uri.push_str(&format!("%{byte:02X}"));
        }
    }
    uri.push_str("?immutable=1");
    PathBuf::from(uri)
}

/// A file that SQLite keeps beside the journal's.
fn beside(path: &Path, suffix: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(suffix);
    PathBuf::from(name)
}

impl Store for Sqlite {
    fn write(
        &mut self,
        work: &mut dyn FnMut(&mut dyn Rows) -> Result<(), JournalError>,
    ) -> Result<(), JournalError> {
        if self.access != Access::Write {
            return Err(JournalError::ReadOnly);
        }
        let turn = Turn::begin(&self.connection, "BEGIN IMMEDIATE")?;
        work(&mut Within(&self.connection))?;
        turn.commit()
    }

    fn read(
        &mut self,
        work: &mut dyn FnMut(&mut dyn Rows) -> Result<(), JournalError>,
    ) -> Result<(), JournalError> {
        if self.access == Access::ReadAlone {
            // Somebody else, who can write there, may have done so.
            *self = Self::connect_alone(&self.path)?;
        }
        let _turn = Turn::begin(&self.connection, "BEGIN")?;
        work(&mut Within(&self.connection))
    }

    fn faults(&mut self) -> Result<Vec<String>, JournalError> {
        let mut found = Vec::new();
        let shape: rusqlite::Result<Vec<String>> = self
            .connection
            .prepare("SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY rowid")
            .and_then(|mut statement| statement.query_map([], |row| row.get(0))?.collect());
        match shape {
            Ok(shape) if shape == TABLES => {}
            Ok(_) => found.push("its tables and triggers are not those of a journal".to_owned()),
            Err(error) => found.push(format!("its tables cannot be read: {error}")),
        }
        let mode: rusqlite::Result<String> =
            self.connection.pragma_query_value(None, "journal_mode", |row| row.get(0));
        if self.access != Access::ReadAlone && !mode.is_ok_and(|mode| mode == "wal") {
            found.push("it is not kept with a write-ahead log".to_owned());
        }
        if self.access == Access::Write
            && self.connection.is_readonly(rusqlite::MAIN_DB).unwrap_or(true)
        {
            found.push("it says of itself that it cannot be written".to_owned());
        }
        let checked: rusqlite::Result<Vec<String>> = self
            .connection
            .prepare("PRAGMA quick_check(10)")
            .and_then(|mut statement| statement.query_map([], |row| row.get(0))?.collect());
        match checked {
            Ok(said) if said == ["ok"] => {}
            Ok(said) => found.extend(said),
            Err(error) => found.push(format!("it cannot be checked: {error}")),
        }
        Ok(found)
    }

    fn again(&self) -> Option<Box<dyn Store>> {
        match self.access {
            Access::Write | Access::Read => {
                let other = Self::connect(&self.path, self.access).ok()?;
                if other.file.is_none() || other.file != self.file {
                    return None;
                }
                Some(Box::new(other))
            }
            // Two could see two states of a file that somebody else writes.
            Access::ReadAlone => None,
        }
    }
}

/// A transaction, taken back unless it is committed. Its statements are prepared once, unlike those
/// of [`rusqlite::Transaction`].
struct Turn<'c>(&'c Connection);

impl<'c> Turn<'c> {
    fn begin(connection: &'c Connection, how: &str) -> Result<Self, JournalError> {
        let turn = Self(connection);
        turn.run(how)?;
        Ok(turn)
    }

    fn commit(self) -> Result<(), JournalError> {
        self.run("COMMIT")
    }

    fn run(&self, statement: &str) -> Result<(), JournalError> {
        let done = self.0.prepare_cached(statement).and_then(|mut prepared| prepared.execute([]));
        done.map(|_| ()).map_err(failed)
    }
}

impl Drop for Turn<'_> {
    fn drop(&mut self) {
        // A failed commit may have ended it already. If it cannot be ended, the next one fails.
        if !self.0.is_autocommit() {
            self.run("ROLLBACK").unwrap_or_default();
        }
    }
}

/// The rows within a transaction.
struct Within<'t>(&'t Connection);

fn place(seq: Seq) -> i64 {
    i64::try_from(seq).unwrap_or(i64::MAX)
}

fn row(of: &rusqlite::Row<'_>) -> rusqlite::Result<Row> {
    let seq: i64 = of.get(0)?;
    let hash: [u8; 32] = of.get(2)?;
    Ok(Row { seq: u64::try_from(seq).unwrap_or(0), text: of.get(1)?, sha256: Digest::from(hash) })
}

/// Hands on rows of place and text.
fn found(
    mut rows: rusqlite::Rows<'_>,
    each: &mut dyn FnMut(&Found<'_>) -> Result<(), JournalError>,
) -> Result<(), JournalError> {
    while let Some(row) = rows.next().map_err(failed)? {
        let seq: i64 = row.get(0).map_err(failed)?;
        let seq = u64::try_from(seq).unwrap_or(0);
        each(&Found { seq, text: row.get_ref(1).ok().and_then(|text| text.as_str().ok()) })?;
    }
    Ok(())
}

impl Rows for Within<'_> {
    fn head(&mut self) -> Result<Head, JournalError> {
        let found = self
            .0
            .prepare_cached("SELECT seq, '', sha256 FROM entry ORDER BY seq DESC LIMIT 1")
            .and_then(|mut statement| statement.query_row([], row).optional())
            .map_err(failed)?;
        Ok(found.map_or(Head::NONE, |row| Head::new(row.seq, row.sha256)))
    }

    fn row(&mut self, seq: Seq) -> Result<Option<Row>, JournalError> {
        self.0
            .prepare_cached("SELECT seq, text, sha256 FROM entry WHERE seq = ?1")
            .and_then(|mut statement| statement.query_row([place(seq)], row).optional())
            .map_err(failed)
    }

    fn scan(
        &mut self,
        range: RangeInclusive<Seq>,
        each: &mut dyn FnMut(RawRow<'_>) -> Result<bool, JournalError>,
    ) -> Result<(), JournalError> {
        let (from, to) = (place(*range.start()), place(*range.end()));
        let mut statement = self
            .0
            .prepare_cached(
                "SELECT seq, text, sha256 FROM entry WHERE seq BETWEEN ?1 AND ?2 ORDER BY seq",
            )
            .map_err(failed)?;
        let mut rows = statement.query([from, to]).map_err(failed)?;
        while let Some(row) = rows.next().map_err(failed)? {
            let seq = row.get_ref(0).ok().and_then(|seq| seq.as_i64().ok()).unwrap_or(0);
            let hash = row.get_ref(2).ok().and_then(|hash| hash.as_blob().ok());
            let raw = RawRow {
                seq: u64::try_from(seq).unwrap_or(0),
                text: row.get_ref(1).ok().and_then(|text| text.as_str().ok()),
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
        let mut statement = self
            .0
            .prepare_cached(
                "SELECT entry.seq, entry.text FROM term JOIN entry USING (seq) \
                 WHERE field = ?1 AND value = ?2 AND term.seq > ?3 ORDER BY term.seq",
            )
            .map_err(failed)?;
        let values = params![field.word(), field.fold(value), place(after)];
        found(statement.query(values).map_err(failed)?, each)
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
        let one = "SELECT entry.seq, entry.text FROM term JOIN entry USING (seq) \
                   WHERE field = ?1 AND value = ?2 AND term.seq < ?4 AND value <= ?3 \
                   ORDER BY term.seq DESC LIMIT ?5";
        let many = "SELECT seq, text FROM entry WHERE seq IN \
                    (SELECT seq FROM term WHERE field = ?1 AND value BETWEEN ?2 AND ?3 AND seq < ?4) \
                    ORDER BY seq DESC LIMIT ?5";
        let query = if from == to { one } else { many };
        let mut statement = self.0.prepare_cached(query).map_err(failed)?;
        let values = params![field.word(), from, to, place(before), limit];
        found(statement.query(values).map_err(failed)?, each)
    }

    fn has_term(&mut self, field: Field, value: &str) -> Result<bool, JournalError> {
        self.0
            .prepare_cached("SELECT 1 FROM term WHERE field = ?1 AND value = ?2 LIMIT 1")
            .and_then(|mut statement| statement.exists(params![field.word(), field.fold(value)]))
            .map_err(failed)
    }

    fn all_terms(&mut self, each: &mut dyn FnMut(RawTerm<'_>)) -> Result<(), JournalError> {
        let mut statement = self
            .0
            .prepare_cached("SELECT field, value, seq FROM term ORDER BY field, value, seq")
            .map_err(failed)?;
        let mut rows = statement.query([]).map_err(failed)?;
        while let Some(row) = rows.next().map_err(failed)? {
            let text = |at: usize| match row.get_ref(at) {
                Ok(ValueRef::Text(text)) => text,
                Ok(_) | Err(_) => &[],
            };
            let seq = row.get_ref(2).ok().and_then(|seq| seq.as_i64().ok()).unwrap_or(0);
            let seq = u64::try_from(seq).unwrap_or(0);
            each(RawTerm { field: text(0), value: text(1), seq });
        }
        Ok(())
    }

    fn append(&mut self, row: &Row, terms: &[Term]) -> Result<(), JournalError> {
        self.0
            .prepare_cached("INSERT INTO entry (seq, text, sha256) VALUES (?1, ?2, ?3)")
            .and_then(|mut statement| {
                statement.execute(params![place(row.seq), row.text, row.sha256.as_bytes()])
            })
            .map_err(failed)?;
        let mut statement = self
            .0
            .prepare_cached("INSERT INTO term (field, value, seq) VALUES (?1, ?2, ?3)")
            .map_err(failed)?;
        for term in terms {
            statement
                .execute(params![term.field.word(), term.value, place(term.seq)])
                .map_err(failed)?;
        }
        Ok(())
    }
}

/// What a failure of SQLite means to who writes.
fn failed(error: rusqlite::Error) -> JournalError {
    // No room for the file by which those who have the journal open agree with each other.
    if error.sqlite_extended_error_code() == Some(rusqlite::ffi::SQLITE_IOERR_SHMSIZE) {
        return JournalError::Full;
    }
    match error.sqlite_error_code() {
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => JournalError::Busy(PATIENCE),
        Some(ErrorCode::DiskFull) => JournalError::Full,
        Some(ErrorCode::ReadOnly) => JournalError::ReadOnly,
        _ => JournalError::Sqlite(error),
    }
}
