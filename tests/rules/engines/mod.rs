//! General-purpose engines, each given the small rule in its own language: compiled once, its input
//! for a pair made before anything is timed.

pub mod cel;
pub mod decision;
pub mod json_logic;
pub mod policy;
pub mod script;
