//! What the tests share: sets made by hand.

use crossread_core::words::Species;
use crossread_core::{Protocol, Protocols};
use crossread_teach::chance::SCHEME;
use crossread_teach::set::{Exercise, FORMAT, WATERMARK};
use serde_json::{Value, json};

pub(crate) fn protocol(species: Species) -> &'static Protocol {
    let mut shipped = Protocols::shipped().iter();
    shipped.find(|protocol| protocol.species().contains(&species)).expect("one ships")
}

pub(crate) fn rules(protocol: &Protocol) -> Value {
    json!({
        "id": protocol.id(), "version": protocol.version(), "sha256": protocol.digest().to_string()
    })
}

/// A set of these items and runs.
pub(crate) fn set(scale: &str, runs: &[Value], items: &[Value]) -> Value {
    json!({
        "format": FORMAT, "watermark": WATERMARK, "id": "EX-T", "title": "Made by hand",
        "seed": "1", "scheme": SCHEME, "generator": "0.1.0", "assumptions": "0".repeat(64),
        "scale": scale, "near_hundredths": 50, "runs": runs, "items": items
    })
}

/// A picture item that shows a tube with a dog's cells, and what else is said.
pub(crate) fn picture(
    protocol: &Protocol,
    ask: &str,
    more: &Value,
    key: &str,
    choices: &[String],
) -> Value {
    let mut shown = json!({
        "method": "tube", "species": "dog", "view": "naked_eye", "seen": "0", "seed": "1", "case": 1
    });
    for (name, value) in more.as_object().expect("an object") {
        shown[name] = value.clone();
    }
    json!({
        "id": format!("i-{key}"), "kind": "picture", "ask": ask, "rules": rules(protocol),
        "shown": shown, "key": key, "choices": choices, "drawings": []
    })
}

pub(crate) fn checked(set: &Value, protocols: &Protocols) -> Exercise {
    let document = serde_json::to_vec(set).expect("it can be written");
    Exercise::from_json(&document, protocols).unwrap_or_else(|faults| panic!("{faults}"))
}
