//! The JSON Schemas of the documents, generated from the types that read and write them.

use schemars::generate::SchemaSettings;
use schemars::{JsonSchema, Schema};

use crate::document::FaultReport;
use crate::interpretation::Interpretation;
use crate::{protocol, worksheet};

/// One published schema.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub struct Published {
    /// The file's name without its ending.
    pub name: &'static str,
    generate: fn() -> Schema,
}

/// Every published schema. Their words are a promise; see the stability chapter of the README.
pub const PUBLISHED: [Published; 4] = [
    Published {
        name: "fault",
        generate: || generated::<FaultReport<'_>>("fault", "faults of a document", false),
    },
    Published {
        name: "interpretation",
        generate: || {
            generated::<Interpretation>("interpretation", "interpretation of a crossmatch", false)
        },
    },
    Published {
        name: "protocol",
        generate: || {
            generated::<protocol::draft::Protocol>("protocol", "protocol of a crossmatch", true)
        },
    },
    Published {
        name: "worksheet",
        generate: || {
            generated::<worksheet::draft::Worksheet>("worksheet", "worksheet of a crossmatch", true)
        },
    },
];

impl Published {
    /// The schema as a document: draft 2020-12, keys in order, with its permanent `$id`.
    ///
    /// # Errors
    /// Only if the schema could not be written as JSON, which no schema of this list does.
    pub fn to_json(self) -> Result<String, serde_json::Error> {
        let mut text = serde_json::to_string_pretty(&(self.generate)())?;
        text.push('\n');
        Ok(text)
    }
}

/// `read` if the document is read by this program, so that its format is to be named exactly.
fn generated<T: JsonSchema>(name: &str, title: &str, read: bool) -> Schema {
    let mut schema = SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<T>();
    schema.insert("$id".to_owned(), format!("urn:crossread:schema:{name}:1").into());
    schema.insert("title".to_owned(), format!("crossread {title}").into());
    if read && let Some(format) = schema.pointer_mut("/properties/format") {
        format["const"] = format!("crossread.{name}/1").into();
    }
    schema
}
