//! Many worksheets, one a line: read in batches, worked on by several threads, written in order.
//!
//! Memory does not grow with the input: a fixed number of batches is under way at once, and their
//! buffers are used again.

use std::io::{self, Read, Write};
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};

use crossread_core::document::FaultReport;
use crossread_core::{Protocols, Worksheet, interpret};

use crate::exit::{self, Failure, Gravest};
use crate::input::ENOUGH;

/// Lines are read in batches of about so many bytes.
const BATCH: usize = 256 * 1024;

/// Batches under way for each thread.
const AHEAD: usize = 3;

/// Some whole lines on their way through, and what comes of them.
#[derive(Default)]
struct Batch {
    lines: Vec<u8>,
    /// The number of the first line, from 1.
    first: u64,
    out: Vec<u8>,
    gravest: Gravest,
    failed: Option<serde_json::Error>,
}

/// Interprets every line of `input`. `seen` is told how many bytes are done.
pub(crate) fn run(
    name: &str,
    input: &mut dyn Read,
    output: &mut dyn Write,
    protocols: &Protocols,
    jobs: usize,
    seen: &mut dyn FnMut(u64),
) -> Result<Gravest, Failure> {
    let mut lines = Lines::new(input);
    let mut gravest = Gravest::default();
    if jobs == 1 {
        let mut batch = Batch::default();
        while lines.fill(&mut batch).map_err(|error| unreadable(name, &error))? {
            batch.work(name, protocols);
            gravest.add(batch.write(output, seen)?.status());
        }
        return Ok(gravest);
    }
    std::thread::scope(|scope| {
        let mut workers = Vec::new();
        for _ in 0..jobs {
            let (to, todo) = sync_channel::<Batch>(AHEAD);
            let (done, from) = sync_channel::<Batch>(AHEAD);
            scope.spawn(move || work(name, protocols, &todo, &done));
            workers.push((to, from));
        }
        let most = jobs.saturating_mul(AHEAD);
        let mut idle: Vec<Batch> = Vec::new();
        let (mut sent, mut written, mut more) = (0_usize, 0_usize, true);
        while more || written < sent {
            while more && sent.saturating_sub(written) < most {
                let mut batch = idle.pop().unwrap_or_default();
                more = lines.fill(&mut batch).map_err(|error| unreadable(name, &error))?;
                if let Some((to, _)) = workers.get(sent.checked_rem(jobs).unwrap_or(0))
                    && more
                {
                    to.send(batch).map_err(|_lost| stopped())?;
                    sent = sent.saturating_add(1);
                }
            }
            if let Some((_, from)) = workers.get(written.checked_rem(jobs).unwrap_or(0))
                && written < sent
            {
                let mut batch = from.recv().map_err(|_lost| stopped())?;
                written = written.saturating_add(1);
                gravest.add(batch.write(output, seen)?.status());
                idle.push(batch);
            }
        }
        Ok(gravest)
    })
}

fn unreadable(name: &str, error: &io::Error) -> Failure {
    Failure::new(exit::IO, format!("cannot read {name}: {error}"))
}

fn stopped() -> Failure {
    Failure::new(exit::PROGRAM, "a thread stopped; please report this")
}

fn work(name: &str, protocols: &Protocols, todo: &Receiver<Batch>, done: &SyncSender<Batch>) {
    for mut batch in todo {
        batch.work(name, protocols);
        if done.send(batch).is_err() {
            return;
        }
    }
}

impl Batch {
    fn work(&mut self, name: &str, protocols: &Protocols) {
        self.out.clear();
        self.gravest = Gravest::default();
        let mut number = self.first;
        // Every line ends with a line feed here, so the piece after the last is not a line.
        for line in self.lines.strip_suffix(b"\n").unwrap_or_default().split(|byte| *byte == b'\n')
        {
            let line = line.strip_suffix(b"\r").unwrap_or(line);
            let (status, written) = one(name, number, line, protocols, &mut self.out);
            self.gravest.add(status);
            if let Err(error) = written {
                self.failed = Some(error);
                return;
            }
            self.out.push(b'\n');
            number = number.saturating_add(1);
        }
    }

