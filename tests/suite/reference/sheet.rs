//! A worksheet as plain structs, read from JSON once.

use std::collections::BTreeMap;

use jiff::Timestamp;
use jiff::civil::Date;
use serde_json::Value;

use super::words::{
    After, Artefact, Complement, Grade, Inspection, Method, Pattern, Phase, Product, Role, Said,
    SampleTube, Stored, Test,
};

/// Everything written down for one recipient.
#[derive(Debug, Clone)]
pub(crate) struct Sheet {
    pub(crate) method: Method,
    pub(crate) recipient: Animal,
    pub(crate) donors: Vec<Donor>,
    pub(crate) samples: Vec<Sample>,
    pub(crate) setup: Setup,
    pub(crate) positive_control: Option<PositiveControl>,
    pub(crate) negative_control: Option<NegativeControl>,
    pub(crate) readings: Vec<Reading>,
}

/// A recipient, or what a donor has in common with one.
#[derive(Debug, Clone)]
pub(crate) struct Animal {
    pub(crate) id: String,
    pub(crate) species: String,
    /// System and result, as written.
    pub(crate) types: Vec<(String, String)>,
    pub(crate) transfused: Said,
    pub(crate) last_transfused_on: Option<Date>,
    pub(crate) pregnant: Said,
    pub(crate) reaction: Said,
    pub(crate) incompatible_with: Vec<String>,
    pub(crate) decided: bool,
}

/// A donor with the blood it gave.
#[derive(Debug, Clone)]
pub(crate) struct Donor {
    pub(crate) animal: Animal,
    pub(crate) product: Product,
    pub(crate) unit: Option<Unit>,
}

/// The unit as it stands in the blood bank.
#[derive(Debug, Clone)]
pub(crate) struct Unit {
    pub(crate) expires_on: Option<Date>,
    pub(crate) inspection: Option<Inspection>,
}

/// A sample of one animal.
#[derive(Debug, Clone)]
pub(crate) struct Sample {
    pub(crate) of: String,
    pub(crate) role: Role,
    pub(crate) tube: Option<SampleTube>,
    pub(crate) drawn_at: Option<Moment>,
    pub(crate) stored: Option<Stored>,
    pub(crate) hemolysis: Option<i64>,
    pub(crate) lipemia: Option<i64>,
    pub(crate) icterus: Option<i64>,
    pub(crate) clots: bool,
    pub(crate) agglutinated: bool,
    pub(crate) label_id: Option<String>,
    pub(crate) decided: bool,
}

/// How the run was set up.
#[derive(Debug, Clone)]
pub(crate) struct Setup {
    /// In hundredths of a percent.
    pub(crate) cells_percent: Option<i64>,
    pub(crate) washes: Option<i64>,
    pub(crate) plasma_ul: Option<i64>,
    pub(crate) cells_ul: Option<i64>,
    pub(crate) incubation_min: BTreeMap<Phase, i64>,
    pub(crate) complement: Complement,
    /// When each lot expires, of those that say so.
    pub(crate) lots_expire_on: Vec<Date>,
}

/// The positive reagent control; reading none is `unreadable`.
#[derive(Debug, Clone)]
pub(crate) struct PositiveControl {
    pub(crate) expected: Grade,
    pub(crate) read: Option<Grade>,
}

/// The negative reagent control; none is `unreadable`.
#[derive(Debug, Clone)]
pub(crate) struct NegativeControl {
    pub(crate) read: Option<Grade>,
}

/// One look at one mixture.
#[derive(Debug, Clone)]
pub(crate) struct Reading {
    pub(crate) test: Test,
    /// Place in [`Sheet::donors`]; none for the tests of the recipient alone.
    pub(crate) donor: Option<usize>,
    pub(crate) phase: Phase,
    pub(crate) after: Option<After>,
    pub(crate) saline_parts: Option<i64>,
    /// None is `unreadable`.
    pub(crate) grade: Option<Grade>,
    pub(crate) hemolysis: Option<i64>,
    pub(crate) pattern: Option<Pattern>,
    pub(crate) mixed_field: bool,
    pub(crate) check_cells: Option<Grade>,
    pub(crate) seconds: Option<i64>,
    pub(crate) dried: bool,
    pub(crate) artefacts: Vec<Artefact>,
    pub(crate) at: Moment,
    pub(crate) retracted: bool,
}

