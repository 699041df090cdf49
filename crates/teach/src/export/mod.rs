//! Exercises as files for learning systems.
//!
//! | function | file | pictures |
//! |---|---|---|
//! | [`qti21`] | QTI 2.1 content package, a zip | PNG |
//! | [`qti30`] | QTI 3.0 content package, a zip | SVG |
//! | [`moodle_xml`] | Moodle XML | PNG inside |
//! | [`gift`] | GIFT, plain text | refused |
//! | [`items_csv`], [`keys_csv`] | CSV | their names and descriptions |
//!
//! Every function checks the whole set first and gives everything that stands against it at once,
//! each with its question ([`CannotExport`]). The same set gives the same bytes on every run, in
//! debug and release builds, whatever else the build contains. Text files and packages with SVG are
//! the same on every machine. PNG is drawn in floats and with the sines of the machine, so its
//! bytes are the same on machines of one kind only, and its look everywhere.
//!
//! PNG needs the feature `png`. Without it, a question with pictures is refused where PNG would be
//! needed; it is never written without its picture. Every picture is 640 pixels along its longer
//! side ([`LONGEST_SIDE`]), in PNG and where an SVG is shown.
//!
//! ```
//! use crossread_teach::export::{gift, qti30};
//! use crossread_teach::question::{Choice, Question};
//!
//! let choice = |id: &str, text: &str, is_key| Choice {
//!     id: id.to_owned(),
//!     text: text.to_owned(),
//!     is_key,
//!     score_hundredths: if is_key { 100 } else { 0 },
//!     is_critical: !is_key,
//!     feedback: String::new(),
//! };
//! let question = Question {
//!     id: "q1".to_owned(),
//!     prompt: "The major reacts 2+ at 37 °C. May the unit be given?".to_owned(),
//!     pictures: Vec::new(),
//!     choices: vec![choice("no", "No", true), choice("yes", "Yes", false)],
//! };
//! let text = gift("First readings", "set-1", &[question.clone()])?;
//! assert!(String::from_utf8(text)?.contains("~Yes#Critical error."));
//! let package = qti30("First readings", "set-1", &[question])?;
//! assert!(package.starts_with(b"PK"));
//! # Ok::<_, Box<dyn std::error::Error>>(())
//! ```
//!
//! # Critical errors
//! A learning system adds up marks. None of these formats can say that one answer fails the set,
//! so **a critical error cannot be enforced by the learning system**: mark the answers here if that
//! matters. What the formats can carry is carried. A critical answer earns 0, which is checked, and
//! its feedback begins with "Critical error", also where the question gives none. In QTI the
//! outcome `CRITICAL` of an item is 1 after such an answer, and `CRITICAL` of the test is their
//! number. The CSV of keys has a column for it.
//!
//! # What texts keep
//! Every letter of every script, with `<&>"'{}=~#:\` and the like, comes back as it was. White
//! space at both ends of a text is left out and lines end with `\n`, because every learning system
//! does so. Control characters are refused: XML cannot hold them. CSV too holds texts as they are,
//! so a spreadsheet may take one that begins with `=` for a formula.
//!
//! # What was checked
//! The packages were made after the QTI 2.1 and 3.0 information models and the example packages of
//! 1EdTech (examples read; information models from memory). The XML schemas of QTI may not be
//! handed on without registration, so no test validates against them: the tests hold the structure.
//! Moodle XML and GIFT follow what Moodle's own import does with a file (its import code for both
//! formats read, for behavior only).

mod checked;
mod csv;
mod drawing;
mod fraction;
mod gift;
mod identifier;
mod marks;
mod moodle;
mod pictures;
#[cfg(feature = "png")]
mod png;
mod qti;
mod refused;
mod shown;
mod text;
mod xml;
mod zip;

pub use csv::{items_csv, keys_csv};
pub use drawing::LONGEST_SIDE;
pub use gift::gift;
pub use moodle::moodle_xml;
pub use qti::{qti21, qti30};
pub use refused::{CannotExport, Part, Reason, TextFault, Which};
