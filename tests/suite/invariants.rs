//! What must hold of every worksheet, tried on random ones under random protocols.

use serde_json::{Value, json};

use crate::engine::interpret_json;
use crate::random::{case, cases, shrunk};
use crate::vectors::swapped;

/// What is compared of a pair: verdict, conclusions, rows, findings with their effects.
fn essence(pair: &Value) -> Value {
    let findings: serde_json::Map<_, _> = pair["findings"]
        .as_array()
        .unwrap()
        .iter()
        .map(|f| (f["slug"].as_str().unwrap().to_owned(), f["effect"].clone()))
        .collect();
    json!({
        "donor": pair["donor"], "verdict": pair["verdict"], "valid_until": pair["valid_until"],
        "major": pair["major"], "minor": pair["minor"], "recipient_auto": pair["recipient_auto"],
        "donor_auto": pair["donor_auto"], "rows": pair["rows"], "findings": findings,
        "not_tested": pair["not_tested"],
    })
}

fn essences(interpretation: &Value) -> Vec<Value> {
    let mut all: Vec<_> = interpretation["pairs"].as_array().unwrap().iter().map(essence).collect();
    all.sort_by_key(|pair| pair["donor"].as_str().unwrap().to_owned());
    all
}

/// Tries `holds` on random cases; a failing worksheet is shrunk before it is shown.
fn always(usual: u32, holds: impl Fn(&Value, &str) -> bool) {
    for seed in 0..u64::from(cases(usual)) {
        let (worksheet, protocol) = case(seed);
        let protocol = protocol.to_string();
        if !holds(&worksheet, &protocol) {
            let smallest = shrunk(&worksheet, &protocol, |smaller| !holds(smaller, &protocol));
            panic!("seed {seed}:\n{smallest}\nunder {protocol}");
        }
    }
}

/// Invariant 7: the order of readings, donors, samples and keys never matters.
#[test]
fn order_never_matters() {
    always(150, |worksheet, protocol| {
        let given = interpret_json(&worksheet.to_string(), protocol);
        let mut turned = worksheet.clone();
        for list in ["readings", "donors", "samples"] {
            if let Some(Value::Array(list)) = turned.get_mut(list) {
                list.reverse();
            }
        }
        // Keys from last to first; `to_string` writes them from first to last.
        let text = backwards(&turned);
        let other = interpret_json(&text, protocol);
        essences(&given) == essences(&other)
            && given["order"] == other["order"]
            && slugs(&given["panel"]) == slugs(&other["panel"])
    });
}

fn slugs(findings: &Value) -> Vec<Value> {
    findings.as_array().unwrap().iter().map(|finding| finding["slug"].clone()).collect()
}

fn backwards(value: &Value) -> String {
    match value {
        Value::Object(fields) => {
            let all: Vec<_> = fields
                .iter()
                .rev()
                .map(|(key, value)| format!("{}:{}", json!(key), backwards(value)))
                .collect();
            format!("{{{}}}", all.join(","))
        }
        Value::Array(elements) => {
            format!("[{}]", elements.iter().map(backwards).collect::<Vec<_>>().join(","))
        }
        plain => plain.to_string(),
    }
}

/// Invariant 8: more donors never change another donor's verdict, but for the saline controls.
#[test]
fn more_donors_change_nothing() {
    always(150, |worksheet, protocol| {
        let given = interpret_json(&worksheet.to_string(), protocol);
        let donors = worksheet["donors"].as_array().unwrap();
        if donors.len() < 2 || given.to_string().contains("saline-controls-reactive") {
            return true;
        }
        donors.iter().all(|donor| {
            let alone = only(worksheet, donor["id"].as_str().unwrap());
            let alone = interpret_json(&alone.to_string(), protocol);
            if alone.to_string().contains("saline-controls-reactive") {
                return true;
            }
            let among = essences(&given).into_iter().find(|pair| pair["donor"] == donor["id"]);
            among == Some(essences(&alone).remove(0))
        })
    });
}

/// The worksheet with one donor only.
fn only(worksheet: &Value, id: &str) -> Value {
    let mut alone = worksheet.clone();
    let mine = |value: &Value, key: &str| value.get(key).is_none_or(|donor| donor == id);
    alone["donors"].as_array_mut().unwrap().retain(|donor| donor["id"] == id);
    alone["readings"].as_array_mut().unwrap().retain(|reading| mine(reading, "donor"));
    alone["samples"]
        .as_array_mut()
        .unwrap()
        .retain(|sample| sample["of"] == id || sample["of"] == "R-1");
    alone
}

