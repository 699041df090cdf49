//! The published schemas beside an independent validator: what the project writes is valid, and
//! what the validator refuses the check refuses too, at the same place.

use std::collections::BTreeSet;

use crossread_core::document::{FaultReport, Faults};
use crossread_core::protocol::SHIPPED;
use crossread_core::{Protocols, Worksheet};
use jsonschema::Validator;
use serde_json::{Value, json};

use crate::engine::{interpret_json, interpret_shipped, text};
use crate::random::{Random, case, cases};
use crate::vectors::vectors;
use crossread_tests::example_names;

fn validator(name: &str) -> Validator {
    let schema: Value = serde_json::from_str(&text(&format!("schemas/{name}.json"))).unwrap();
    jsonschema::options().should_validate_formats(true).build(&schema).unwrap()
}

fn must_be_valid(validator: &Validator, document: &Value, name: &str) {
    let errors: Vec<_> = validator
        .iter_errors(document)
        .map(|error| format!("{}: {error}", error.instance_path()))
        .collect();
    assert!(errors.is_empty(), "{name}:\n{}", errors.join("\n"));
}

#[test]
fn schemas_say_what_they_are() {
    for name in ["fault", "interpretation", "protocol", "worksheet"] {
        let schema: Value = serde_json::from_str(&text(&format!("schemas/{name}.json"))).unwrap();
        assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
        assert_eq!(schema["$id"], format!("urn:crossread:schema:{name}:1"));
        assert_eq!(schema["properties"]["format"]["const"], format!("crossread.{name}/1"));
        assert!(schema["description"].is_string(), "{name}");
        assert!(jsonschema::meta::is_valid(&schema), "{name} is no valid schema");
    }
    let schema: Value = serde_json::from_str(&text("schemas/journal.json")).unwrap();
    assert_eq!(schema["$id"], "urn:crossread:schema:journal:1");
    assert!(jsonschema::meta::is_valid(&schema));
    let schema: Value = serde_json::from_str(&text("schemas/interpretation.json")).unwrap();
    let required = schema["required"].to_string();
    for field in ["protocol", "engine"] {
        assert!(required.contains(field), "{field} is not required");
    }
    let required = schema["$defs"]["Answer"]["required"].to_string();
    for field in ["verdict", "findings", "not_tested", "releasable", "valid_until"] {
        assert!(required.contains(field), "{field} is not required");
    }
    assert!(schema["description"].as_str().unwrap().contains("do not release"));
}

#[test]
fn protocols_and_examples_are_valid() {
    let protocol = validator("protocol");
    for (name, document) in SHIPPED {
        must_be_valid(&protocol, &serde_json::from_str(document).unwrap(), name);
    }
    let (worksheet, interpretation) = (validator("worksheet"), validator("interpretation"));
    for name in example_names().unwrap() {
        let read = |file: &str| -> Value {
            serde_json::from_str(&text(&format!("examples/{name}/{file}"))).unwrap()
        };
        must_be_valid(&worksheet, &read("worksheet.json"), &name);
        must_be_valid(&interpretation, &read("interpretation.json"), &name);
    }
}

#[test]
fn vectors_and_their_interpretations_are_valid() {
    let (worksheet, interpretation) = (validator("worksheet"), validator("interpretation"));
    for vector in vectors() {
        must_be_valid(&worksheet, &vector.worksheet, vector.id);
        let interpreted = interpret_shipped(&vector.worksheet.to_string());
        must_be_valid(&interpretation, &interpreted, vector.id);
    }
}

#[test]
fn random_worksheets_and_interpretations_are_valid() {
    let (worksheet, protocol) = (validator("worksheet"), validator("protocol"));
    let interpretation = validator("interpretation");
    for seed in 0..u64::from(cases(150)) {
        let (sheet, rules) = case(seed);
        must_be_valid(&worksheet, &sheet, &format!("seed {seed}"));
        must_be_valid(&protocol, &rules, &format!("seed {seed}"));
        let interpreted = interpret_json(&sheet.to_string(), &rules.to_string());
        must_be_valid(&interpretation, &interpreted, &format!("seed {seed}"));
    }
}

