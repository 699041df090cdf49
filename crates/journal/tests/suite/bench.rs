//! A journal to try things on: in a file, or on a server if there is one.

use std::sync::atomic::{AtomicU32, Ordering};

use crossread_core::document::{Id, Time};
use crossread_core::protocol::Protocols;
use crossread_core::worksheet::draft;
use crossread_journal::{
    DonorAdded, Journal, JournalError, Known, Location, Opening, ReadingEntered, SampleAdded,
    Writer, Written,
};
use tempfile::TempDir;

/// Where the journals of the suite lie.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Kind {
    File,
    Server,
}

/// A journal, and where it lies.
pub(crate) struct Bench {
    pub(crate) journal: Journal,
    pub(crate) place: Location,
    _folder: Option<TempDir>,
}

/// The variable that says where a server is: a URL of a database in which others may be made.
pub(crate) const SERVER: &str = "CROSSREAD_POSTGRES";

impl Bench {
    /// A new journal; none, said aloud, if there is no server.
    pub(crate) fn new(kind: Kind) -> Option<Self> {
        let (place, folder) = place(kind)?;
        let journal =
            Journal::create(&place, "Brindlemoor Animal Hospital", &kt("02:40:00")).unwrap();
        Some(Self { journal, place, _folder: folder })
    }

    pub(crate) fn open(&mut self, opening: &str) -> Result<Written, JournalError> {
        let opening: Opening = serde_json::from_str(opening).unwrap();
        self.journal.open_worksheet(&kt("02:41:00"), &opening, Protocols::shipped())
    }

    pub(crate) fn sample(&mut self, on: &str, sample: &str) -> Result<Written, JournalError> {
        let sample = draft::Sample::from_json(sample.as_bytes()).unwrap();
        let added = SampleAdded { sample, overridden: None };
        self.journal.enter(&kt("02:45:00"), &id(on), added)
    }

    pub(crate) fn donor(&mut self, on: &str, donor: &str) -> Result<Written, JournalError> {
        let donor = draft::Donor::from_json(donor.as_bytes()).unwrap();
        let added = DonorAdded { donor, known: Known::default(), overridden: None };
        self.journal.enter(&kt("02:46:00"), &id(on), added)
    }

    /// Enters a reading, seen and entered at a time.
    pub(crate) fn read(
        &mut self,
        on: &str,
        at: &str,
        reading: &str,
    ) -> Result<Written, JournalError> {
        self.read_by(on, "KT", at, reading)
    }

    pub(crate) fn read_by(
        &mut self,
        on: &str,
        by: &str,
        at: &str,
        reading: &str,
    ) -> Result<Written, JournalError> {
        let reading: draft::Reading = reading_of(reading);
        let entered = ReadingEntered { reading, transcribed: false };
        self.journal.enter(&Writer::new(by, time(at)), &id(on), entered)
    }
}

/// A reading in short: test, donor or `-`, phase, grade, hemolysis or `-`.
pub(crate) fn reading_of(short: &str) -> draft::Reading {
    let parts: Vec<&str> = short.split_whitespace().collect();
    let [test, donor, phase, grade, hemolysis] = parts[..] else { panic!("{short}") };
    let mut reading = serde_json::json!({
        "test": test, "phase": phase, "agglutination": grade, "at": "2026-03-01T00:00:00+01:00",
    });
    if donor != "-" {
        reading["donor"] = donor.into();
    }
    if hemolysis != "-" {
        reading["hemolysis"] = hemolysis.parse::<u32>().unwrap().into();
    }
    let mut reading = draft::Reading::from_json(reading.to_string().as_bytes()).unwrap();
    reading.at = None;
    reading
}

pub(crate) fn id(text: &str) -> Id {
    Id::new(text).unwrap()
}

/// A time in the night of the suite.
pub(crate) fn time(clock: &str) -> Time {
    Time::new(&format!("2026-03-01T{clock}+01:00")).unwrap()
}

pub(crate) fn kt(clock: &str) -> Writer {
    Writer::new("KT", time(clock))
}

/// A place for a new journal.
pub(crate) fn place(kind: Kind) -> Option<(Location, Option<TempDir>)> {
    static NUMBER: AtomicU32 = AtomicU32::new(0);
    match kind {
        Kind::File => {
            let folder = tempfile::tempdir().unwrap();
            let place = Location::from(folder.path().join("night.journal").as_path());
            Some((place, Some(folder)))
        }
        Kind::Server => {
            let Ok(url) = std::env::var(SERVER) else {
                eprintln!("SKIPPED, not passed: no server; {SERVER} is not set");
                return None;
            };
            let number = NUMBER.fetch_add(1, Ordering::Relaxed);
            let name = format!("crossread_{}_{number}", std::process::id());
            let mut client = postgres::Client::connect(&url, postgres::NoTls).unwrap();
            client.batch_execute(&format!("CREATE DATABASE {name}")).unwrap();
            let (server, _) = url.rsplit_once('/').unwrap();
            Some((Location::new(&format!("{server}/{name}")), None))
        }
    }
}
