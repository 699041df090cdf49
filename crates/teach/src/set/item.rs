//! An item of a set, and a run that items ask about.

use crossread_core::document::{Digest, Id};
use crossread_core::worksheet::draft;
use serde::{Deserialize, Serialize};

use super::ask::Ask;
use super::shown::Shown;

/// What an item is made of.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Serialize,
    Deserialize,
    strum::Display,
    strum::EnumString,
    strum::VariantNames,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
#[expect(clippy::exhaustive_enums, reason = "each is shown in its own way")]
pub enum Kind {
    /// One drawing.
    Picture,
    /// A whole run: the worksheet, and a drawing for each look.
    Run,
    /// A whole run with its readings written out, without any drawing.
    Text,
}

/// The local rules that a key rests on.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Rules {
    /// The protocol's id.
    pub id: String,
    /// Its version.
    pub version: String,
    /// SHA-256 of its document.
    pub sha256: Digest,
}

impl Rules {
    pub(crate) fn of(protocol: &crossread_core::Protocol) -> Self {
        Self {
            id: protocol.id().to_string(),
            version: protocol.version().to_string(),
            sha256: protocol.digest(),
        }
    }

    /// The protocol, if one of this id, version and hash is at hand.
    pub(crate) fn among<'p>(
        &self,
        protocols: &'p crossread_core::Protocols,
    ) -> Option<&'p crossread_core::Protocol> {
        let protocol = protocols.get(&Id::new(&self.id)?, &Id::new(&self.version)?)?;
        (protocol.digest() == self.sha256).then_some(protocol)
    }
}

/// A run that items ask about.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Run {
    /// Its id in the set.
    pub id: String,
    /// The case of the seed.
    pub case: u32,
    /// What was written down, in the form of a worksheet but under a format of its own.
    pub worksheet: draft::Worksheet,
}

/// One item.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Item {
    /// Its id in the set.
    pub id: String,
    /// What it is made of.
    pub kind: Kind,
    /// What it asks.
    pub ask: Ask,
    /// The rules that its key rests on.
    pub rules: Rules,
    /// What the drawing shows, of a picture.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shown: Option<Shown>,
    /// The run, of a run or a text.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub run: Option<String>,
    /// The donor that is asked about, of a run or a text.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub donor: Option<String>,
    /// The right answer.
    pub key: String,
    /// The answers to choose from, in the order in which they are shown; the key is one of them.
    pub choices: Vec<String>,
    /// SHA-256 of each drawing, in the order in which they are shown.
    pub drawings: Vec<Digest>,
    /// What experts answered, if any were asked: their spread is shown beside each mark.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub experts: Vec<String>,
}
