//! The JSON Schema of a line of an export, from the types that read and write it.
//!
//! ```standalone_crate
//! let schema = crossread_journal::schema::PUBLISHED.to_json()?;
//! assert_eq!(schema, include_str!("../../../schemas/journal.json"));
//! # Ok::<_, serde_json::Error>(())
//! ```

use std::borrow::Cow;

use crossread_core::document::{Id, Text, Time};
use crossread_core::schema::Published;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use strum::VariantArray as _;

use crate::event::Kind;

/// The schema of each line of an export.
pub const PUBLISHED: Published =
    Published::of::<Line>("journal", "line of an export of a journal", false);

/// A line of an export.
struct Line;

impl JsonSchema for Line {
    fn schema_name() -> Cow<'static, str> {
        Cow::Borrowed("Line")
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "One entry of a journal, `crossread.journal/1`, as a line of its export.",
            "type": "object",
            "properties": {
                "entry": entry(generator),
                "sha256": hash("SHA-256 of the text of `entry`, exactly as it stands in the line."),
            },
            "required": ["entry", "sha256"],
            "additionalProperties": false,
        })
    }
}

fn entry(generator: &mut SchemaGenerator) -> Schema {
    let kinds: Vec<_> = Kind::VARIANTS
        .iter()
        .map(|kind| {
            let body = kind.body(generator);
            json_schema!({ "properties": { "body": body, "kind": { "const": kind.word() } } })
        })
        .collect();
    json_schema!({
        "description": "The entry, in canonical form (RFC 8785).",
        "type": "object",
        "properties": {
            "at": generator.subschema_for::<Time>(),
            "body": { "description": "What was written; its fields depend on the kind." },
            "by": generator.subschema_for::<Text>(),
            "kind": { "description": "What kind of entry it is." },
            "previous": hash("SHA-256 of the entry before; 64 zeros for the first."),
            "replaces": place("The retracted entry in whose place it stands."),
            "seq": place("Its place in the journal, from 1, without gaps."),
            "worksheet": generator.subschema_for::<Id>(),
        },
        "required": ["at", "body", "by", "kind", "previous", "seq"],
        "additionalProperties": false,
        "oneOf": kinds,
    })
}

fn place(of: &str) -> Schema {
    json_schema!({ "description": of, "type": "integer", "minimum": 1 })
}

fn hash(of: &str) -> Schema {
    json_schema!({ "description": of, "type": "string", "pattern": "^[0-9a-f]{64}$" })
}
