//! Any bytes are taken over as the export of a journal, or refused, and then nothing of them is there.
#![no_main]

use std::path::Path;

use crossread_core::document::Digest;
use crossread_journal::{Journal, JournalError, Location};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    taken_over_or_refused(bytes);
    // Lines with the right hash, so that what is tried comes as far as the entries.
    if let Ok(text) = str::from_utf8(bytes) {
        let line = |text: &str| {
            let hash = Digest::of(text.as_bytes());
            format!("{{\"entry\":{text},\"sha256\":\"{hash}\"}}\n")
        };
        taken_over_or_refused(text.lines().map(line).collect::<String>().as_bytes());
    }
});

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
