//! Suites that cross the crates: the contract's vectors, a second implementation, invariants,
//! published cases, schemas, the catalogue, and the examples.
#![expect(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    clippy::panic_in_result_fn,
    clippy::wildcard_enum_match_arm,
    reason = "a helper of a test may fail the test"
)]

mod agreement;
mod care;
mod catalogue;
mod corpus;
mod engine;
mod enumeration;
mod examples;
mod exchange;
mod faults;
mod fuzzed;
mod generated;
mod invariants;
mod issued;
mod need;
mod prepare;
mod published;
mod random;
mod reference;
mod schema;
mod vectors;
