//! A response, and what can be wrong with a file of them.

use std::fmt;

/// What one reader answered to one question.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[expect(clippy::exhaustive_structs, reason = "plain data, made by whoever has responses")]
pub struct Response {
    /// Who answered.
    pub reader: String,
    /// The id of the question.
    pub question: String,
    /// The id of the choice; `None` if the question was left open.
    pub choice: Option<String>,
}

/// What is wrong with a file of responses, as a stable code word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[non_exhaustive]
pub enum ResponseFaultCode {
    /// The bytes are not UTF-8.
    InvalidUtf8,
    /// A `"` stands within a cell that does not begin with one.
    StrayQuote,
    /// Text stands between the closing `"` of a cell and the next comma.
    TextAfterQuote,
    /// A cell that begins with `"` has no closing one.
    UnclosedQuote,
    /// A column is missing.
    MissingColumn,
    /// A column of no known name.
    UnknownColumn,
    /// A column stands there twice.
    DuplicateColumn,
    /// A row has more or fewer cells than the header.
    CellCount,
    /// Nothing stands in a cell that is needed.
    Empty,
    /// A cell holds a text that no name can be.
    BadText,
    /// The row belongs to another set.
    OtherSet,
    /// The set has no such question.
    UnknownQuestion,
    /// The question has no such choice.
    UnknownChoice,
    /// The reader has answered the question in an earlier row.
    DuplicateResponse,
    /// So many faults that the rest is only counted.
    MoreFaults,
}

impl ResponseFaultCode {
    /// The code word.
    pub fn word(self) -> &'static str {
        match self {
            Self::InvalidUtf8 => "invalid-utf8",
            Self::StrayQuote => "stray-quote",
            Self::TextAfterQuote => "text-after-quote",
            Self::UnclosedQuote => "unclosed-quote",
            Self::MissingColumn => "missing-column",
            Self::UnknownColumn => "unknown-column",
            Self::DuplicateColumn => "duplicate-column",
            Self::CellCount => "cell-count",
            Self::Empty => "empty",
            Self::BadText => "bad-text",
            Self::OtherSet => "other-set",
            Self::UnknownQuestion => "unknown-question",
            Self::UnknownChoice => "unknown-choice",
            Self::DuplicateResponse => "duplicate-response",
            Self::MoreFaults => "more-faults",
        }
    }
}

/// One thing that is wrong with a file of responses, with its place.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct ResponseFault {
    /// What is wrong.
    pub code: ResponseFaultCode,
    /// Line of the place, counted from 1.
    pub line: usize,
    /// Column of the place, counted from 1, in characters.
    pub column: usize,
    /// What was expected there.
    pub expected: String,
    /// What was found there, shortened if it is long.
    pub found: String,
    /// What may have been meant, or what to do.
    pub hint: Option<String>,
}

impl fmt::Display for ResponseFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}: {}: ", self.line, self.column, self.code.word())?;
        write!(f, "expected {}, found {}", self.expected, self.found)?;
        self.hint.as_ref().map_or(Ok(()), |hint| write!(f, " ({hint})"))
    }
}

/// All faults of one file, at least one, in the order of their places.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ResponseFaults(Vec<ResponseFault>);

impl ResponseFaults {
    /// More faults than this are only counted.
    pub const MOST: usize = 10_000;

    /// The faults, at least one.
    pub fn as_slice(&self) -> &[ResponseFault] {
        &self.0
    }

    /// `good` if there is no fault.
    pub(super) fn unless<T>(mut faults: Vec<ResponseFault>, good: T) -> Result<T, Self> {
        faults.sort_by_key(|fault| (fault.line, fault.column, fault.code));
        let rest = faults.len().saturating_sub(Self::MOST);
        if let Some(next) = faults.get(Self::MOST) {
            let more = ResponseFault {
                code: ResponseFaultCode::MoreFaults,
                expected: format!("at most {} faults", Self::MOST),
                found: format!("{rest} more from here"),
                hint: None,
                ..next.clone()
            };
            faults.truncate(Self::MOST);
            faults.push(more);
        }
        if faults.is_empty() { Ok(good) } else { Err(Self(faults)) }
    }
}

impl fmt::Display for ResponseFaults {
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

impl std::error::Error for ResponseFaults {}