#[test]
fn fault_reports_are_valid() {
    let validator = validator("fault");
    for (document, number) in [(&b"{}"[..], None), (b"[", Some(3)), (b"\xff", Some(1))] {
        let faults = Worksheet::from_json(document, Protocols::shipped()).unwrap_err();
        let report = FaultReport::new("night.ndjson", number, &faults);
        must_be_valid(&validator, &serde_json::to_value(&report).unwrap(), "report");
    }
}

/// The places at which the check finds something.
fn places(faults: &Faults) -> BTreeSet<String> {
    faults.as_slice().iter().map(|fault| fault.pointer.clone()).collect()
}

/// Every fault that the schema sees is seen by the check, at the same pointer. (The check sees
/// more: references, contradictions.)
#[test]
fn the_check_sees_what_the_schema_sees() {
    let validator = validator("worksheet");
    let mut refused = 0;
    for seed in 0..u64::from(cases(1_500).max(1_500)) {
        let (sheet, _) = case(seed % 300);
        let mut sheet = json!(sheet);
        let mut random = Random::new(seed);
        for _ in 0..=random.below(3) {
            damage(&mut random, &mut sheet);
        }
        let seen: BTreeSet<String> = validator.iter_errors(&sheet).map(|e| place_of(&e)).collect();
        let faults = Worksheet::from_json(sheet.to_string().as_bytes(), Protocols::shipped());
        if seen.is_empty() {
            continue;
        }
        refused += 1;
        let faults = faults.expect_err("the schema refuses what the check takes");
        let found = places(&faults);
        let missed: Vec<_> = seen.difference(&found).collect();
        assert!(missed.is_empty(), "seed {seed}: {missed:?} not among\n{faults}\n{sheet}");
    }
    assert!(refused > 250, "only {refused} documents were damaged");
}

/// Where a schema error stands: at the missing or unknown field itself, not at its object.
fn place_of(error: &jsonschema::ValidationError<'_>) -> String {
    use jsonschema::error::ValidationErrorKind;
    let at = error.instance_path().to_string();
    match error.kind() {
        ValidationErrorKind::Required { property } => {
            format!("{at}/{}", property.as_str().unwrap())
        }
        ValidationErrorKind::AdditionalProperties { unexpected } => {
            format!("{at}/{}", unexpected[0])
        }
        _ => at,
    }
}

/// Spoils one value of a document.
fn damage(random: &mut Random, document: &mut Value) {
    let mut pointers = vec![String::new()];
    let mut all = Vec::new();
    while let Some(pointer) = pointers.pop() {
        match document.pointer(&pointer).unwrap() {
            Value::Object(fields) => {
                pointers.extend(fields.keys().map(|key| format!("{pointer}/{key}")));
            }
            Value::Array(elements) => {
                pointers.extend((0..elements.len()).map(|index| format!("{pointer}/{index}")));
            }
            _ => {}
        }
        all.push(pointer);
    }
    let pointer = random.pick(&all).clone();
    let wrong = [
        json!(null),
        json!(7),
        json!(-1),
        json!(1.5),
        json!("purple"),
        json!(""),
        json!(true),
        json!([]),
        json!({}),
        json!({ "purple": 1 }),
        json!("2026-03-01"),
    ];
    match random.below(3) {
        0 => {
            if let Some(Value::Object(fields)) = document.pointer_mut(&pointer) {
                fields.insert("purple".to_owned(), json!(1));
            }
        }
        1 => {
            if let Some((parent, key)) = pointer.rsplit_once('/')
                && let Some(Value::Object(fields)) = document.pointer_mut(parent)
            {
                fields.remove(key);
            }
        }
        _ => *document.pointer_mut(&pointer).unwrap() = random.pick(&wrong).clone(),
    }
}
