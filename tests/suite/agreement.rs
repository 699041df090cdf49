//! The engine beside the second implementation: both must say the same of every worksheet.

use serde_json::{Value, json};

use crate::engine::{interpret_json, interpret_shipped};
use crate::random::{case, cases, shrunk};
use crate::reference::near_misses;
use crate::reference::words::Test;
use crate::reference::{Answer, PairAnswer, reference};
use crate::vectors::{protocol, vectors};

/// Where the engine's interpretation and the second implementation's answer differ.
pub(crate) fn differences(interpretation: &Value, answer: &Answer) -> Vec<String> {
    let mut all = Vec::new();
    let slugs = |findings: &Value| -> Value {
        findings.as_array().unwrap().iter().map(|finding| finding["slug"].clone()).collect()
    };
    differ(&mut all, "panel", &slugs(&interpretation["panel"]), &json!(answer.panel));
    differ(&mut all, "order", &interpretation["order"], &json!(answer.order));
    let pairs = interpretation["pairs"].as_array().unwrap();
    assert_eq!(pairs.len(), answer.pairs.len());
    for (ours, theirs) in pairs.iter().zip(&answer.pairs) {
        pair_differences(&mut all, ours, theirs);
    }
    all
}

fn pair_differences(all: &mut Vec<String>, ours: &Value, theirs: &PairAnswer) {
    let donor = &theirs.donor;
    let mut check = |what: &str, ours: &Value, theirs: Value| {
        differ(all, &format!("{donor}: {what}"), ours, &theirs);
    };
    check("donor", &ours["donor"], json!(theirs.donor));
    check("verdict", &ours["verdict"], json!(theirs.verdict));
    check("major", &ours["major"]["conclusion"], json!(theirs.major));
    check("minor", &ours["minor"]["conclusion"], json!(theirs.minor));
    let tests = ["major", "minor", "recipient_auto", "donor_auto"];
    for (test, summary) in tests.iter().zip(&theirs.summaries) {
        check(&format!("{test} summary"), &ours[test]["summary"], json!(summary));
        let strongest = theirs.strongest.get(*test);
        let grade = ours[test].get("strongest").unwrap_or(&Value::Null);
        check(&format!("{test} strongest"), grade, json!(strongest.map(|(grade, _)| grade)));
        let phase = ours[test].get("phase").unwrap_or(&Value::Null);
        check(&format!("{test} phase"), phase, json!(strongest.map(|(_, phase)| phase)));
    }
    check("rows", &ours["rows"], json!(theirs.rows));
    check("valid until", &ours["valid_until"], json!(theirs.valid_until));
    let of_record = ours["readings_of_record"].as_array().unwrap();
    check("mixtures of record", &json!(of_record.len()), json!(theirs.states.len()));
    for record in of_record {
        let word = |field: &str| record[field].as_str().unwrap().to_owned();
        let mixture = (word("test"), word("phase"));
        let name = format!("{} {}", mixture.0, mixture.1);
        check(&format!("{name} state"), &record["state"], json!(theirs.states.get(&mixture)));
        let grade = record.get("grade").unwrap_or(&Value::Null);
        check(&format!("{name} grade"), grade, json!(theirs.grades.get(&mixture)));
    }
    let findings: serde_json::Map<_, _> = ours["findings"]
        .as_array()
        .unwrap()
        .iter()
        .map(|finding| (finding["slug"].as_str().unwrap().to_owned(), finding["effect"].clone()))
        .collect();
    check("findings", &Value::Object(findings), json!(theirs.findings));
}

fn differ(all: &mut Vec<String>, what: &str, ours: &Value, theirs: &Value) {
    if ours != theirs {
        all.push(format!("{what}:\n  engine   {ours}\n  second   {theirs}"));
    }
}

/// Both on one worksheet, by the shipped protocol that it names.
pub(crate) fn disagreement(worksheet: &Value) -> Option<String> {
    let interpretation = interpret_shipped(&worksheet.to_string());
    let rules = protocol(worksheet["protocol"]["id"].as_str().unwrap());
    let differences = differences(&interpretation, &reference(worksheet, &rules));
    (!differences.is_empty()).then(|| format!("{}\n{worksheet}", differences.join("\n")))
}

#[test]
fn both_agree_on_every_vector() {
    let disagreements: Vec<_> = vectors()
        .iter()
        .filter_map(|vector| Some(format!("{}: {}", vector.id, disagreement(&vector.worksheet)?)))
        .collect();
    assert!(disagreements.is_empty(), "{}", disagreements.join("\n\n"));
}

#[test]
fn both_agree_on_every_near_miss() {
    for near in near_misses::all() {
        for worksheet in [&near.hit, &near.miss] {
            let ours = interpret_json(&worksheet.to_string(), &near.protocol.to_string());
            let differences = differences(&ours, &reference(worksheet, &near.protocol));
            assert!(differences.is_empty(), "{}\n{worksheet}", differences.join("\n"));
        }
    }
}

/// The vectors once more, on the engine itself.
#[test]
fn the_engine_gives_what_the_vectors_ask() {
    let mut faults = Vec::new();
    for vector in vectors() {
        let interpretation = interpret_shipped(&vector.worksheet.to_string());
        let panel = interpretation["panel"].as_array().unwrap().clone();
        for (pair, (donor, verdict)) in
            interpretation["pairs"].as_array().unwrap().iter().zip(vector.verdicts)
        {
            let name = format!("{} ({}), {donor}: {}", vector.id, vector.protocol_id, vector.name);
            if pair["donor"] != *donor || pair["verdict"] != *verdict {
                faults.push(format!("{name}: {} is not {verdict}", pair["verdict"]));
            }
            let mut raised = pair["findings"].as_array().unwrap().clone();
            raised.extend(panel.clone());
            let has = |slug: &str| raised.iter().any(|finding| finding["slug"] == slug);
            for slug in vector.include.iter().filter(|slug| !has(slug)) {
                faults.push(format!("{name}: lacks {slug}"));
            }
            for slug in vector.exclude.iter().filter(|slug| has(slug)) {
                faults.push(format!("{name}: has {slug}"));
            }
            if vector.row.is_some_and(|row| pair["rows"] != json!([row])) {
                faults.push(format!("{name}: rows {}", pair["rows"]));
            }
        }
    }
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn both_know_the_same_tests() {
    let words: Vec<_> = Test::ALL.iter().map(|test| test.word()).collect();
    let ours: Vec<_> = crossread_core::words::Test::ALL.iter().map(|test| test.word()).collect();
    assert_eq!(words, ours);
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(cases(600)))]

    /// Both agree on random worksheets under random protocols.
    #[test]
    fn both_agree_on_random_worksheets(seed: u64) {
        let (worksheet, protocol) = case(seed);
        let text = protocol.to_string();
        let differ = |worksheet: &Value| {
            let ours = interpret_json(&worksheet.to_string(), &text);
            differences(&ours, &reference(worksheet, &protocol))
        };
        if !differ(&worksheet).is_empty() {
            let smallest = shrunk(&worksheet, &text, |smaller| !differ(smaller).is_empty());
            let rules = values(&protocol);
            panic!("{}\n{smallest}\nunder {rules}", differ(&smallest).join("\n"));
        }
    }
}

/// The values of a protocol without their sources and notes.
fn values(rule: &Value) -> Value {
    match rule {
        Value::Object(fields) if fields.contains_key("note") => fields["value"].clone(),
        Value::Object(fields) => fields
            .iter()
            .filter(|(key, _)| *key != "sources")
            .map(|(key, rule)| (key.clone(), values(rule)))
            .collect(),
        other => other.clone(),
    }
}
