//! What an educator relies on, in an educator's terms.
#![expect(
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    reason = "a test may fail by any of them"
)]

mod covers;
mod fixture;
mod frequencies;
mod hidden;
mod keys;
mod marks;
mod shared;
mod table;
