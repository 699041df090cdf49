//! Text in, text out: what the command and the bindings for other languages hand over.
//!
//! Both call these functions and nothing beside them, so that the same document gives the same
//! bytes everywhere. None of the texts ends in a line end; whoever writes lines adds it.
//!
//! ```standalone_crate
//! use crossread_core::Protocols;
//! use crossread_core::embed::{self, Layout, Outcome, Source};
//!
//! let document = include_bytes!("../../../../examples/major-2-plus/worksheet.json");
//! let mut answer = Vec::new();
//! let outcome =
//!     embed::answer(document, Protocols::shipped(), Source::default(), Layout::Line, &mut answer)?;
//! // Only this word frees every donor; whether it frees one stands at that donor.
//! assert_ne!(outcome, Outcome::Releasable);
//! # Ok::<_, embed::Broken>(())
//! ```

mod explain;
mod kind;

pub use explain::{Explanation, NothingCalled, explain};
pub use kind::{Good, Kind, check};

use serde::Serialize;

use crate::document::{FaultReport, Faults};
use crate::interpretation::{Comparison, Interpretation, Issued};
use crate::schema::PUBLISHED;
use crate::{Protocol, Protocols, Worksheet, interpret};

/// How JSON is laid out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[expect(clippy::exhaustive_enums, reason = "a third way would be another function")]
pub enum Layout {
    /// On one line, as in a stream.
    #[default]
    Line,
    /// On many lines, indented by two blanks.
    Indented,
}

/// Where a document came from, as its faults tell it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(clippy::exhaustive_structs, reason = "it is what a fault report has, and callers make it")]
pub struct Source<'s> {
    /// The name of the file or stream.
    pub name: &'s str,
    /// The line of a stream with one document a line, counted from 1.
    pub line: Option<u64>,
}

impl Default for Source<'static> {
    fn default() -> Self {
        Self { name: "<document>", line: None }
    }
}

/// What became of a worksheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(clippy::exhaustive_enums, reason = "a caller must see when there is a new one")]
pub enum Outcome {
    /// Interpreted, and every donor may be released by the verdict.
    Releasable,
    /// Interpreted, and at least one donor may not.
    NotReleasable,
    /// Not interpreted: the document is at fault, and its faults are the answer.
    Faulty,
}

/// The engine itself is at fault. No document is known that leads to this.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Broken {
    /// A worksheet was checked by a protocol that is not at hand any more.
    #[error("the protocol of a checked worksheet is gone; please report this")]
    ProtocolGone,
    /// An answer could not be written as JSON.
    #[error("an answer cannot be written as JSON: {0}; please report this")]
    Unwritable(#[from] serde_json::Error),
}

/// A worksheet with its protocol, and what it comes to.
#[derive(Debug)]
#[non_exhaustive]
pub struct Judged<'p> {
    /// What was written down.
    pub worksheet: Worksheet,
    /// The rules that it names.
    pub protocol: &'p Protocol,
    /// What it comes to.
    pub interpretation: Interpretation,
}

impl Judged<'_> {
    /// Whether every donor may be released by the verdict, or some donor may not.
    ///
    /// ```standalone_crate
    /// # use crossread_core::{Protocols, embed::{Outcome, judge}};
    /// let document = include_bytes!("../../../../examples/three-donors-compared/worksheet.json");
    /// let judged = judge(document, Protocols::shipped())?.map_err(|faults| faults.to_string())?;
    /// // Two of three may be given: that frees not every donor.
    /// assert_eq!(judged.interpretation.pairs.iter().filter(|pair| pair.releasable).count(), 2);
    /// assert_eq!(judged.outcome(), Outcome::NotReleasable);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn outcome(&self) -> Outcome {
        let pairs = &self.interpretation.pairs;
        // Without a donor nobody is freed.
        let all = !pairs.is_empty() && pairs.iter().all(|pair| pair.releasable);
        if all { Outcome::Releasable } else { Outcome::NotReleasable }
    }
}

/// Interprets a worksheet by the one of `protocols` that it names.
///
/// ```standalone_crate
/// # use crossread_core::{Protocols, embed::judge};
/// let document = include_bytes!("../../../../examples/clean-run/worksheet.json");
/// let judged = judge(document, Protocols::shipped())?.map_err(|faults| faults.to_string())?;
/// assert_eq!(judged.worksheet.id().as_str(), "WS-0131");
/// assert_eq!(judged.interpretation.pairs[0].verdict.word(), "compatible");
/// // Faults are an answer too, the engine is not broken by them.
/// assert!(judge(b"{}", Protocols::shipped())?.is_err());
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// [`Broken`] if the engine is at fault.
pub fn judge<'p>(
    document: &[u8],
    protocols: &'p Protocols,
) -> Result<Result<Judged<'p>, Faults>, Broken> {
    let worksheet = match Worksheet::from_json(document, protocols) {
        Ok(worksheet) => worksheet,
        Err(faults) => return Ok(Err(faults)),
    };
    let named = worksheet.protocol();
    let protocol = protocols.get(&named.id, &named.version).ok_or(Broken::ProtocolGone)?;
    let interpretation = interpret(&worksheet, protocol);
    Ok(Ok(Judged { worksheet, protocol, interpretation }))
}

