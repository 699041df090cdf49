//! The page of a hospital's own validation: what was tested on an installation, and places to sign.

use crate::document::{Block, Cell, Document};

/// What was tested on an installation, and what was found.
///
/// ```
/// use crossread_print::{CheckedPart, Validation, text};
///
/// let part = CheckedPart { what: "worked cases".to_owned(), checks: 41, passed: 40 };
/// let failed = "rouleaux-dispersed: another verdict".to_owned();
/// let mut found = Validation { parts: vec![part], failures: vec![failed], ..Validation::default() };
/// assert!(!found.passed());
/// assert!(text(&found.document()).contains("FAILED: do not use this installation"));
/// // Where nothing was checked, nothing passed.
/// found.parts.clear();
/// found.failures.clear();
/// assert!(!found.passed());
/// ```
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Validation {
    /// The hospital's name; empty, it is a place to write on.
    pub hospital: String,
    /// When it was tested.
    pub at: String,
    /// What was tested: versions, the machine, hashes; label and value.
    pub about: Vec<(String, String)>,
    /// The parts that were checked.
    pub parts: Vec<CheckedPart>,
    /// What failed, and why.
    pub failures: Vec<String>,
    /// The protocols that ship, and the worked cases together, with the SHA-256 of their documents.
    pub protocols: Vec<(String, String)>,
    /// The published schemas, with their SHA-256.
    pub schemas: Vec<(String, String)>,
    /// What was done in a journal, in order, and whether it went as it should.
    pub steps: Vec<(String, bool)>,
    /// The worked cases: name, verdict of each donor, whether it was as committed.
    pub cases: Vec<(String, Vec<String>, bool)>,
}

/// A part of a validation.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct CheckedPart {
    /// What was asked of it.
    pub what: String,
    /// How many checks there were.
    pub checks: usize,
    /// How many passed.
    pub passed: usize,
}

impl Validation {
    /// Whether everything passed, and there was something.
    pub fn passed(&self) -> bool {
        let all = self.parts.iter().all(|part| part.checks > 0 && part.checks == part.passed);
        all && self.failures.is_empty() && !self.parts.is_empty()
    }

    /// Everything that is printed.
    pub fn document(&self) -> Document {
        let heading = |text: &str| Block::Heading { text: text.to_owned() };
        let checks: usize = self.parts.iter().map(|part| part.checks).sum();
        let banner = if self.passed() {
            format!("All {checks} checks passed")
        } else {
            "FAILED: do not use this installation".to_owned()
        };
        let mut facts = vec![
            ("hospital".to_owned(), self.hospital.clone()),
            ("tested at".to_owned(), self.at.clone()),
        ];
        facts.extend(self.about.iter().cloned());
        let mut blocks = vec![Block::Banner { text: banner }, Block::Facts { facts }];
        if !self.failures.is_empty() {
            blocks.push(heading("What failed"));
            blocks.push(Block::List { items: self.failures.clone() });
        }
        blocks.push(heading("What was checked"));
        let parts = self.parts.iter().map(|part| {
            vec![
                Cell::of(&part.what),
                Cell::of(part.checks.to_string()),
                result(part.checks > 0 && part.checks == part.passed),
            ]
        });
        blocks.push(table(&["part", "checks", "result"], parts.collect()));
        let said = "It shows that this installation gives the answers that it shipped with. It \
                    does not show that they are right for this hospital's methods and animals, nor \
                    anything of local protocols: try those on your own runs, with known results. \
                    Test again after every change of the program, the machine or a protocol.";
        blocks.push(Block::Paragraph { text: said.to_owned() });
        let signed = ["tested by, date", "reviewed by, date", "accepted for use by, date"];
        blocks.push(Block::Signatures { who: signed.map(str::to_owned).into() });
        blocks.push(heading("In a journal"));
        let steps = self.steps.iter().map(|(what, passed)| vec![Cell::of(what), result(*passed)]);
        blocks.push(table(&["step", "result"], steps.collect()));
        blocks.push(heading("Hashes (SHA-256)"));
        let hashes = self.protocols.iter().chain(&self.schemas);
        let hashes = hashes.map(|(name, hash)| vec![Cell::of(name), Cell::of(hash)]);
        blocks.push(table(&["document", "hash"], hashes.collect()));
        blocks.push(heading("Worked cases"));
        let cases = self.cases.iter().map(|(name, verdicts, passed)| {
            let verdicts = Cell { lines: verdicts.clone(), ..Cell::default() };
            vec![Cell::of(name), verdicts, result(*passed)]
        });
        blocks.push(table(&["case", "verdict of each donor", "result"], cases.collect()));
        let running = format!("validation of crossread, {}", self.at);
        Document::new("Validation of an installation", &running, false, blocks)
    }
}

fn result(passed: bool) -> Cell {
    if passed { Cell::of("passed") } else { Cell::bold("FAILED") }
}

fn table(head: &[&str], rows: Vec<Vec<Cell>>) -> Block {
    let head = head.iter().map(|name| (*name).to_owned()).collect();
    Block::Table { spans: Vec::new(), head, rows }
}
