//! Teaching the reading of a crossmatch: drawings of what is seen, questions for learning systems,
//! and what readers saw, against a key and against each other.

#![forbid(unsafe_code)]

pub mod chance;
pub mod export;
pub mod picture;
pub mod question;
pub mod statistics;