    fn write(
        &mut self,
        output: &mut dyn Write,
        seen: &mut dyn FnMut(u64),
    ) -> Result<Gravest, Failure> {
        output.write_all(&self.out)?;
        if let Some(error) = self.failed.take() {
            return Err(Failure::new(exit::PROGRAM, error.to_string()));
        }
        seen(u64::try_from(self.lines.len()).unwrap_or_default());
        Ok(self.gravest)
    }
}

/// One line in, one line out without its end.
fn one(
    name: &str,
    number: u64,
    line: &[u8],
    protocols: &Protocols,
    out: &mut Vec<u8>,
) -> (u8, serde_json::Result<()>) {
    let worksheet = match Worksheet::from_json(line, protocols) {
        Ok(worksheet) => worksheet,
        Err(faults) => {
            let report = FaultReport::new(name, Some(number), &faults);
            return (exit::MALFORMED, serde_json::to_writer(out, &report));
        }
    };
    let named = worksheet.protocol();
    let Some(protocol) = protocols.get(&named.id, &named.version) else {
        // A worksheet is checked against one of these very protocols.
        return (exit::PROGRAM, Ok(()));
    };
    let interpretation = interpret(&worksheet, protocol);
    let releasable = interpretation.pairs.iter().all(|pair| pair.releasable);
    let status = if releasable { exit::RELEASABLE } else { exit::NOT_RELEASABLE };
    (status, serde_json::to_writer(out, &interpretation))
}

/// Whole lines of a stream.
struct Lines<'i> {
    input: &'i mut dyn Read,
    /// What was read of a line that is not whole yet.
    rest: Vec<u8>,
    next: u64,
    ended: bool,
}

impl<'i> Lines<'i> {
    fn new(input: &'i mut dyn Read) -> Self {
        Self { input, rest: Vec::new(), next: 1, ended: false }
    }

    /// Fills a batch with whole lines; `false` if there is none left.
    fn fill(&mut self, batch: &mut Batch) -> io::Result<bool> {
        let lines = &mut batch.lines;
        lines.clear();
        lines.append(&mut self.rest);
        while !self.ended {
            let start = lines.len();
            lines.resize(start.saturating_add(BATCH), 0);
            let got = read(self.input, lines.get_mut(start..).unwrap_or_default())?;
            lines.truncate(start.saturating_add(got));
            self.ended = got == 0;
            let fresh = lines.get(start..).unwrap_or_default();
            if let Some(end) = fresh.iter().rposition(|byte| *byte == b'\n') {
                let whole = start.saturating_add(end).saturating_add(1);
                self.rest.extend_from_slice(lines.get(whole..).unwrap_or_default());
                lines.truncate(whole);
                break;
            }
            if u64::try_from(lines.len()).unwrap_or(u64::MAX) > ENOUGH {
                self.pass_over(lines)?;
                break;
            }
        }
        if self.ended && !lines.is_empty() && lines.last() != Some(&b'\n') {
            lines.push(b'\n');
        }
        batch.first = self.next;
        let count = lines.split(|byte| *byte == b'\n').skip(1).count();
        self.next = self.next.saturating_add(u64::try_from(count).unwrap_or_default());
        Ok(!lines.is_empty())
    }

    /// Keeps as much of a line as shows that it is too large, and passes over the rest of it.
    fn pass_over(&mut self, line: &mut Vec<u8>) -> io::Result<()> {
        line.truncate(usize::try_from(ENOUGH).unwrap_or(usize::MAX));
        line.push(b'\n');
        let mut passed = vec![0; BATCH];
        loop {
            let got = read(self.input, &mut passed)?;
            let piece = passed.get(..got).unwrap_or_default();
            if let Some(end) = piece.iter().position(|byte| *byte == b'\n') {
                let after = end.saturating_add(1);
                self.rest.extend_from_slice(piece.get(after..).unwrap_or_default());
                return Ok(());
            }
            if got == 0 {
                self.ended = true;
                return Ok(());
            }
        }
    }
}

fn read(input: &mut dyn Read, into: &mut [u8]) -> io::Result<usize> {
    loop {
        match input.read(into) {
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            other => return other,
        }
    }
}
