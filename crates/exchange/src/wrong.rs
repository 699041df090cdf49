//! Why something cannot be converted: each reason with its place, all at once.

use std::fmt;

use crossread_core::document::Faults;
use serde::Serialize;

/// One reason why something cannot be written as a message, or read from one.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Wrong {
    /// Where: a JSON Pointer (RFC 6901) into FHIR, a segment and field of HL7 such as
    /// `segment 12, OBX-5`, or a record of the message such as `answer/0/verdict`.
    pub place: String,
    /// What was expected there.
    pub expected: String,
    /// What was found there, shortened if it is long.
    pub found: String,
}

impl Wrong {
    pub(crate) fn new(
        place: impl Into<String>,
        expected: impl Into<String>,
        found: impl AsRef<str>,
    ) -> Self {
        const SHOWN: usize = 80;
        let found = found.as_ref();
        let mut short: String = found.chars().take(SHOWN).collect();
        if short.len() < found.len() {
            short.push('…');
        }
        Self { place: place.into(), expected: expected.into(), found: short }
    }
}

impl fmt::Display for Wrong {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if !self.place.is_empty() {
            write!(f, "{}: ", self.place)?;
        }
        write!(f, "expected {}, found {}", self.expected, self.found)
    }
}

/// All reasons why something cannot be converted, at least one.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub struct CannotConvert(Vec<Wrong>);

impl CannotConvert {
    /// The reasons, at least one.
    pub fn as_slice(&self) -> &[Wrong] {
        &self.0
    }

    pub(crate) fn one(wrong: Wrong) -> Self {
        Self(vec![wrong])
    }
}

impl fmt::Display for CannotConvert {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, wrong) in self.0.iter().enumerate() {
            if index > 0 {
                f.write_str("\n")?;
            }
            wrong.fmt(f)?;
        }
        Ok(())
    }
}

/// Where reasons are gathered.
#[derive(Debug, Default)]
pub(crate) struct Wrongs {
    kept: Vec<Wrong>,
    /// How many there were; past [`Faults::MOST`] they are only counted.
    all: usize,
}

impl Wrongs {
    pub(crate) fn add(
        &mut self,
        place: impl Into<String>,
        expected: impl Into<String>,
        found: impl AsRef<str>,
    ) {
        self.all = self.all.saturating_add(1);
        if self.kept.len() < Faults::MOST {
            self.kept.push(Wrong::new(place, expected, found));
        }
    }

    /// Adds the faults of a document that was put together from the part at `place`.
    pub(crate) fn faults(&mut self, place: &str, faults: &Faults) {
        for fault in faults.as_slice() {
            let place = format!("{place}{}", fault.pointer);
            let hint = fault.hint.as_ref().map(|hint| format!(" ({hint})"));
            let expected = format!("{}{}", fault.expected, hint.unwrap_or_default());
            self.add(place, expected, &fault.found);
        }
    }

    /// The value, if nothing was wrong.
    pub(crate) fn or<T>(mut self, value: Option<T>) -> Result<T, CannotConvert> {
        match (value, self.all) {
            (Some(value), 0) => return Ok(value),
            (None, 0) => self.add("", "a message that can be taken apart", "one that cannot"),
            (_, all) if all > self.kept.len() => {
                let expected = format!("at most {} reasons", Faults::MOST);
                self.kept.push(Wrong::new(
                    "",
                    expected,
                    format!("{all}; the others are not shown"),
                ));
            }
            (Some(_) | None, _) => {}
        }
        Err(CannotConvert(self.kept))
    }

    /// Whether nothing was wrong.
    pub(crate) fn is_empty(&self) -> bool {
        self.all == 0
    }
}
