//! The worked cases and schemas that ship, made by `cargo regenerate`.

use super::cases::Case;

macro_rules! cases {
    ($($name:literal)*) => {
        &[$(Case {
            name: $name,
            worksheet: include_str!(concat!("../../../../../examples/", $name, "/worksheet.json")),
            interpretation: include_str!(concat!(
                "../../../../../examples/", $name, "/interpretation.json"
            )),
        },)*]
    };
}

macro_rules! schemas {
    ($($name:literal)*) => {
        &[$(($name, include_str!(concat!("../../../../../schemas/", $name, ".json"))),)*]
    };
}

/// The worked cases.
pub(super) const CASES: &[Case] = cases! {
    "cat-type-mismatch"
    "cat-type-second-choice"
    "check-cells-failed"
    "clean-run"
    "cold-only-reaction"
    "dispersal-implausible"
    "dog-dea1-mismatch"
    "donor-cells-at-fault"
    "earlier-incompatible-donor"
    "emergency-plasma"
    "every-donor-reactive"
    "every-donor-with-autocontrol"
    "hemolysis-masked"
    "hemolysis-only"
    "horse-without-lysis-test"
    "incomplete-night-shift"
    "label-mismatch"
    "loose-technique"
    "major-1-plus"
    "major-2-plus"
    "major-4-plus"
    "minor-reactive-packed-cells"
    "minor-reactive-whole-blood"
    "mixed-field-autocontrol"
    "positive-control-failed"
    "reactive-autocontrol"
    "recipient-cells-at-fault"
    "retracted-reading"
    "rouleaux-dispersed"
    "rouleaux-in-control-only"
    "saline-controls-reactive"
    "sample-before-transfusion"
    "slide-late-and-dried"
    "slide-saline-dilution"
    "three-donors-compared"
    "two-readers-disagree"
    "type-discrepant"
    "unit-expired-or-unfit"
    "unreadable-gel"
    "weak-micro-reaction"
};

/// The published schemas.
pub(super) const SCHEMAS: &[(&str, &str)] = schemas! {
    "fault"
    "interpretation"
    "protocol"
    "worksheet"
    "journal"
};
