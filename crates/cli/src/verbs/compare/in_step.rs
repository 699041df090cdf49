//! Two files read in step: entry beside entry, with a bounded look ahead where they part.

use std::collections::{BTreeMap, VecDeque};
use std::io::{Cursor, Read};

use crossread_core::document::{Faults, Id, format_of};
use crossread_core::interpretation::Issued;
use serde_json::Value;

use super::{Has, Which};
use crate::exit::{self, Failure};
use crate::input;
use crate::lines::{Batch, Lines};

/// How many entries are looked ahead for a worksheet that is not where it should be.
const AHEAD: usize = 1000;

/// What stands on one line.
#[derive(Debug)]
pub(super) enum Entry {
    /// The answer for a worksheet.
    Answer(Box<Issued>),
    /// The faults of a worksheet.
    Faults(Vec<Value>),
}

impl Entry {
    pub(super) fn has(&self) -> Has<'_> {
        match self {
            Self::Answer(issued) => Has::Answer(issued),
            Self::Faults(faults) => Has::Faults(faults),
        }
    }

    fn id(&self) -> Option<&Id> {
        match self {
            Self::Answer(issued) => Some(&issued.worksheet().id),
            Self::Faults(_) => None,
        }
    }
}

/// What comes next of the two files.
#[derive(Debug)]
pub(super) enum Met {
    /// A line that is no interpretation.
    Unreadable { name: String, line: u64, document: Vec<u8>, faults: Faults },
    /// The answers for one worksheet.
    Both { old: Box<Issued>, new: Box<Issued>, lines: (u64, u64) },
    /// A worksheet with the same faults in both.
    AlikeFaults,
    /// A worksheet with faults in one of the two, or with other faults.
    Turned { old: Entry, new: Entry, lines: (u64, u64) },
    /// An entry that only one file has.
    Only { which: Which, line: u64, entry: Entry },
}

/// One of the two files.
struct File {
    which: Which,
    name: String,
    lines: Lines<Box<dyn Read + Send>>,
    batch: Batch,
    ahead: VecDeque<(u64, Entry)>,
    ended: bool,
}

impl File {
    fn open(which: Which, file: &str) -> Result<Self, Failure> {
        Ok(Self {
            which,
            name: input::name(file).to_owned(),
            lines: Lines::new(on_lines(input::open(file)?, input::name(file))?),
            batch: Batch::default(),
            ahead: VecDeque::new(),
            ended: false,
        })
    }

    /// Reads until so many entries are ahead, the file ends, or a line cannot be read. That one is
    /// handed on before more is read, so that a file of such lines does not fill the memory.
    fn fill(&mut self, wanted: usize, unreadable: &mut VecDeque<Met>) -> Result<(), Failure> {
        while self.ahead.len() < wanted && !self.ended && unreadable.is_empty() {
            let filled = self.lines.fill(&mut self.batch);
            self.ended = !filled.map_err(|error| input::unreadable(&self.name, &error))?;
            if self.ended {
                break;
            }
            for (line, document) in self.batch.lines() {
                match entry(document) {
                    Ok(entry) => self.ahead.push_back((line, entry)),
                    Err(faults) => unreadable.push_back(Met::Unreadable {
                        name: self.name.clone(),
                        line,
                        document: document.to_vec(),
                        faults,
                    }),
                }
            }
        }
        Ok(())
    }

    fn only(&mut self) -> Option<Met> {
        let which = self.which;
        self.ahead.pop_front().map(|(line, entry)| Met::Only { which, line, entry })
    }

    /// Where the next answers stand, the first of each worksheet; at the end all that are left.
    fn places(&self) -> BTreeMap<&Id, usize> {
        let mut places = BTreeMap::new();
        let many = if self.ended { self.ahead.len() } else { AHEAD };
        for (place, (_, entry)) in self.ahead.iter().take(many).enumerate() {
            if let Some(id) = entry.id() {
                places.entry(id).or_insert(place);
            }
        }
        places
    }
}

/// The documents of a file, each on a line of its own. Whole documents of many lines, as `interpret
/// --format json` prints them, begin with a line that holds nothing but `{`.
fn on_lines(mut file: Box<dyn Read + Send>, name: &str) -> Result<Box<dyn Read + Send>, Failure> {
    let mut start = Vec::new();
    let unreadable = |error: std::io::Error| input::unreadable(name, &error);
    file.by_ref().take(3).read_to_end(&mut start).map_err(unreadable)?;
    if !start.starts_with(b"{\n") && start != b"{\r\n" {
        return Ok(Box::new(Cursor::new(start).chain(file)));
    }
    let mut read = start;
    file.take(LONGEST).read_to_end(&mut read).map_err(unreadable)?;
    // No text of a document holds a line break, so that a blank in its place changes nothing.
    let mut closed = Vec::with_capacity(read.len());
    for line in read.split(|byte| *byte == b'\n') {
        let line = line.strip_suffix(b"\r").unwrap_or(line);
        closed.extend_from_slice(line);
        closed.push(if line == b"}" { b'\n' } else { b' ' });
    }
    closed.truncate(closed.trim_ascii_end().len());
    closed.push(b'\n');
    Ok(Box::new(Cursor::new(closed)))
}

