//! The journal itself: where it lies, how it is made and opened, and what it gives out.

use std::fmt;
use std::path::{Path, PathBuf};

use crossread_core::document::{Id, Text};
use crossread_core::worksheet::draft;

use crate::books::{self, Books, Memory, Writer};
use crate::entry::{Entry, Head, Seq};
use crate::error::{JournalError, says};
use crate::event::{Event, JournalOpened, LookBegun};
use crate::known::{Past, Warning};
use crate::sheet::{Sheet, View, cell};
use crate::store::Store;
use crate::store::postgres::Postgres;
use crate::store::sqlite::Sqlite;
use crate::terms::Field;

/// Where a journal lies.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Location {
    /// In a file.
    File(PathBuf),
    /// On a server that speaks the PostgreSQL protocol, as a URL of it. The connection is not
    /// encrypted, so it is for the loopback address and for sockets.
    Server(String),
}

impl Location {
    /// A URL that begins with `postgres://` or `postgresql://`, or else a path.
    ///
    /// ```
    /// # use crossread_journal::Location;
    /// let server = Location::new("postgres://127.0.0.1/night");
    /// assert_eq!(server, Location::Server("postgres://127.0.0.1/night".to_owned()));
    /// assert_eq!(Location::new("night.journal"), Location::File("night.journal".into()));
    /// ```
    pub fn new(place: &str) -> Self {
        if place.starts_with("postgres://") || place.starts_with("postgresql://") {
            Self::Server(place.to_owned())
        } else {
            Self::File(PathBuf::from(place))
        }
    }
}

impl From<&Path> for Location {
    fn from(path: &Path) -> Self {
        Self::File(path.to_owned())
    }
}

/// An open journal.
///
/// Each example of its methods takes up one night at the bench: worksheet `WS-1` for the dog Juniper
/// (`R-3107`), donor `D-091` with the unit `U-5512`, KT at the bench. What was done before an example
/// begins is in its first line.
///
/// ```
/// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
/// # use night::*;
/// // Nothing was entered but the opening.
/// let mut journal = opened();
/// assert_eq!(journal.of()?.as_str(), "Brindlemoor Animal Hospital");
/// // The opening of the journal, the protocol, the worksheet.
/// assert_eq!(journal.head()?.seq, 3);
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
pub struct Journal {
    pub(crate) store: Box<dyn Store>,
    pub(crate) memory: Memory,
}

impl fmt::Debug for Journal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Journal").finish_non_exhaustive()
    }
}

/// What was written.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Written {
    /// The entry of what was asked for.
    pub seq: Seq,
    /// What should be said to who wrote it, now.
    pub notices: Vec<Text>,
    /// Tasks that it raised.
    pub raised: Vec<Seq>,
}

impl Written {
    pub(crate) fn new(seq: Seq) -> Self {
        Self { seq, notices: Vec::new(), raised: Vec::new() }
    }
}

impl Journal {
    /// Makes a new journal and opens it. `of` says whose it is, such as the hospital's name.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let folder = tempfile::tempdir()?;
    /// let place = Location::from(folder.path().join("night.journal").as_path());
    /// let mut journal = Journal::create(&place, "Brindlemoor Animal Hospital", &kt("02:40"))?;
    /// assert_eq!(journal.head()?.seq, 1);
    /// // It never takes the place of another.
    /// let again = Journal::create(&place, "Brindlemoor Animal Hospital", &kt("02:41"));
    /// assert!(matches!(again, Err(JournalError::Exists(_))));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If something is there already, the writer has no name, or it cannot be written.
    pub fn create(place: &Location, of: &str, writer: &Writer) -> Result<Self, JournalError> {
        // Before anything is made that would be left behind.
        says(writer.by.as_str(), "who writes")?;
        let mut journal = Self::make(place)?;
        let opened = JournalOpened::new(Text::from(of));
        journal.write(|books| books.append(writer, None, None, opened.clone().into()))?;
        Ok(journal)
    }

