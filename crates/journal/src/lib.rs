#![doc = include_str!("../README.md")]
#![forbid(unsafe_code)]
#![expect(
    clippy::wildcard_enum_match_arm,
    reason = "a kind of event that a caller does not ask for means nothing to it; where every kind \
              matters, in `sheet`, `known` and `terms`, none is left out"
)]

mod amend;
mod bench;
mod books;
mod canonical;
mod care;
mod difference;
mod entry;
mod error;
mod event;
mod exchange;
mod frame;
mod issue;
mod journal;
mod known;
mod look;
mod reaction;
mod release;
mod search;
mod sheet;
mod store;
mod terms;
mod verify;
mod whole;

pub mod schema;

pub use bench::{Opening, ProtocolName, TakenOver};
pub use books::Writer;
pub use care::Running;
pub use difference::{Difference, differences};
pub use entry::{Entry, Head, Row, Seq};
pub use error::{JournalError, Refusal};
pub use event::*;
pub use exchange::Imported;
pub use issue::{Shown, Told};
pub use journal::{Journal, Location, Written};
pub use known::{Happened, Incompatible, Past, TypedThen, Warning};
pub use reaction::{ReadOff, SideBySide, UnitOf};
pub use release::{EmergencyRelease, Release, TYPED_AGAIN};
pub use search::{Hit, OldWorksheet, OpenTask, OpenWorksheet, Query, Wanted};
pub use sheet::{Entered, Sheet, TakenBack, View};
pub use terms::Field;
pub use verify::{Bad, Verified};
