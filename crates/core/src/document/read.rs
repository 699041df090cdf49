use std::fmt;
use std::ops::Range;

use serde::de::{Deserialize, DeserializeOwned, Deserializer, MapAccess, SeqAccess, Visitor};

use super::fault::{Fault, FaultCode, Faults, Finds, Raw};
use super::locate::locate;
use super::walk::{Part, Walk, found};

/// Largest document that is read, in bytes.
const MAX_BYTES: usize = 64 * 1024 * 1024;

/// A document whose form was read, and what was wrong with it, before its content is checked.
#[derive(Debug)]
pub(crate) struct Read<'t, D> {
    text: &'t str,
    /// The parts, without those at fault.
    pub(crate) parts: D,
    /// The faults so far.
    pub(crate) finds: Finds,
}

/// Reads the form of a document: at once if it is good, with all faults of its form if not.
pub(crate) fn read<D: DeserializeOwned + Part>(document: &[u8]) -> Result<Read<'_, D>, Faults> {
    let text = text_of(document)?;
    let typed = match serde_json::from_str(text) {
        Ok(parts) => {
            return Ok(Read { text, parts, finds: Finds::default() });
        }
        Err(error) => error,
    };
    // Something is wrong. First the grammar, for which one place is all that can be told.
    if let Err(error) = serde_json::from_str::<Grammar>(text) {
        return Err(grammar_fault(text, &error));
    }
    let mut walk = Walk::new(text);
    let parts = D::take(&mut walk);
    let finds = walk.into_finds();
    match parts {
        Some(parts) if !finds.is_empty() => Ok(Read { text, parts, finds }),
        // The walk must find what the typed parse refused; if it did not, the document stays
        // refused, with the typed parse's own words.
        _ if finds.is_empty() => Err(grammar_fault(text, &typed)),
        _ => Err(Faults::placed(text, with_count(finds))),
    }
}

impl<D> Read<'_, D> {
    /// The parts, if nothing is wrong with their form.
    pub(crate) fn into_parts(self) -> Result<D, Faults> {
        let Self { text, parts, finds } = self;
        Read { text, parts: (), finds }.into_faults().map_or(Ok(parts), Err)
    }

    /// The faults with their places, if there are any.
    pub(crate) fn into_faults(self) -> Option<Faults> {
        let Self { text, parts: _, finds } = self;
        if finds.is_empty() {
            return None;
        }
        let mut raw = with_count(finds);
        let content = |fault: &&Raw| fault.span.start == usize::MAX;
        let places = locate(text, raw.iter().filter(content).map(|fault| fault.pointer.as_str()));
        for fault in &mut raw {
            if fault.span.start == usize::MAX {
                let place = places.get(&fault.pointer).cloned().unwrap_or_default();
                fault.found =
                    if place.exists { found(text, &place.span) } else { "nothing".to_owned() };
                fault.span = place.span;
            }
        }
        Some(Faults::placed(text, raw))
    }
}

fn with_count(finds: Finds) -> Vec<Raw> {
    let Finds { mut raw, more, .. } = finds;
    if more > 0 {
        raw.push(Raw {
            code: FaultCode::MoreFaults,
            pointer: String::new(),
            span: 0..0,
            expected: format!("at most {} faults", Faults::MOST),
            found: format!("{more} more, which are not listed"),
            hint: Some("mend those listed first".to_owned()),
        });
    }
    raw
}

/// The text of a document, unless its bytes already forbid it.
fn text_of(document: &[u8]) -> Result<&str, Faults> {
    let at_start = |code, expected: &str, found: String, hint: Option<&str>| {
        Faults::one(Fault {
            code,
            pointer: String::new(),
            line: 1,
            column: 1,
            expected: expected.to_owned(),
            found,
            hint: hint.map(str::to_owned),
            span: 0..0,
        })
    };
    if document.len() > MAX_BYTES {
        let found = format!("{} bytes", document.len());
        let hint = "one document holds one worksheet; send many as one line each";
        return Err(at_start(
            FaultCode::DocumentTooLarge,
            "a document of at most 64 MiB",
            found,
            Some(hint),
        ));
    }
    if document.starts_with(&[0xef, 0xbb, 0xbf]) {
        return Err(at_start(
            FaultCode::ByteOrderMark,
            "JSON in UTF-8 without a byte order mark",
            "a UTF-8 byte order mark".to_owned(),
            Some("save the file as UTF-8 without BOM"),
        ));
    }
    if document.starts_with(&[0xff, 0xfe]) || document.starts_with(&[0xfe, 0xff]) {
        return Err(at_start(
            FaultCode::ByteOrderMark,
            "JSON in UTF-8 without a byte order mark",
            "a UTF-16 byte order mark".to_owned(),
            Some("save the file as UTF-8 without BOM"),
        ));
    }
    str::from_utf8(document).map_err(|error| {
        let (good, bad) = document.split_at_checked(error.valid_up_to()).unwrap_or((document, &[]));
        let good = str::from_utf8(good).unwrap_or_default();
        let byte = bad.first().copied().unwrap_or_default();
        let raw = Raw {
            code: FaultCode::InvalidUtf8,
            pointer: String::new(),
            span: good.len()..good.len(),
            expected: "UTF-8".to_owned(),
            found: format!("the byte 0x{byte:02x}"),
            hint: Some("save the file as UTF-8".to_owned()),
        };
        Faults::of_text(good, raw)
    })
}

