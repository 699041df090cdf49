//! What must hold of any bytes, one function a door. The fuzz targets call them with bytes of their
//! own making, the suite with the corpus that is kept.

use std::path::Path;
use std::sync::LazyLock;

use crossread_core::document::{Digest, Faults, Time};
use crossread_core::interpretation::Issued;
use crossread_core::words::{Effect, Verdict};
use crossread_core::{Protocol, Protocols, Worksheet, interpret};
use crossread_exchange::{from_fhir, from_hl7, to_fhir, to_hl7};
use crossread_journal::{Journal, JournalError, Location};
use crossread_teach::marking::{Options, Responses, csv, mark_all, text};
use crossread_teach::set::Exercise;

/// Any bytes end in a worksheet, a protocol or an interpretation, or in faults with places inside
/// the document.
pub fn check(document: &[u8]) {
    for faults in [
        Worksheet::from_json(document, Protocols::shipped()).err(),
        Protocol::from_json(document).err(),
        Issued::from_json(document).err(),
    ]
    .into_iter()
    .flatten()
    {
        places_are_inside(document, &faults);
    }
}

fn places_are_inside(document: &[u8], faults: &Faults) {
    assert!(!faults.as_slice().is_empty());
    for fault in faults.as_slice() {
        assert!(fault.line > 0 && fault.column > 0 && fault.span.end <= document.len());
    }
}

/// Whatever the check takes is interpreted, what is free has no finding against it, and the answer
/// is read back as one that was issued.
pub fn interpreted(document: &[u8]) {
    let protocols = Protocols::shipped();
    let Ok(worksheet) = Worksheet::from_json(document, protocols) else { return };
    for protocol in protocols.iter() {
        let answer = interpret(&worksheet, protocol);
        for pair in &answer.pairs {
            let greatest = pair.findings.iter().map(|f| f.effect).max();
            assert_eq!(pair.verdict, Verdict::from(greatest.unwrap_or(Effect::Note)));
            assert_eq!(pair.releasable, greatest.is_none_or(|e| e <= Effect::Caveat));
        }
        let mut written = Vec::new();
        answer.write_line(&mut written).unwrap();
        assert!(written == serde_json::to_vec(&answer).unwrap());
        let issued = Issued::from_json(&written).unwrap_or_else(|faults| panic!("{faults:?}"));
        assert_eq!(issued.pairs().len(), answer.pairs.len());
    }
}

/// Any bytes are taken over as the export of a journal, or refused, and then nothing of them is
/// there. Bytes without hashes are tried with the right ones, so that they come as far as the
/// entries.
pub fn import(bytes: &[u8]) {
    taken_over_or_refused(bytes);
    if let Ok(text) = str::from_utf8(bytes) {
        let line = |text: &str| {
            let hash = Digest::of(text.as_bytes());
            format!("{{\"entry\":{text},\"sha256\":\"{hash}\"}}\n")
        };
        taken_over_or_refused(text.lines().map(line).collect::<String>().as_bytes());
    }
}

fn taken_over_or_refused(bytes: &[u8]) {
    let memory = Path::new("/dev/shm");
    let memory = if memory.is_dir() { memory.to_owned() } else { std::env::temp_dir() };
    let folder = tempfile::tempdir_in(memory).unwrap();
    let place = Location::from(folder.path().join("import.journal").as_path());
    let mut journal = Journal::create_empty(&place).unwrap();
    match journal.import(&mut &*bytes) {
        Ok(imported) => {
            let verified = journal.verify(Some(imported.head)).unwrap();
            assert!(verified.is_good(), "{verified:?}");
            let mut again = Vec::new();
            match journal.export(&mut again) {
                Ok(_) => assert_eq!(again, bytes),
                // Readings of it wait for the second reader.
                Err(JournalError::Refused(_)) => {}
                Err(error) => panic!("{error:?}"),
            }
        }
        Err(JournalError::Import { .. }) => assert_eq!(journal.head().unwrap().seq, 0),
        Err(error) => panic!("{error:?}"),
    }
}

/// The set whose answers are read, resting on the protocols that ship now.
static THIRTY: LazyLock<Exercise> = LazyLock::new(|| {
    let set = include_str!("../../crates/teach/tests/data/thirty.json");
    let mut set: serde_json::Value = serde_json::from_str(set).unwrap();
    for item in set["items"].as_array_mut().unwrap() {
        let id = item["rules"]["id"].as_str().unwrap().to_owned();
        let protocol = Protocols::shipped().iter().find(|one| one.id().as_str() == id).unwrap();
        item["rules"]["sha256"] = protocol.digest().to_string().into();
    }
    Exercise::from_json(set.to_string().as_bytes(), Protocols::shipped()).unwrap()
});

/// Any bytes are answers to a set, which are marked and written back the same, or end in faults;
/// so do any bytes that should be a set.
pub fn responses(document: &[u8]) {
    match Responses::from_csv(document, &THIRTY) {
        Ok(responses) => {
            let written = responses.to_csv();
            let again = Responses::from_csv(written.as_bytes(), &THIRTY).unwrap();
            assert_eq!(again, responses);
            let marked = mark_all(&THIRTY, &responses, &Options::default()).unwrap();
            let answered = responses.as_slice().iter().filter(|one| one.answer.is_some()).count();
            let marks: usize = marked.students.iter().map(|student| student.marks.len()).sum();
            assert_eq!(marks, answered, "each answer has one mark");
            for told in [text(&marked), csv(&marked), marked.to_json()] {
                assert!(!told.is_empty());
            }
        }
        Err(faults) => assert!(!faults.as_slice().is_empty()),
    }
    if let Err(faults) = Exercise::from_json(document, Protocols::shipped()) {
        assert!(!faults.as_slice().is_empty());
    }
}

/// Any bytes are a message that is written back the same, or refused with reasons.
pub fn messages(document: &[u8]) {
    let at = Time::new("2026-03-01T04:00:00+01:00").unwrap();
    for read in [from_fhir(document), from_hl7(document)] {
        match read {
            Ok(message) => {
                let fhir = to_fhir(&message, at).unwrap().to_string();
                assert_eq!(from_fhir(fhir.as_bytes()).unwrap(), message);
                let hl7 = to_hl7(&message, at).unwrap();
                assert_eq!(from_hl7(hl7.as_bytes()).unwrap(), message);
            }
            Err(wrongs) => assert!(!wrongs.as_slice().is_empty()),
        }
    }
}
