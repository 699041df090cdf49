//! A server that is stopped at any moment, as when its machine loses power, and started again: what
//! was acknowledged is there.
//!
//! `pg_ctl -m immediate` ends every process of the server without a word to anybody; the next start
//! recovers from the log. The machine's own memory of the disk survives, unlike when the plug is
//! pulled.

use std::net::TcpListener;
use std::path::PathBuf;
use std::process::{Command, Output};
use std::time::Duration;

use crossread_journal::{Event, Journal, JournalError, Location};
use tempfile::TempDir;

use crate::child::{acknowledged, journal, start};
use crate::kill::{moments, rounds};
use crate::night::{id, kt, reading};

/// Readings of one round.
const READINGS: usize = 2_000;

/// A server of its own, taken away at the end.
struct Server {
    programs: PathBuf,
    folder: TempDir,
    port: u16,
    is_root: bool,
}

impl Server {
    /// None, said aloud, if there is no server program, or nobody it would run as.
    fn new() -> Option<Self> {
        let skipped = |why: &str| {
            let told = format!("SKIPPED, not passed: a server that is stopped; {why}\n");
            std::io::Write::write_all(&mut std::io::stderr(), told.as_bytes()).unwrap();
            None
        };
        let Some(programs) = programs() else { return skipped("there is no `pg_ctl`") };
        let user = Command::new("id").arg("-u").output().unwrap();
        let is_root = user.stdout.starts_with(b"0\n");
        let folder = tempfile::tempdir().unwrap();
        // The server refuses to run as root.
        if is_root {
            let given = Command::new("chown").arg("postgres").arg(folder.path()).status();
            if !given.is_ok_and(|given| given.success()) {
                return skipped("it does not run as root, and there is no user `postgres`");
            }
        }
        let free = TcpListener::bind("127.0.0.1:0").unwrap();
        let port = free.local_addr().unwrap().port();
        drop(free);
        let server = Self { programs, folder, port, is_root };
        let data = server.data();
        server.must("initdb", &format!("-D {data} -A trust -U postgres -E UTF8 --no-locale"));
        server.begin();
        Some(server)
    }

    fn data(&self) -> String {
        self.folder.path().join("data").display().to_string()
    }

    fn run(&self, program: &str, words: &str) -> Output {
        let line = format!("{} {words}", self.programs.join(program).display());
        let mut command = if self.is_root {
            let mut command = Command::new("su");
            command.args(["postgres", "-s", "/bin/sh", "-c", &line]);
            command
        } else {
            let mut command = Command::new("sh");
            command.args(["-c", &line]);
            command
        };
        command.current_dir("/").output().unwrap()
    }

    fn must(&self, program: &str, words: &str) {
        let done = self.run(program, words);
        assert!(done.status.success(), "{program} {words}: {done:?}");
    }

    fn begin(&self) {
        let (data, port, folder) = (self.data(), self.port, self.folder.path().display());
        // Its output goes to a file, or else this would wait for it to end.
        self.must(
            "pg_ctl",
            &format!(
                "-D {data} -w -l {folder}/log start \
                 -o '-c listen_addresses=127.0.0.1 -p {port} -k {folder}' > /dev/null"
            ),
        );
    }

    fn end_at_once(&self) {
        self.must("pg_ctl", &format!("-D {} -m immediate stop", self.data()));
    }

    fn client(&self, database: &str) -> String {
        format!("postgres://postgres@127.0.0.1:{}/{database}", self.port)
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        // It may be stopped already, when a test fails.
        self.run("pg_ctl", &format!("-D {} -m immediate stop", self.data()));
    }
}

/// Where the newest server's programs are.
fn programs() -> Option<PathBuf> {
    let installed = std::fs::read_dir("/usr/lib/postgresql").into_iter().flatten().flatten();
    let mut versions: Vec<(u32, PathBuf)> = installed
        .filter_map(|entry| {
            let version = entry.file_name().to_str()?.parse().ok()?;
            Some((version, entry.path().join("bin")))
        })
        .collect();
    versions.sort();
    let paths = std::env::var_os("PATH").unwrap_or_default();
    let on_path = std::env::split_paths(&paths);
    let mut folders = versions.into_iter().rev().map(|(_, folder)| folder).chain(on_path);
    folders.find(|folder| ["initdb", "pg_ctl"].iter().all(|name| folder.join(name).is_file()))
}

#[test]
fn a_server_stopped_at_any_moment_loses_nothing() {
    let Some(server) = Server::new() else { return };
    let mut counts = Vec::new();
    for (round, patience) in moments(rounds(4), Duration::from_millis(1_500)).enumerate() {
        let database = format!("night_{round}");
        let mut client =
            postgres::Client::connect(&server.client("postgres"), postgres::NoTls).unwrap();
        client.batch_execute(&format!("CREATE DATABASE {database}")).unwrap();
        drop(client);
        let url = server.client(&database);
        let place = Location::new(&url);
        let mut bystander = journal(&place);
        let child = start(&url, "LM", READINGS);
        std::thread::sleep(patience);
        server.end_at_once();
        // Whoever was connected is told, and nothing is taken for written.
        let told = bystander.enter(&kt("03:00:00"), &id("WS-1"), reading("major D-091 warm_37c 0"));
        assert!(matches!(told, Err(JournalError::Postgres(_))), "{told:?}");
        let said = acknowledged(&child.wait_with_output().unwrap().stdout);
        server.begin();
        let mut journal = Journal::open(&place).unwrap();
        let verified = journal.verify(None).unwrap();
        assert!(verified.is_good(), "{verified:?}");
        for seq in &said {
            let entry = journal.entry(*seq).unwrap();
            assert!(matches!(entry.event, Event::ReadingEntered(_)), "{entry:?}");
            assert_eq!(entry.by.as_str(), "LM");
        }
        // At most the one that was on its way is there without having been acknowledged.
        let head = journal.sheet(&id("WS-1")).unwrap().last;
        if let Some(last) = said.last() {
            assert!(head == *last || head == last + 1, "{head} after {last}");
        }
        let next = journal.enter(&kt("04:00:00"), &id("WS-1"), reading("major D-091 warm_37c 0"));
        assert_eq!(next.unwrap().seq, head + 1);
        counts.push(said.len());
    }
    println!("readings acknowledged before each stop: {counts:?}");
    assert!(counts.iter().any(|count| (1..READINGS).contains(count)), "{counts:?}");
}