/// Writes what a worksheet comes to behind what is in `out`: `crossread.interpretation/1`, or
/// `crossread.fault/1` if it is at fault.
///
/// ```
/// # use crossread_core::{Protocols, embed::{Layout, Outcome, Source, answer}};
/// let mut out = Vec::new();
/// let third = Source { name: "night.jsonl", line: Some(3) };
/// let outcome = answer(b"{}", Protocols::shipped(), third, Layout::Line, &mut out)?;
/// assert_eq!(outcome, Outcome::Faulty);
/// let start = br#"{"format":"crossread.fault/1","input":"night.jsonl","document":3,"#;
/// assert!(out.starts_with(start));
/// # Ok::<_, crossread_core::embed::Broken>(())
/// ```
///
/// # Errors
/// [`Broken`] if the engine is at fault; then what is in `out` is no answer.
pub fn answer(
    document: &[u8],
    protocols: &Protocols,
    source: Source<'_>,
    layout: Layout,
    out: &mut Vec<u8>,
) -> Result<Outcome, Broken> {
    match judge(document, protocols)? {
        Ok(judged) => {
            match layout {
                Layout::Line => judged.interpretation.write_line(out)?,
                Layout::Indented => write(&judged.interpretation, layout, out)?,
            }
            Ok(judged.outcome())
        }
        Err(faults) => {
            report(&faults, source, layout, out)?;
            Ok(Outcome::Faulty)
        }
    }
}

/// Writes faults behind what is in `out`, as `crossread.fault/1`.
///
/// ```
/// # use crossread_core::{Protocols, Worksheet, embed::{Layout, Source, report}};
/// let faults = Worksheet::from_json(b"[", Protocols::shipped()).unwrap_err();
/// let mut out = Vec::new();
/// report(&faults, Source::default(), Layout::Line, &mut out)?;
/// let start = br#"{"format":"crossread.fault/1","input":"<document>","faults":[{"code":"#;
/// assert!(out.starts_with(start));
/// # Ok::<_, crossread_core::embed::Broken>(())
/// ```
///
/// # Errors
/// [`Broken`] if the engine is at fault.
pub fn report(
    faults: &Faults,
    source: Source<'_>,
    layout: Layout,
    out: &mut Vec<u8>,
) -> Result<(), Broken> {
    write(&FaultReport::new(source.name, source.line, faults), layout, out)
}

/// Writes a document behind what is in `out`.
///
/// ```
/// # use crossread_core::{embed::{Layout, write}, words::Grade};
/// let mut out = b"read: ".to_vec();
/// write(&[Grade::G0, Grade::G1w], Layout::Line, &mut out)?;
/// assert_eq!(out, br#"read: ["0","1+w"]"#);
/// # Ok::<_, crossread_core::embed::Broken>(())
/// ```
///
/// # Errors
/// [`Broken`] if it cannot be written as JSON.
pub fn write(document: &impl Serialize, layout: Layout, out: &mut Vec<u8>) -> Result<(), Broken> {
    match layout {
        Layout::Line => serde_json::to_writer(out, document)?,
        Layout::Indented => serde_json::to_writer_pretty(out, document)?,
    }
    Ok(())
}

/// The JSON Schema of this name, `None` if there is none: `worksheet`, `interpretation`, `protocol` or
/// `fault`, as it is published in `schemas/`, its last line end included.
///
/// ```standalone_crate
/// # use crossread_core::embed::schema;
/// let text = schema("worksheet")?.unwrap();
/// assert_eq!(text, include_str!("../../../../schemas/worksheet.json"));
/// assert_eq!(schema("label")?, None);
/// # Ok::<_, crossread_core::embed::Broken>(())
/// ```
///
/// # Errors
/// [`Broken`] if it cannot be written as JSON.
pub fn schema(name: &str) -> Result<Option<String>, Broken> {
    let schema = PUBLISHED.iter().find(|schema| schema.name == name);
    Ok(schema.map(|schema| schema.to_json()).transpose()?)
}

