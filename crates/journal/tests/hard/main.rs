//! What a journal withstands: killed writers, a full disk, changed bytes, several writers, time.
//!
//! What cannot be tried here says `SKIPPED, not passed`. `CROSSREAD_POSTGRES` names a server,
//! `CROSSREAD_ENUMERATE=full` goes through every byte (in release mode), `CROSSREAD_ROUNDS` sets
//! how many writers are killed.
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    clippy::print_stdout,
    clippy::use_debug,
    clippy::let_and_return,
    clippy::float_arithmetic,
    clippy::wildcard_enum_match_arm,
    clippy::string_slice,
    clippy::disallowed_methods,
    reason = "a test that fails must stop, and says what it counted and what it skipped"
)]

mod child;
mod first;
mod flip;
mod kill;
mod night;
mod pages;
mod restart;
mod room;
mod schema;
mod server;
mod writers;
