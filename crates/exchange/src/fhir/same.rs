//! Whether a Bundle is the very one that its message would be written as.

use std::collections::BTreeMap;

use serde_json::{Map, Value};

use super::write::name;
use crate::wrong::Wrongs;

/// What a server may add to a resource without a change of meaning.
const IGNORED: [&str; 3] = ["id", "meta", "language"];

/// What of `meta` is so. Not tags and security labels: one may say that it is a test (`HTEST`).
const OF_META: [&str; 3] = ["versionId", "lastUpdated", "source"];

/// Adds whatever stands in `meta` that may change what a resource means.
pub(super) fn only_of_a_server(resource: &Value, place: &str, wrongs: &mut Wrongs) {
    let meta = resource.get("meta");
    if let Some(other) = meta.filter(|meta| !meta.is_object()) {
        wrongs.add(format!("{place}/meta"), "an object", shown(other));
    }
    for (key, value) in meta.and_then(Value::as_object).into_iter().flatten() {
        if !OF_META.contains(&key.as_str()) || !value.is_string() {
            wrongs.add(format!("{place}/meta/{key}"), "nothing", shown(value));
        }
    }
}

/// The resources of a Bundle by their names, without what a server may add, and with names in place
/// of addresses. Two of one name, or an address without a resource, are wrong.
pub(super) fn resources(bundle: &Value, wrongs: &mut Wrongs) -> BTreeMap<String, Value> {
    let entries = bundle.get("entry").and_then(Value::as_array);
    let entries = entries.map_or(&[][..], Vec::as_slice);
    let url = |entry: &Value| entry.get("fullUrl").and_then(Value::as_str).map(str::to_owned);
    let of = |entry: &Value| entry.get("resource").map(name).unwrap_or_default();
    let mut urls = BTreeMap::new();
    for (number, entry) in entries.iter().enumerate() {
        let known = url(entry).is_some_and(|url| urls.insert(url, of(entry)).is_none());
        if !known {
            wrongs.add(format!("/entry/{number}/fullUrl"), "an address of its own", "none");
        }
        let others = entry.as_object().into_iter().flat_map(Map::keys);
        for key in others.filter(|key| *key != "fullUrl" && *key != "resource" && *key != "id") {
            wrongs.add(format!("/entry/{number}"), "`fullUrl` and `resource`", format!("`{key}`"));
        }
    }
    let mut found = BTreeMap::new();
    for (number, entry) in entries.iter().enumerate() {
        let Some(Value::Object(resource)) = entry.get("resource") else {
            wrongs.add(format!("/entry/{number}/resource"), "a resource", "none");
            continue;
        };
        if let Some(resource) = entry.get("resource") {
            only_of_a_server(resource, &format!("/entry/{number}/resource"), wrongs);
        }
        let mut resource = resource.clone();
        resource.retain(|key, _| !IGNORED.contains(&key.as_str()));
        let mut resource = Value::Object(resource);
        named(&mut resource, &urls, number, wrongs);
        if found.insert(of(entry), resource).is_some() {
            wrongs.add(format!("/entry/{number}"), "each resource once", of(entry));
        }
    }
    found
}

/// Puts names in place of addresses.
fn named(value: &mut Value, urls: &BTreeMap<String, String>, entry: usize, wrongs: &mut Wrongs) {
    match value {
        Value::Object(fields) => {
            for (key, value) in fields {
                if key != "reference" {
                    named(value, urls, entry, wrongs);
                    continue;
                }
                match value.as_str().and_then(|url| urls.get(url)) {
                    Some(name) => *value = name.as_str().into(),
                    None => wrongs.add(
                        format!("/entry/{entry}/resource"),
                        "a reference to a resource of the Bundle",
                        value.to_string(),
                    ),
                }
            }
        }
        Value::Array(elements) => {
            for element in elements {
                named(element, urls, entry, wrongs);
            }
        }
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

/// Adds every place at which `found` is not what is expected.
pub(super) fn compare(place: &str, expected: &Value, found: &Value, wrongs: &mut Wrongs) {
    match (expected, found) {
        (Value::Object(wanted), Value::Object(given)) => {
            for (key, value) in wanted {
                match given.get(key) {
                    Some(found) => compare(&format!("{place}/{key}"), value, found, wrongs),
                    None => wrongs.add(format!("{place}/{key}"), shown(value), "nothing"),
                }
            }
            for (key, value) in given.iter().filter(|(key, _)| !wanted.contains_key(*key)) {
                wrongs.add(format!("{place}/{key}"), "nothing", shown(value));
            }
        }
        (Value::Array(wanted), Value::Array(given)) if wanted.len() == given.len() => {
            for (number, (wanted, given)) in wanted.iter().zip(given).enumerate() {
                compare(&format!("{place}/{number}"), wanted, given, wrongs);
            }
        }
        _ if expected == found => {}
        _ => wrongs.add(place, shown(expected), shown(found)),
    }
}

fn shown(value: &Value) -> String {
    match value {
        Value::Array(elements) => format!("a list of {}", elements.len()),
        Value::Object(_) => "an object".to_owned(),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => format!("`{value}`"),
    }
}
