//! The manual: a start for each who uses crossread, and what everybody must know of it.
//!
//! - [`technician`], [`integrator`], [`educator`]: a first quarter of an hour.
//! - [`verdict`]: from readings to a word, with the table of patterns.
//! - [`protocol`]: local rules.
//! - [`faults`]: what is wrong with a document, and how to read it.
//! - [`limits`]: what is promised, numbered limits, and what is not supported.

#[doc = include_str!("../manual/technician.md")]
pub mod technician {}

#[doc = include_str!("../manual/integrator.md")]
pub mod integrator {}

#[doc = include_str!("../manual/educator.md")]
pub mod educator {}

#[doc = include_str!("../manual/verdict.md")]
pub mod verdict {}

#[doc = include_str!("../manual/protocol.md")]
pub mod protocol {}

#[doc = include_str!("../manual/faults.md")]
pub mod faults {}

#[doc = include_str!("../manual/limits.md")]
pub mod limits {}
