//! What a document says it is.

use serde::de::{Deserializer as _, MapAccess, Visitor};
use serde_json::value::RawValue;

/// The format that a document names in its own field `format`, by which it may be told what it is.
///
/// `None` if the document is no JSON object, names no format, or names two that differ. This
/// checks nothing else; whoever needs the document reads it, and gets its faults.
///
/// ```
/// use crossread_core::document::format_of;
/// let document = br#"{"remarks": "no crossread.protocol/1", "format": "crossread.worksheet/1"}"#;
/// assert_eq!(format_of(document).as_deref(), Some("crossread.worksheet/1"));
/// assert_eq!(format_of(br#"{"setup": {"format": "crossread.protocol/1"}}"#), None);
/// ```
pub fn format_of(document: &[u8]) -> Option<String> {
    let text = str::from_utf8(document).ok()?;
    let mut json = serde_json::Deserializer::from_str(text);
    let named = json.deserialize_map(Named).ok()?;
    // With text after its end it is no document at all.
    json.end().ok()?;
    named
}

/// Looks through the fields of the outermost object.
struct Named;

impl<'d> Visitor<'d> for Named {
    type Value = Option<String>;

    fn expecting(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.write_str("an object")
    }

    fn visit_map<A: MapAccess<'d>>(self, mut map: A) -> Result<Self::Value, A::Error> {
        let mut named: Option<Option<String>> = None;
        while let Some(key) = map.next_key::<String>()? {
            let value: &RawValue = map.next_value()?;
            if key != "format" {
                continue;
            }
            let format = serde_json::from_str(value.get()).ok();
            named = Some(match named {
                Some(before) if before != format => None,
                Some(_) | None => format,
            });
        }
        Ok(named.flatten())
    }
}

#[cfg(test)]
mod tests {
    use super::format_of;

    fn named(document: &str) -> Option<String> {
        format_of(document.as_bytes())
    }

    #[test]
    fn only_the_documents_own_field_counts() {
        assert_eq!(named(r#"{"f\u006frmat": "a/\u0031"}"#).as_deref(), Some("a/1"));
        assert_eq!(named(r#"{"x": {"format": "b"}, "format": "a", "y": ["format", "b"]}"#), {
            Some("a".to_owned())
        });
        assert_eq!(named(r#"{"x": "\"format\": \"b\""}"#), None);
        assert_eq!(named(r#"{"format": {"format": "b"}}"#), None);
        assert_eq!(named(r#"{"format": 1}"#), None);
        assert_eq!(named(r#"["format", "b"]"#), None);
        assert_eq!(named(r#""format""#), None);
    }

    #[test]
    fn two_that_differ_are_none_and_two_alike_are_one() {
        assert_eq!(named(r#"{"format": "a", "format": "b"}"#), None);
        assert_eq!(named(r#"{"format": "a", "format": 1}"#), None);
        assert_eq!(named(r#"{"format": "a", "format": "b", "format": "a"}"#), None);
        assert_eq!(named(r#"{"format": "a", "format": "a"}"#).as_deref(), Some("a"));
    }

    #[test]
    fn what_cannot_be_read_names_nothing() {
        assert_eq!(named(r#"{"format": "a""#), None);
        assert_eq!(named(r#"{"format": "a"} {"#), None);
        assert_eq!(named(""), None);
        assert_eq!(format_of(b"{\"format\": \"a\", \"x\": \"\xff\"}"), None);
        let deep =
            format!(r#"{{"x": {}1{}, "format": "a"}}"#, "[".repeat(90_000), "]".repeat(90_000));
        assert_eq!(named(&deep).as_deref(), Some("a"), "no depth ends the program");
    }
}
