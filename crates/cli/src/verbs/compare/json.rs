//! The comparison for programs: one document, or one change a line.

use std::io::Write;

use serde::Serialize;
use serde_json::{Value, json};

use super::summary::Summary;
use super::{Has, Tell, Told, report};
use crate::exit::Failure;

/// The format of a comparison.
const FORMAT: &str = "crossread.comparison/1";

/// Writes JSON, entry by entry, so that memory does not grow.
pub(super) struct Json<W> {
    out: W,
    /// Whether it is one document, and how many entries are in it.
    document: Option<u64>,
}

impl<W: Write> Json<W> {
    pub(super) fn document(mut out: W) -> Result<Self, Failure> {
        write!(out, "{{\"format\":\"{FORMAT}\",\"entries\":[")?;
        Ok(Self { out, document: Some(0) })
    }

    pub(super) fn lines(out: W) -> Self {
        Self { out, document: None }
    }

    fn entry(&mut self, entry: &impl Serialize) -> Result<(), Failure> {
        if let Some(before) = &mut self.document {
            let comma = if *before > 0 { "," } else { "" };
            writeln!(self.out, "{comma}")?;
            *before = before.saturating_add(1);
        }
        serde_json::to_writer(&mut self.out, entry)?;
        if self.document.is_none() {
            writeln!(self.out)?;
        }
        Ok(())
    }
}

fn has(has: Has<'_>) -> Value {
    match has {
        Has::Answer(issued) => {
            json!({ "worksheet": issued.worksheet().id, "releasable": has.releasable() })
        }
        Has::Faults(faults) => json!({ "faults": faults }),
    }
}

impl<W: Write> Tell for Json<W> {
    fn tell(&mut self, told: &Told<'_>) -> Result<(), Failure> {
        match told {
            // As every verb tells a line at fault.
            Told::Unreadable { name, line, faults, .. } => self.entry(&report(name, *line, faults)),
            Told::Changed { id, lines: (old, new), comparison } => self.entry(&json!({
                "kind": "changed", "worksheet": id, "old_line": old, "new_line": new,
                "comparison": comparison,
            })),
            Told::Turned { lines: (old_line, new_line), old, new } => self.entry(&json!({
                "kind": "turned", "old_line": old_line, "new_line": new_line,
                "old": has(*old), "new": has(*new),
            })),
            Told::Only { which, line, has: what } => self.entry(&json!({
                "kind": format!("only_{}", which.word()), "line": line, "has": has(*what),
            })),
        }
    }

    fn end(&mut self, summary: &Summary) -> Result<(), Failure> {
        if self.document.is_some() {
            write!(self.out, "\n],\"summary\":")?;
            serde_json::to_writer(&mut self.out, summary)?;
            writeln!(self.out, "}}")?;
        } else {
            let line = json!({ "format": FORMAT, "kind": "summary", "summary": summary });
            serde_json::to_writer(&mut self.out, &line)?;
            writeln!(self.out)?;
        }
        Ok(self.out.flush()?)
    }
}