/// An instant, and the date written with it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Moment {
    pub(crate) instant: Timestamp,
    pub(crate) date: Date,
}

impl Moment {
    /// Reads an RFC 3339 time. The date is the one that stands in the text, in its own offset.
    pub(crate) fn read(text: &str) -> Self {
        let date = text.get(..10).expect("a time begins with its date");
        Self { instant: text.parse().expect("an RFC 3339 time"), date: read_date(date) }
    }
}

/// A decimal number as hundredths, by way of its text so that no fraction is ever rounded.
pub(crate) fn hundredths(number: &Value) -> i64 {
    let text = number.to_string();
    let (whole, fraction) = text.split_once('.').unwrap_or((&text, ""));
    let fraction = fraction.trim_end_matches('0');
    assert!(fraction.len() <= 2, "`{text}` has more than two decimal places");
    format!("{whole}{fraction:0<2}").parse().expect("a decimal number")
}

fn read_date(text: &str) -> Date {
    text.parse().expect("a date written YYYY-MM-DD")
}

fn text<'a>(of: &'a Value, key: &str) -> Option<&'a str> {
    of.get(key).map(|value| value.as_str().expect("a text"))
}

fn whole(of: &Value, key: &str) -> Option<i64> {
    of.get(key).map(|value| value.as_i64().expect("a whole number"))
}

fn flag(of: &Value, key: &str) -> bool {
    of.get(key).is_some_and(|value| value.as_bool().expect("true or false"))
}

fn date(of: &Value, key: &str) -> Option<Date> {
    text(of, key).map(read_date)
}

fn list<'a>(of: &'a Value, key: &str) -> &'a [Value] {
    of.get(key).map_or(&[], |value| value.as_array().expect("a list"))
}

fn needed<'a>(of: &'a Value, key: &str) -> &'a str {
    text(of, key).unwrap_or_else(|| panic!("`{key}` is required"))
}

impl Sheet {
    /// Reads a well-formed worksheet.
    pub(crate) fn from_json(json: &Value) -> Self {
        let donors: Vec<Donor> = list(json, "donors").iter().map(Donor::from_json).collect();
        let place_of = |id: &str| donors.iter().position(|donor| donor.animal.id == id);
        let readings = list(json, "readings")
            .iter()
            .map(|reading| {
                let donor = text(reading, "donor").map(|id| place_of(id).expect("a known donor"));
                Reading::from_json(reading, donor)
            })
            .collect();
        let controls = json.get("reagent_controls").unwrap_or(&Value::Null);
        Self {
            method: Method::read(needed(json, "method")),
            recipient: Animal::from_json(&json["recipient"]),
            samples: list(json, "samples").iter().map(Sample::from_json).collect(),
            setup: Setup::from_json(json.get("setup").unwrap_or(&Value::Null)),
            positive_control: controls.get("positive").map(|positive| PositiveControl {
                expected: Grade::read(needed(positive, "expected")).expect("a grade"),
                read: Grade::read(needed(positive, "read")),
            }),
            negative_control: controls
                .get("negative")
                .map(|negative| NegativeControl { read: Grade::read(needed(negative, "read")) }),
            readings,
            donors,
        }
    }
}

impl Animal {
    fn from_json(json: &Value) -> Self {
        let history = json.get("history").unwrap_or(&Value::Null);
        let said = |key| text(history, key).map_or(Said::Unknown, Said::read);
        Self {
            id: needed(json, "id").to_owned(),
            species: needed(json, "species").to_owned(),
            types: list(json, "types")
                .iter()
                .map(|one| (needed(one, "system").to_owned(), needed(one, "result").to_owned()))
                .collect(),
            transfused: said("transfused"),
            last_transfused_on: date(history, "last_transfused_on"),
            pregnant: said("pregnant"),
            reaction: said("reaction"),
            incompatible_with: list(history, "incompatible_with")
                .iter()
                .map(|id| id.as_str().expect("an id").to_owned())
                .collect(),
            decided: json.get("decision").is_some(),
        }
    }

    /// The results written for one blood group system.
    pub(crate) fn results<'a>(&'a self, system: &'a str) -> impl Iterator<Item = &'a str> {
        self.types.iter().filter(move |one| one.0 == system).map(|one| one.1.as_str())
    }
}