    /// Makes a new journal without any entry, to take over an export; or opens the one that is left
    /// when an export was refused.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut night = read();
    /// let mut export = Vec::new();
    /// night.export(&mut export)?;
    /// let place = Location::from(night.folder.path().join("copy.journal").as_path());
    /// let mut copy = Journal::create_empty(&place)?;
    /// assert_eq!(copy.import(&mut export.as_slice())?.head, night.head()?);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If something else is there already, or it cannot be written.
    pub fn create_empty(place: &Location) -> Result<Self, JournalError> {
        let made = Self::make(place);
        if matches!(made, Err(JournalError::Exists(_)))
            && let Ok(mut left) = Self::open(place)
            && left.head()?.seq == 0
        {
            return Ok(left);
        }
        made
    }

    fn make(place: &Location) -> Result<Self, JournalError> {
        let store: Box<dyn Store> = match place {
            Location::File(path) => Box::new(Sqlite::create(path)?),
            Location::Server(url) => Box::new(Postgres::create(url)?),
        };
        Ok(Self { store, memory: Memory::default() })
    }

    /// Opens a journal.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let night = read();
    /// // The same journal from another bench.
    /// let place = Location::from(night.folder.path().join("night.journal").as_path());
    /// let mut other = Journal::open(&place)?;
    /// assert_eq!(other.sheet(&id("WS-1"))?.readings.len(), 2);
    /// assert!(Journal::open(&Location::new("no such.journal")).is_err());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If there is none, it is of another program or a later layout, or cannot be read.
    pub fn open(place: &Location) -> Result<Self, JournalError> {
        let store: Box<dyn Store> = match place {
            Location::File(path) => Box::new(Sqlite::open(path)?),
            Location::Server(url) => Box::new(Postgres::open(url)?),
        };
        Ok(Self { store, memory: Memory::default() })
    }

