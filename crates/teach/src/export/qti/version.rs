//! The two versions of QTI: the same structure in other words.

use crate::export::xml::Tag;

/// A version of QTI.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Version {
    /// 2.1: `choiceInteraction`, `maxChoices`.
    V2p1,
    /// 3.0: `qti-choice-interaction`, `max-choices`.
    V3p0,
}

impl Version {
    /// An element of QTI, named as in 2.1.
    pub(super) fn tag(self, name: &str) -> Tag {
        Tag::new(match self {
            Self::V2p1 => name.to_owned(),
            Self::V3p0 => format!("qti-{}", hyphens(name)),
        })
    }

    /// An element of QTI with attributes, all named as in 2.1.
    pub(super) fn with<const N: usize>(self, name: &str, attributes: [(&str, &str); N]) -> Tag {
        attributes.into_iter().fold(self.tag(name), |tag, (name, value)| {
            let name = match self {
                Self::V2p1 => name.to_owned(),
                Self::V3p0 => hyphens(name),
            };
            tag.with(name, value)
        })
    }

    /// The outermost element of a file, with its schema.
    pub(super) fn root<const N: usize>(self, name: &str, attributes: [(&str, &str); N]) -> Tag {
        let (space, schema) = match self {
            Self::V2p1 => (
                "http://www.imsglobal.org/xsd/imsqti_v2p1",
                "http://www.imsglobal.org/xsd/qti/qtiv2p1/imsqti_v2p1.xsd",
            ),
            Self::V3p0 => (
                "http://www.imsglobal.org/xsd/imsqtiasi_v3p0",
                "https://purl.imsglobal.org/spec/qti/v3p0/schema/xsd/imsqti_asiv3p0_v1p0.xsd",
            ),
        };
        in_schema(self.with(name, attributes), space, schema)
    }

    /// The manifest of a package, with its schema.
    pub(super) fn manifest(self, identifier: &str) -> Tag {
        let (space, schema) = match self {
            Self::V2p1 => (
                "http://www.imsglobal.org/xsd/imscp_v1p1",
                "http://www.imsglobal.org/xsd/qti/qtiv2p1/qtiv2p1_imscpv1p2_v1p0.xsd",
            ),
            Self::V3p0 => (
                "http://www.imsglobal.org/xsd/qti/qtiv3p0/imscp_v1p1",
                "https://purl.imsglobal.org/spec/qti/v3p0/schema/xsd/imsqtiv3p0_imscpv1p2_v1p0.xsd",
            ),
        };
        in_schema(Tag::new("manifest").with("identifier", identifier), space, schema)
    }

    /// What the manifest calls its schema, and the version of it.
    pub(super) fn schema(self) -> (&'static str, &'static str) {
        match self {
            Self::V2p1 => ("QTIv2.1 Package", "1.0.0"),
            Self::V3p0 => ("QTI Package", "3.0.0"),
        }
    }

    /// What the manifest calls a test and an item.
    pub(super) fn kinds(self) -> (&'static str, &'static str) {
        match self {
            Self::V2p1 => ("imsqti_test_xmlv2p1", "imsqti_item_xmlv2p1"),
            Self::V3p0 => ("imsqti_test_xmlv3p0", "imsqti_item_xmlv3p0"),
        }
    }

    /// How the files of pictures end.
    pub(super) fn ending(self) -> &'static str {
        match self {
            Self::V2p1 => "png",
            Self::V3p0 => "svg",
        }
    }
}

fn in_schema(tag: Tag, space: &str, schema: &str) -> Tag {
    tag.with("xmlns", space)
        .with("xmlns:xsi", "http://www.w3.org/2001/XMLSchema-instance")
        .with("xsi:schemaLocation", format!("{space} {schema}"))
}

/// `maxChoices` as `max-choices`.
fn hyphens(name: &str) -> String {
    name.chars().fold(String::new(), |mut made, c| {
        if c.is_ascii_uppercase() {
            made.push('-');
        }
        made.push(c.to_ascii_lowercase());
        made
    })
}
