//! What is wrong with a set or with a file of answers: all of it at once, each with its place.
//!
//! ```
//! # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
//! # use lesson::*;
//! // A file of answers with two mistakes.
//! let file = format!("item,student,answer\nno such item,anna,2+\n{},,2+\n", "also none");
//! let faults = Responses::from_csv(file.as_bytes(), &drawings()).unwrap_err();
//! let lines: Vec<_> = faults.as_slice().iter().map(|fault| fault.line).collect();
//! assert!(lines.contains(&Some(2)) && lines.contains(&Some(3)));
//! # Ok::<_, Box<dyn std::error::Error>>(())
//! ```

use std::fmt;

use serde::Serialize;

/// One thing that is wrong.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Fault {
    /// The line, counted from 1; left out where the place is named by `at` alone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line: Option<u64>,
    /// In a file of answers the column, that is the field of the line, counted from 1; in a set
    /// the character of the line.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub column: Option<u64>,
    /// The name of the column, or the JSON Pointer (RFC 6901) of the value.
    pub at: String,
    /// What was expected there.
    pub expected: String,
    /// What was found there.
    pub found: String,
    /// What may have been meant, or what to do.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hint: Option<String>,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for number in [self.line, self.column].into_iter().flatten() {
            write!(f, "{number}:")?;
        }
        if self.line.is_some() {
            f.write_str(" ")?;
        }
        if !self.at.is_empty() {
            write!(f, "at {}: ", self.at)?;
        }
        write!(f, "expected {}, found {}", self.expected, self.found)?;
        self.hint.as_ref().map_or(Ok(()), |hint| write!(f, " ({hint})"))
    }
}

/// Everything that is wrong with one document. There is at least one fault.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub struct Faults(Vec<Fault>);

impl Faults {
    /// The faults, if there are any.
    pub(crate) fn any(faults: Vec<Fault>) -> Option<Self> {
        (!faults.is_empty()).then_some(Self(faults))
    }

    pub(crate) fn one(fault: Fault) -> Self {
        Self(vec![fault])
    }

    /// The faults, at least one, in the order of their places.
    pub fn as_slice(&self) -> &[Fault] {
        &self.0
    }
}

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (number, fault) in self.0.iter().enumerate() {
            if number > 0 {
                f.write_str("\n")?;
            }
            fault.fmt(f)?;
        }
        Ok(())
    }
}

/// The word of a list that is nearest to what was written, if one is near.
pub(crate) fn nearest<'w>(
    written: &str,
    words: impl IntoIterator<Item = &'w str>,
) -> Option<&'w str> {
    let near = words.into_iter().map(|word| (strsim::damerau_levenshtein(written, word), word));
    let (distance, word) = near.min_by_key(|(distance, _)| *distance)?;
    (distance <= written.chars().count().max(3) / 3).then_some(word)
}
