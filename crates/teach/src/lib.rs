//! Teaching the reading and the interpretation of veterinary crossmatches.
//!
//! - [`simulate`]: cases with a known truth, drawn from a seed.
//! - [`picture`]: drawings of what is seen in a tube, a gel column, on a slide, under a microscope.
//! - [`set`]: sets of drawings and whole runs with their keys, on paper and as a page.
//! - [`marking`]: what students answered, marked by consequence and by distance.
//! - [`statistics`]: how well readers agree with a key and with each other; [`class`]: a class
//!   on a set.
//! - [`question`] and [`export`]: the plain form of a question, and files for learning systems.
//!
//! ```
//! use crossread_core::Protocols;
//! use crossread_core::words::{Method, Species};
//! use crossread_teach::marking::{Options, Responses, mark_all};
//! use crossread_teach::set::{Kind, Wanted, make};
//!
//! let wanted = Wanted {
//!     items: 3,
//!     kinds: vec![Kind::Picture],
//!     species: vec![Species::Dog],
//!     methods: vec![Method::Tube],
//!     ..Wanted::default()
//! };
//! let exercise = make(&wanted, Protocols::shipped())?.exercise;
//! let set = exercise.set();
//! assert_eq!(set.items.len(), 3);
//! // A student who has the first item right and leaves the others out.
//! let file = format!("item,student,answer\n{},anna,{}\n", set.items[0].id, set.items[0].key);
//! let responses = Responses::from_csv(file.as_bytes(), &exercise)?;
//! let marked = mark_all(&exercise, &responses, &Options::default())?;
//! assert_eq!((marked.students[0].passed, marked.students[0].tally.unanswered), (false, 2));
//! # Ok::<_, Box<dyn std::error::Error>>(())
//! ```

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
