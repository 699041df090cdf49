//! Forms: drawn from their fields, read back into the document that the core checks.

use crossread_core::document::Time;
use crossread_core::words::{Agglutination, Grade};
use jiff::civil::DateTime;
use jiff::tz::{AmbiguousOffset, TimeZone};
use maud::{Markup, html};
use serde_json::{Map, Number, Value};

use crate::ask::Fields;
use crate::fields::{Field, Kind, spoken};

/// The fields of a form, with what was filled in.
pub(crate) fn draw(fields: &[Field], filled: &Fields) -> Markup {
    html! { div.fields { @for field in fields { (one(field, filled)) } } }
}

fn one(field: &Field, filled: &Fields) -> Markup {
    let id = format!("f-{}", field.at.replace('/', "-"));
    let hint = format!("{id}-hint");
    let described = (!field.hint.is_empty()).then_some(hint.as_str());
    let value = filled.get(field.at);
    let input = |kind: &str, mode: &str| {
        html! {
            input id=(id) name=(field.at) type=(kind) value=(value) aria-describedby=[described]
                inputmode=[(!mode.is_empty()).then_some(mode)] autocomplete="off" spellcheck="false";
        }
    };
    let choose = |words: &[&str]| {
        html! {
            select id=(id) name=(field.at) aria-describedby=[described] {
                option value="" { "-" }
                @for word in words {
                    option value=(word) selected[*word == value] { (spoken(word)) }
                }
            }
        }
    };
    html! {
        div.field {
            @if let Kind::AnyOf(words) = field.kind {
                fieldset {
                    legend { (field.label) }
                    @for word in words {
                        label.check {
                            input type="checkbox" name=(field.at) value=(word)
                                checked[filled.all(field.at).any(|on| on == *word)];
                            (spoken(word))
                        }
                    }
                }
            } @else {
                label for=(id) { (field.label) }
                @match field.kind {
                    Kind::Text | Kind::Ids => (input("text", "")),
                    Kind::Number => (input("text", "decimal")),
                    Kind::Date => (input("date", "")),
                    Kind::Moment => (input("datetime-local", "")),
                    Kind::OneOf(words) | Kind::OneNumber(words) | Kind::AnyOf(words) => (choose(words)),
                    Kind::YesNo => (choose(&["yes", "no"])),
                    Kind::Look => (choose(&looks())),
                }
            }
            @if !field.hint.is_empty() { small id=(hint) { (field.hint) } }
        }
    }
}

/// Every grade, and the word for none.
fn looks() -> Vec<&'static str> {
    let grades = Grade::ALL.iter().map(|grade| grade.word());
    grades.chain([Agglutination::UNREADABLE]).collect()
}

/// What was filled in, as a document. A value that is none of its kind stays as it was written, so
/// that the core names it as a fault.
pub(crate) fn document(fields: &[Field], filled: &Fields) -> Value {
    let mut document = Value::Object(Map::new());
    for field in fields {
        let value = match field.kind {
            Kind::AnyOf(_) => list(filled.all(field.at)),
            Kind::Ids => list(filled.get(field.at).split(',').map(str::trim)),
            kind => single(kind, filled.get(field.at)),
        };
        if let Some(value) = value {
            put(&mut document, field.at, value);
        }
    }
    close_up(&mut document);
    document
}

/// Closes up the places of lists that were left out.
fn close_up(value: &mut Value) {
    match value {
        Value::Array(list) => {
            list.retain(|value| !value.is_null());
            list.iter_mut().for_each(close_up);
        }
        Value::Object(object) => object.values_mut().for_each(close_up),
        _ => {}
    }
}

fn list<'v>(values: impl Iterator<Item = &'v str>) -> Option<Value> {
    let values: Vec<Value> = values
        .filter(|value| !value.is_empty())
        .map(|value| Value::from(value.to_owned()))
        .collect();
    (!values.is_empty()).then_some(Value::Array(values))
}

fn single(kind: Kind, text: &str) -> Option<Value> {
    if text.is_empty() {
        return None;
    }
    let number = || text.parse::<Number>().ok().map(Value::Number);
    let as_written = || Value::from(text.to_owned());
    Some(match kind {
        Kind::Number | Kind::OneNumber(_) => number().unwrap_or_else(as_written),
        Kind::YesNo if text == "yes" => Value::Bool(true),
        Kind::YesNo if text == "no" => Value::Bool(false),
        Kind::Moment => moment(text).map_or_else(as_written, |time| Value::from(time.to_string())),
        Kind::Text
        | Kind::Date
        | Kind::Look
        | Kind::OneOf(_)
        | Kind::YesNo
        | Kind::Ids
        | Kind::AnyOf(_) => as_written(),
    })
}

