//! The journal, from its users' side: one suite, run on a file and on a server.
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    clippy::wildcard_enum_match_arm,
    clippy::disallowed_methods,
    clippy::print_stdout,
    clippy::use_debug,
    reason = "a test that fails must stop, and the suite says where the server is, what it counted \
              and what it skips"
)]

mod amend;
mod bench;
mod blind;
mod documented;
mod invariants;
mod looks;
mod night;
mod opening;
mod record;
mod release;
mod taken_over;
mod transfusion;
