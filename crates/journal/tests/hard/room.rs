//! No room, and no leave to write: a clear error, and nothing is lost.

use std::path::{Path, PathBuf};
use std::process::Command;

use crossread_journal::{Journal, JournalError, Location, Note};

use crate::child::journal;
use crate::night::{id, kt, reading};

/// A small disk in memory, taken away at the end.
struct Disk {
    folder: tempfile::TempDir,
}

impl Disk {
    /// None, said aloud, if this user may not mount.
    fn new(kilobytes: usize) -> Option<Self> {
        let folder = tempfile::tempdir().unwrap();
        let options = format!("size={kilobytes}k");
        let mounted = Command::new("mount")
            .args(["-t", "tmpfs", "-o", &options, "tmpfs"])
            .arg(folder.path())
            .output();
        if !mounted.is_ok_and(|mounted| mounted.status.success()) {
            let told = b"SKIPPED, not passed: only root can mount a small disk\n";
            std::io::Write::write_all(&mut std::io::stderr(), told).unwrap();
            return None;
        }
        Some(Self { folder })
    }

    fn remount(&self, options: &str) {
        let done = Command::new("mount")
            .args(["-o", &format!("remount,{options}")])
            .arg(self.folder.path())
            .status();
        assert!(done.unwrap().success());
    }

    fn path(&self) -> PathBuf {
        self.folder.path().join("night.journal")
    }
}

impl Drop for Disk {
    fn drop(&mut self) {
        Command::new("umount").arg("-l").arg(self.folder.path()).status().unwrap();
    }
}

fn place(path: &Path) -> Location {
    Location::from(path)
}

#[test]
fn a_full_disk_loses_nothing() {
    let Some(disk) = Disk::new(256) else { return };
    let mut open = journal(&place(&disk.path()));
    let mut written = Vec::new();
    let error = loop {
        assert!(written.len() < 10_000, "the disk never fills");
        match open.enter(&kt("03:28:10"), &id("WS-1"), reading("major D-091 warm_37c 0")) {
            Ok(entry) => written.push(entry.seq),
            Err(error) => break error,
        }
    };
    assert!(matches!(error, JournalError::Full), "{error:?}");
    assert!(error.to_string().contains("nothing of this was recorded"));
    let last = *written.last().unwrap();
    // Again and again, and opened anew: what was acknowledged is there.
    for _ in 0..3 {
        let call = open.enter(&kt("03:28:20"), &id("WS-1"), reading("major D-091 warm_37c 0"));
        assert!(matches!(call, Err(JournalError::Full)), "{call:?}");
    }
    assert_eq!(open.head().unwrap().seq, last);
    drop(open);
    // With room again, it goes on.
    disk.remount("size=4096k");
    let mut open = Journal::open(&place(&disk.path())).unwrap();
    assert!(open.verify(None).unwrap().is_good());
    assert_eq!(open.head().unwrap().seq, last);
    let entry =
        open.enter(&kt("03:29:10"), &id("WS-1"), reading("major D-091 warm_37c 0")).unwrap();
    assert_eq!(entry.seq, last + 1);
}

#[test]
fn a_disk_too_small_for_a_journal_holds_no_half_of_one() {
    let Some(disk) = Disk::new(16) else { return };
    let made = Journal::create(&place(&disk.path()), crate::night::OF, &kt("02:40:00"));
    assert!(matches!(made, Err(JournalError::Full)), "{made:?}");
}

#[test]
fn what_can_only_be_read_is_read() {
    let Some(disk) = Disk::new(4096) else { return };
    let mut open = journal(&place(&disk.path()));
    open.enter(&kt("03:28:10"), &id("WS-1"), reading("major D-091 warm_37c 0")).unwrap();
    let head = open.head().unwrap();
    drop(open);
    disk.remount("ro");
    let mut open = Journal::open(&place(&disk.path())).unwrap();
    assert_eq!(open.head().unwrap(), head);
    assert!(open.verify(Some(head)).unwrap().is_good());
    assert_eq!(open.sheet(&id("WS-1")).unwrap().readings.len(), 1);
    let call = open.enter(&kt("03:29:10"), &id("WS-1"), Note { text: "x".into() });
    assert!(matches!(call, Err(JournalError::ReadOnly)), "{call:?}");
    let made = Journal::create(&place(&disk.folder.path().join("other")), "x", &kt("02:40:00"));
    assert!(matches!(made, Err(JournalError::ReadOnly)), "{made:?}");
    drop(open);
    disk.remount("rw");
    let mut open = Journal::open(&place(&disk.path())).unwrap();
    open.enter(&kt("03:30:10"), &id("WS-1"), Note { text: "x".into() }).unwrap();
}
