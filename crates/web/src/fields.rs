//! The fields of what is filled in: where each stands in a document, its label, its kind.

use crossread_core::words::{
    Answer, Anticoagulant, Complement, Condition, Grade, Inspection, Product, SampleRole, Species,
    Storage, System, TypeResult,
};

/// One field of a form.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Field {
    /// Where its value stands in the document, as keys and places with `/` between.
    pub(crate) at: &'static str,
    pub(crate) label: &'static str,
    pub(crate) hint: &'static str,
    pub(crate) kind: Kind,
}

/// What is filled in.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Kind {
    Text,
    Number,
    Date,
    /// A date and a clock time of this place.
    Moment,
    /// One of these words.
    OneOf(&'static [&'static str]),
    /// A number of these.
    OneNumber(&'static [&'static str]),
    YesNo,
    /// A grade, or that none can be given.
    Look,
    /// Ids with commas between.
    Ids,
    /// Any of these words.
    AnyOf(&'static [&'static str]),
}

impl Field {
    /// A field without a hint.
    pub(crate) const fn new(at: &'static str, label: &'static str, kind: Kind) -> Self {
        field(at, label, kind)
    }
}

const fn field(at: &'static str, label: &'static str, kind: Kind) -> Field {
    Field { at, label, hint: "", kind }
}

const fn hinted(at: &'static str, label: &'static str, kind: Kind, hint: &'static str) -> Field {
    Field { at, label, hint, kind }
}

/// The spellings of a list of words.
macro_rules! words {
    ($of:ty) => {
        <$of as strum::VariantNames>::VARIANTS
    };
}

const ANSWERS: &[&str] = words!(Answer);
const SPECIES: &[&str] = words!(Species);
const SYSTEMS: &[&str] = words!(System);
const RESULTS: &[&str] = words!(TypeResult);
const TO_FOUR: &[&str] = &["0", "1", "2", "3", "4"];
const TO_THREE: &[&str] = &["0", "1", "2", "3"];

/// The recipient, and what happened to it before.
pub(crate) const RECIPIENT: &[Field] = &[
    hinted("id", "Number", Kind::Text, "its own number in this hospital, with a digit in it"),
    field("name", "Name", Kind::Text),
    field("species", "Species", Kind::OneOf(SPECIES)),
    field("breed", "Breed", Kind::Text),
    hinted("weight_kg", "Weight, kg", Kind::Number, "at most two decimals, such as 23.5"),
    field("types/0/system", "Blood type: system", Kind::OneOf(SYSTEMS)),
    field("types/0/result", "Blood type: result", Kind::OneOf(RESULTS)),
    field("types/0/on", "Typed on", Kind::Date),
    field("types/1/system", "Second type: system", Kind::OneOf(SYSTEMS)),
    field("types/1/result", "Second type: result", Kind::OneOf(RESULTS)),
    field("types/1/on", "Second typed on", Kind::Date),
];

/// The questions that are asked of every recipient. No answer means unknown.
pub(crate) const HISTORY: &[Field] = &[
    hinted("history/transfused", "Ever transfused?", Kind::OneOf(ANSWERS), "also elsewhere"),
    field("history/last_transfused_on", "Last transfused on", Kind::Date),
    field("history/pregnant", "Ever pregnant?", Kind::OneOf(ANSWERS)),
    field("history/reaction", "Ever a transfusion reaction?", Kind::OneOf(ANSWERS)),
    hinted(
        "history/incompatible_with",
        "Incompatible with (donors)",
        Kind::Ids,
        "numbers, with commas between; what the journal knows is added by itself",
    ),
    field("conditions", "Known of its illness", Kind::AnyOf(words!(Condition))),
];

/// A possible donor.
pub(crate) const DONOR: &[Field] = &[
    hinted("id", "Donor number", Kind::Text, "its own number, with a digit in it"),
    field("name", "Name", Kind::Text),
    field("species", "Species", Kind::OneOf(SPECIES)),
    field("breed", "Breed", Kind::Text),
    field("product", "What would be given", Kind::OneOf(words!(Product))),
    hinted("unit/number", "Unit number", Kind::Text, "as it stands on the bag"),
    field("unit/expires_on", "Unit expires on", Kind::Date),
    hinted("unit/inspection", "Unit looks", Kind::OneOf(words!(Inspection)), "look at it now"),
    field("types/0/system", "Blood type: system", Kind::OneOf(SYSTEMS)),
    field("types/0/result", "Blood type: result", Kind::OneOf(RESULTS)),
    field("types/0/on", "Typed on", Kind::Date),
    field("types/1/system", "Second type: system", Kind::OneOf(SYSTEMS)),
    field("types/1/result", "Second type: result", Kind::OneOf(RESULTS)),
    field("types/1/on", "Second typed on", Kind::Date),
    field("history/transfused", "Ever transfused?", Kind::OneOf(ANSWERS)),
    field("history/last_transfused_on", "Last transfused on", Kind::Date),
    field("history/pregnant", "Ever pregnant?", Kind::OneOf(ANSWERS)),
    field("history/reaction", "Ever a transfusion reaction?", Kind::OneOf(ANSWERS)),
];

/// A sample.
pub(crate) const SAMPLE: &[Field] = &[
    field("id", "Sample", Kind::Text),
    field("of", "Of which animal", Kind::Text),
    hinted("label_id", "Number on the label", Kind::Text, "read it off the tube, do not copy it"),
    field("role", "Used for", Kind::OneOf(words!(SampleRole))),
    field("tube", "Tube", Kind::OneOf(words!(Anticoagulant))),
    field("drawn_at", "Drawn at", Kind::Moment),
    field("stored", "Kept in", Kind::OneOf(words!(Storage))),
    hinted("hemolysis", "Plasma red, 0 to 4", Kind::OneNumber(TO_FOUR), "hemolysis"),
    hinted("lipemia", "Plasma milky, 0 to 3", Kind::OneNumber(TO_THREE), "lipemia"),
    hinted("icterus", "Plasma yellow, 0 to 3", Kind::OneNumber(TO_THREE), "icterus"),
    field("clots", "Clots?", Kind::YesNo),
    hinted("agglutinated", "Cells clump in the tube?", Kind::YesNo, "before anything is mixed"),
];

