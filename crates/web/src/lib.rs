#![doc = include_str!("../README.md")]
#![forbid(unsafe_code)]
#![expect(
    clippy::wildcard_enum_match_arm,
    reason = "a kind of entry or value that a page has nothing to say of is shown plainly; nothing \
              here decides a verdict or a release"
)]
#![expect(
    clippy::unnecessary_wraps,
    reason = "every page answers in the same way, also one that cannot fail"
)]

mod address;
mod animals;
mod answer;
mod ask;
mod bench;
mod drawn;
mod entries;
mod explain;
mod fields;
mod form;
mod give;
mod guard;
mod paper;
mod plan;
mod reaction;
mod read;
mod route;
mod server;
mod shell;
mod start;
mod today;
mod vein;
mod verdict;

pub use bench::{Bench, Clock};
pub use server::{CannotServe, Server};
