//! A journal to try things on: in a file, or on a server if there is one.

use std::sync::atomic::{AtomicU32, Ordering};

use crossread_core::document::{Id, Text, Time};
use crossread_core::protocol::Protocols;
use crossread_core::words::Verdict;
use crossread_core::worksheet::draft;
use crossread_journal::{
    DonorAdded, Journal, JournalError, Known, Location, Opening, ReadingEntered, Release,
    SampleAdded, Writer, Written,
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
    /// Kept until the journal is closed.
    #[expect(dead_code, reason = "it is removed when it is dropped")]
    pub(crate) folder: Option<TempDir>,
}

/// The variable that says where a server is: a URL of a database in which others may be made.
pub(crate) const SERVER: &str = "CROSSREAD_POSTGRES";

impl Bench {
    /// A new journal; none, said aloud, if there is no server.
    pub(crate) fn new(kind: Kind) -> Option<Self> {
        let (place, folder) = place(kind)?;
        let journal =
            Journal::create(&place, "Brindlemoor Animal Hospital", &kt("02:40:00")).unwrap();
        Some(Self { journal, place, folder })
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

    /// Opens a worksheet for a dog that was never transfused.
    pub(crate) fn open_dog(&mut self, worksheet: &str, recipient: &str) -> Written {
        self.open(&dog(worksheet, recipient)).unwrap()
    }

    /// A whole run with one donor that comes to `compatible`, not issued yet.
    pub(crate) fn clean_run(&mut self, worksheet: &str, recipient: &str, donor: &str, unit: &str) {
        self.open_dog(worksheet, recipient);
        self.clean_but_open(worksheet, donor, unit);
    }

    /// The verdict of a donor as the worksheet stands.
    pub(crate) fn verdict(&mut self, worksheet: &str, donor: &str) -> Verdict {
        let interpretation = self.journal.interpretation(&id(worksheet)).unwrap();
        interpretation.pairs.iter().find(|pair| pair.donor == id(donor)).unwrap().verdict
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

/// The opening of a worksheet for a dog that was never transfused.
pub(crate) fn dog(worksheet: &str, recipient: &str) -> String {
    format!(
        r#"{{ "worksheet": "{worksheet}", "protocol": {{ "id": "dog-routine", "version": "1.0.0" }},
             "method": "tube",
             "recipient": {{ "id": "{recipient}", "name": "Juniper", "species": "dog",
               "types": [ {{ "system": "DEA 1", "result": "negative" }} ],
               "history": {{ "transfused": "never", "pregnant": "never", "reaction": "never" }} }} }}"#
    )
}

/// The same opening, with something else in place of a part of it.
pub(crate) fn dog_but(worksheet: &str, recipient: &str, from: &str, to: &str) -> String {
    let opening = dog(worksheet, recipient);
    assert!(opening.contains(from), "{from}");
    opening.replace(from, to)
}

pub(crate) fn dog_donor(donor: &str, unit: &str) -> String {
    format!(
        r#"{{ "id": "{donor}", "species": "dog", "product": "packed_cells",
             "types": [ {{ "system": "DEA 1", "result": "negative" }} ],
             "unit": {{ "number": "{unit}", "expires_on": "2026-03-20", "inspection": "normal" }} }}"#
    )
}

/// Serum drawn at 01:10 in the night of the suite.
pub(crate) fn serum_of(animal: &str) -> String {
    format!(
        r#"{{ "id": "S-{animal}", "of": "{animal}", "role": "both", "tube": "serum",
             "stored": "fridge", "drawn_at": "2026-03-01T01:10:00+01:00", "hemolysis": 0,
             "lipemia": 0, "icterus": 0, "clots": false, "agglutinated": false,
             "label_id": "{animal}" }}"#
    )
}

pub(crate) fn release_of(worksheet: &str, donor: &str, recipient: &str, unit: &str) -> Release {
    Release {
        worksheet: id(worksheet),
        donor: id(donor),
        to: Text::from("LM"),
        veterinarian: Text::from("Dr Vane"),
        typed_recipient: Text::from(recipient),
        typed_unit: Text::from(unit),
    }
}

/// Whether an answer is a refusal of the kind, and nothing was written.
macro_rules! refused {
    ($bench:expr, $call:expr, $refusal:pat $(if $guard:expr)?) => {{
        let before = $bench.journal.head().unwrap();
        match $call {
            Err(crossread_journal::JournalError::Refused($refusal)) $(if $guard)? => {}
            other => panic!("not refused as it should be: {other:?}"),
        }
        assert_eq!($bench.journal.head().unwrap(), before);
    }};
}
pub(crate) use refused;

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
                // Past the test runner, which keeps what a test that passes prints to itself.
                let told =
                    b"SKIPPED, not passed: a test on a server; CROSSREAD_POSTGRES is not set\n";
                std::io::Write::write_all(&mut std::io::stderr(), told).unwrap();
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

impl Drop for Bench {
    /// Leaves no database behind.
    fn drop(&mut self) {
        if let (Location::Server(place), Ok(url)) = (&self.place, std::env::var(SERVER)) {
            let name = place.rsplit('/').next().unwrap_or_default();
            let mut client = postgres::Client::connect(&url, postgres::NoTls).unwrap();
            client.batch_execute(&format!("DROP DATABASE {name} WITH (FORCE)")).unwrap();
        }
    }
}

impl Bench {
    /// A whole run with one donor on a worksheet that is open.
    pub(crate) fn clean_but_open(&mut self, worksheet: &str, donor: &str, unit: &str) {
        let sheet = self.journal.sheet(&id(worksheet)).unwrap();
        let recipient = sheet.recipient().unwrap().to_string();
        self.donor(worksheet, &dog_donor(donor, unit)).unwrap();
        self.sample(worksheet, &serum_of(&recipient)).unwrap();
        self.read(worksheet, "03:28:10", "recipient_auto - warm_37c 0 0").unwrap();
        self.read(worksheet, "03:29:40", &format!("major {donor} warm_37c 0 0")).unwrap();
        let (worksheet, donor) = (id(worksheet), id(donor));
        let end = unit.get(unit.len() - 4..).unwrap();
        let checked = self.journal.check_segment(&kt("03:30:00"), &worksheet, &donor, end).unwrap();
        assert!(checked.agrees);
    }
}

impl Bench {
    /// Amends a donor's entry with how its unit looks now.
    pub(crate) fn inspect_again(&mut self, worksheet: &str, donor: &str, seen: &str) {
        let sheet = self.journal.sheet(&id(worksheet)).unwrap();
        let entered = sheet.donor(&id(donor)).unwrap();
        let (seq, mut added) = (entered.seq, entered.value.clone());
        added.donor.unit.as_mut().unwrap().inspection = Some(seen.parse().unwrap());
        self.journal.amend(&kt("04:11:00"), seq, "looked at again", added).unwrap();
    }
}
