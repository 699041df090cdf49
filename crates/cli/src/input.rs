//! What is read: files, the standard input, local protocols. Never more than one document may be.

use std::fs::File;
use std::io::{self, BufWriter, Read, Write as _};
use std::path::Path;

use crossread_core::document::Faults;
use crossread_core::words::Species;
use crossread_core::{Protocol, Protocols};

use crate::exit::{self, Failure};
use crate::text::faults;

/// One byte more than a document may have, so that a larger one is known to be larger.
pub(crate) const ENOUGH: u64 = 64 * 1024 * 1024 + 1;

/// The name by which the standard input is known in messages.
pub(crate) fn name(file: &str) -> &str {
    if file == "-" { "<stdin>" } else { file }
}

/// Whether a file holds one document a line, by its ending.
pub(crate) fn is_stream(file: &str) -> bool {
    let ending = Path::new(file).extension();
    ending.is_some_and(|ending| {
        ending.eq_ignore_ascii_case("ndjson") || ending.eq_ignore_ascii_case("jsonl")
    })
}

/// Opens a file, or the standard input. It can be read in another thread.
pub(crate) fn open(file: &str) -> Result<Box<dyn Read + Send>, Failure> {
    if file == "-" {
        return Ok(Box::new(io::stdin()));
    }
    match File::open(file) {
        Ok(opened) => Ok(Box::new(opened)),
        Err(error) => Err(Failure::of_file(exit::MISSING, format!("cannot read {file}: {error}"))),
    }
}

/// A whole document, or as much of it as shows that it is too large.
pub(crate) fn document(file: &str) -> Result<Vec<u8>, Failure> {
    let mut document = Vec::new();
    let read = open(file)?.take(ENOUGH).read_to_end(&mut document);
    read.map_err(|error| {
        // A folder can be opened and not read.
        Failure::of_file(exit::MISSING, format!("cannot read {}: {error}", name(file)))
    })?;
    Ok(document)
}

/// A stream that broke off.
pub(crate) fn unreadable(name: &str, error: &io::Error) -> Failure {
    Failure::of_file(exit::IO, format!("cannot read {name}: {error}"))
}

/// The protocols that ship, and local ones besides.
pub(crate) fn protocols(files: &[String]) -> Result<Protocols, Failure> {
    let mut protocols = Protocols::shipped().clone();
    for file in files {
        protocols = protocols.with(protocol(file)?);
    }
    Ok(protocols)
}

/// A protocol from a file, with its faults told if it has any.
pub(crate) fn protocol(file: &str) -> Result<Protocol, Failure> {
    let document = document(file)?;
    Protocol::from_json(&document).map_err(|found| {
        let told = tell(name(file), &document, &found);
        let message = format!("{} is no protocol", name(file));
        told.map_or_else(Failure::from, |()| Failure::new(exit::MALFORMED, message))
    })
}

/// Tells the faults of a document on the error stream.
pub(crate) fn tell(name: &str, document: &[u8], found: &Faults) -> io::Result<()> {
    let mut out = BufWriter::new(anstream::stderr().lock());
    faults::write(&mut out, name, document, found)?;
    out.flush()
}

/// The rules for a species: those of a file, or of a protocol that ships by its id, or, without
/// either, the ones that ship for it.
pub(crate) fn protocol_for(species: Species, asked: Option<&str>) -> Result<Protocol, Failure> {
    let mut shipped = Protocols::shipped().iter();
    let found = match asked {
        None => shipped.find(|protocol| protocol.species().contains(&species)),
        Some(name) => shipped.find(|protocol| protocol.id().as_str() == name),
    };
    match (found, asked) {
        (Some(protocol), _) => Ok(protocol.clone()),
        (None, Some(file)) => protocol(file),
        (None, None) => {
            Err(Failure::misuse(format!("no protocol ships for a {species}: give --protocol FILE")))
        }
    }
}