/// The fault that a JSON error stands for.
fn grammar_fault(text: &str, error: &serde_json::Error) -> Faults {
    let offset =
        if error.is_eof() { text.len() } else { offset_of(text, error.line(), error.column()) };
    let rest = text.get(offset..).unwrap_or_default();
    let said = error.to_string();
    let said = said.split(" at line ").next().unwrap_or_default().to_owned();
    let word: String = rest.chars().take_while(|c| c.is_alphanumeric() || *c == '-').collect();
    let (code, expected, hint) = if said.contains("recursion limit") {
        (FaultCode::NestingTooDeep, "values nested at most 64 deep".to_owned(), None)
    } else if said.contains("surrogate") || said.contains("unexpected end of hex escape") {
        let hint = "a character beyond U+FFFF takes two escapes, or none".to_owned();
        (FaultCode::LoneSurrogate, "a whole surrogate pair".to_owned(), Some(hint))
    } else if said.contains("trailing characters") {
        let hint = "one document is one JSON value".to_owned();
        (FaultCode::TrailingText, "the end of the document".to_owned(), Some(hint))
    } else if said.contains("number out of range")
        || matches!(word.trim_start_matches('-'), "NaN" | "nan" | "Infinity" | "inf")
    {
        let hint = "leave the field out if nothing is known".to_owned();
        (FaultCode::NotANumber, "a finite number".to_owned(), Some(hint))
    } else {
        let hint = match rest.chars().next() {
            Some('\'') => Some("text stands in double quotes".to_owned()),
            Some('}' | ']') if said.contains("trailing comma") => {
                Some("take off the comma before it".to_owned())
            }
            Some('/' | '#') => Some("JSON has no comments".to_owned()),
            _ => None,
        };
        (FaultCode::NotJson, format!("JSON ({said})"), hint)
    };
    let end = rest.chars().next().map_or(offset, |c| offset.saturating_add(c.len_utf8()));
    let raw = Raw {
        code,
        pointer: String::new(),
        span: offset..end,
        expected,
        found: found_text(text, offset..end),
        hint,
    };
    Faults::of_text(text, raw)
}

fn found_text(text: &str, span: Range<usize>) -> String {
    match text.get(span.clone()) {
        Some("\n" | "\r") => "the end of the line".to_owned(),
        _ => found(text, &span),
    }
}

/// The offset of a place that `serde_json` gives as line and column in bytes, both from 1. It names
/// the last byte it read, or column 0 at the start of a line.
fn offset_of(text: &str, line: usize, column: usize) -> usize {
    let start = match line.checked_sub(2) {
        None => 0,
        Some(breaks) => text
            .match_indices('\n')
            .nth(breaks)
            .map_or(text.len(), |(offset, _)| offset.saturating_add(1)),
    };
    // Column 0 is the line break before the line.
    let mut offset = start.saturating_add(column).saturating_sub(1).min(text.len());
    while !text.is_char_boundary(offset) {
        offset = offset.saturating_sub(1);
    }
    offset
}

/// Any JSON value, looked at and dropped: its grammar, its escapes, its numbers.
struct Grammar;

impl<'d> Deserialize<'d> for Grammar {
    fn deserialize<D: Deserializer<'d>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(Self)
    }
}

impl<'d> Visitor<'d> for Grammar {
    type Value = Self;

    fn expecting(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str("any JSON value")
    }

    fn visit_bool<E>(self, _: bool) -> Result<Self, E> {
        Ok(self)
    }

    fn visit_i64<E>(self, _: i64) -> Result<Self, E> {
        Ok(self)
    }

    fn visit_u64<E>(self, _: u64) -> Result<Self, E> {
        Ok(self)
    }

    fn visit_f64<E>(self, _: f64) -> Result<Self, E> {
        Ok(self)
    }

    fn visit_str<E>(self, _: &str) -> Result<Self, E> {
        Ok(self)
    }

    fn visit_unit<E>(self) -> Result<Self, E> {
        Ok(self)
    }

    fn visit_seq<A: SeqAccess<'d>>(self, mut seq: A) -> Result<Self, A::Error> {
        while seq.next_element::<Self>()?.is_some() {}
        Ok(self)
    }

    fn visit_map<A: MapAccess<'d>>(self, mut map: A) -> Result<Self, A::Error> {
        while map.next_entry::<Self, Self>()?.is_some() {}
        Ok(self)
    }
}
