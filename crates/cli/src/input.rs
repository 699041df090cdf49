//! What is read: files, the standard input, local protocols. Never more than one document may be.

use std::fs::File;
use std::io::{self, Read};

use crossread_core::{Protocol, Protocols};

use crate::exit::{self, Failure};
use crate::text::faults;

/// One byte more than a document may have, so that a larger one is known to be larger.
pub(crate) const ENOUGH: u64 = 64 * 1024 * 1024 + 1;

/// The name by which the standard input is known in messages.
pub(crate) fn name(file: &str) -> &str {
    if file == "-" { "<stdin>" } else { file }
}

/// Opens a file, or the standard input.
pub(crate) fn open(file: &str) -> Result<Box<dyn Read>, Failure> {
    if file == "-" {
        return Ok(Box::new(io::stdin().lock()));
    }
    match File::open(file) {
        Ok(opened) => Ok(Box::new(opened)),
        Err(error) => Err(Failure::new(exit::MISSING, format!("cannot read {file}: {error}"))),
    }
}

/// A whole document, or as much of it as shows that it is too large.
pub(crate) fn document(file: &str) -> Result<Vec<u8>, Failure> {
    let mut document = Vec::new();
    let read = open(file)?.take(ENOUGH).read_to_end(&mut document);
    read.map_err(|error| {
        // A folder can be opened and not read.
        Failure::new(exit::MISSING, format!("cannot read {}: {error}", name(file)))
    })?;
    Ok(document)
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
        let told = faults::write(&mut anstream::stderr().lock(), name(file), &document, &found);
        let message = format!("{} is no protocol", name(file));
        told.map_or_else(Failure::from, |()| Failure::new(exit::MALFORMED, message))
    })
}
