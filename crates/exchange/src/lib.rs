#![doc = include_str!("../README.md")]
#![forbid(unsafe_code)]

mod fhir;
mod hl7;
mod json;
mod message;
mod record;
mod wrong;

pub use fhir::{from_fhir, to_fhir};
pub use hl7::{from_hl7, to_hl7};
pub use message::{FORMAT, Message};
pub use wrong::{CannotConvert, Wrong};
