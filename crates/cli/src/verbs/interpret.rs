use std::fs;
use std::io::{BufWriter, Write as _};

use crossread_core::document::FaultReport;
use crossread_core::{Protocols, Worksheet, interpret};
use indicatif::{ProgressBar, ProgressStyle};

use crate::cli::{Format, Interpret};
use crate::exit::{self, Failure, Gravest};
use crate::{input, stream, text};

/// A stream shorter than this needs no progress bar, in bytes.
const LONG: u64 = 8 * 1024 * 1024;

pub(crate) fn run(asked: &Interpret) -> Result<u8, Failure> {
    let local;
    let protocols = if asked.protocol.is_empty() {
        Protocols::shipped()
    } else {
        local = input::protocols(&asked.protocol)?;
        &local
    };
    if asked.format == Some(Format::Json) && asked.files.len() > 1 {
        return Err(Failure::misuse("several files give several documents: use --format ndjson"));
    }
    let mut gravest = Gravest::default();
    for file in &asked.files {
        gravest.add(if asked.stream || is_stream(file) {
            interpret_stream(file, asked, protocols)?
        } else {
            interpret_one(file, asked, protocols)?
        });
    }
    let status = gravest.status();
    Ok(if asked.exit_zero && status == exit::NOT_RELEASABLE { exit::RELEASABLE } else { status })
}

fn is_stream(file: &str) -> bool {
    let ending = std::path::Path::new(file).extension();
    ending.is_some_and(|ending| {
        ending.eq_ignore_ascii_case("ndjson") || ending.eq_ignore_ascii_case("jsonl")
    })
}

fn interpret_stream(file: &str, asked: &Interpret, protocols: &Protocols) -> Result<u8, Failure> {
    match asked.format {
        None | Some(Format::Ndjson) => {}
        Some(Format::Text | Format::Json) => {
            return Err(Failure::misuse("a stream is answered as NDJSON: take --format off"));
        }
    }
    let mut from = input::open(file)?;
    let size = fs::metadata(file).map_or(0, |about| about.len());
    let progress = if size > LONG { ProgressBar::new(size) } else { ProgressBar::hidden() };
    if let Ok(style) = ProgressStyle::with_template("{bar:40} {bytes}/{total_bytes} {eta} left") {
        progress.set_style(style);
    }
    let mut out = std::io::stdout().lock();
    let gravest = stream::run(
        input::name(file),
        &mut from,
        &mut out,
        protocols,
        usize::from(asked.jobs),
        &mut |bytes| progress.inc(bytes),
    );
    progress.finish_and_clear();
    out.flush()?;
    Ok(gravest?.status())
}

fn interpret_one(file: &str, asked: &Interpret, protocols: &Protocols) -> Result<u8, Failure> {
    let document = input::document(file)?;
    let format = asked.format.unwrap_or(Format::Text);
    let name = input::name(file);
    let worksheet = match Worksheet::from_json(&document, protocols) {
        Ok(worksheet) => worksheet,
        Err(faults) => {
            let report = FaultReport::new(name, None, &faults);
            match format {
                Format::Text => {
                    text::faults::write(&mut anstream::stderr().lock(), name, &document, &faults)?;
                }
                Format::Json => json(&report, true)?,
                Format::Ndjson => json(&report, false)?,
            }
            return Ok(exit::MALFORMED);
        }
    };
    let named = worksheet.protocol();
    let protocol = protocols.get(&named.id, &named.version).ok_or_else(|| {
        Failure::new(
            exit::PROGRAM,
            "the protocol of a checked worksheet is gone; please report this",
        )
    })?;
    let interpretation = interpret(&worksheet, protocol);
    match format {
        Format::Text => {
            let mut out = BufWriter::new(anstream::stdout().lock());
            text::verdict::write(&mut out, &worksheet, &interpretation)?;
            out.flush()?;
        }
        Format::Json => json(&interpretation, true)?,
        Format::Ndjson => json(&interpretation, false)?,
    }
    let releasable = interpretation.pairs.iter().all(|pair| pair.releasable);
    Ok(if releasable { exit::RELEASABLE } else { exit::NOT_RELEASABLE })
}

/// Writes one document, indented or on one line.
pub(super) fn json(document: &impl serde::Serialize, indented: bool) -> Result<(), Failure> {
    let mut out = BufWriter::new(std::io::stdout().lock());
    if indented {
        serde_json::to_writer_pretty(&mut out, document)?;
    } else {
        serde_json::to_writer(&mut out, document)?;
    }
    out.write_all(b"\n")?;
    Ok(out.flush()?)
}
