//! The JSON Schemas of the documents, generated from the types that read and write them.
//!
//! ```standalone_crate
//! use crossread_core::schema::PUBLISHED;
//!
//! let names: Vec<_> = PUBLISHED.iter().map(|schema| schema.name).collect();
//! assert_eq!(names, ["fault", "interpretation", "protocol", "worksheet"]);
//! assert_eq!(PUBLISHED[3].to_json()?, include_str!("../../../schemas/worksheet.json"));
//! # Ok::<_, serde_json::Error>(())
//! ```

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
    title: &'static str,
    read: bool,
    generate: fn(&str, &str, bool) -> Schema,
}

/// Every published schema of a document that this crate reads or writes. Their words are a promise;
/// see the stability chapter of the README.
pub const PUBLISHED: [Published; 4] = [
    Published::of::<FaultReport<'static>>("fault", "faults of a document", false),
    Published::of::<Interpretation>("interpretation", "interpretation of a crossmatch", false),
    Published::of::<protocol::draft::Protocol>("protocol", "protocol of a crossmatch", true),
    Published::of::<worksheet::draft::Worksheet>("worksheet", "worksheet of a crossmatch", true),
];

impl Published {
    /// The schema of a type. `read` if documents of its format are read by this program, so that
    /// the format is to be named exactly.
    ///
    /// ```
    /// # use crossread_core::{schema::Published, words::Grade};
    /// let schema = Published::of::<Grade>("grade", "grade of a reaction", false);
    /// let json: serde_json::Value = serde_json::from_str(&schema.to_json()?)?;
    /// assert_eq!(json["$id"], "urn:crossread:schema:grade:1");
    /// assert_eq!(json["title"], "crossread grade of a reaction");
    /// # Ok::<_, serde_json::Error>(())
    /// ```
    pub const fn of<T: JsonSchema>(name: &'static str, title: &'static str, read: bool) -> Self {
        Self { name, title, read, generate: generated::<T> }
    }

    /// The schema as a document: draft 2020-12, keys in order, with its permanent `$id`.
    ///
    /// ```
    /// # use crossread_core::schema::PUBLISHED;
    /// let worksheet = PUBLISHED.iter().find(|schema| schema.name == "worksheet").unwrap();
    /// let json: serde_json::Value = serde_json::from_str(&worksheet.to_json()?)?;
    /// assert_eq!(json["properties"]["format"]["const"], "crossread.worksheet/1");
    /// # Ok::<_, serde_json::Error>(())
    /// ```
    ///
    /// # Errors
    /// Only if the schema could not be written as JSON, which no schema of this list does.
    pub fn to_json(self) -> Result<String, serde_json::Error> {
        let schema = (self.generate)(self.name, self.title, self.read);
        let mut text = serde_json::to_string_pretty(&schema)?;
        text.push('\n');
        Ok(text)
    }
}

fn generated<T: JsonSchema>(name: &str, title: &str, read: bool) -> Schema {
    let mut schema = SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<T>();
    schema.insert("$id".to_owned(), format!("urn:crossread:schema:{name}:1").into());
    schema.insert("title".to_owned(), format!("crossread {title}").into());
    if read && let Some(format) = schema.pointer_mut("/properties/format") {
        format["const"] = format!("crossread.{name}/1").into();
    }
    schema
}
