use std::io::Write as _;

use crossread_core::document::{FaultReport, Faults};
use crossread_core::{Protocol, Protocols, Worksheet, protocol};

use super::interpret::json;
use crate::cli::{Check, Format};
use crate::exit::{self, Failure, Gravest};
use crate::{input, text};

pub(crate) fn run(asked: &Check) -> Result<u8, Failure> {
    if asked.format == Format::Json && asked.files.len() > 1 {
        return Err(Failure::misuse("several files give several documents: use --format ndjson"));
    }
    let protocols = input::protocols(&asked.protocol)?;
    let mut gravest = Gravest::default();
    for file in &asked.files {
        let document = input::document(file)?;
        gravest.add(report(file, &document, what(&document, &protocols), asked.format)?);
    }
    Ok(gravest.status())
}

/// What a document is, by the format that it names; or its faults.
fn what(document: &[u8], protocols: &Protocols) -> Result<String, Faults> {
    // The format is looked for in the text, so that a document with faults is judged as what it
    // says it is. Whatever says nothing is judged as a worksheet.
    let is_protocol = str::from_utf8(document).is_ok_and(|text| text.contains(protocol::FORMAT));
    if is_protocol {
        let protocol = Protocol::from_json(document)?;
        return Ok(format!("protocol {} {}", protocol.id().as_str(), protocol.version().as_str()));
    }
    let worksheet = Worksheet::from_json(document, protocols)?;
    let (donors, readings) = (worksheet.donors().len(), worksheet.readings().len());
    Ok(format!("worksheet {}, donors: {donors}, readings: {readings}", worksheet.id().as_str()))
}

fn report(
    file: &str,
    document: &[u8],
    what: Result<String, Faults>,
    format: Format,
) -> Result<u8, Failure> {
    let name = input::name(file);
    match (what, format) {
        (Ok(what), Format::Text) => {
            writeln!(anstream::stdout().lock(), "{name}: no fault: {what}")?;
            Ok(exit::RELEASABLE)
        }
        (Ok(_), Format::Json | Format::Ndjson) => Ok(exit::RELEASABLE),
        (Err(faults), Format::Text) => {
            text::faults::write(&mut anstream::stdout().lock(), name, document, &faults)?;
            Ok(exit::MALFORMED)
        }
        (Err(faults), Format::Json | Format::Ndjson) => {
            json(&FaultReport::new(name, None, &faults), format == Format::Json)?;
            Ok(exit::MALFORMED)
        }
    }
}

/// For `protocols check`: every file must be a protocol.
pub(super) fn protocols(files: &[String]) -> Result<u8, Failure> {
    let mut gravest = Gravest::default();
    for file in files {
        let document = input::document(file)?;
        let what = Protocol::from_json(&document).map(|protocol| {
            format!("protocol {} {}", protocol.id().as_str(), protocol.version().as_str())
        });
        gravest.add(report(file, &document, what, Format::Text)?);
    }
    Ok(gravest.status())
}
