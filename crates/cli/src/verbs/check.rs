use std::io::{BufWriter, Write as _};

use crossread_core::Protocols;
use crossread_core::document::{FaultReport, Faults};
use crossread_core::embed::{self, Good, Kind};

use super::interpret::json;
use crate::cli::{Check, Format};
use crate::exit::{self, Failure};
use crate::lines::{Batch, Lines};
use crate::{input, text};

pub(crate) fn run(asked: &Check) -> Result<u8, Failure> {
    let streamed = |file: &str| asked.stream || input::is_stream(file);
    if asked.format == Format::Json && asked.files.len() > 1 {
        return Err(Failure::misuse("several files give several documents: use --format ndjson"));
    }
    if asked.format == Format::Json && asked.files.iter().any(|file| streamed(file)) {
        return Err(Failure::misuse("a stream holds several documents: use --format ndjson"));
    }
    let protocols = input::protocols(&asked.protocol)?;
    exit::each(&asked.files, |file| {
        if streamed(file) {
            return check_stream(file, &protocols, asked.format);
        }
        let document = input::document(file)?;
        report(file, &document, check(&document, &protocols), asked.format)
    })
}

fn check(document: &[u8], protocols: &Protocols) -> Result<Good, Faults> {
    embed::check(document, Kind::of(document), protocols)
}

fn report(
    file: &str,
    document: &[u8],
    checked: Result<Good, Faults>,
    format: Format,
) -> Result<u8, Failure> {
    let name = input::name(file);
    let mut out = BufWriter::new(anstream::stdout().lock());
    let status = match checked {
        Ok(good) => {
            if format == Format::Text {
                text::line(&mut out, &format!("{name}: no fault: {good}"))?;
            }
            exit::RELEASABLE
        }
        Err(faults) => {
            match format {
                Format::Text => text::faults::write(&mut out, name, document, &faults)?,
                Format::Json => json(&mut out, &FaultReport::new(name, None, &faults), true)?,
                Format::Ndjson => json(&mut out, &FaultReport::new(name, None, &faults), false)?,
            }
            exit::MALFORMED
        }
    };
    out.flush()?;
    Ok(status)
}

/// Checks every line of a stream. A line without a fault is only counted.
fn check_stream(file: &str, protocols: &Protocols, format: Format) -> Result<u8, Failure> {
    let name = input::name(file);
    let (mut lines, mut batch) = (Lines::new(input::open(file)?), Batch::default());
    let (mut documents, mut bad, mut found) = (0_u64, 0_u64, 0_usize);
    let mut out = BufWriter::new(anstream::stdout().lock());
    while lines.fill(&mut batch).map_err(|error| input::unreadable(name, &error))? {
        for (number, document) in batch.lines() {
            documents = number;
            let Err(faults) = check(document, protocols) else { continue };
            bad = bad.saturating_add(1);
            found = found.saturating_add(faults.as_slice().len());
            match format {
                Format::Text => text::faults::each(&mut out, name, number, document, &faults)?,
                Format::Json | Format::Ndjson => {
                    json(&mut out, &FaultReport::new(name, Some(number), &faults), false)?;
                }
            }
        }
        out.flush()?;
    }
    if format == Format::Text {
        let plural = if found == 1 { "" } else { "s" };
        let told = if bad == 0 {
            format!("{name}: no fault: documents: {documents}")
        } else {
            format!("{name}: {found} fault{plural} in {bad} of {documents} documents")
        };
        text::line(&mut out, &told)?;
    }
    out.flush()?;
    Ok(if bad == 0 { exit::RELEASABLE } else { exit::MALFORMED })
}

/// For `protocols check`: every file must be a protocol.
pub(super) fn protocols(files: &[String]) -> Result<u8, Failure> {
    exit::each(files, |file| {
        let document = input::document(file)?;
        let checked = embed::check(&document, Kind::Protocol, Protocols::shipped());
        report(file, &document, checked, Format::Text)
    })
}