/// A clock time of this place, with its offset. Where the clock was set back and shows it twice, the
/// earlier one, which makes what happened then older; where it was set forward and never showed it,
/// none.
fn moment(text: &str) -> Option<Time> {
    if let Some(time) = Time::new(text) {
        return Some(time);
    }
    let local: DateTime = text.parse().ok()?;
    let ambiguous = TimeZone::system().into_ambiguous_zoned_datetime(local);
    if matches!(ambiguous.offset(), AmbiguousOffset::Gap { .. }) {
        return None;
    }
    let zoned = ambiguous.earlier().ok()?;
    Time::new(&zoned.strftime("%Y-%m-%dT%H:%M:%S%:z").to_string())
}

/// Puts a value at a place.
fn put(document: &mut Value, at: &str, value: Value) {
    let (head, rest) = at.split_once('/').map_or((at, None), |(head, rest)| (head, Some(rest)));
    let inner = match (head.parse::<usize>(), &mut *document) {
        (Ok(place), Value::Array(list)) => {
            while list.len() <= place {
                list.push(Value::Null);
            }
            list.get_mut(place)
        }
        (_, Value::Object(object)) => Some(object.entry(head).or_insert(Value::Null)),
        _ => None,
    };
    let Some(inner) = inner else { return };
    let Some(rest) = rest else {
        *inner = value;
        return;
    };
    if inner.is_null() {
        let is_list = rest.split('/').next().is_some_and(|head| head.parse::<usize>().is_ok());
        *inner = if is_list { Value::Array(Vec::new()) } else { Value::Object(Map::new()) };
    }
    put(inner, rest, value);
}

/// What a document holds, as the form would be filled in.
pub(crate) fn filled(fields: &[Field], document: &Value) -> Fields {
    let mut filled = Fields::default();
    for field in fields {
        let Some(value) = document.pointer(&format!("/{}", field.at)) else { continue };
        let text = |value: &Value| match value {
            Value::String(text) => text.clone(),
            Value::Bool(true) => "yes".to_owned(),
            Value::Bool(false) => "no".to_owned(),
            other => other.to_string(),
        };
        match (field.kind, value) {
            (Kind::Ids, Value::Array(values)) => {
                let all: Vec<_> = values.iter().map(text).collect();
                filled.set(field.at, &all.join(", "));
            }
            (Kind::AnyOf(_), Value::Array(values)) => {
                for value in values {
                    filled.set(field.at, &text(value));
                }
            }
            // What a browser fills in has no offset: minutes are kept, and the offset of this place.
            (Kind::Moment, value) => filled.set(field.at, &local(&text(value))),
            (_, value) => filled.set(field.at, &text(value)),
        }
    }
    filled
}

/// A time as a browser fills it in, in the time zone of this place.
fn local(text: &str) -> String {
    let Some(time) = Time::new(text) else { return text.to_owned() };
    time.instant().to_zoned_datetime(TimeZone::system()).strftime("%Y-%m-%dT%H:%M:%S").to_string()
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::{document, filled};
    use crate::ask::Fields;
    use crate::fields::{DONOR, HISTORY, RECIPIENT, SETUP};

    #[test]
    fn what_is_filled_in_becomes_the_document() {
        let form = Fields::read(
            "id=R-3107&name=Juniper&species=dog&weight_kg=23.5&types/1/system=DEA 1\
             &types/1/result=negative&breed=+",
        );
        let expected = json!({
            "id": "R-3107", "name": "Juniper", "species": "dog", "weight_kg": 23.5,
            "types": [ { "system": "DEA 1", "result": "negative" } ],
        });
        assert_eq!(document(RECIPIENT, &form), expected);
        assert_eq!(document(HISTORY, &Fields::default()), json!({}));
    }

    #[test]
    fn a_value_of_another_kind_stays_as_it_was_written() {
        let form = Fields::read("weight_kg=a+lot&id=R-1");
        assert_eq!(document(RECIPIENT, &form), json!({ "id": "R-1", "weight_kg": "a lot" }));
    }

    #[test]
    fn filling_in_and_reading_back_changes_nothing() {
        let donor = json!({
            "id": "D-091", "species": "dog", "product": "packed_cells",
            "unit": { "number": "U-5512", "expires_on": "2026-03-20", "inspection": "normal" },
            "types": [ { "system": "DEA 1", "result": "negative", "on": "2026-01-02" } ],
            "history": { "transfused": "yes", "last_transfused_on": "2025-12-01" },
        });
        assert_eq!(document(DONOR, &filled(DONOR, &donor)), donor);
        let history = json!({
            "history": { "incompatible_with": ["D-1", "D-2"] },
            "conditions": ["immune_hemolysis", "high_globulin"],
        });
        assert_eq!(document(HISTORY, &filled(HISTORY, &history)), history);
        let setup = json!({
            "cells_percent": 4, "incubation_min": { "warm_37c": 15 },
            "lots": [ { "what": "saline", "number": "7" }, { "what": "antiglobulin" } ],
        });
        assert_eq!(document(SETUP, &filled(SETUP, &setup)), setup);
    }
}
