//! Reading FHIR back.

use std::collections::BTreeMap;

use serde_json::{Map, Value};

use super::same::{compare, only_of_a_server, resources};
use super::{FIELD, WORD, write};
use crate::json;
use crate::message::Message;
use crate::record::{Field, Form, Kind, Record, Scalar};
use crate::wrong::{CannotConvert, Wrongs};

/// Reads back a Bundle that [`to_fhir`](super::to_fhir) wrote, also one whose entries a server has
/// put into another order, given other addresses, or added `id`, `language` and `meta` to, with
/// no more in `meta` than `versionId`, `lastUpdated` and `source`. A tag or a security label may say
/// that a message is a test, and a narrative text may say something else than the codes: with
/// these it is refused.
///
/// ```standalone_crate
/// # use crossread_core::{document::Time, interpretation::Issued};
/// # use crossread_exchange::{Message, from_fhir, to_fhir};
/// # let worksheet = include_bytes!("../../../../examples/clean-run/worksheet.json");
/// # let answer = include_bytes!("../../../../examples/clean-run/interpretation.json");
/// # let message = Message::new(worksheet, Issued::from_json(answer)?)?;
/// # let at = Time::new("2026-03-13T21:30:00+01:00").ok_or("no time")?;
/// let bundle = to_fhir(&message, at)?.to_string();
/// assert_eq!(from_fhir(bundle.as_bytes())?, message);
/// // A verdict that was changed on the way.
/// let changed = bundle.replacen("compatible", "incomplete", 1);
/// assert!(from_fhir(changed.as_bytes()).is_err());
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Everything at once that is missing, unknown, contradicts something else, or is not just as it
/// would be written: nothing is guessed, and nothing is passed over.
pub fn from_fhir(document: &[u8]) -> Result<Message, CannotConvert> {
    read(&json::read(document)?)
}

/// Reads back a Bundle.
pub(super) fn read(bundle: &Value) -> Result<Message, CannotConvert> {
    let mut wrongs = Wrongs::default();
    let format = bundle.get("format").and_then(Value::as_str).unwrap_or_default();
    if format.starts_with("crossread.") {
        let found = format!("a document of the format `{format}`, which is written as a message");
        wrongs.add("", "a message, a FHIR Bundle", found);
        return wrongs.or(None);
    }
    let of_bundle = ["resourceType", "type", "timestamp", "entry", "id", "meta", "language"];
    for key in bundle.as_object().into_iter().flat_map(Map::keys) {
        if !of_bundle.contains(&key.as_str()) {
            wrongs.add(format!("/{key}"), "nothing", "a value");
        }
    }
    for (field, wanted) in [("resourceType", "Bundle"), ("type", "collection")] {
        let found = bundle.get(field).and_then(Value::as_str).unwrap_or("nothing");
        if found != wanted {
            wrongs.add(format!("/{field}"), format!("`{wanted}`"), format!("`{found}`"));
        }
    }
    only_of_a_server(bundle, "", &mut wrongs);
    let found = resources(bundle, &mut wrongs);
    let records = records(&found, &mut wrongs);
    let message = Message::of(records, wrongs)?;
    // What was read must be what would be written, in every element.
    let mut wrongs = Wrongs::default();
    let at = bundle.get("timestamp").and_then(Value::as_str).unwrap_or_default();
    if crossread_core::document::Time::new(at).is_none() {
        wrongs.add("/timestamp", "a time with an offset", format!("`{at}`"));
    }
    let wanted = resources(&write::bundle(&message, at, &mut wrongs), &mut wrongs);
    for (name, resource) in &wanted {
        match found.get(name) {
            Some(found) => compare(name, resource, found, &mut wrongs),
            None => wrongs.add(name, "a resource", "nothing"),
        }
    }
    for name in found.keys().filter(|name| !wanted.contains_key(*name)) {
        wrongs.add(name, "nothing", "a resource");
    }
    wrongs.or(Some(message))
}

