//! From the verdict to the vein: how much, how fast, what to look at and when.
//!
//! The veterinarian decides what, how much and whether. This does arithmetic and keeps times; every
//! number comes from the `care` section of a protocol with its source. All of it is exact: whole
//! numbers and fractions, rounded where it is shown.
//!
//! ```
//! use crossread_core::Protocols;
//! use crossread_core::care::{Order, care};
//! use crossread_core::words::Product;
//!
//! # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine");
//! # let dog = dog.ok_or("no such protocol")?;
//! let order = Order {
//!     weight: "9.5".parse()?,
//!     pcv_now: "15".parse()?,
//!     pcv_target: "25".parse()?,
//!     product: Product::PackedCells,
//!     product_pcv: "60".parse()?,
//!     volume: Some("140".parse()?),
//!     slowly: false,
//!     drops_per_ml: Some("20".parse()?),
//!     begins: None,
//! };
//! let plan = care(&order, dog)?;
//! assert_eq!(plan.formula_ml.to_string(), "127 to 143 mL");
//! assert_eq!(plan.thumb_ml.ok_or("no rule of thumb")?.to_string(), "95 to 152 mL");
//! assert_eq!(plan.allowed.1.to_string(), "95.0 mL/h (31 drops/min)");
//! // The published figures differ, and what was ordered lies within them: nothing to be said.
//! assert!(plan.cautions.is_empty());
//! # Ok::<_, Box<dyn std::error::Error>>(())
//! ```

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
