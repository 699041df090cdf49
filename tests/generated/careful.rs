//! Worksheets of a careful technician with a few troubles: good ones, into which parts of a random
//! one are put. Most of what a bench sees is like this, and most verdicts hang on one part.
#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "this makes tests, and stops at its own mistakes"
)]

use serde_json::{Value, json};

use crate::random::{GRADES, Random, worksheet};

/// Most troubles on one worksheet; fewer are as likely.
const TROUBLES: u64 = 6;

/// A good worksheet under a protocol, with up to five parts of a random one.
pub fn careful(random: &mut Random, species: &str, protocol: &Value) -> Value {
    let troubled = worksheet(random, species, protocol);
    let mut sheet = good(&troubled, species, protocol);
    for _ in 0..random.below(TROUBLES) {
        trouble(random, &mut sheet, &troubled);
    }
    if let Some(decision) = troubled["recipient"].get("decision") {
        sheet["recipient"]["decision"] = decision.clone();
    }
    sheet
}

fn elements<'v>(of: &'v Value, list: &str) -> &'v [Value] {
    of[list].as_array().map_or(&[], Vec::as_slice)
}

/// The worksheet with the same method, animals and products, on which everything is as it should be.
fn good(troubled: &Value, species: &str, protocol: &Value) -> Value {
    let rules = &protocol["methods"][troubled["method"].as_str().unwrap()];
    let animal = |id: &Value| {
        let types = match species {
            "cat" => json!([{ "system": "AB", "result": "A" }]),
            "dog" => json!([{ "system": "DEA 1", "result": "negative" }]),
            _ => json!([{ "system": "Aa", "result": "negative" }]),
        };
        let history = json!({ "transfused": "never", "pregnant": "never", "reaction": "never" });
        json!({ "id": id, "species": species, "types": types, "history": history })
    };
    let donors: Vec<_> = elements(troubled, "donors")
        .iter()
        .map(|of| {
            let mut donor = animal(&of["id"]);
            donor["product"] = of["product"].clone();
            let number = format!("U-{}", of["id"].as_str().unwrap());
            donor["unit"] = json!({
                "number": number, "expires_on": "2026-12-31", "inspection": "normal"
            });
            donor
        })
        .collect();
    let recipient = animal(&troubled["recipient"]["id"]);
    let samples: Vec<_> = std::iter::once(&recipient)
        .chain(&donors)
        .enumerate()
        .map(|(number, of)| {
            json!({
                "id": format!("S-{number}-0"), "of": of["id"], "role": "both", "tube": "serum",
                "drawn_at": "2026-03-01T00:30:00Z", "stored": "fridge", "hemolysis": 0,
                "lipemia": 0, "icterus": 0, "clots": false, "agglutinated": false,
                "label_id": of["id"],
            })
        })
        .collect();
    let slide = troubled["method"] == "slide";
    let mut readings = Vec::new();
    for phase in rules["phases"]["value"].as_object().unwrap().keys() {
        for test in ["recipient_auto", "major", "minor", "donor_auto"] {
            let of_donor = test != "recipient_auto";
            for donor in donors.iter().take(if of_donor { donors.len() } else { 1 }) {
                let mut look = json!({
                    "test": test, "phase": phase, "agglutination": "0", "by": "KT",
                    "at": "2026-03-01T03:40:00+01:00",
                });
                if of_donor {
                    look["donor"] = donor["id"].clone();
                }
                if rules["hemolysis"]["value"] != "not_readable" {
                    look["hemolysis"] = json!(0);
                }
                if phase == "antiglobulin" {
                    look["check_cells"] = json!("2+");
                }
                if slide {
                    look["seconds"] = json!(120);
                    look["dried"] = json!(false);
                }
                readings.push(look);
            }
        }
    }
    json!({
        "format": troubled["format"], "id": troubled["id"], "protocol": troubled["protocol"],
        "method": troubled["method"], "recipient": recipient, "donors": donors,
        "samples": samples, "setup": { "complement": "fresh_serum" }, "readings": readings,
    })
}

/// Puts one part of the troubled worksheet into the other.
fn trouble(random: &mut Random, sheet: &mut Value, troubled: &Value) {
    match random.below(13) {
        // What was seen, or not seen, in one mixture at one phase.
        0..=6 => {
            let like = random.pick(elements(sheet, "readings")).clone();
            let same = |reading: &Value| {
                ["test", "phase", "donor"].iter().all(|field| reading.get(field) == like.get(field))
            };
            let instead: Vec<_> =
                elements(troubled, "readings").iter().filter(|r| same(r)).cloned().collect();
            let readings = sheet["readings"].as_array_mut().unwrap();
            readings.retain(|reading| !same(reading));
            readings.extend(instead);
            if readings.is_empty() {
                readings.push(like);
            }
        }
        7 => {
            // A trouble before this one may have left none.
            let samples = elements(sheet, "samples");
            if samples.is_empty() {
                return;
            }
            let of = random.pick(samples)["of"].clone();
            let instead: Vec<_> =
                elements(troubled, "samples").iter().filter(|s| s["of"] == of).cloned().collect();
            let samples = sheet["samples"].as_array_mut().unwrap();
            samples.retain(|sample| sample["of"] != of);
            samples.extend(instead);
        }
        8 => {
            let fields = ["types", "history", "conditions"];
            put(random, &mut sheet["recipient"], &troubled["recipient"], &fields);
        }
        9 | 10 => {
            let donors = elements(sheet, "donors");
            let (number, _) = *random.pick(&donors.iter().enumerate().collect::<Vec<_>>());
            let fields = ["types", "history", "unit", "species"];
            put(random, &mut sheet["donors"][number], &troubled["donors"][number], &fields);
        }
        11 => put(random, sheet, troubled, &["setup", "reagent_controls"]),
        // An antibody against what most donors have: every major reacts alike.
        _ => {
            let grade = *random.pick(&GRADES[1..]);
            for reading in sheet["readings"].as_array_mut().unwrap() {
                if reading["test"] == "major" && reading.get("after").is_none() {
                    reading["agglutination"] = json!(grade);
                }
            }
        }
    }
}

/// Puts one field of another value in place of its own, also one that is left out.
fn put(random: &mut Random, into: &mut Value, from: &Value, fields: &[&str]) {
    let field = *random.pick(fields);
    let into = into.as_object_mut().unwrap();
    into.remove(field);
    if let Some(value) = from.get(field) {
        into.insert(field.to_owned(), value.clone());
    }
    // A type result belongs to its species.
    if field == "species" {
        into.remove("types");
    }
}
