//! HL7 version 2.5.1, message ORU^R01: an OBR segment for each record, an OBX segment for each
//! value of it.
//!
//! # Source
//! HL7, 2007, Version 2.5.1: chapter 2 (control: delimiters, escapes, data types), chapter 3 (PID),
//! chapter 7 (ORU^R01, OBR, OBX), with tables 0085 (OBX-11), 0123 (OBR-25), 0136, 0200, 0211 and
//! 0396. Written from memory of these; structure and lengths are tested against the tables of an
//! independent implementation. Codes of HL7's own tables are used where there is one;
//! every other code is local, marked `L` as table 0396 has it.

mod escape;
mod read;
mod segment;
mod write;

pub use read::from_hl7;
pub use write::to_hl7;

/// The name of the sending program, and of whoever gives the ids.
const HERE: &str = "crossread";
/// The coding system of local codes (table 0396).
const LOCAL: &str = "L";
/// The coding system of yes and no (table 0136).
const YES_NO: &str = "HL70136";
/// The character set (table 0211).
const UTF8: &str = "UNICODE UTF-8";
/// The most characters of the data type ST; longer texts are of the type TX.
const SHORT: usize = 199;
