//! The canonical form of what is kept (RFC 8785): one text for one meaning, so that it can be hashed.

use serde::Serialize;
use serde_json::Value;

/// Greatest whole number that a double holds exactly with all below it; RFC 8785 writes numbers as
/// doubles.
const EXACT: u64 = 1 << 53;

/// The canonical text of a value.
pub(crate) fn canonical(value: &impl Serialize) -> Result<String, serde_json::Error> {
    // Through a tree, because the canonicalizer refuses numbers that are kept as they were written.
    let tree = serde_json::to_value(value)?;
    // It sorts and reformats every part of every value, which takes most of the time of an entry.
    if is_plain(&tree) {
        serde_json::to_string(&tree)
    } else {
        serde_json_canonicalizer::to_string(&tree)
    }
}

/// Whether the plain text of a value is canonical already: names in ASCII and in order, so that
/// bytes and UTF-16 sort alike, and whole numbers that a double holds. Texts are escaped alike.
fn is_plain(value: &Value) -> bool {
    match value {
        Value::Null | Value::Bool(_) | Value::String(_) => true,
        Value::Number(number) => match (number.as_u64(), number.as_i64()) {
            (Some(number), _) => number <= EXACT,
            (None, Some(number)) => number.unsigned_abs() <= EXACT,
            (None, None) => false,
        },
        Value::Array(values) => values.iter().all(is_plain),
        Value::Object(members) => {
            members.keys().is_sorted()
                && members.iter().all(|(name, value)| name.is_ascii() && is_plain(value))
        }
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::{EXACT, canonical, is_plain};

    #[test]
    fn what_is_written_plainly_is_what_the_canonicalizer_writes() {
        let controls: String = (0..=0x9f_u32).filter_map(char::from_u32).collect();
        let plain = json!({
            "b": [1, 0, -7, EXACT, null, true, ""],
            "a": { "\u{7f}": controls, "B": "straße \u{10000} \u{2028} / \\ \"" },
        });
        assert!(is_plain(&plain));
        let expected = serde_json_canonicalizer::to_string(&plain).unwrap();
        assert_eq!(canonical(&plain).unwrap(), expected);
    }

    #[test]
    fn whatever_could_differ_goes_through_the_canonicalizer() {
        for value in [
            json!(4.0),
            json!(1e21),
            json!(-0.0),
            json!(EXACT + 1),
            json!(i64::MIN),
            json!({ "\u{ff5e}": 1, "\u{10000}": 2 }),
        ] {
            assert!(!is_plain(&value), "{value}");
            let expected = serde_json_canonicalizer::to_string(&value).unwrap();
            assert_eq!(canonical(&value).unwrap(), expected);
        }
    }

    /// # Source
    /// RFC 8785, section 3.2.2 and 3.2.3: the first example, written anew with fewer members.
    #[test]
    fn numbers_and_names_as_the_standard_has_them() {
        let value = json!({ "\u{20ac}": 1, "\r": 4.50, "1": 2e-3, "\u{80}": 1e30 });
        let expected = "{\"\\r\":4.5,\"1\":0.002,\"\u{80}\":1e+30,\"€\":1}";
        assert_eq!(canonical(&value).unwrap(), expected);
    }

    #[test]
    fn a_number_kept_as_written_is_no_obstacle() {
        let document = br#"{ "cells_percent": 4.50 }"#;
        let setup = crossread_core::worksheet::draft::Setup::from_json(document).unwrap();
        assert_eq!(canonical(&setup).unwrap(), r#"{"cells_percent":4.5}"#);
    }
}
