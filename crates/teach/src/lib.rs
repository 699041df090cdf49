//! Teaching the reading of a crossmatch: what readers saw, against a key and against each other.

#![forbid(unsafe_code)]

pub mod statistics;