/// Why two documents were not compared.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum NotCompared {
    /// The old one is no interpretation.
    #[error("the old document is no interpretation:\n{0}")]
    Old(Faults),
    /// The new one is no interpretation.
    #[error("the new document is no interpretation:\n{0}")]
    New(Faults),
    /// They are of two worksheets.
    #[error("the old document is of worksheet `{0}`, the new one of worksheet `{1}`")]
    OfTwoWorksheets(String, String),
    /// The engine is at fault.
    #[error(transparent)]
    Broken(#[from] Broken),
}

/// How two interpretations of one worksheet differ, as the command's `compare` tells it of one
/// entry; `None` if they say the same.
///
/// ```standalone_crate
/// # use crossread_core::embed::{NotCompared, compare};
/// let clean = include_bytes!("../../../../examples/clean-run/interpretation.json");
/// assert_eq!(compare(clean, clean)?, None);
/// let other = include_bytes!("../../../../examples/major-2-plus/interpretation.json");
/// assert!(matches!(compare(clean, other), Err(NotCompared::OfTwoWorksheets(..))));
/// # Ok::<_, NotCompared>(())
/// ```
///
/// # Errors
/// [`NotCompared`] if one is no interpretation, or they are of two worksheets.
pub fn compare(old: &[u8], new: &[u8]) -> Result<Option<String>, NotCompared> {
    let old = Issued::from_json(old).map_err(NotCompared::Old)?;
    let new = Issued::from_json(new).map_err(NotCompared::New)?;
    let id = |issued: &Issued| issued.worksheet().id.as_str().to_owned();
    if id(&old) != id(&new) {
        return Err(NotCompared::OfTwoWorksheets(id(&old), id(&new)));
    }
    let comparison = Comparison::of(&old, &new);
    if comparison.is_empty() {
        return Ok(None);
    }
    Ok(Some(serde_json::to_string(&comparison).map_err(Broken::from)?))
}

#[cfg(test)]
mod tests {
    use super::{Layout, NotCompared, Outcome, Source, answer, compare};
    use crate::Protocols;

    const CLEAN: &str = include_str!("../../../../examples/clean-run/worksheet.json");
    const OTHER: &str = include_str!("../../../../examples/major-2-plus/worksheet.json");

    fn answered(document: &str, layout: Layout) -> (Outcome, String) {
        let mut out = Vec::new();
        let source = Source { name: "night", line: Some(3) };
        let outcome =
            answer(document.as_bytes(), Protocols::shipped(), source, layout, &mut out).unwrap();
        (outcome, String::from_utf8(out).unwrap())
    }

    #[test]
    fn an_answer_is_what_was_committed_for_the_example() {
        let committed = include_str!("../../../../examples/clean-run/interpretation.json");
        let (outcome, text) = answered(CLEAN, Layout::Indented);
        assert_eq!(format!("{text}\n"), committed);
        assert_eq!(outcome, Outcome::Releasable);
        assert_eq!(answered(OTHER, Layout::Line).0, Outcome::NotReleasable);
    }

    #[test]
    fn faults_are_an_answer_of_their_own_and_name_their_source() {
        let (outcome, text) = answered("{}", Layout::Line);
        assert_eq!(outcome, Outcome::Faulty);
        let start = r#"{"format":"crossread.fault/1","input":"night","document":3,"faults":["#;
        assert!(text.starts_with(start), "{text}");
        assert!(!text.contains("releasable"), "{text}");
    }

    #[test]
    fn only_two_answers_to_one_worksheet_are_compared() {
        let (_, clean) = answered(CLEAN, Layout::Line);
        let (_, other) = answered(OTHER, Layout::Line);
        let (_, faults) = answered("{}", Layout::Line);
        assert_eq!(compare(clean.as_bytes(), clean.as_bytes()).unwrap(), None);
        let barred = clean.replace(r#""releasable":true"#, r#""releasable":false"#);
        let barred = compare(clean.as_bytes(), barred.as_bytes());
        assert!(matches!(barred, Err(NotCompared::New(_))), "an answer that contradicts itself");
        let twisted = clean.replace(r#""order":["#, r#""order":["D-000","#);
        let differs = compare(clean.as_bytes(), twisted.as_bytes());
        assert!(!matches!(differs, Ok(None)), "{differs:?}");
        let apart = compare(clean.as_bytes(), other.as_bytes());
        assert!(matches!(apart, Err(NotCompared::OfTwoWorksheets(..))), "{apart:?}");
        let old = compare(faults.as_bytes(), clean.as_bytes());
        assert!(matches!(old, Err(NotCompared::Old(_))), "{old:?}");
        let new = compare(clean.as_bytes(), faults.as_bytes());
        assert!(matches!(new, Err(NotCompared::New(_))), "{new:?}");
    }
}