/// The observations as records.
fn records(resources: &BTreeMap<String, Value>, wrongs: &mut Wrongs) -> Vec<Record> {
    let observations = || {
        resources
            .iter()
            .filter(|(_, of)| of.get("resourceType").and_then(Value::as_str) == Some("Observation"))
    };
    let mut records: Vec<(Option<String>, Record)> = Vec::new();
    for (name, resource) in observations() {
        let focus = resource.pointer("/focus/0/reference").and_then(Value::as_str);
        let focus = focus.map(str::to_owned);
        records.extend(record(name, resource, wrongs).map(|record| (focus, record)));
    }
    // Which donor is which answer.
    let mut answers = BTreeMap::new();
    for (_, answer) in records.iter().filter(|(_, record)| record.kind == Kind::Answer) {
        if let Some(donor) = answer.text("donor.id") {
            answers.insert(format!("animal/{donor}"), answer.number);
        }
    }
    records
        .into_iter()
        .map(|(focus, mut record)| {
            if let Some(focus) = focus {
                record.answer = answers.get(&focus).copied();
                if record.answer.is_none() {
                    wrongs.add(format!("{}/focus", record.name()), "a donor", focus);
                }
            }
            record
        })
        .collect()
}

fn record(name: &str, resource: &Value, wrongs: &mut Wrongs) -> Option<Record> {
    let Some((kind, number)) = Kind::named(name) else {
        wrongs.add(name, "the name of a record, such as `answer/0`", format!("`{name}`"));
        return None;
    };
    let mut values = Vec::new();
    if let Some(field) = kind.main().and_then(|main| kind.field(main)) {
        values.extend(value(name, field, resource, wrongs).map(|scalar| (field, scalar)));
    }
    let components = resource.get("component").and_then(Value::as_array);
    for (index, component) in components.into_iter().flatten().enumerate() {
        let place = format!("{name}/component/{index}");
        let code = component.get("code").and_then(|code| coded(code, FIELD));
        let field = code.and_then(|code| kind.field(code));
        let Some(field) = field.filter(|field| Some(field.path) != kind.main()) else {
            let found = code.map_or_else(|| "none".to_owned(), |code| format!("`{code}`"));
            wrongs.add(format!("{place}/code"), format!("a code of {FIELD}"), found);
            continue;
        };
        values.extend(value(&place, field, component, wrongs).map(|scalar| (field, scalar)));
    }
    Some(Record { kind, number, answer: None, values })
}

/// The code of a concept that has one coding only, of this system.
fn coded<'v>(concept: &'v Value, system: &str) -> Option<&'v str> {
    let [coding] = concept.get("coding")?.as_array()?.as_slice() else { return None };
    let is = coding.get("system")?.as_str()? == system;
    coding.get("code")?.as_str().filter(|_| is)
}

fn value(place: &str, field: &Field, of: &Value, wrongs: &mut Wrongs) -> Option<Scalar> {
    let text = |key: &str| of.get(key)?.as_str().map(|text| Scalar::Text(text.to_owned()));
    let (key, found) = match field.form {
        Form::Word(list) => {
            let key = "valueCodeableConcept";
            let system = format!("{WORD}{list}");
            let code = of.get(key).and_then(|concept| coded(concept, &system));
            (key, code.map(|code| Scalar::Text(code.to_owned())))
        }
        Form::Words | Form::Text => ("valueString", text("valueString")),
        Form::Time | Form::Date => ("valueDateTime", text("valueDateTime")),
        Form::Whole => {
            let number = of.get("valueInteger").and_then(Value::as_u64);
            ("valueInteger", number.map(Scalar::Whole))
        }
        Form::Bool => {
            let value = of.get("valueBoolean").and_then(Value::as_bool);
            ("valueBoolean", value.map(Scalar::Bool))
        }
    };
    if found.is_none() {
        let kind = match field.form {
            Form::Word(list) => format!("one code of {WORD}{list}"),
            Form::Words | Form::Text => "a text".to_owned(),
            Form::Time => "a time".to_owned(),
            Form::Date => "a day".to_owned(),
            Form::Whole => "a whole number".to_owned(),
            Form::Bool => "true or false".to_owned(),
        };
        let there = of.get(key).map_or_else(|| "nothing".to_owned(), Value::to_string);
        wrongs.add(format!("{place}/{key}"), kind, there);
    }
    found
}
