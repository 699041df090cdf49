//! A seed in a document: as text, because not every reader of JSON keeps 64 bits of a number.

use serde::{Deserialize as _, Deserializer, Serializer};

pub(super) fn serialize<S: Serializer>(seed: &u64, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_str(seed)
}

pub(super) fn deserialize<'d, D: Deserializer<'d>>(deserializer: D) -> Result<u64, D::Error> {
    let text = std::borrow::Cow::<'d, str>::deserialize(deserializer)?;
    text.parse().map_err(|_error: std::num::ParseIntError| {
        serde::de::Error::custom("expected a seed: text with a whole number up to 2^64 - 1")
    })
}
