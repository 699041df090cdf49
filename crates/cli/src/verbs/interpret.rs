use std::fs;
use std::io::{BufWriter, Write};

use crossread_core::Protocols;
use crossread_core::embed::{self, Layout, Outcome, Source};
use indicatif::{ProgressBar, ProgressStyle};

use crate::cli::{Format, Interpret};
use crate::exit::{self, Failure};
use crate::{input, stream, text};

/// A stream shorter than this needs no progress bar, in bytes.
const LONG: u64 = 8 * 1024 * 1024;

pub(crate) fn run(asked: &Interpret) -> Result<u8, Failure> {
    let streamed = |file: &str| asked.stream || input::is_stream(file);
    let whole = matches!(asked.format, Some(Format::Text | Format::Json));
    if whole && asked.files.iter().any(|file| streamed(file)) {
        return Err(Failure::misuse("a stream is answered as NDJSON: take --format off"));
    }
    if asked.format == Some(Format::Json) && asked.files.len() > 1 {
        return Err(Failure::misuse("several files give several documents: use --format ndjson"));
    }
    let local;
    let protocols = if asked.protocol.is_empty() {
        Protocols::shipped()
    } else {
        local = input::protocols(&asked.protocol)?;
        &local
    };
    let status = exit::each(&asked.files, |file| {
        if streamed(file) {
            interpret_stream(file, asked, protocols)
        } else {
            interpret_one(file, asked, protocols)
        }
    })?;
    Ok(if asked.exit_zero && status == exit::NOT_RELEASABLE { exit::RELEASABLE } else { status })
}

fn interpret_stream(file: &str, asked: &Interpret, protocols: &Protocols) -> Result<u8, Failure> {
    let from = input::open(file)?;
    let size = fs::metadata(file).map_or(0, |about| about.len());
    let progress = if size > LONG { ProgressBar::new(size) } else { ProgressBar::hidden() };
    if let Ok(style) = ProgressStyle::with_template("{bar:40} {bytes}/{total_bytes} {eta} left") {
        progress.set_style(style);
    }
    let gravest = stream::run(
        input::name(file),
        from,
        &mut std::io::stdout().lock(),
        protocols,
        usize::from(asked.jobs),
        &mut |bytes| progress.inc(bytes),
    );
    progress.finish_and_clear();
    Ok(gravest?.status())
}

fn interpret_one(file: &str, asked: &Interpret, protocols: &Protocols) -> Result<u8, Failure> {
    let document = input::document(file)?;
    let name = input::name(file);
    let layout = match asked.format.unwrap_or(Format::Text) {
        Format::Text => return for_people(name, &document, protocols),
        Format::Json => Layout::Indented,
        Format::Ndjson => Layout::Line,
    };
    let mut answer = Vec::new();
    let source = Source { name, line: None };
    let outcome = embed::answer(&document, protocols, source, layout, &mut answer)?;
    answer.push(b'\n');
    let mut out = anstream::stdout().lock();
    out.write_all(&answer)?;
    out.flush()?;
    Ok(exit::of(outcome))
}

fn for_people(name: &str, document: &[u8], protocols: &Protocols) -> Result<u8, Failure> {
    let judged = match embed::judge(document, protocols)? {
        Ok(judged) => judged,
        Err(faults) => {
            input::tell(name, document, &faults)?;
            return Ok(exit::of(Outcome::Faulty));
        }
    };
    let mut out = BufWriter::new(anstream::stdout().lock());
    let (worksheet, protocol) = (&judged.worksheet, judged.protocol);
    text::verdict::write(&mut out, worksheet, protocol, &judged.interpretation)?;
    out.flush()?;
    Ok(exit::of(judged.outcome()))
}

/// Writes one document, indented or on one line.
pub(super) fn json(
    out: &mut dyn Write,
    document: &impl serde::Serialize,
    indented: bool,
) -> Result<(), Failure> {
    if indented {
        serde_json::to_writer_pretty(&mut *out, document)?;
    } else {
        serde_json::to_writer(&mut *out, document)?;
    }
    Ok(out.write_all(b"\n")?)
}
