//! One changed byte anywhere in the file of a journal: either it is found, with the entry named, or
//! it carries nothing.

use std::collections::BTreeMap;
use std::fs;
use std::io::{Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};

use crossread_journal::{
    Entry, Field, Hit, Journal, JournalError, Location, Note, OpenTask, Past, Query, Sheet, UnitOf,
    Wanted, Warning,
};
use tempfile::TempDir;

use crate::night::{OF, enter_everything, id, kt};
use crate::pages::owners;

/// The bits of a byte that are turned over: the lowest, the highest, all.
const MASKS: [u8; 3] = [0x01, 0x80, 0xff];

/// Everything that a journal answers.
#[derive(Debug, Default, PartialEq)]
struct Answers {
    export: Vec<u8>,
    tasks: Vec<OpenTask>,
    hits: Vec<Vec<Hit>>,
    sheets: Vec<Sheet>,
    entries: Vec<Vec<Entry>>,
    animals: Vec<(Past, Vec<Warning>)>,
    units: Vec<Vec<UnitOf>>,
}

fn answers(journal: &mut Journal, asked: &[(Field, String)]) -> Result<Answers, JournalError> {
    let mut all = Answers { tasks: journal.open_tasks()?, ..Answers::default() };
    journal.export(&mut all.export)?;
    for field in Field::ALL {
        all.hits.push(journal.search(&Query::of(Wanted::beginning(*field, "")))?);
    }
    for (field, value) in asked {
        all.hits.push(journal.search(&Query::of(Wanted::exactly(*field, value)))?);
        match field {
            Field::Worksheet => {
                all.sheets.push(journal.sheet(&id(value))?);
                all.entries.push(journal.entries(&id(value))?);
            }
            Field::Animal => all.animals.push(journal.animal(&id(value))?),
            Field::Donor => all.units.push(journal.units_of(&id(value))?),
            _ => {}
        }
    }
    Ok(all)
}

/// Every term of the index.
fn terms(path: &Path) -> Vec<(Field, String)> {
    let file = rusqlite::Connection::open(path).unwrap();
    let mut terms = file.prepare("SELECT DISTINCT field, value FROM term").unwrap();
    let terms = terms
        .query_map([], |row| Ok((row.get::<_, String>(0)?, row.get(1)?)))
        .unwrap()
        .map(|term| term.map(|(field, value)| (field.parse().unwrap(), value)).unwrap())
        .collect();
    terms
}

/// A closed journal in memory, if the system has files there: many are opened.
pub(crate) fn folder() -> TempDir {
    let memory = Path::new("/dev/shm");
    if memory.is_dir() { TempDir::new_in(memory).unwrap() } else { TempDir::new().unwrap() }
}

/// What became of a changed byte.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Seen {
    /// It lies in the text or hash of an entry, and that entry is named.
    InEntry,
    /// Verifying names an entry, and the byte lies elsewhere.
    Named,
    /// Verifying says what is wrong with the file, and names no entry.
    Said,
    /// The file is refused when it is opened.
    Refused,
    /// It carries nothing: every answer is that of the untouched file, and it can be written on.
    Nothing,
}

struct Untouched {
    owners: Vec<Option<u64>>,
    asked: Vec<(Field, String)>,
    answers: Answers,
}

impl Untouched {
    fn of(path: &Path) -> Self {
        let root = rusqlite::Connection::open(path)
            .unwrap()
            .query_row("SELECT rootpage FROM sqlite_schema WHERE name = 'entry'", [], |row| {
                row.get::<_, u32>(0)
            })
            .unwrap();
        let asked = terms(path);
        let file = fs::read(path).unwrap();
        let mut journal = Journal::open(&path.into()).unwrap();
        assert!(journal.verify(None).unwrap().is_good());
        let answers = answers(&mut journal, &asked).unwrap();
        Self { owners: owners(&file, usize::try_from(root).unwrap()), asked, answers }
    }

    /// What is seen of a change of the byte at a place.
    fn seen(&self, path: &Path, at: usize) -> Seen {
        let mut journal = match Journal::open(&Location::from(path)) {
            Ok(journal) => journal,
            Err(error) => {
                assert!(!error.to_string().is_empty());
                return Seen::Refused;
            }
        };
        let verified = journal.verify(None).unwrap();
        if let Some(owner) = self.owners[at] {
            let named = verified.first_bad.as_ref().map(|bad| bad.seq);
            assert_eq!(named, Some(owner), "byte {at}: {verified:?}");
            return Seen::InEntry;
        }
        if !verified.is_good() {
            return if verified.first_bad.is_some() { Seen::Named } else { Seen::Said };
        }
        let now = answers(&mut journal, &self.asked).unwrap();
        assert!(now == self.answers, "byte {at} changes answers, and verifying is content");
        drop(journal);
        // It is no help to who writes either: on a copy, one more entry is taken and verified.
        let copy = path.with_extension("copy");
        fs::copy(path, &copy).unwrap();
        let mut journal = Journal::open(&Location::from(copy.as_path())).unwrap();
        let note = Note { text: "one more".into() };
        journal.enter(&kt("05:00:00"), &id("WS-1"), note).unwrap();
        let verified = journal.verify(None).unwrap();
        assert!(verified.is_good(), "byte {at}: {verified:?}");
        Seen::Nothing
    }
}

/// Changes every byte in turn, and counts what is seen.
fn flip_every_byte(path: &Path, masks: &[u8], from: usize, step: usize) -> BTreeMap<Seen, usize> {
    let untouched = Untouched::of(path);
    let bytes = fs::read(path).unwrap();
    let mut counts = BTreeMap::new();
    let mut file = fs::OpenOptions::new().write(true).open(path).unwrap();
    let mut put = |at: usize, byte: u8| {
        file.seek(SeekFrom::Start(at.try_into().unwrap())).unwrap();
        file.write_all(&[byte]).unwrap();
    };
    for at in (from..bytes.len()).step_by(step) {
        for mask in masks {
            put(at, bytes[at] ^ mask);
            *counts.entry(untouched.seen(path, at)).or_default() += 1;
            put(at, bytes[at]);
        }
    }
    assert_eq!(fs::read(path).unwrap(), bytes, "looking changes nothing");
    counts
}

/// A closed journal with everything in it.
fn everything(folder: &TempDir) -> PathBuf {
    let path = folder.path().join("night.journal");
    let mut journal = Journal::create(&path.as_path().into(), OF, &kt("02:40:00")).unwrap();
    enter_everything(&mut journal);
    path
}

/// Every byte in a release build; a debug build, which is much slower, takes every 37th.
#[test]
fn no_changed_byte_goes_unseen() {
    let full = std::env::var("CROSSREAD_ENUMERATE").is_ok_and(|what| what == "full");
    let masks = if full { &MASKS[..] } else { &MASKS[..1] };
    let step = if cfg!(debug_assertions) { 37 } else { 1 };
    // Half of the bytes each, on two files.
    let halves: Vec<_> = (0..2)
        .map(|half| {
            std::thread::spawn(move || {
                let folder = folder();
                let path = everything(&folder);
                (flip_every_byte(&path, masks, half, 2 * step), fs::metadata(&path).unwrap().len())
            })
        })
        .collect();
    let mut counts = BTreeMap::<Seen, usize>::new();
    let mut bytes = 0;
    for half in halves {
        let (counted, len) = half.join().unwrap();
        bytes = len;
        for (seen, count) in counted {
            *counts.entry(seen).or_default() += count;
        }
    }
    println!("{bytes} bytes, masks {masks:02x?}: {counts:?}");
    assert!(counts[&Seen::InEntry] * step > 20_000, "{counts:?}");
}
