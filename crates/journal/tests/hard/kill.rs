//! Writers that are killed at any moment: what was acknowledged is there, nothing is half-written.

use std::io::Read as _;
use std::time::Duration;

use crossread_journal::{Event, Journal, Location};

use crate::child::{acknowledged, journal, start};
use crate::flip::folder;
use crate::night::{id, kt, reading};

/// Readings of one round.
const READINGS: usize = 2_000;

pub(crate) fn rounds(usual: usize) -> usize {
    std::env::var("CROSSREAD_ROUNDS").ok().and_then(|n| n.parse().ok()).unwrap_or(usual)
}

/// Kills a writer after `patience`, and looks at what is there.
fn kill_after(place: &Location, url: &str, patience: Duration) -> (usize, u64) {
    let mut child = start(url, "LM", READINGS);
    let mut stdout = child.stdout.take().unwrap();
    let said = std::thread::spawn(move || {
        let mut said = Vec::new();
        stdout.read_to_end(&mut said).unwrap();
        said
    });
    std::thread::sleep(patience);
    // SIGKILL: the process has no chance to tidy up.
    child.kill().unwrap();
    child.wait().unwrap();
    let acknowledged = acknowledged(&said.join().unwrap());
    let mut journal = Journal::open(place).unwrap();
    let verified = journal.verify(None).unwrap();
    assert!(verified.is_good(), "{verified:?}");
    for seq in &acknowledged {
        let entry = journal.entry(*seq).unwrap();
        assert!(matches!(entry.event, Event::ReadingEntered(_)), "{entry:?}");
        assert_eq!(entry.by.as_str(), "LM");
    }
    let last = acknowledged.last().copied().unwrap_or(0);
    // At most the one that was on its way is there without having been acknowledged.
    let sheet = journal.sheet(&id("WS-1")).unwrap();
    let head = sheet.last;
    if last > 0 {
        assert!(head == last || head == last + 1, "{head} after {last}");
    }
    // The next one goes on.
    let written = journal.enter(&kt("04:00:00"), &id("WS-1"), reading("major D-091 warm_37c 0"));
    assert_eq!(written.unwrap().seq, head + 1);
    (acknowledged.len(), head)
}

/// Moments spread over the whole run, from before the first reading to after the last ones.
pub(crate) fn moments(rounds: usize, longest: Duration) -> impl Iterator<Item = Duration> {
    // A linear congruential generator, so that the moments differ and a failure can be repeated.
    let mut state = 0x2026_u64;
    (0..rounds).map(move |_| {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let share = u32::try_from(state >> 40).unwrap();
        longest.mul_f64(f64::from(share) / f64::from(1_u32 << 24))
    })
}

#[test]
fn killed_writers_lose_nothing_in_a_file() {
    let mut counts = Vec::new();
    for patience in moments(rounds(20), Duration::from_millis(900)) {
        // On the disk and not in memory, because that is where it must hold.
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("night.journal");
        let place = Location::from(path.as_path());
        drop(journal(&place));
        counts.push(kill_after(&place, path.to_str().unwrap(), patience).0);
    }
    println!("readings acknowledged before each kill: {counts:?}");
    assert!(counts.iter().any(|count| (1..READINGS).contains(count)), "{counts:?}");
}

#[test]
fn killed_writers_lose_nothing_on_a_server() {
    let mut counts = Vec::new();
    for patience in moments(rounds(8), Duration::from_millis(900)) {
        let Some(server) = crate::server::database() else { return };
        let place = Location::new(&server.url);
        drop(journal(&place));
        counts.push(kill_after(&place, &server.url, patience).0);
    }
    println!("readings acknowledged before each kill: {counts:?}");
    assert!(counts.iter().any(|count| (1..READINGS).contains(count)), "{counts:?}");
}

/// A journal whose writer was killed is not closed: its last entries lie in the write-ahead log. A
/// changed byte there cuts the log off, which the database takes for an unfinished write; only a
/// head that was kept elsewhere shows that entries are gone.
#[test]
fn a_log_that_was_cut_off_is_seen_by_a_kept_head() {
    let folder = folder();
    let path = folder.path().join("night.journal");
    let place = Location::from(path.as_path());
    let mut open = journal(&place);
    for second in 0..20 {
        let at = kt(&format!("03:28:{second:02}"));
        open.enter(&at, &id("WS-1"), reading("major D-091 warm_37c 0")).unwrap();
    }
    let kept = open.head().unwrap();
    // As a killed process leaves it: the file and its log, copied while it is open.
    let other = folder.path().join("copy.journal");
    std::fs::copy(&path, &other).unwrap();
    let log = folder.path().join("copy.journal-wal");
    std::fs::copy(folder.path().join("night.journal-wal"), &log).unwrap();
    let mut bytes = std::fs::read(&log).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    std::fs::write(&log, bytes).unwrap();
    let mut journal = Journal::open(&Location::from(other.as_path())).unwrap();
    let head = journal.head().unwrap();
    assert!(head.seq < kept.seq);
    assert!(journal.verify(None).unwrap().is_good());
    let bad = journal.verify(Some(kept)).unwrap().first_bad.unwrap();
    assert_eq!(bad.seq, head.seq + 1);
}
