//! The engine, as the suites call it: JSON in, JSON out.

use std::path::PathBuf;

use crossread_core::document::Faults;
use crossread_core::{Protocol, Protocols, Worksheet, interpret};
use serde_json::Value;

/// A file of the project.
pub(crate) fn project(path: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("..").join(path)
}

/// The text of a file of the project.
pub(crate) fn text(path: &str) -> String {
    std::fs::read_to_string(project(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
}

/// The document of a protocol that ships.
pub(crate) fn shipped_protocol_text(id: &str) -> String {
    text(&format!("crates/core/protocols/{id}.json"))
}

/// Interprets a worksheet by one protocol, or gives the faults of the worksheet.
pub(crate) fn try_interpret(worksheet: &str, protocol: &str) -> Result<Value, Faults> {
    let protocol = Protocol::from_json(protocol.as_bytes())
        .unwrap_or_else(|faults| panic!("the protocol is at fault:\n{faults}"));
    let protocols = Protocols::new([protocol.clone()]);
    let worksheet = Worksheet::from_json(worksheet.as_bytes(), &protocols)?;
    Ok(serde_json::to_value(interpret(&worksheet, &protocol)).expect("plain JSON"))
}

/// Interprets a worksheet by one protocol. Panics with the faults of either.
pub(crate) fn interpret_json(worksheet: &str, protocol: &str) -> Value {
    try_interpret(worksheet, protocol)
        .unwrap_or_else(|faults| panic!("the worksheet is at fault:\n{faults}\n{worksheet}"))
}

/// Interprets a worksheet by the shipped protocol that it names.
pub(crate) fn interpret_shipped(worksheet: &str) -> Value {
    let protocols = Protocols::shipped();
    let worksheet = Worksheet::from_json(worksheet.as_bytes(), protocols)
        .unwrap_or_else(|faults| panic!("the worksheet is at fault:\n{faults}\n{worksheet}"));
    let named = worksheet.protocol();
    let protocol = protocols.get(&named.id, &named.version).expect("it was checked against one");
    serde_json::to_value(interpret(&worksheet, protocol)).expect("plain JSON")
}
