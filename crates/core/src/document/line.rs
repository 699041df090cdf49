//! JSON on one line, written straight into bytes: the same bytes as `serde_json` writes, in about a
//! quarter of the time, because names and words are copied as they are, and a text is looked at in
//! pieces before it is copied whole.
//!
//! Only the answer is written so, of which there are millions. All else, and a text that has an
//! escape, is left to `serde_json`.

use jiff::Timestamp;

use super::fault::Piece;
use super::{Digest, Id, Pointer};

/// What can be written so.
pub(crate) trait Line {
    /// Whether a field of this value is left out altogether.
    fn is_left_out(&self) -> bool {
        false
    }

    /// Writes the value behind what is in `out`.
    fn line(&self, out: &mut Vec<u8>) -> Result<(), serde_json::Error>;
}

/// Declares a structure that can be written on one line too, by the same list of fields. The first
/// field is never left out.
macro_rules! on_one_line {
    (
        $(#[$meta:meta])*
        pub struct $name:ident {
            $(#[$first_meta:meta])* pub $first:ident: $first_type:ty,
            $($(#[$field_meta:meta])* pub $field:ident: $type:ty,)*
        }
    ) => {
        $(#[$meta])*
        pub struct $name {
            $(#[$first_meta])* pub $first: $first_type,
            $($(#[$field_meta])* pub $field: $type,)*
        }

        impl crate::document::Line for $name {
            fn line(&self, out: &mut Vec<u8>) -> Result<(), serde_json::Error> {
                use crate::document::Line;
                out.extend_from_slice(concat!("{\"", stringify!($first), "\":").as_bytes());
                Line::line(&self.$first, out)?;
                $(if !Line::is_left_out(&self.$field) {
                    out.extend_from_slice(concat!(",\"", stringify!($field), "\":").as_bytes());
                    Line::line(&self.$field, out)?;
                })*
                out.push(b'}');
                Ok(())
            }
        }
    };
}
pub(crate) use on_one_line;

/// Whether a byte is written as an escape.
///
/// # Source
/// Bray, 2017, The JavaScript Object Notation (JSON) Data Interchange Format, RFC 8259 section 7.
fn is_escaped(byte: u8) -> bool {
    byte < b' ' || byte == b'"' || byte == b'\\'
}

/// Whether nothing in a text is written as an escape.
fn is_plain(text: &str) -> bool {
    let bytes = text.as_bytes();
    let in_pieces = are_plain::<32>(bytes).or_else(|| are_plain::<8>(bytes));
    in_pieces.unwrap_or_else(|| !text.bytes().any(is_escaped))
}

/// Whether none of these bytes is written as an escape, unless they are less than a piece.
///
/// It is not left at the first that is, so that it takes no branches: every piece is laid over the
/// one before. The last may look at some bytes again.
fn are_plain<const PIECE: usize>(bytes: &[u8]) -> Option<bool> {
    let last = bytes.last_chunk::<PIECE>()?;
    let (pieces, _) = bytes.as_chunks::<PIECE>();
    let mut any = [0_u8; PIECE];
    for piece in pieces.iter().chain([last]) {
        for (any, byte) in any.iter_mut().zip(piece) {
            *any |= u8::from(is_escaped(*byte));
        }
    }
    Some(any == [0; PIECE])
}

impl Line for str {
    fn line(&self, out: &mut Vec<u8>) -> Result<(), serde_json::Error> {
        if !is_plain(self) {
            return serde_json::to_writer(out, self);
        }
        out.push(b'"');
        out.extend_from_slice(self.as_bytes());
        out.push(b'"');
        Ok(())
    }
}

impl Line for String {
    fn line(&self, out: &mut Vec<u8>) -> Result<(), serde_json::Error> {
        self.as_str().line(out)
    }
}

impl Line for Id {
    fn line(&self, out: &mut Vec<u8>) -> Result<(), serde_json::Error> {
        self.as_str().line(out)
    }
}

impl Line for Digest {
    fn line(&self, out: &mut Vec<u8>) -> Result<(), serde_json::Error> {
        out.push(b'"');
        out.extend_from_slice(&self.hex());
        out.push(b'"');
        Ok(())
    }
}

impl Line for Pointer {
    fn line(&self, out: &mut Vec<u8>) -> Result<(), serde_json::Error> {
        out.push(b'"');
        for piece in self.pieces() {
            match piece {
                // The rest is empty too.
                Piece::Text("") => break,
                Piece::Text(text) => out.extend_from_slice(text.as_bytes()),
                Piece::Number(number) => number.line(out)?,
            }
        }
        out.push(b'"');
        Ok(())
    }
}

/// A moment in UTC that is not known is null; of all else what is not known is left out.
impl Line for Option<Timestamp> {
    fn line(&self, out: &mut Vec<u8>) -> Result<(), serde_json::Error> {
        serde_json::to_writer(out, self)
    }
}

impl<T: Line> Line for Option<T> {
    fn is_left_out(&self) -> bool {
        self.is_none()
    }

    fn line(&self, out: &mut Vec<u8>) -> Result<(), serde_json::Error> {
        self.as_ref().map_or(Ok(()), |value| value.line(out))
    }
}

impl Line for bool {
    fn line(&self, out: &mut Vec<u8>) -> Result<(), serde_json::Error> {
        out.extend_from_slice(if *self { b"true" } else { b"false" });
        Ok(())
    }
}

/// Whole numbers.
macro_rules! whole {
    ($($number:ty)+) => {$(
        impl Line for $number {
            fn line(&self, out: &mut Vec<u8>) -> Result<(), serde_json::Error> {
                out.extend_from_slice(itoa::Buffer::new().format(*self).as_bytes());
                Ok(())
            }
        }
    )+};
}
whole! { u8 u32 usize }

impl<T: Line + ?Sized> Line for &T {
    fn is_left_out(&self) -> bool {
        (**self).is_left_out()
    }

    fn line(&self, out: &mut Vec<u8>) -> Result<(), serde_json::Error> {
        (**self).line(out)
    }
}

impl<T: Line> Line for [T] {
    fn line(&self, out: &mut Vec<u8>) -> Result<(), serde_json::Error> {
        out.push(b'[');
        for (number, element) in self.iter().enumerate() {
            if number > 0 {
                out.push(b',');
            }
            element.line(out)?;
        }
        out.push(b']');
        Ok(())
    }
}

impl<T: Line> Line for Vec<T> {
    fn line(&self, out: &mut Vec<u8>) -> Result<(), serde_json::Error> {
        self.as_slice().line(out)
    }
}

#[cfg(test)]
mod tests {
    use serde::Serialize;

    use super::Line;
    use crate::document::{Digest, Id, Pointer};
    use crate::interpretation::Untested;
    use crate::run::Cause;
    use crate::words::{
        Conclusion, Effect, Grade, Method, Phase, Product, State, Summary, Test, Verdict,
    };

    fn as_serde_writes(value: &(impl Line + Serialize + ?Sized)) {
        let mut out = b"before".to_vec();
        value.line(&mut out).unwrap();
        let expected = [b"before", serde_json::to_vec(value).unwrap().as_slice()].concat();
        assert_eq!(String::from_utf8(out).unwrap(), String::from_utf8(expected).unwrap());
    }

    /// Every character of ASCII and some beyond, at every place of texts of every length to 70.
    #[test]
    fn texts_are_escaped_wherever_they_need_it() {
        for character in (0..=0x7f).chain([0x80, 0xe4, 0x2028, 0xfffd, 0x1_f415]) {
            let character = char::from_u32(character).unwrap();
            for length in 0..70 {
                for place in 0..=length {
                    let mut text = "é".repeat(place % 2);
                    text.extend(std::iter::repeat_n('a', place));
                    text.push(character);
                    text.extend(std::iter::repeat_n('z', length - place));
                    as_serde_writes(text.as_str());
                }
            }
        }
        as_serde_writes("");
        as_serde_writes(&Id::new("D-\"1\"\n").unwrap());
    }

    #[test]
    fn every_word_is_written_as_it_is() {
        as_serde_writes(Conclusion::ALL);
        as_serde_writes(Effect::ALL);
        as_serde_writes(Grade::ALL);
        as_serde_writes(Method::ALL);
        as_serde_writes(Phase::ALL);
        as_serde_writes(Product::ALL);
        as_serde_writes(State::ALL);
        as_serde_writes(Summary::ALL);
        as_serde_writes(Test::ALL);
        as_serde_writes(Verdict::ALL);
        as_serde_writes(Cause::ALL);
        as_serde_writes(Untested::ALL);
    }

    #[test]
    fn numbers_hashes_and_pointers_too() {
        for number in (0..=u8::MAX).map(u32::from).chain([1_000, u32::MAX]) {
            as_serde_writes(&number);
            as_serde_writes(&usize::try_from(number).unwrap());
        }
        as_serde_writes(&Digest::of(b"abc"));
        as_serde_writes(&vec![true, false]);
        as_serde_writes(&Vec::<bool>::new());
        as_serde_writes(&vec![
            Pointer::Reading(0),
            Pointer::Reading(1_000_000),
            Pointer::Recipient,
            Pointer::RecipientHistory("pregnant"),
            Pointer::RecipientType(1),
            Pointer::Donor(7),
            Pointer::DonorHistory(7, "reaction"),
            Pointer::DonorType(7, 2),
            Pointer::DonorField(7, "unit"),
            Pointer::Sample(3),
            Pointer::Setup("washes"),
            Pointer::Lot(12),
            Pointer::Control("positive"),
            Pointer::Protocol,
        ]);
    }
}