/// Invariant 6: swapping recipient and donor swaps the conclusions of major and minor, and the rows.
#[test]
fn swapping_the_animals_swaps_the_conclusions() {
    let partner = [0, 2, 1, 4, 3, 5, 9, 8, 7, 6, 10, 12, 11, 14, 13, 15];
    always(150, |worksheet, protocol| {
        let id = worksheet["donors"][0]["id"].as_str().unwrap().to_owned();
        let mut one = only(worksheet, &id);
        // What only a recipient can have would make the worksheet malformed.
        let recipient = one["recipient"].as_object_mut().unwrap();
        recipient.remove("conditions");
        if let Some(Value::Object(history)) = recipient.get_mut("history") {
            history.remove("incompatible_with");
        }
        let turned = swapped(&one);
        let Ok(turned) = crate::engine::try_interpret(&turned.to_string(), protocol) else {
            // The other animal may be of a species that the protocol does not serve.
            return one["donors"][0]["species"] != one["recipient"]["species"];
        };
        let given = interpret_json(&one.to_string(), protocol);
        let (given, turned) = (&given["pairs"][0], &turned["pairs"][0]);
        let mut rows: Vec<u64> = given["rows"]
            .as_array()
            .unwrap()
            .iter()
            .map(|row| partner[row.as_u64().unwrap() as usize])
            .collect();
        rows.sort_unstable();
        given["major"] == turned["minor"]
            && given["minor"] == turned["major"]
            && given["recipient_auto"] == turned["donor_auto"]
            && json!(rows) == turned["rows"]
    });
}

/// Invariant 2a: without the readings of a needed test nobody is free.
#[test]
fn a_needed_test_that_is_missing_frees_nobody() {
    always(150, |worksheet, protocol| {
        let rules: Value = serde_json::from_str(protocol).unwrap();
        let method = worksheet["method"].as_str().unwrap();
        let mut without = worksheet.clone();
        ["major", "minor", "recipient_auto", "donor_auto"].iter().all(|test| {
            without["readings"] = worksheet["readings"].clone();
            without["readings"].as_array_mut().unwrap().retain(|r| r["test"] != *test);
            let given = interpret_json(&without.to_string(), protocol);
            let required = rules["methods"][method]["tests"]["value"][*test] == "required";
            given["pairs"].as_array().unwrap().iter().all(|pair| {
                let needed = match (pair["product"].as_str().unwrap(), *test) {
                    ("plasma", test) => test == "minor" || test == "donor_auto",
                    (_, "major") | ("whole_blood", "minor" | "donor_auto") => true,
                    ("washed_cells", "minor" | "donor_auto") => false,
                    _ => required,
                };
                !(needed && pair["releasable"] == true)
            })
        })
    });
}

/// Invariant 2b, 2c: taking away the only first look of a negative mixture, making a first look
/// unreadable, or giving it an artefact, never frees a pair that was not free.
#[test]
fn less_to_believe_never_frees() {
    always(40, |worksheet, protocol| {
        let given = interpret_json(&worksheet.to_string(), protocol);
        let readings = worksheet["readings"].as_array().unwrap();
        (0..readings.len()).all(|index| {
            let reading = &readings[index];
            let test = reading["test"].as_str().unwrap();
            let is_first = reading.get("after").is_none() && reading.get("retracted").is_none();
            if !is_first || test.ends_with("saline") {
                return true;
            }
            let mut unreadable = worksheet.clone();
            unreadable["readings"][index]["agglutination"] = json!("unreadable");
            let artefacts = ["bubble", "fibrin", "hard_spin"].map(|artefact| {
                let mut spoiled = worksheet.clone();
                spoiled["readings"][index]["artefacts"] = json!([artefact]);
                spoiled
            });
            std::iter::once(unreadable).chain(artefacts).all(|worse| {
                let worse = interpret_json(&worse.to_string(), protocol);
                none_freed(&given, &worse)
            })
        })
    });
}

fn none_freed(given: &Value, worse: &Value) -> bool {
    let free = |pairs: &Value| -> Vec<bool> {
        pairs["pairs"].as_array().unwrap().iter().map(|p| p["releasable"] == true).collect()
    };
    free(given).iter().zip(free(worse)).all(|(before, after)| *before || !after)
}

/// Invariant 3: a stronger major never frees, unless a recheck disperses it.
#[test]
fn a_stronger_major_never_frees() {
    always(40, |worksheet, protocol| {
        let given = interpret_json(&worksheet.to_string(), protocol);
        let readings = worksheet["readings"].as_array().unwrap();
        (0..readings.len()).all(|index| {
            let reading = &readings[index];
            let same = |other: &Value| {
                ["test", "phase", "donor"].iter().all(|key| other.get(key) == reading.get(key))
            };
            let rechecked =
                readings.iter().any(|other| same(other) && other.get("after").is_some());
            if reading["test"] != "major" || reading.get("after").is_some() || rechecked {
                return true;
            }
            let grades = crate::random::GRADES;
            let Some(at) = grades.iter().position(|grade| reading["agglutination"] == *grade)
            else {
                return true;
            };
            grades[at..].iter().all(|stronger| {
                let mut raised = worksheet.clone();
                raised["readings"][index]["agglutination"] = json!(stronger);
                none_freed(&given, &interpret_json(&raised.to_string(), protocol))
            }) && reading.get("hemolysis").is_none_or(|seen| {
                (seen.as_u64().unwrap()..=4).all(|redder| {
                    let mut raised = worksheet.clone();
                    raised["readings"][index]["hemolysis"] = json!(redder);
                    none_freed(&given, &interpret_json(&raised.to_string(), protocol))
                })
            })
        })
    });
}

/// Interpreting twice gives the same bytes.
#[test]
fn the_same_bytes_every_time() {
    always(40, |worksheet, protocol| {
        let text = worksheet.to_string();
        let [once, again] = [(), ()].map(|()| interpret_json(&text, protocol).to_string());
        once == again
    });
}
