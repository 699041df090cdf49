//! The record of veterinary crossmatches: who saw what, when, and why the animal got that unit.
//!
//! A [`Journal`] is a sequence of entries. Nothing in it is ever overwritten: a correction is a
//! retraction and a new entry, and a worksheet is a view computed from its entries. Every entry
//! holds the hash of the one before and is kept as canonical JSON (RFC 8785) with its own SHA-256,
//! so that [`Journal::verify`] names the first entry that is not as it was written. An entry is on
//! the disk when the call that wrote it returns.
//!
//! A journal lies in a file (SQLite) or on a server that speaks the PostgreSQL protocol, for
//! several benches at once; both behave alike.
//!
//! ```
//! use crossread_core::document::{Id, Time};
//! use crossread_core::protocol::Protocols;
//! use crossread_journal::{Journal, Location, Opening, Writer};
//!
//! # let folder = std::env::temp_dir().join(format!("crossread-doc-{}", std::process::id()));
//! # std::fs::create_dir_all(&folder)?;
//! # let file = folder.join("night.journal");
//! # std::fs::remove_file(&file).unwrap_or_default();
//! let at = |time| Time::new(time).ok_or("no time");
//! let kt = Writer::new("KT", at("2026-03-01T02:40:00+01:00")?);
//! let place = Location::from(file.as_path());
//! let mut journal = Journal::create(&place, "Brindlemoor Animal Hospital", &kt)?;
//! let opening: Opening = serde_json::from_str(
//!     r#"{ "worksheet": "WS-1", "protocol": { "id": "dog-routine", "version": "1.0.0" },
//!          "method": "tube", "recipient": { "id": "R-3107", "name": "Juniper", "species": "dog" } }"#,
//! )?;
//! journal.open_worksheet(&kt, &opening, Protocols::shipped())?;
//! let verified = journal.verify(None)?;
//! assert_eq!((verified.entries, verified.first_bad), (3, None));
//! # std::fs::remove_dir_all(&folder)?;
//! # Ok::<_, Box<dyn std::error::Error>>(())
//! ```

#![expect(
    clippy::wildcard_enum_match_arm,
    reason = "a kind of event that a caller does not ask for means nothing to it; where every kind \
              matters, in `sheet` and `terms`, none is left out"
)]

mod amend;
mod bench;
mod books;
mod difference;
mod entry;
mod error;
mod event;
mod exchange;
mod issue;
mod journal;
mod known;
mod reaction;
mod release;
mod search;
mod sheet;
mod store;
mod terms;
mod verify;

pub use bench::{Opening, ProtocolName};
pub use books::Writer;
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
