use std::fmt;
use std::marker::PhantomData;

use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::de::{Deserialize, Deserializer, SeqAccess, Visitor};
use serde::{Serialize, Serializer};

use super::{Part, Walk};

/// A list in a document. An element that could not be taken keeps its place, so that the others
/// keep their numbers.
///
/// ```
/// # use crossread_core::{document::List, words::Phase};
/// let phases: List<Phase> = serde_json::from_str(r#"["room", "warm_37c"]"#)?;
/// assert_eq!(phases.len(), 2);
/// assert_eq!(phases.iter().last(), Some((1, &Phase::Warm37c)));
/// # Ok::<_, serde_json::Error>(())
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct List<T>(Vec<Option<T>>);

impl<T> List<T> {
    /// Each element that could be taken, with its number.
    pub fn iter(&self) -> impl Iterator<Item = (usize, &T)> {
        self.0.iter().enumerate().filter_map(|(index, element)| Some((index, element.as_ref()?)))
    }

    /// Each element that could be taken, to keep.
    pub(crate) fn into_elements(self) -> impl Iterator<Item = (usize, T)> {
        self.0.into_iter().enumerate().filter_map(|(index, element)| Some((index, element?)))
    }

    /// How many elements were written.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether no element was written.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl<T> Default for List<T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<T> FromIterator<T> for List<T> {
    fn from_iter<I: IntoIterator<Item = T>>(iter: I) -> Self {
        Self(iter.into_iter().map(Some).collect())
    }
}

impl<'d, T: Deserialize<'d>> Deserialize<'d> for List<T> {
    fn deserialize<D: Deserializer<'d>>(deserializer: D) -> Result<Self, D::Error> {
        struct Elements<T>(PhantomData<T>);
        impl<'d, T: Deserialize<'d>> Visitor<'d> for Elements<T> {
            type Value = List<T>;

            fn expecting(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
                formatter.write_str("a list")
            }

            fn visit_seq<A: SeqAccess<'d>>(self, mut seq: A) -> Result<Self::Value, A::Error> {
                let mut elements = Vec::new();
                while let Some(element) = seq.next_element()? {
                    // Not `Option<T>` at once, which would take a null for an element.
                    elements.push(Some(element));
                }
                Ok(List(elements))
            }
        }
        deserializer.deserialize_seq(Elements(PhantomData))
    }
}

impl<T: Serialize> Serialize for List<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(self.0.iter().flatten())
    }
}

impl<T: Part> Part for List<T> {
    fn take(walk: &mut Walk<'_>) -> Option<Self> {
        walk.list().map(Self)
    }
}

impl<T: JsonSchema> JsonSchema for List<T> {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> std::borrow::Cow<'static, str> {
        Vec::<T>::schema_name()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        Vec::<T>::json_schema(generator)
    }
}
