//! What a document is.

use std::fmt;

use crate::document::{Faults, format_of};
use crate::interpretation::{self, Issued};
use crate::{Protocol, Protocols, Worksheet, protocol};

/// What a document is meant to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Kind {
    /// Readings of a crossmatch.
    Worksheet,
    /// Local rules.
    Protocol,
    /// What a worksheet came to.
    Interpretation,
}

impl Kind {
    /// The kind of a document, by the format that it names. Whatever names none is judged as a
    /// worksheet, and one of another version of a format as one of this.
    ///
    /// ```
    /// # use crossread_core::embed::Kind;
    /// assert_eq!(Kind::of(br#"{"format": "crossread.protocol/1"}"#), Kind::Protocol);
    /// assert_eq!(Kind::of(b"no JSON at all"), Kind::Worksheet);
    /// ```
    #[must_use]
    pub fn of(document: &[u8]) -> Self {
        let kind = |format: &str| format.split('/').next().map(str::to_owned);
        let named = format_of(document).and_then(|format| kind(&format));
        if named == kind(protocol::FORMAT) {
            Self::Protocol
        } else if named == kind(interpretation::FORMAT) {
            Self::Interpretation
        } else {
            Self::Worksheet
        }
    }
}

/// A document without a fault, in a few words: `worksheet WS-0131, donors: 1, readings: 4`.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Good {
    /// What it is.
    pub kind: Kind,
    words: String,
}

impl fmt::Display for Good {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.words)
    }
}

/// Checks a document that is meant to be of a kind; see [`Kind::of`].
///
/// ```standalone_crate
/// # use crossread_core::{Protocols, embed::{Kind, check}};
/// let document = include_bytes!("../../../../examples/clean-run/worksheet.json");
/// let good = check(document, Kind::of(document), Protocols::shipped())?;
/// assert_eq!(good.to_string(), "worksheet WS-0131, donors: 1, readings: 12");
/// assert!(check(document, Kind::Protocol, Protocols::shipped()).is_err());
/// # Ok::<_, crossread_core::document::Faults>(())
/// ```
///
/// # Errors
/// All its faults at once, each with its place.
pub fn check(document: &[u8], kind: Kind, protocols: &Protocols) -> Result<Good, Faults> {
    let words = match kind {
        Kind::Worksheet => {
            let worksheet = Worksheet::from_json(document, protocols)?;
            let (donors, readings) = (worksheet.donors().len(), worksheet.readings().len());
            let id = worksheet.id().as_str();
            format!("worksheet {id}, donors: {donors}, readings: {readings}")
        }
        Kind::Protocol => {
            let protocol = Protocol::from_json(document)?;
            format!("protocol {} {}", protocol.id().as_str(), protocol.version().as_str())
        }
        Kind::Interpretation => {
            let issued = Issued::from_json(document)?;
            let (id, donors) = (issued.worksheet().id.as_str(), issued.pairs().len());
            format!("interpretation of worksheet {id}, donors: {donors}")
        }
    };
    Ok(Good { kind, words })
}

#[cfg(test)]
mod tests {
    use super::{Kind, check};
    use crate::{Protocols, protocol};

    const ANSWER: &str = include_str!("../../../../examples/clean-run/interpretation.json");
    const SHEET: &str = include_str!("../../../../examples/clean-run/worksheet.json");

    #[test]
    fn a_document_is_what_it_says_and_a_worksheet_if_it_says_nothing() {
        let (_, rules) = protocol::SHIPPED[0];
        for (document, kind) in [
            (SHEET, Kind::Worksheet),
            (rules, Kind::Protocol),
            (ANSWER, Kind::Interpretation),
            (r#"{"format": "crossread.protocol/9"}"#, Kind::Protocol),
            ("{}", Kind::Worksheet),
            ("no JSON", Kind::Worksheet),
        ] {
            assert_eq!(Kind::of(document.as_bytes()), kind, "{document:.60}");
        }
    }

    #[test]
    fn a_good_document_is_of_one_kind_only() {
        let (_, rules) = protocol::SHIPPED[0];
        for document in [SHEET, rules, ANSWER].map(str::as_bytes) {
            for kind in [Kind::Worksheet, Kind::Protocol, Kind::Interpretation] {
                let checked = check(document, kind, Protocols::shipped());
                assert_eq!(checked.is_ok(), kind == Kind::of(document), "{checked:?}");
            }
        }
    }
}