impl Donor {
    fn from_json(json: &Value) -> Self {
        Self {
            animal: Animal::from_json(json),
            product: Product::read(needed(json, "product")),
            unit: json.get("unit").map(|unit| Unit {
                expires_on: date(unit, "expires_on"),
                inspection: text(unit, "inspection").map(Inspection::read),
            }),
        }
    }
}

impl Sample {
    fn from_json(json: &Value) -> Self {
        Self {
            of: needed(json, "of").to_owned(),
            role: Role::read(needed(json, "role")),
            tube: text(json, "tube").map(SampleTube::read),
            drawn_at: text(json, "drawn_at").map(Moment::read),
            stored: text(json, "stored").map(Stored::read),
            hemolysis: whole(json, "hemolysis"),
            lipemia: whole(json, "lipemia"),
            icterus: whole(json, "icterus"),
            clots: flag(json, "clots"),
            agglutinated: flag(json, "agglutinated"),
            label_id: text(json, "label_id").map(ToOwned::to_owned),
            decided: json.get("decision").is_some(),
        }
    }

    /// Whether plasma or serum was taken from it.
    pub(crate) fn is_plasma(&self) -> bool {
        [Role::Plasma, Role::Both].contains(&self.role)
    }
}

impl Setup {
    fn from_json(json: &Value) -> Self {
        let incubation = json.get("incubation_min").and_then(Value::as_object);
        Self {
            cells_percent: json.get("cells_percent").map(hundredths),
            washes: whole(json, "washes"),
            plasma_ul: whole(json, "plasma_ul"),
            cells_ul: whole(json, "cells_ul"),
            incubation_min: incubation
                .into_iter()
                .flatten()
                .map(|(phase, minutes)| {
                    (Phase::read(phase), minutes.as_i64().expect("whole minutes"))
                })
                .collect(),
            complement: text(json, "complement").map_or(Complement::None, Complement::read),
            lots_expire_on: list(json, "lots")
                .iter()
                .filter_map(|lot| date(lot, "expires_on"))
                .collect(),
        }
    }
}

impl Reading {
    fn from_json(json: &Value, donor: Option<usize>) -> Self {
        Self {
            test: Test::read(needed(json, "test")),
            donor,
            phase: Phase::read(needed(json, "phase")),
            after: text(json, "after").map(After::read),
            saline_parts: whole(json, "saline_parts"),
            grade: Grade::read(needed(json, "agglutination")),
            hemolysis: whole(json, "hemolysis"),
            pattern: text(json, "pattern").map(Pattern::read),
            mixed_field: flag(json, "mixed_field"),
            check_cells: text(json, "check_cells").and_then(Grade::read),
            seconds: whole(json, "seconds"),
            dried: flag(json, "dried"),
            artefacts: list(json, "artefacts")
                .iter()
                .map(|word| Artefact::read(word.as_str().expect("a word")))
                .collect(),
            at: Moment::read(needed(json, "at")),
            retracted: json.get("retracted").is_some(),
        }
    }

    /// Whether one of the artefacts in the list befell this reading.
    pub(crate) fn has_any(&self, kind: &[Artefact]) -> bool {
        self.artefacts.iter().any(|artefact| kind.contains(artefact))
    }
}

#[cfg(test)]
mod tests {
    use super::{Moment, hundredths};
    use serde_json::{Value, json};

    #[test]
    fn numbers_become_hundredths_without_rounding() {
        let cases: &[(Value, i64)] = &[
            (json!(4), 400),
            (json!(4.0), 400),
            (json!(0.5), 50),
            (json!(0.01), 1),
            (json!(2.35), 235),
            (json!(99.99), 9999),
            (json!(100.0), 10000),
        ];
        for (number, expected) in cases {
            assert_eq!(hundredths(number), *expected, "{number}");
        }
    }

    #[test]
    fn a_date_is_the_written_one_and_an_instant_is_not() {
        let east = Moment::read("2026-03-02T00:10:00+01:00");
        let utc = Moment::read("2026-03-01T23:10:00Z");
        assert_eq!(east.instant, utc.instant);
        assert_eq!(east.date, utc.date.tomorrow().unwrap());
    }
}
