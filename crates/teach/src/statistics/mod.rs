//! Agreement statistics: how far readers of graded reactions agree with a key, with each other and
//! with themselves.
//!
//! Grades are the positions 0, 1, 2 … of a [`Scale`] whose names the caller gives; a missing
//! reading is `None` and never counts as a grade. Results that the scale has no place for, such as
//! "not readable", are missing here and have to be counted by the caller.
//!
//! - A figure that cannot be calculated is [`Undefined`] with its reason; it is never 0, 1 or "not
//!   a number".
//! - Every figure says on how many [`Cases`] it rests, and whether these are few.
//! - No figure is called good or bad: the usual words for ranges of kappa were made for one
//!   weighting and one number of grades (Warrens 2013, from memory).
//! - Look at [`Decisions`] first. A reader who misses one incompatibility in five can have a
//!   quadratic kappa over 0.9.
//!
//! ```
//! use crossread_teach::statistics::{Confidence, Pairs, Scale, Weighting, kappa};
//!
//! let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
//! let key = [0, 0, 1, 2, 3, 4, 4].map(Some);
//! let read = [Some(0), Some(0), Some(0), Some(2), Some(4), Some(4), None];
//! let table = Pairs::new(&scale, &key, &read)?.table();
//!
//! let decisions = table.decisions(scale.cut(1)?, Confidence::P95);
//! assert_eq!(decisions.missed, 1);
//! let quadratic = kappa(&table, &Weighting::Quadratic, Confidence::P95);
//! assert_eq!(format!("{:.3}", quadratic.value?), "0.939");
//! assert!(quadratic.cases.few());
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

#![expect(
    clippy::float_arithmetic,
    reason = "statistics divide and take roots; no figure here decides about a unit"
)]

mod agreement;
mod alpha;
mod bias;
mod bootstrap;
mod cases;
mod decisions;
mod distribution;
mod draws;
mod fault;
mod fleiss;
mod gwet;
mod interval;
mod items;
mod kappa;
mod pairs;
mod panel;
pub mod plot;
mod repeats;
mod report;
mod scale;
mod share;
mod symmetry;
mod table;
mod undefined;
mod weighting;

pub use alpha::{Metric, alpha};
pub use bias::{Bias, GradeBias, Mean};
pub use bootstrap::{Bootstrap, Resampled};
pub use cases::{Cases, Figure};
pub use decisions::Decisions;
pub use fault::{Fault, Faults};
pub use fleiss::fleiss;
pub use gwet::{Gwet, gwet, gwet_of_table};
pub use interval::{Confidence, Interval};
pub use items::{Answers, Item, Items};
pub use kappa::{Kappa, kappa, kappa_value};
pub use pairs::Pairs;
pub use panel::Panel;
pub use repeats::Repeats;
pub use report::{ClassReport, ReaderReport};
pub use scale::{Cut, MOST_GRADES, Scale};
pub use share::Share;
pub use symmetry::Symmetry;
pub use table::Table;
pub use undefined::{Undefined, Value};
pub use weighting::{Disagreements, Weighting};
