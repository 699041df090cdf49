//! What is sent back.

use crossread_core::document::Faults;
use crossread_journal::{JournalError, Refusal};
use maud::{Markup, html};

/// What a page comes to.
#[derive(Debug)]
pub(crate) enum Answer {
    /// A page in the shell.
    Page {
        /// Its title.
        title: String,
        /// What it shows.
        body: Markup,
    },
    /// A part of a page, for the script.
    Part(Markup),
    /// Nothing is new, for the script.
    Unchanged,
    /// Another page.
    GoTo(String),
    /// A sheet to be printed, with the style it brings.
    Paper(String),
    /// Somebody said who they are.
    Person {
        /// Their name.
        name: String,
        /// Where they were going.
        to: String,
    },
    /// A file of the page itself.
    File(&'static str, &'static str),
    /// A drawing.
    Drawing(String),
}

impl Answer {
    pub(crate) fn page(title: impl Into<String>, body: Markup) -> Result<Self, Problem> {
        Ok(Self::Page { title: title.into(), body })
    }
}

/// Why a page was not shown or something not done.
#[derive(Debug, thiserror::Error)]
pub(crate) enum Problem {
    /// No page has this address.
    #[error("there is no page here")]
    NoPage,
    /// Nobody said who they are.
    #[error("say who you are first")]
    WhoIsThere,
    /// Something is missing in what was filled in.
    #[error("fill in {0}")]
    Missing(&'static str),
    /// What was filled in is at fault.
    #[error("what was filled in is at fault")]
    Faults(Faults),
    /// Something that was asked for cannot be done.
    #[error("{0}")]
    Told(String),
    /// The journal refused, or failed.
    #[error(transparent)]
    Journal(JournalError),
}

impl From<JournalError> for Problem {
    fn from(error: JournalError) -> Self {
        match error {
            JournalError::Faults(faults) => Self::Faults(faults),
            other => Self::Journal(other),
        }
    }
}

impl Problem {
    /// The status of the answer.
    pub(crate) fn status(&self) -> u16 {
        match self {
            Self::NoPage | Self::Journal(JournalError::Unknown { .. }) => 404,
            Self::WhoIsThere => 403,
            Self::Missing(_) | Self::Faults(_) | Self::Told(_) => 422,
            Self::Journal(JournalError::Refused(_)) => 409,
            Self::Journal(_) => 500,
        }
    }

    /// The problem in words, with every fault.
    pub(crate) fn shown(&self) -> Markup {
        html! {
            div.problem role="alert" {
                @match self {
                    Self::Faults(faults) => {
                        p { strong { "Not recorded." } " What was filled in is at fault:" }
                        ul { @for fault in faults.as_slice() { li { (fault_said(fault)) } } }
                    },
                    Self::Journal(JournalError::Refused(Refusal::Warnings(warnings))) => {
                        p { strong { "First, of this animal:" } }
                        ul { @for warning in warnings { li { (warning) } } }
                    },
                    other => p { strong { "Not recorded. " } (sentence(&other.to_string())) },
                }
            }
        }
    }
}

/// A text with a capital first.
pub(crate) fn first_capital(text: &str) -> String {
    let mut chars = text.chars();
    let first = chars.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
    first + chars.as_str()
}

/// A text with a capital first and a full stop.
pub(crate) fn sentence(text: &str) -> String {
    let end = if text.ends_with(['.', '!', '?', ':']) { "" } else { "." };
    first_capital(text) + end
}

fn fault_said(fault: &crossread_core::document::Fault) -> Markup {
    let place = crate::fields::label_of(&fault.pointer);
    html! {
        strong { (place) } ": expected " (fault.expected) ", found " (fault.found) "."
        @if let Some(hint) = &fault.hint { " " (sentence(hint)) }
    }
}
