use std::fmt;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Serialize, Serializer};
use sha2::{Digest as _, Sha256};

use super::fault::FaultCode;
use super::leaf::{Leaf, Wrong};
use super::{Part, Walk};

/// The SHA-256 of a document's bytes, exactly as they were handed in.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Digest([u8; 32]);

impl Digest {
    /// All zeros: the place of a hash that is not there.
    pub const NONE: Self = Self([0; 32]);

    /// Hashes the bytes of a document.
    ///
    /// ```
    /// # use crossread_core::document::Digest;
    /// let hash = Digest::of(b"abc");
    /// assert!(hash.to_string().starts_with("ba7816bf8f01cfea"));
    /// // One blank more is another document.
    /// assert_ne!(hash, Digest::of(b"abc "));
    /// ```
    pub fn of(document: &[u8]) -> Self {
        Self(Sha256::digest(document).into())
    }

    /// The hash that 64 lowercase hexadecimal digits stand for, if they are that.
    ///
    /// ```
    /// # use crossread_core::document::Digest;
    /// let written = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
    /// assert_eq!(Digest::new(written), Some(Digest::of(b"abc")));
    /// assert_eq!(Digest::new(&written.to_uppercase()), None);
    /// ```
    pub fn new(hex: &str) -> Option<Self> {
        let digits: &[u8; 64] = hex.as_bytes().try_into().ok()?;
        let mut hash = Self::NONE;
        // Not left at the first wrong digit, so that it takes no branches: every entry of a record
        // has such a hash.
        let mut wrong = false;
        for (byte, pair) in hash.0.iter_mut().zip(digits.chunks_exact(2)) {
            for digit in pair {
                let (decimal, letter) = (digit.wrapping_sub(b'0'), digit.wrapping_sub(b'a'));
                wrong |= decimal >= 10 && letter >= 6;
                let value = if decimal < 10 { decimal } else { letter.wrapping_add(10) };
                *byte = byte.wrapping_shl(4) | value;
            }
        }
        (!wrong).then_some(hash)
    }

    /// The 32 bytes of the hash.
    pub fn as_bytes(&self) -> &[u8; 32] {
        &self.0
    }

    /// The 64 lowercase hexadecimal digits, as bytes of ASCII.
    pub(super) fn hex(&self) -> [u8; 64] {
        let mut text = [0_u8; 64];
        for (pair, byte) in text.chunks_exact_mut(2).zip(self.0) {
            for (digit, value) in pair.iter_mut().zip([byte >> 4, byte & 0x0f]) {
                *digit = if value < 10 {
                    b'0'.saturating_add(value)
                } else {
                    b'a'.saturating_add(value.saturating_sub(10))
                };
            }
        }
        text
    }
}

impl From<[u8; 32]> for Digest {
    fn from(hash: [u8; 32]) -> Self {
        Self(hash)
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(str::from_utf8(&self.hex()).unwrap_or_default())
    }
}

impl fmt::Debug for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Digest({self})")
    }
}

impl<'d> serde::Deserialize<'d> for Digest {
    fn deserialize<D: serde::Deserializer<'d>>(deserializer: D) -> Result<Self, D::Error> {
        struct Visitor;
        impl serde::de::Visitor<'_> for Visitor {
            type Value = Digest;

            fn expecting(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
                formatter.write_str("64 hexadecimal digits")
            }

            fn visit_str<E: serde::de::Error>(self, v: &str) -> Result<Digest, E> {
                Digest::new(v).ok_or_else(|| E::custom("expected 64 hexadecimal digits"))
            }
        }
        deserializer.deserialize_str(Visitor)
    }
}

impl Leaf for Digest {
    const EXPECTED: &'static str = "64 lowercase hexadecimal digits";

    fn from_text(text: &str) -> Result<Self, Wrong> {
        Self::new(text).ok_or_else(|| Wrong::new(FaultCode::OutOfRange))
    }
}

impl Part for Digest {
    fn take(walk: &mut Walk<'_>) -> Option<Self> {
        walk.leaf()
    }
}

impl Serialize for Digest {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl JsonSchema for Digest {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> std::borrow::Cow<'static, str> {
        std::borrow::Cow::Borrowed("Digest")
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "string",
            "pattern": "^[0-9a-f]{64}$",
            "description": "SHA-256 of the document's bytes as they were handed in, in lowercase hexadecimal."
        })
    }
}

#[cfg(test)]
mod tests {
    use super::Digest;

    /// The two one-block examples of the standard.
    ///
    /// # Source
    /// NIST, FIPS 180-4 example values (SHA-256 of "abc"; of the empty message).
    #[test]
    fn examples_of_the_standard() {
        let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        let empty = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855";
        assert_eq!(Digest::of(b"abc").to_string(), abc);
        assert_eq!(Digest::of(b"").to_string(), empty);
        assert_eq!(Digest::new(abc), Some(Digest::of(b"abc")));
        assert_eq!(Digest::new(&abc.to_uppercase()), None);
        for wrong in ['g', '/', ':', '`', '@', ' ', '\0', '\u{7f}'] {
            for place in 0..64 {
                let mut digits: Vec<char> = abc.chars().collect();
                digits[place] = wrong;
                assert_eq!(Digest::new(&String::from_iter(digits)), None, "{wrong:?} at {place}");
            }
        }
        assert_eq!(Digest::new(abc.trim_end_matches('d')), None);
    }
}
