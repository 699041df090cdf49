//! Ids as identifiers of QTI.

use std::fmt::Write as _;

/// An identifier for any id: never the same for two ids.
///
/// An id of letters, digits, `.` and `-` that begins with a letter stays as it is. Any other
/// begins with `_`, and what is not a letter, a digit, `.` or `-` is its number between two `_`:
/// `3+` is `_3_2B_`.
///
/// QTI wants a letter or `_` first, then letters, digits, `_`, `-` and `.` (QTI 2.1 information
/// model, data type identifier, from memory).
pub(super) fn identifier(id: &str) -> String {
    let fits = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '-');
    if id.starts_with(|c: char| c.is_ascii_alphabetic()) && id.chars().all(fits) {
        return id.to_owned();
    }
    id.chars().fold(String::from("_"), |mut made, c| {
        if fits(c) {
            made.push(c);
        } else {
            // Writing to a text cannot fail.
            let _ = write!(made, "_{:X}_", u32::from(c));
        }
        made
    })
}

/// An identifier that [`identifier`] makes from no id: `kind` begins with a letter after `F`.
pub(super) fn reserved(kind: &str) -> String {
    format!("__{kind}")
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::{identifier, reserved};

    #[test]
    fn usual_ids_stay() {
        assert_eq!(identifier("G2"), "G2");
        assert_eq!(identifier("g-0003.a"), "g-0003.a");
        assert_eq!(identifier("3+"), "_3_2B_");
        assert_eq!(identifier("0"), "_0");
        assert_eq!(identifier("warm_37c"), "_warm_5F_37c");
        assert_eq!(identifier("赤"), "__8D64_");
    }

    #[test]
    fn no_two_ids_meet() {
        let letters = ["", "0", "A", "_", "2", "B", "+", ".", "-", "t", "赤"];
        let mut made = BTreeSet::new();
        let mut count = 0_usize;
        for a in letters {
            for b in letters {
                for c in letters {
                    for d in letters {
                        let parts = [a, b, c, d];
                        let filled = parts.iter().position(|part| part.is_empty()).unwrap_or(4);
                        if filled > 0 && parts[filled..].iter().all(|part| part.is_empty()) {
                            count += 1;
                            made.insert(identifier(&parts.concat()));
                        }
                    }
                }
            }
        }
        assert_eq!((made.len(), count), (11_110, 11_110));
        assert!(!made.contains(&reserved("test")));
        assert!(made.iter().all(|id| {
            id.starts_with(|c: char| c == '_' || c.is_ascii_alphabetic())
                && id.chars().all(|c| c.is_ascii_alphanumeric() || "_-.".contains(c))
        }));
    }
}
