//! What a learning system gets: the same questions, the same marks, and every critical error said.
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    reason = "a helper of a test may fail the test"
)]

mod bytes;
mod csv;
mod gift;
mod moodle;
mod property;
mod qti;
mod refused;
mod sample;
mod unpacked;
