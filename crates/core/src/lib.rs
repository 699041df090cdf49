#![doc = include_str!("../README.md")]
#![forbid(unsafe_code)]

pub mod care;
pub mod document;
pub mod embed;
pub mod findings;
pub mod glossary;
pub mod interpretation;
pub mod manual;
pub mod need;
pub mod prepare;
pub mod protocol;
mod reading;
mod run;
pub mod schema;
pub mod words;
pub mod worksheet;

pub use interpretation::{Interpretation, interpret};
pub use protocol::{Protocol, Protocols};
pub use run::{Cause, Controlled, Rows, Standing};
pub use worksheet::Worksheet;
