//! CSV of items, of keys, and of responses both ways.
//!
//! RFC 4180 in UTF-8 with a header: comma, `"` doubled within `"`, lines end with CR LF.

mod near;
mod read;
mod records;
mod responses;
mod written;

pub use self::read::read_responses;
pub use self::responses::{Response, ResponseFault, ResponseFaultCode, ResponseFaults};
pub use self::written::{items_csv, keys_csv, responses_csv};
