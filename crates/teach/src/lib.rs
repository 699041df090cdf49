//! Teaching the reading and the interpretation of veterinary crossmatches.
//!
//! - [`simulate`]: cases with a known truth, drawn from a seed.
//! - [`picture`]: drawings of what is seen in a tube, a gel column, on a slide, under a microscope.
//! - [`set`]: sets of drawings and whole runs with their keys, on paper and as a page.
//! - [`marking`]: what students answered, marked by consequence and by distance.
//! - [`statistics`]: how well readers agree with a key and with each other; [`class`]: a class
//!   on a set.
//! - [`question`] and [`export`]: the plain form of a question, and files for learning systems.

#![forbid(unsafe_code)]

pub mod chance;
pub mod class;
pub mod export;
pub mod fault;
pub mod marking;
pub mod picture;
pub mod question;
pub mod set;
pub mod simulate;
pub mod statistics;
mod wrap;
