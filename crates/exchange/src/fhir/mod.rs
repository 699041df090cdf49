//! FHIR R5: a Bundle with one `DiagnosticReport`, a `Patient` for each animal and an `Observation`
//! for each record.
//!
//! # Source
//! HL7, 2023, FHIR Release 5 (5.0.0): Bundle, `DiagnosticReport`, Observation, Patient, and the
//! data types; the extension `patient-animal` of the FHIR extensions pack. Codes of FHIR and of
//! HL7's own tables are used where there is one; every other code is of a system of this project,
//! `urn:crossread:…`, and means nothing elsewhere.

mod read;
mod same;
mod write;

pub use read::from_fhir;
pub use write::to_fhir;

/// The system of the codes of records.
const RECORD: &str = "urn:crossread:record";
/// The system of the codes of fields.
const FIELD: &str = "urn:crossread:field";
/// The systems of words, one a list, start so.
const WORD: &str = "urn:crossread:word:";
/// The system of animals' ids.
const ANIMAL: &str = "urn:crossread:animal";
