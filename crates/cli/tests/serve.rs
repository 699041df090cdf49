//! The page is started, answers on this machine, and ends.
#![expect(clippy::unwrap_used, reason = "a test that fails must stop")]

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, ChildStdout, Command, Stdio};

struct Served {
    child: Child,
    out: BufReader<ChildStdout>,
}

impl Drop for Served {
    fn drop(&mut self) {
        drop(self.child.kill());
        drop(self.child.wait());
    }
}

fn serve(arguments: &[&str], home: &Path) -> Served {
    let mut child = Command::new(env!("CARGO_BIN_EXE_crossread"))
        .arg("serve")
        .args(arguments)
        .env("HOME", home)
        .env("XDG_DATA_HOME", home.join("data"))
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let out = BufReader::new(child.stdout.take().unwrap());
    Served { child, out }
}

impl Served {
    /// The journal's place and the address that are printed.
    fn told(&mut self) -> (String, String) {
        let mut line = || {
            let mut line = String::new();
            self.out.read_line(&mut line).unwrap();
            line.split_once(':').unwrap().1.trim().to_owned()
        };
        (line(), line())
    }
}

/// The status of what an address answers.
fn status(address: &str) -> u16 {
    let (host, path) = address.trim_start_matches("http://").split_once('/').unwrap();
    let mut stream = TcpStream::connect(host).unwrap();
    write!(stream, "GET /{path} HTTP/1.1\r\nhost: {host}\r\nconnection: close\r\n\r\n").unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    answer.split(' ').nth(1).unwrap().parse().unwrap()
}

#[test]
fn without_a_journal_one_is_made_and_kept() {
    let home = tempfile::tempdir().unwrap();
    let mut first = serve(&["--of", "Brindlemoor Animal Hospital"], home.path());
    let (journal, address) = first.told();
    assert!(Path::new(&journal).is_file(), "{journal}");
    assert!(Path::new(&journal).starts_with(home.path()), "{journal}");
    assert!(address.starts_with("http://127.0.0.1:"));
    assert_eq!(status(&address), 200);
    assert_eq!(status(address.split('?').next().unwrap()), 403, "without its key");
    drop(first);
    // The same one again, with another key.
    let mut second = serve(&[], home.path());
    let (again, other) = second.told();
    assert_eq!(again, journal);
    assert_ne!(other.split('?').nth(1), address.split('?').nth(1));
}

#[test]
fn the_demo_is_ready_to_look_at() {
    let home = tempfile::tempdir().unwrap();
    let mut demo = serve(&["--demo"], home.path());
    let (folder, address) = demo.told();
    assert!(Path::new(&folder).join("night.journal").is_file());
    assert_eq!(status(&address), 200);
    std::fs::remove_dir_all(folder).unwrap();
}

#[test]
fn what_is_no_journal_is_not_overwritten() {
    let home = tempfile::tempdir().unwrap();
    let file = home.path().join("notes.txt");
    std::fs::write(&file, "not a journal").unwrap();
    let mut served = serve(&["--journal", file.to_str().unwrap()], home.path());
    assert_eq!(served.child.wait().unwrap().code(), Some(66));
    assert_eq!(std::fs::read_to_string(&file).unwrap(), "not a journal");
}
