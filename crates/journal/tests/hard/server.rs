//! A database of its own on the server, if there is one.

use std::sync::atomic::{AtomicU32, Ordering};

use crossread_journal::{Journal, Location};
use postgres::{Client, NoTls};

use crate::night::{OF, enter_everything, kt};

const SERVER: &str = "CROSSREAD_POSTGRES";

/// A database that is dropped at the end.
pub(crate) struct Database {
    pub(crate) url: String,
    server: String,
    name: String,
}

/// A new database; none, said aloud, if there is no server.
pub(crate) fn database() -> Option<Database> {
    static NUMBER: AtomicU32 = AtomicU32::new(0);
    let Ok(server) = std::env::var(SERVER) else {
        // Past the test runner, which keeps what a test that passes prints to itself.
        let told = b"SKIPPED, not passed: a test on a server; CROSSREAD_POSTGRES is not set\n";
        std::io::Write::write_all(&mut std::io::stderr(), told).unwrap();
        return None;
    };
    let number = NUMBER.fetch_add(1, Ordering::Relaxed);
    let name = format!("crossread_hard_{}_{number}", std::process::id());
    let mut client = Client::connect(&server, NoTls).unwrap();
    client.batch_execute(&format!("CREATE DATABASE {name}")).unwrap();
    let (host, _) = server.rsplit_once('/').unwrap();
    Some(Database { url: format!("{host}/{name}"), server, name })
}

impl Drop for Database {
    fn drop(&mut self) {
        let mut client = Client::connect(&self.server, NoTls).unwrap();
        client.batch_execute(&format!("DROP DATABASE {} WITH (FORCE)", self.name)).unwrap();
    }
}

/// Who may do everything on the server changes one thing: verifying names the entry.
#[test]
fn changes_behind_the_journals_back_are_seen() {
    let disabled = "SET session_replication_role = replica";
    for (change, seq) in [
        (
            "UPDATE crossread_entry SET text = replace(text, 'R-3107', 'R-3170') WHERE seq = 3",
            Some(3),
        ),
        ("UPDATE crossread_entry SET sha256 = sha256(sha256) WHERE seq = 5", Some(5)),
        (
            "UPDATE crossread_entry SET sha256 = sha256(text::bytea), text = replace(text, '\"hemolysis\":0', '\"hemolysis\":1') WHERE seq = 9",
            Some(9),
        ),
        ("DELETE FROM crossread_entry WHERE seq = 6", Some(6)),
        ("UPDATE crossread_entry SET seq = 1000 WHERE seq = 4", Some(4)),
        ("DELETE FROM crossread_term WHERE field = 'recipient' AND value = 'R-3107'", Some(3)),
        (
            "UPDATE crossread_term SET value = 'U-5521' WHERE value = 'U-5512' AND field = 'unit' AND seq = 4",
            Some(4),
        ),
        ("INSERT INTO crossread_term VALUES ('animal', 'R-3107', 5)", Some(5)),
        ("DROP TRIGGER crossread_entry_kept ON crossread_entry", None),
        ("ALTER TABLE crossread_term DISABLE TRIGGER crossread_term_kept", None),
    ] {
        let Some(database) = database() else { return };
        let place = Location::new(&database.url);
        let mut journal = Journal::create(&place, OF, &kt("02:40:00")).unwrap();
        enter_everything(&mut journal);
        assert!(journal.verify(None).unwrap().is_good());
        let mut client = Client::connect(&database.url, NoTls).unwrap();
        // Without the privilege of a superuser, nothing can be changed at all.
        assert!(client.batch_execute("DELETE FROM crossread_entry").is_err());
        client.batch_execute(disabled).unwrap();
        client.batch_execute(change).unwrap();
        let verified = journal.verify(None).unwrap();
        assert_eq!(verified.first_bad.as_ref().map(|bad| bad.seq), seq, "{change}: {verified:?}");
        assert!(!verified.is_good());
    }
}
