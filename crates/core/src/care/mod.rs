//! From the verdict to the vein: how much, how fast, what to look at and when.
//!
//! The veterinarian decides what, how much and whether. This does arithmetic and keeps times; every
//! number comes from the `care` section of a protocol with its source. All of it is exact: whole
//! numbers and fractions, rounded where it is shown.

mod checks;
mod fever;
mod plan;
mod rules;
mod watch;

pub use checks::{CaseDefinition, Check, Imputability, Severity, Sign, work_up};
pub use fever::{Warmth, fever, warmth};
pub use plan::{CannotCare, Care, Caution, Figure, Order, Portion, Speed, after, care};
pub use rules::Sourced;
pub use watch::{FilterChange, Filters, filters, looks, watch};
