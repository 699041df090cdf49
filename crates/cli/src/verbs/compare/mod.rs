//! Two files of interpretations side by side: which verdicts changed, and by which findings.

mod in_step;
mod json;
mod people;
mod summary;

use std::io::BufWriter;

use clap::Args;
use crossread_core::document::{FaultReport, Faults, Id};
use crossread_core::interpretation::{Comparison, Issued};
use serde_json::Value;

use self::in_step::{InStep, Met};
use self::json::Json;
use self::people::People;
use self::summary::Summary;
use crate::cli::Format;
use crate::exit::{self, Failure};

/// Say which verdicts of two files of interpretations differ, and by which findings.
///
/// Each file holds one interpretation a line, as `interpret` writes them, with the worksheets in
/// the same order. A worksheet that only one file has is told, and looked for among the next 1000
/// of the other. Memory does not grow with the files.
#[derive(Debug, Args)]
pub(crate) struct Compare {
    /// The old interpretations, one a line; `-` is the standard input.
    old: String,
    /// The new interpretations, one a line; `-` is the standard input.
    new: String,
    /// How to print. JSON is one document with all changes and a summary; NDJSON has one change a
    /// line, and the summary in the last.
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

/// Which of the two files.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Which {
    Old,
    New,
}

impl Which {
    fn word(self) -> &'static str {
        match self {
            Self::Old => "old",
            Self::New => "new",
        }
    }
}

/// Whether an entry of one file has an answer or is at fault.
#[derive(Clone, Copy, Debug)]
enum Has<'i> {
    /// The answer for a worksheet.
    Answer(&'i Issued),
    /// The faults of a worksheet, which cannot say which one it was.
    Faults(&'i [Value]),
}

impl Has<'_> {
    /// How many donors may be released by it.
    fn releasable(self) -> u64 {
        match self {
            Self::Answer(issued) => {
                let pairs = issued.pairs().iter();
                let releasable = pairs.filter(|pair| pair.verdict.is_releasable()).count();
                u64::try_from(releasable).unwrap_or(u64::MAX)
            }
            Self::Faults(_) => 0,
        }
    }
}

/// What is told of the two files, one after the other.
enum Told<'t> {
    /// A line that is no interpretation.
    Unreadable { name: &'t str, line: u64, document: &'t [u8], faults: &'t Faults },
    /// A worksheet of which anything differs.
    Changed { id: &'t Id, lines: (u64, u64), comparison: &'t Comparison<'t> },
    /// A worksheet that was at fault and is answered now, or the other way round; or whose faults
    /// differ.
    Turned { lines: (u64, u64), old: Has<'t>, new: Has<'t> },
    /// An entry that only one file has.
    Only { which: Which, line: u64, has: Has<'t> },
}

/// Something that writes down what is told.
trait Tell {
    fn tell(&mut self, told: &Told<'_>) -> Result<(), Failure>;
    fn end(&mut self, summary: &Summary) -> Result<(), Failure>;
}

pub(crate) fn run(asked: &Compare) -> Result<u8, Failure> {
    if asked.old == "-" && asked.new == "-" {
        return Err(Failure::misuse("only one of the two can be the standard input"));
    }
    let mut files = InStep::open(&asked.old, &asked.new)?;
    let out = BufWriter::new(anstream::stdout().lock());
    let mut teller: Box<dyn Tell> = match asked.format {
        Format::Text => Box::new(People::new(out)),
        Format::Json => Box::new(Json::document(out)?),
        Format::Ndjson => Box::new(Json::lines(out)),
    };
    let mut summary = Summary::new(files.names());
    loop {
        let met = match files.next() {
            Ok(Some(met)) => met,
            Ok(None) => break,
            Err(failure) => {
                // What was written so far stays whole, and says that it is not all.
                summary.stopped = true;
                teller.end(&summary)?;
                return Err(failure);
            }
        };
        let compared;
        let told = match &met {
            Met::Unreadable { name, line, document, faults } => {
                Told::Unreadable { name, line: *line, document, faults }
            }
            Met::Both { old, new, lines } => {
                compared = Comparison::of(old, new);
                summary.compared(&compared, old);
                if compared.is_empty() {
                    continue;
                }
                Told::Changed { id: &old.worksheet().id, lines: *lines, comparison: &compared }
            }
            Met::AlikeFaults => {
                summary.at_fault_in_both();
                continue;
            }
            Met::Turned { lines, old, new } => {
                Told::Turned { lines: *lines, old: old.has(), new: new.has() }
            }
            Met::Only { which, line, entry } => {
                Told::Only { which: *which, line: *line, has: entry.has() }
            }
        };
        summary.told(&told);
        teller.tell(&told)?;
    }
    teller.end(&summary)?;
    Ok(match (summary.unreadable(), summary.changed()) {
        (true, _) => exit::MALFORMED,
        (false, true) => exit::DIFFER,
        (false, false) => exit::RELEASABLE,
    })
}

/// The faults of a line as they are told to programs.
fn report<'f>(name: &'f str, line: u64, faults: &'f Faults) -> FaultReport<'f> {
    FaultReport::new(name, Some(line), faults)
}
