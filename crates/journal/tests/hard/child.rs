//! A process of its own that writes, so that it can be killed, or write beside another.

use std::io::Write as _;
use std::process::{Child, Command, Stdio};

use crossread_journal::{Journal, Location, Writer};

use crate::night::{donor, id, kt, opening, reading};

const PLACE: &str = "CROSSREAD_CHILD_PLACE";
const NAME: &str = "CROSSREAD_CHILD_NAME";
const COUNT: &str = "CROSSREAD_CHILD_COUNT";

/// A new journal with a worksheet to write on.
pub(crate) fn journal(place: &Location) -> Journal {
    let mut journal = Journal::create(place, crate::night::OF, &kt("02:40:00")).unwrap();
    let opening = opening(
        r#"{ "worksheet": "WS-1", "protocol": { "id": "dog-routine", "version": "1.0.0" },
             "method": "tube",
             "recipient": { "id": "R-3107", "name": "Juniper", "species": "dog" } }"#,
    );
    journal.open_worksheet(&kt("02:41:00"), &opening, &crate::night::short_rules()).unwrap();
    let unit = r#"{ "id": "D-091", "species": "dog", "product": "packed_cells",
                    "unit": { "number": "U-5512" } }"#;
    journal.enter(&kt("02:43:00"), &id("WS-1"), donor(unit)).unwrap();
    journal
}

/// Starts a process that enters so many readings and says each one that is acknowledged.
pub(crate) fn start(place: &str, name: &str, count: usize) -> Child {
    Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "child::writes", "--nocapture", "--test-threads=1"])
        .env(PLACE, place)
        .env(NAME, name)
        .env(COUNT, count.to_string())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

/// What a process said was acknowledged: a line that was cut off says nothing.
pub(crate) fn acknowledged(said: &[u8]) -> Vec<u64> {
    let said = String::from_utf8_lossy(said);
    let whole = said.rfind('\n').map_or("", |end| &said[..end]);
    let numbers = whole.lines().filter_map(|line| line.strip_prefix("entry ")?.parse().ok());
    numbers.collect()
}

/// Run by [`start`]; by itself it has nothing to do.
#[test]
fn writes() {
    let Ok(place) = std::env::var(PLACE) else { return };
    let name = std::env::var(NAME).unwrap();
    let count: usize = std::env::var(COUNT).unwrap().parse().unwrap();
    let mut journal = Journal::open(&Location::new(&place)).unwrap();
    let mut out = std::io::stdout();
    writeln!(out).unwrap();
    for number in 0..count {
        let minute = 10 + number / 60 % 40;
        let at = kt(&format!("03:{minute}:{:02}", number % 60)).at;
        let entered = reading("major D-091 warm_37c 1+");
        let written = journal.enter(&Writer::new(&name, at), &id("WS-1"), entered).unwrap();
        out.write_all(format!("entry {}\n", written.seq).as_bytes()).unwrap();
        out.flush().unwrap();
    }
}