/// The most that is read of whole documents of many lines, in bytes; a stream has no limit.
const LONGEST: u64 = 1 << 26;

/// What a line holds: an interpretation, or the faults of a worksheet.
fn entry(document: &[u8]) -> Result<Entry, Faults> {
    if format_of(document).as_deref() == Some("crossread.fault/1")
        && let Ok(Value::Object(mut report)) = serde_json::from_slice(document)
        && let Some(Value::Array(faults)) = report.remove("faults")
        && !faults.is_empty()
        && faults.iter().all(is_fault)
    {
        return Ok(Entry::Faults(faults));
    }
    Issued::from_json(document).map(|issued| Entry::Answer(Box::new(issued)))
}

/// Whether it says what is wrong, and where.
fn is_fault(fault: &Value) -> bool {
    ["code", "pointer"].into_iter().all(|field| fault.get(field).is_some_and(Value::is_string))
}

/// Two files read in step.
pub(super) struct InStep {
    old: File,
    new: File,
    unreadable: VecDeque<Met>,
}

impl InStep {
    pub(super) fn open(old: &str, new: &str) -> Result<Self, Failure> {
        Ok(Self {
            old: File::open(Which::Old, old)?,
            new: File::open(Which::New, new)?,
            unreadable: VecDeque::new(),
        })
    }

    pub(super) fn names(&self) -> [&str; 2] {
        [&self.old.name, &self.new.name]
    }

    /// What comes next, or nothing at the end of both.
    pub(super) fn next(&mut self) -> Result<Option<Met>, Failure> {
        self.fill(1)?;
        if let Some(unreadable) = self.unreadable.pop_front() {
            return Ok(Some(unreadable));
        }
        let (Some((_, old)), Some((_, new))) = (self.old.ahead.front(), self.new.ahead.front())
        else {
            return Ok(self.old.only().or_else(|| self.new.only()));
        };
        if old.id() == new.id() {
            return Ok(self.pair());
        }
        self.apart()
    }

    fn fill(&mut self, wanted: usize) -> Result<(), Failure> {
        self.old.fill(wanted, &mut self.unreadable)?;
        self.new.fill(wanted, &mut self.unreadable)
    }

    /// The first entries of both belong together.
    fn pair(&mut self) -> Option<Met> {
        let ((old_line, old), (new_line, new)) =
            (self.old.ahead.pop_front()?, self.new.ahead.pop_front()?);
        let lines = (old_line, new_line);
        Some(match (old, new) {
            (Entry::Answer(old), Entry::Answer(new)) => Met::Both { old, new, lines },
            (Entry::Faults(old), Entry::Faults(new)) if old == new => Met::AlikeFaults,
            (old @ Entry::Faults(_), new) | (old, new @ Entry::Faults(_)) => {
                Met::Turned { old, new, lines }
            }
        })
    }

    /// The first entries differ: looks for the nearest place where the two meet again.
    fn apart(&mut self) -> Result<Option<Met>, Failure> {
        self.fill(AHEAD)?;
        if let Some(unreadable) = self.unreadable.pop_front() {
            return Ok(Some(unreadable));
        }
        let (old, new) = (self.old.places(), self.new.places());
        let meet = old
            .iter()
            .filter_map(|(id, place)| Some((*place, *new.get(id)?)))
            .min_by_key(|(old, new)| (old.saturating_add(*new), *old));
        let first = |file: &File| file.ahead.front().and_then(|(_, entry)| entry.id().cloned());
        match (meet, first(&self.old), first(&self.new)) {
            // Before they meet, as many of one as of the other, and one of the first two has no id:
            // a worksheet that was at fault and is answered, or the other way round.
            (Some((old, new)), None, _) | (Some((old, new)), _, None) if old > 0 && new > 0 => {
                Ok(self.pair())
            }
            (None, None, _) | (None, _, None) => Ok(self.pair()),
            (Some((0, _)), ..) => Ok(self.new.only()),
            (Some(_), ..) => Ok(self.old.only()),
            (None, Some(old), Some(new)) => self.out_of_order(&old, &new),
        }
    }

    /// The next worksheets of both have none in common.
    fn out_of_order(&mut self, old: &Id, new: &Id) -> Result<Option<Met>, Failure> {
        // All that is left of the one is known, so the first of the other is not among it.
        match (self.old.ended, self.new.ended) {
            (_, true) => return Ok(self.old.only()),
            (true, false) => return Ok(self.new.only()),
            (false, false) => {}
        }
        let line = |file: &File| file.ahead.front().map_or(0, |(line, _)| *line);
        let message = format!(
            "line {} of {} is worksheet {}, line {} of {} is worksheet {}, and the next {AHEAD} of \
             one have none in common with those of the other: bring both into the same order",
            line(&self.old),
            self.old.name,
            old.as_str(),
            line(&self.new),
            self.new.name,
            new.as_str()
        );
        Err(Failure::new(exit::MALFORMED, message))
    }
}
