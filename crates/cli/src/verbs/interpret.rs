use std::fs;
use std::io::{BufWriter, Write};

use crossread_core::document::FaultReport;
use crossread_core::{Protocols, Worksheet, interpret};
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
    let format = asked.format.unwrap_or(Format::Text);
    let name = input::name(file);
    let mut out = BufWriter::new(anstream::stdout().lock());
    let worksheet = match Worksheet::from_json(&document, protocols) {
        Ok(worksheet) => worksheet,
        Err(faults) => {
            let report = FaultReport::new(name, None, &faults);
            match format {
                Format::Text => input::tell(name, &document, &faults)?,
                Format::Json => json(&mut out, &report, true)?,
                Format::Ndjson => json(&mut out, &report, false)?,
            }
            out.flush()?;
            return Ok(exit::MALFORMED);
        }
    };
    let named = worksheet.protocol();
    let protocol = protocols.get(&named.id, &named.version).ok_or_else(|| {
        let gone = "the protocol of a checked worksheet is gone; please report this";
        Failure::new(exit::PROGRAM, gone)
    })?;
    let interpretation = interpret(&worksheet, protocol);
    match format {
        Format::Text => text::verdict::write(&mut out, &worksheet, protocol, &interpretation)?,
        Format::Json => json(&mut out, &interpretation, true)?,
        Format::Ndjson => json(&mut out, &interpretation, false)?,
    }
    out.flush()?;
    let releasable = interpretation.pairs.iter().all(|pair| pair.releasable);
    Ok(if releasable { exit::RELEASABLE } else { exit::NOT_RELEASABLE })
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
