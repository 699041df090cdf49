//! The pages, asked over HTTP as a browser asks them. What only a browser can show is tested in one.
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    clippy::arithmetic_side_effects,
    reason = "a test that fails must stop"
)]

mod browser;
mod give;
mod guard;
mod reading;
mod start;
mod vein;
