//! What goes on paper for a veterinary crossmatch: the worksheet, its labels, the report, the
//! handover.
//!
//! Each is first a [`Document`]: everything that will be printed, in order, as plain data. The same
//! document is then written as HTML with a print style sheet (the everyday way), as plain text of
//! 80 columns, or, with the feature `pdf`, as PDF. So all three say the same.
//!
//! Bold, words and position carry the meaning, never color: every page can be copied in black and
//! white.
//!
//! ```standalone_crate
//! use crossread_core::{Protocols, Worksheet};
//! use crossread_print::{Paper, Sheet, html};
//!
//! # let document = include_bytes!("../../../examples/clean-run/worksheet.json");
//! let protocols = Protocols::shipped();
//! let worksheet = Worksheet::from_json(document, protocols)?;
//! let named = worksheet.protocol();
//! let protocol = protocols.get(&named.id, &named.version).ok_or("no such protocol")?;
//! let page = html(&Sheet::filled(&worksheet, protocol).document(), Paper::A4);
//! assert!(page.starts_with("<!DOCTYPE html>"));
//! # Ok::<_, Box<dyn std::error::Error>>(())
//! ```
#![forbid(unsafe_code)]

mod clock;
mod code;
mod document;
mod handover;
mod html;
mod labels;
#[cfg(feature = "pdf")]
mod pdf;
#[cfg(feature = "journal")]
mod record;
#[cfg(feature = "journal")]
mod released;
mod report;
mod sheet;
mod shown;
mod text;
mod transfusion;
mod validation;

pub use clock::{clock, clocks, day_and_clock, zone_of};
pub use code::Code;
pub use document::{Block, Cell, Document, Drawing, Paper, Span};
pub use handover::{Handover, Unfinished};
pub use html::html;
pub use labels::labels;
#[cfg(feature = "pdf")]
pub use pdf::{CannotTypeset, Fonts, pdf};
#[cfg(feature = "journal")]
pub use record::{Kept, handover};
#[cfg(feature = "journal")]
pub use released::{ReleasedUnit, running_said};
pub use report::{Amendment, Gave, Given, Replaced, Report};
pub use sheet::Sheet;
pub use text::text;
pub use transfusion::TransfusionSheet;
pub use validation::{CheckedPart, Validation};
