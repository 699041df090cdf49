//! The handover: what is open when a shift ends.

use crate::document::{Block, Cell, Document};

/// What the next shift must know.
///
/// ```
/// use crossread_print::{Handover, text};
///
/// let mut handover = Handover {
///     hospital: "Brindlemoor Animal Hospital".to_owned(),
///     at: "2026-03-01 07:00".to_owned(),
///     by: "KT".to_owned(),
///     ..Handover::default()
/// };
/// let task = ["12", "03:36", "WS-0142", "Tell Dr Vane: the major of D-091 was taken back."];
/// handover.tasks.push(task.map(str::to_owned));
/// assert!(text(&handover.document()).contains("Tell Dr Vane"));
/// ```
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Handover {
    /// The hospital's name.
    pub hospital: String,
    /// When it was printed.
    pub at: String,
    /// Who hands over.
    pub by: String,
    /// Units that run: the worksheet, what is to be done.
    pub running: Vec<[String; 2]>,
    /// Open tasks: the entry, since when, the worksheet, what is to be done.
    pub tasks: Vec<[String; 4]>,
    /// Worksheets that are not finished.
    pub unfinished: Vec<Unfinished>,
}

/// A worksheet that is not finished.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Unfinished {
    /// Its id.
    pub worksheet: String,
    /// The recipient.
    pub recipient: String,
    /// Since when it is open.
    pub opened: String,
    /// When something was last entered.
    pub changed: String,
    /// What is missing, a line a donor.
    pub missing: Vec<String>,
}

impl Handover {
    /// Everything that is printed.
    pub fn document(&self) -> Document {
        let heading = |text: &str| Block::Heading { text: text.to_owned() };
        let head = |names: &[&str]| names.iter().map(|name| (*name).to_owned()).collect();
        let mut blocks = Vec::new();
        if !self.running.is_empty() {
            blocks.push(heading("Units that run now"));
            let rows = self.running.iter().map(|[worksheet, text]| {
                vec![Cell::bold(text), Cell::of(worksheet), Cell::default()]
            });
            blocks.push(Block::Table {
                spans: Vec::new(),
                head: head(&["what", "worksheet", "looked at, by"]),
                rows: rows.collect(),
            });
        }
        blocks.push(heading("Open tasks"));
        if self.tasks.is_empty() {
            blocks.push(Block::Paragraph { text: "No task is open.".to_owned() });
        } else {
            let rows = self.tasks.iter().map(|[entry, since, worksheet, text]| {
                vec![
                    Cell::bold(text),
                    Cell::of(worksheet),
                    Cell::of(since),
                    Cell::of(entry),
                    Cell::default(),
                ]
            });
            blocks.push(Block::Table {
                spans: Vec::new(),
                head: head(&["what", "worksheet", "since", "entry", "done at, by"]),
                rows: rows.collect(),
            });
        }
        blocks.push(heading("Worksheets that are not finished"));
        if self.unfinished.is_empty() {
            blocks.push(Block::Paragraph { text: "Every worksheet is finished.".to_owned() });
        } else {
            let rows = self.unfinished.iter().map(|open| {
                vec![
                    Cell::bold(&open.worksheet),
                    Cell::of(&open.recipient),
                    Cell { lines: open.missing.clone(), ..Cell::default() },
                    Cell::of(&open.opened),
                    Cell::of(&open.changed),
                ]
            });
            blocks.push(Block::Table {
                spans: Vec::new(),
                head: head(&["worksheet", "recipient", "missing", "opened", "last entry"]),
                rows: rows.collect(),
            });
        }
        let who = ["handed over by", "taken over by, date, time"];
        blocks.push(Block::Signatures { who: who.map(str::to_owned).to_vec() });
        let running = format!("Handover at {}, {}, printed {}", self.hospital, self.by, self.at);
        Document::new("Handover", &running, false, blocks)
    }
}
