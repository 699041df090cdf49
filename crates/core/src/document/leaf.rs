use std::borrow::Cow;

use compact_str::CompactString;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::fault::FaultCode;
use super::hint::nearest;

/// A single value of a document: how it is made from what stands there, and what is said if not.
pub(crate) trait Leaf: Sized {
    /// What a fault says was expected.
    const EXPECTED: &'static str;

    /// The known words, if the value is one of a list.
    const WORDS: &'static [&'static str] = &[];

    /// Makes the value from a text.
    fn from_text(_text: &str) -> Result<Self, Wrong> {
        Err(Wrong::type_of())
    }

    /// Makes the value from a number as it is written.
    fn from_number(_written: &str) -> Result<Self, Wrong> {
        Err(Wrong::type_of())
    }

    /// Makes the value from `true` or `false`.
    fn from_bool(_value: bool) -> Result<Self, Wrong> {
        Err(Wrong::type_of())
    }
}

/// Why a value could not be made.
#[derive(Debug)]
pub(crate) struct Wrong {
    pub(crate) code: FaultCode,
    pub(crate) expected: Option<Cow<'static, str>>,
    pub(crate) hint: Option<Cow<'static, str>>,
}

impl Wrong {
    pub(crate) fn new(code: FaultCode) -> Self {
        Self { code, expected: None, hint: None }
    }

    pub(crate) fn hint(mut self, hint: impl Into<Cow<'static, str>>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    pub(crate) fn type_of() -> Self {
        Self::new(FaultCode::WrongType)
    }

    /// An unknown word, with the nearest known one as a hint.
    pub(crate) fn unknown_word(written: &str, known: &'static [&'static str]) -> Self {
        let meant = match written {
            // The two grades that have another name by agreement.
            "3+w" if known.contains(&"2+s") => Some("`3+w` is written `2+s`".into()),
            "4+w" if known.contains(&"3+s") => Some("`4+w` is written `3+s`".into()),
            _ => nearest(written, known).map(|word| format!("did you mean `{word}`?").into()),
        };
        Self { code: FaultCode::UnknownWord, expected: None, hint: meant }
    }
}

/// Lets a type made from text be read by the typed parse and by the walk.
macro_rules! text_leaf {
    ($name:ty) => {
        impl<'d> serde::Deserialize<'d> for $name {
            fn deserialize<D: serde::Deserializer<'d>>(deserializer: D) -> Result<Self, D::Error> {
                struct Visitor;
                impl serde::de::Visitor<'_> for Visitor {
                    type Value = $name;
                    fn expecting(
                        &self,
                        formatter: &mut std::fmt::Formatter<'_>,
                    ) -> std::fmt::Result {
                        formatter.write_str(<$name as crate::document::Leaf>::EXPECTED)
                    }
                    fn visit_str<E: serde::de::Error>(self, v: &str) -> Result<$name, E> {
                        <$name as crate::document::Leaf>::from_text(v)
                            .map_err(|wrong| E::custom(wrong.code.word()))
                    }
                }
                deserializer.deserialize_str(Visitor)
            }
        }

        impl crate::document::Part for $name {
            fn take(walk: &mut crate::document::Walk<'_>) -> Option<Self> {
                walk.leaf()
            }
        }
    };
}
pub(crate) use text_leaf;

/// Any text, also an empty one. Never interpreted.
#[derive(
    Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, Serialize, JsonSchema,
)]
#[serde(transparent)]
#[schemars(inline)]
pub struct Text(#[schemars(with = "String")] CompactString);

impl Text {
    /// The text.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The text, to keep.
    pub fn into_string(self) -> String {
        self.0.into()
    }
}

impl std::fmt::Display for Text {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

impl From<&str> for Text {
    fn from(text: &str) -> Self {
        Self(text.into())
    }
}

impl Leaf for Text {
    const EXPECTED: &'static str = "text";

    fn from_text(text: &str) -> Result<Self, Wrong> {
        Ok(Self(text.into()))
    }
}

/// An id or number of something: text that is not empty, compared byte by byte.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, JsonSchema)]
#[serde(transparent)]
#[schemars(inline)]
pub struct Id(#[schemars(with = "String", length(min = 1))] CompactString);

impl Id {
    /// An id, unless the text is empty.
    ///
    /// ```
    /// # use crossread_core::document::Id;
    /// assert_eq!(Id::new("D-081").unwrap().as_str(), "D-081");
    /// assert!(Id::new("").is_none());
    /// ```
    pub fn new(text: &str) -> Option<Self> {
        (!text.is_empty()).then(|| Self(text.into()))
    }

    /// The text of the id.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The text of the id, to keep.
    pub fn into_string(self) -> String {
        self.0.into()
    }
}

impl std::fmt::Display for Id {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

impl Leaf for Id {
    const EXPECTED: &'static str = "text that is not empty";

    fn from_text(text: &str) -> Result<Self, Wrong> {
        Self::new(text).ok_or_else(|| Wrong::new(FaultCode::EmptyText))
    }
}

text_leaf!(Id);

impl super::Part for Text {
    fn take(walk: &mut super::Walk<'_>) -> Option<Self> {
        walk.leaf()
    }
}

impl Leaf for bool {
    const EXPECTED: &'static str = "true or false";

    fn from_bool(value: bool) -> Result<Self, Wrong> {
        Ok(value)
    }
}

impl super::Part for bool {
    fn take(walk: &mut super::Walk<'_>) -> Option<Self> {
        walk.leaf()
    }
}
