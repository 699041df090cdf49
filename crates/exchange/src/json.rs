//! JSON without a key that stands twice: of two values of a verdict, none is taken.

use std::fmt;

use serde::de::{Deserialize, Deserializer, Error as _, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Value};

use crate::wrong::{CannotConvert, Wrong};

/// A message has at most 64 MiB.
pub(crate) const MAX_BYTES: usize = 64 * 1024 * 1024;

/// Reads a document of at most 64 MiB.
pub(crate) fn read(document: &[u8]) -> Result<Value, CannotConvert> {
    if document.len() > MAX_BYTES {
        let found = format!("{} bytes", document.len());
        return Err(CannotConvert::one(Wrong::new("", "at most 64 MiB", found)));
    }
    serde_json::from_slice::<Strict>(document).map(|strict| strict.0).map_err(|error| {
        let place = format!("line {}, column {}", error.line(), error.column());
        CannotConvert::one(Wrong::new(place, "JSON", error.to_string()))
    })
}

struct Strict(Value);

impl<'d> Deserialize<'d> for Strict {
    fn deserialize<D: Deserializer<'d>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(Any).map(Self)
    }
}

struct Any;

impl<'d> Visitor<'d> for Any {
    type Value = Value;

    fn expecting(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str("a JSON value")
    }

    fn visit_bool<E>(self, v: bool) -> Result<Value, E> {
        Ok(v.into())
    }

    fn visit_i64<E>(self, v: i64) -> Result<Value, E> {
        Ok(v.into())
    }

    fn visit_u64<E>(self, v: u64) -> Result<Value, E> {
        Ok(v.into())
    }

    fn visit_f64<E>(self, v: f64) -> Result<Value, E> {
        Ok(v.into())
    }

    fn visit_str<E>(self, v: &str) -> Result<Value, E> {
        Ok(v.into())
    }

    fn visit_unit<E>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }

    fn visit_seq<A: SeqAccess<'d>>(self, mut seq: A) -> Result<Value, A::Error> {
        let mut elements = Vec::new();
        while let Some(Strict(element)) = seq.next_element()? {
            elements.push(element);
        }
        Ok(elements.into())
    }

    fn visit_map<A: MapAccess<'d>>(self, mut map: A) -> Result<Value, A::Error> {
        let mut fields = Map::new();
        while let Some((key, Strict(value))) = map.next_entry::<String, Strict>()? {
            if fields.contains_key(&key) {
                return Err(A::Error::custom(format!("the key `{key}` twice")));
            }
            fields.insert(key, value);
        }
        Ok(fields.into())
    }
}
