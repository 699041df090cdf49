//! The names and words that sequences are made of.

use crossread_core::document::{Id, Text, Time};
use crossread_core::words::Method;
use crossread_core::worksheet::draft;
use crossread_journal::{DonorAdded, Known, Opening, ReadingEntered, SampleAdded};

use crate::bench::reading_of;

/// Every worksheet that a sequence can open.
pub(super) const WORKSHEETS: [&str; 4] = ["WS-1", "WS-2", "WS-3", "WS-4"];
/// Few animals, so that they meet again; one of them is both recipient and donor.
pub(super) const RECIPIENTS: [&str; 3] = ["R-3107", "R-3113", "A-0001"];
pub(super) const DONORS: [&str; 3] = ["D-091", "D-072", "A-0001"];
pub(super) const UNITS: [&str; 3] = ["U-5512", "U-5522", "U-5533"];
pub(super) const READERS: [&str; 3] = ["KT", "LM", "k. t."];
pub(super) const HISTORIES: [&str; 5] = [
    r#"{ "transfused": "never", "pregnant": "never", "reaction": "never" }"#,
    r#"{ "transfused": "yes", "last_transfused_on": "2026-02-26", "reaction": "never" }"#,
    r#"{ "transfused": "yes", "pregnant": "unknown" }"#,
    r#"{ "transfused": "unknown", "pregnant": "never", "reaction": "unknown" }"#,
    r#"{ "transfused": "never", "pregnant": "never", "reaction": "never",
         "incompatible_with": ["D-072"] }"#,
];
pub(super) const TYPES: [&str; 3] = ["negative", "positive", "weak"];
pub(super) const LOOKS: [&str; 6] = ["0 0", "0 -", "w 0", "1+ 0", "3+ 0", "0 2"];
pub(super) const MIXTURES: [&str; 7] = [
    "recipient_auto - warm_37c",
    "recipient_saline - warm_37c",
    "major D warm_37c",
    "minor D warm_37c",
    "donor_auto D warm_37c",
    "major D room",
    "major D antiglobulin",
];

/// One of a list, by any number.
pub(super) fn one<'l>(of: &[&'l str], number: u8) -> &'l str {
    of[usize::from(number) % of.len()]
}

/// One of a list, by all but the greatest numbers; those choose something that may not be there.
pub(super) fn mostly<T: Clone>(of: &[T], number: u8) -> Option<T> {
    let place = usize::from(number).checked_rem(of.len())?;
    of.get(place).filter(|_| number < 232).cloned()
}

pub(super) fn at(minute: i32) -> Time {
    let minutes = jiff::SignedDuration::from_mins(i64::from(minute));
    let base: jiff::Timestamp = "2026-02-28T23:00:00Z".parse().unwrap();
    let then = base.checked_add(minutes).unwrap();
    Time::new(&then.display_with_offset(jiff::tz::offset(1)).to_string()).unwrap()
}

pub(super) fn text(of: &str) -> Text {
    Text::from(of)
}

pub(super) fn end(of: &str) -> String {
    of.get(of.len() - 4..).unwrap().to_owned()
}

pub(super) fn reading(mixture: u8, donor: &Id, look: u8) -> ReadingEntered {
    let mixture = one(&MIXTURES, mixture).replace('D', donor.as_str());
    ReadingEntered {
        reading: reading_of(&format!("{mixture} {}", one(&LOOKS, look))),
        transcribed: false,
    }
}

pub(super) fn recipient_told(recipient: u8, history: u8, typed: u8) -> draft::Recipient {
    let recipient = format!(
        r#"{{ "id": "{}", "name": "Juniper", "species": "dog", "history": {},
             "types": [ {{ "system": "DEA 1", "result": "{}" }} ] }}"#,
        one(&RECIPIENTS, recipient),
        one(&HISTORIES, history),
        one(&TYPES, typed)
    );
    draft::Recipient::from_json(recipient.as_bytes()).unwrap()
}

pub(super) fn opening(worksheet: &Id, recipient: draft::Recipient) -> Opening {
    let protocol = r#"{ "id": "dog-routine", "version": "1.0.0" }"#;
    Opening {
        worksheet: worksheet.clone(),
        protocol: serde_json::from_str(protocol).unwrap(),
        method: Method::Tube,
        recipient,
        request: None,
        acknowledged: Vec::new(),
        second_reader: false,
        overridden: None,
    }
}

pub(super) fn sample(of: &str, label: &str, drawn: Time, hemolysis: u8) -> SampleAdded {
    let sample = format!(
        r#"{{ "id": "S-{of}", "of": "{of}", "role": "both", "tube": "serum",
             "stored": "fridge", "drawn_at": "{drawn}", "hemolysis": {hemolysis},
             "lipemia": 0, "icterus": 0, "clots": false, "agglutinated": false,
             "label_id": "{label}" }}"#
    );
    let sample = draft::Sample::from_json(sample.as_bytes()).unwrap();
    SampleAdded { sample, overridden: None }
}

pub(super) fn donor_told(
    donor: &str,
    unit: u8,
    typed: u8,
    expired: bool,
    inspection: u8,
) -> DonorAdded {
    let day = if expired { "2026-02-27" } else { "2026-03-20" };
    let seen = ["normal", "normal", "normal", "normal", "not_inspected", "clotted"];
    let donor = format!(
        r#"{{ "id": "{donor}", "species": "dog", "product": "packed_cells",
             "types": [ {{ "system": "DEA 1", "result": "{}" }} ],
             "unit": {{ "number": "{}", "expires_on": "{day}", "inspection": "{}" }} }}"#,
        one(&TYPES, typed),
        one(&UNITS, unit),
        one(&seen, inspection)
    );
    let donor = draft::Donor::from_json(donor.as_bytes()).unwrap();
    DonorAdded { donor, known: Known::default(), overridden: None }
}