    pub(crate) fn write<T>(
        &mut self,
        work: impl FnMut(&mut Books<'_>) -> Result<T, JournalError>,
    ) -> Result<T, JournalError> {
        books::write(self.store.as_mut(), &mut self.memory, work)
    }

    pub(crate) fn read<T>(
        &mut self,
        work: impl FnMut(&mut Books<'_>) -> Result<T, JournalError>,
    ) -> Result<T, JournalError> {
        books::read(self.store.as_mut(), &mut self.memory, work)
    }

    /// The last entry's place and hash.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = read();
    /// let before = journal.head()?;
    /// journal.enter(&kt("03:31"), &id("WS-1"), Note { text: "saline was fresh".into() })?;
    /// assert_eq!(journal.head()?.seq, before.seq + 1);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If the journal cannot be read.
    pub fn head(&mut self) -> Result<Head, JournalError> {
        self.read(|books| books.rows.head())
    }

    /// Whose journal it is.
    ///
    /// # Errors
    /// If the journal cannot be read, or has no first entry.
    pub fn of(&mut self) -> Result<Text, JournalError> {
        self.read(|books| match books.entry(1)?.event {
            Event::JournalOpened(opened) => Ok(opened.of),
            _ => Err(JournalError::damaged(1, "it does not open a journal")),
        })
    }

    /// A worksheet with everything that was entered on it. Of a reading that waits for the second
    /// reader, what was seen is left out.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = read();
    /// let sheet = journal.sheet(&id("WS-1"))?;
    /// assert_eq!(sheet.recipient(), Some(&id("R-3107")));
    /// assert_eq!((sheet.donors().count(), sheet.readings.len()), (1, 2));
    /// assert!(journal.sheet(&id("WS-2")).is_err());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If there is no such worksheet, or the journal cannot be read.
    pub fn sheet(&mut self, id: &Id) -> Result<Sheet, JournalError> {
        self.read(|books| books.with_sheet(id, |_, sheet| Ok(sheet.given_out())))
    }

    /// A worksheet as the document of the format `crossread.worksheet/1`, without readings that wait
    /// for the second reader.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// # use crossread_core::Worksheet;
    /// let mut journal = read();
    /// let view = journal.view(&id("WS-1"))?;
    /// let worksheet = Worksheet::from_json(&view.document, Protocols::shipped())?;
    /// assert_eq!(worksheet.readings().len(), 2);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If there is no such worksheet, or it has no donor yet.
    pub fn view(&mut self, id: &Id) -> Result<View, JournalError> {
        self.read(|books| books.with_sheet(id, Books::view))
    }

    /// The entries of a worksheet, in order. Of a reading that waits for the second reader, what
    /// was seen is left out.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = read();
    /// let kinds: Vec<_> = journal.entries(&id("WS-1"))?.iter().map(|of| of.event.kind()).collect();
    /// assert_eq!(kinds[..3], [Kind::WorksheetOpened, Kind::DonorAdded, Kind::SampleAdded]);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If there is no such worksheet, or the journal cannot be read.
    pub fn entries(&mut self, id: &Id) -> Result<Vec<Entry>, JournalError> {
        self.read(|books| {
            books.with_sheet(id, |books, sheet| {
                let mut entries = Vec::new();
                books.rows.with_term(Field::Worksheet, id.as_str(), 0, &mut |row| {
                    entries.push(sheet.entry_given_out(row.entry()?));
                    Ok(())
                })?;
                Ok(entries)
            })
        })
    }

    /// One entry. Of a reading that waits for the second reader, what was seen is left out.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = read();
    /// let seq = journal.head()?.seq;
    /// let entry = journal.entry(seq - 1)?;
    /// assert_eq!((entry.by.as_str(), entry.at), ("KT", time("03:29")));
    /// assert!(matches!(entry.event, Event::ReadingEntered(_)));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If there is no such entry, or the journal cannot be read.
    pub fn entry(&mut self, seq: Seq) -> Result<Entry, JournalError> {
        self.read(|books| {
            let entry = books.entry(seq)?;
            match (&entry.worksheet, &entry.event) {
                (Some(id), Event::ReadingEntered(_) | Event::LookBegun(_)) => {
                    let id = id.clone();
                    books.with_sheet(&id, |_, sheet| Ok(sheet.entry_given_out(entry)))
                }
                _ => Ok(entry),
            }
        })
    }

    /// An animal's past, and what must be shown of it before anything else.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = released();
    /// let (past, warnings) = journal.animal(&id("R-3107"))?;
    /// assert_eq!(past.transfusions.len(), 1);
    /// assert!(matches!(warnings[0], Warning::Transfused(_)));
    /// assert!(journal.animal(&id("R-3120"))?.0.is_empty());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If the journal cannot be read.
    pub fn animal(&mut self, id: &Id) -> Result<(Past, Vec<Warning>), JournalError> {
        self.read(|books| {
            let past = books.past(id, None)?;
            let warnings = past.warnings(id, &[]);
            Ok((past, warnings))
        })
    }
}

impl Sheet {
    /// The worksheet without what was seen in readings that wait for the second reader.
    fn given_out(&self) -> Self {
        let mut sheet = self.clone();
        for reading in &mut sheet.readings {
            if self.is_sealed(reading) {
                seal(&mut reading.value.reading);
            }
        }
        sheet.looks.retain(|begun| !self.is_look_sealed(begun));
        sheet
    }

    fn entry_given_out(&self, mut entry: Entry) -> Entry {
        match &mut entry.event {
            Event::ReadingEntered(entered)
                if self.is_cell_sealed(cell(&entered.reading).as_ref()) =>
            {
                seal(&mut entered.reading);
            }
            // The steps of a look say the same as the reading that it became.
            Event::LookBegun(begun) if self.is_cell_sealed(Some(&begun.of)) => {
                *begun = LookBegun::new(begun.of.clone());
            }
            _ => {}
        }
        entry
    }
}

/// Takes out of a reading everything that was seen, and leaves which mixture it was, when and by
/// whom.
fn seal(reading: &mut draft::Reading) {
    let draft::Reading { test, phase, at, donor, after, by, .. } = std::mem::take(reading);
    *reading = draft::Reading { test, phase, at, donor, after, by, ..draft::Reading::default() };
}