/// How the mixtures are made.
pub(crate) const SETUP: &[Field] = &[
    hinted("cells_percent", "Red cells in the suspension, %", Kind::Number, "such as 4"),
    field("washes", "Times washed", Kind::Number),
    field("plasma_ul", "Plasma in one mixture, µL", Kind::Number),
    field("cells_ul", "Suspension in one mixture, µL", Kind::Number),
    hinted(
        "incubation_min/room",
        "Incubation at room temperature, min",
        Kind::Number,
        "filled in by the clocks of the reading page",
    ),
    field("incubation_min/warm_37c", "Incubation at 37 °C, min", Kind::Number),
    field("incubation_min/antiglobulin", "Incubation before antiglobulin, min", Kind::Number),
    field("incubation_min/cold_4c", "Incubation at 4 °C, min", Kind::Number),
    field("complement", "Complement", Kind::OneOf(words!(Complement))),
    hinted("lots/0/what", "Lot: of what", Kind::Text, "such as saline"),
    field("lots/0/number", "Lot: number", Kind::Text),
    field("lots/0/expires_on", "Lot: expires on", Kind::Date),
    field("lots/1/what", "Second lot: of what", Kind::Text),
    field("lots/1/number", "Second lot: number", Kind::Text),
    field("lots/1/expires_on", "Second lot: expires on", Kind::Date),
    field("lots/2/what", "Third lot: of what", Kind::Text),
    field("lots/2/number", "Third lot: number", Kind::Text),
    field("lots/2/expires_on", "Third lot: expires on", Kind::Date),
];

/// The reagents' own controls.
pub(crate) const CONTROLS: &[Field] = &[
    field("positive/expected", "Positive control: expected", Kind::OneOf(words!(Grade))),
    field("positive/read", "Positive control: read", Kind::Look),
    field("negative/read", "Negative control: read", Kind::Look),
];

/// What is measured and seen of an animal while a unit runs.
pub(crate) const OBSERVATION: &[Field] = &[
    hinted("temperature_c", "Temperature, °C", Kind::Number, "such as 38.4"),
    field("heart", "Heart beats a minute", Kind::Number),
    field("breaths", "Breaths a minute", Kind::Number),
    field("pcv", "PCV, %", Kind::Number),
    field("ml", "Run in so far, mL", Kind::Number),
    field("text", "Gums, behavior, anything else", Kind::Text),
    field("signs", "Signs", Kind::AnyOf(words!(crossread_core::care::Sign))),
];

/// A reading that was wrong, as it should stand.
pub(crate) const READING: &[Field] = &[
    field("agglutination", "Grade", Kind::Look),
    field("hemolysis", "Hemolysis, 0 to 4", Kind::OneNumber(TO_FOUR)),
    field("pattern", "Pattern", Kind::OneOf(words!(crossread_core::words::Pattern))),
    field("mixed_field", "Mixed field", Kind::YesNo),
    field("saline_parts", "Parts of saline to 1 part", Kind::Number),
    field("check_cells", "Check cells", Kind::OneOf(words!(Grade))),
    field("dried", "Edge dried?", Kind::YesNo),
    field("artefacts", "What spoils it", Kind::AnyOf(words!(crossread_core::words::Artefact))),
];

/// The label of the field at a place of a document, or the place itself.
pub(crate) fn label_of(pointer: &str) -> String {
    let at = pointer.trim_start_matches('/');
    let all = [RECIPIENT, HISTORY, DONOR, SAMPLE, SETUP, CONTROLS, READING, OBSERVATION];
    let exact = all.iter().copied().flatten().find(|field| field.at == at);
    let within =
        || all.iter().copied().flatten().find(|field| at.ends_with(&format!("/{}", field.at)));
    match exact.or_else(within) {
        Some(field) => field.label.to_owned(),
        None if at.is_empty() => "The whole".to_owned(),
        None => at.replace(['/', '_'], " "),
    }
}

/// A word of a document as people read it.
pub(crate) fn spoken(word: &str) -> String {
    if let Ok(sign) = word.parse::<crossread_core::care::Sign>() {
        return sign.spoken().to_owned();
    }
    match word {
        "warm_37c" => "37 °C".to_owned(),
        "cold_4c" => "4 °C".to_owned(),
        "edta" => "EDTA".to_owned(),
        "cpda" => "CPDA".to_owned(),
        other => other.replace('_', " "),
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::{
        CONTROLS, DONOR, Field, HISTORY, OBSERVATION, READING, RECIPIENT, SAMPLE, SETUP, label_of,
    };

    #[test]
    fn no_form_has_a_place_twice() {
        for form in [RECIPIENT, HISTORY, DONOR, SAMPLE, SETUP, CONTROLS, READING, OBSERVATION] {
            let places: BTreeSet<_> = form.iter().map(|field: &Field| field.at).collect();
            assert_eq!(places.len(), form.len());
        }
    }

    #[test]
    fn a_fault_names_the_field_by_its_label() {
        assert_eq!(label_of("/unit/expires_on"), "Unit expires on");
        assert_eq!(label_of("/recipient/weight_kg"), "Weight, kg");
        assert_eq!(label_of(""), "The whole");
        assert_eq!(label_of("/not/known_here"), "not known here");
    }
}
