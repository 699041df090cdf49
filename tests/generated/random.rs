//! Random worksheets under random protocols: whatever a careful technician could write down, and a
//! good deal that none would.
//!
//! A worksheet is made from a seed, so a failure is repeated by its seed.
#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    clippy::missing_panics_doc,
    clippy::similar_names,
    reason = "this makes tests, and stops at its own mistakes"
)]

use crossread_core::protocol::SHIPPED;
use serde_json::{Value, json};

/// A small generator with the same numbers everywhere.
///
/// # Source
/// Vigna, 2014, An experimental exploration of Marsaglia's xorshift generators, scrambled,
/// arXiv:1402.6246 (xorshift64*).
#[derive(Debug, Clone)]
pub struct Random(u64);

impl Random {
    /// The generator with this seed.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        // Zero would stay zero.
        Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1)
    }

    /// The next number.
    pub fn draw(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_f491_4f6c_dd1d)
    }

    /// Another generator, of which what this one draws next does not depend.
    fn aside(&self) -> Self {
        Self::new(self.0 >> 1)
    }

    /// A number from 0 to below `end`, which is not 0.
    pub fn below(&mut self, end: u64) -> u64 {
        (self.draw() >> 33) % end
    }

    /// True once in so many times.
    pub fn one_in(&mut self, chance: u64) -> bool {
        self.below(chance) == 0
    }

    /// One of some things.
    pub fn pick<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[usize::try_from(self.below(from.len() as u64)).unwrap()]
    }
}

/// Every grade, from none to the strongest.
pub const GRADES: [&str; 13] =
    ["0", "rough", "micro", "w", "1+w", "1+", "1+s", "2+w", "2+", "2+s", "3+", "3+s", "4+"];
/// The species whose protocols ship.
pub const SPECIES: [&str; 3] = ["dog", "cat", "horse"];
const PRODUCTS: [&str; 4] = ["packed_cells", "washed_cells", "whole_blood", "plasma"];
const ARTEFACTS: [&str; 10] = [
    "bubble",
    "dried_column",
    "interrupted_spin",
    "streak",
    "spread",
    "wrong_order",
    "fibrin",
    "overloaded",
    "hard_spin",
    "shaken_hard",
];

/// A worksheet and the protocol it names.
#[must_use]
pub fn case(seed: u64) -> (Value, Value) {
    let mut random = Random::new(seed);
    let species = *random.pick(&SPECIES);
    let protocol = protocol(&mut random, species);
    let worksheet = worksheet(&mut random, species, &protocol);
    (worksheet, protocol)
}

/// The document of the protocol that ships for a species.
#[must_use]
pub fn shipped(species: &str) -> Value {
    let file = format!("{species}-routine.json");
    let (_, text) = SHIPPED.iter().find(|(name, _)| *name == file).unwrap();
    serde_json::from_str(text).unwrap()
}

/// A shipped protocol, sometimes with other values.
fn protocol(random: &mut Random, species: &str) -> Value {
    let shipped = shipped(species);
    if random.one_in(2) { shipped } else { altered(random, shipped) }
}

/// A protocol with other values, called `random-rules`.
pub fn altered(random: &mut Random, mut protocol: Value) -> Value {
    let mut set = |key: &str, value: Value| protocol[key]["value"] = value;
    let doubtful = 1 + random.below(5);
    let reactive = doubtful + random.below(4);
    set("doubtful_from", json!(GRADES[doubtful as usize]));
    set("reactive_from", json!(GRADES[reactive as usize]));
    let from = 1 + random.below(3);
    set("hemolysis_from", json!(from));
    set("hemolysis_reject_from", json!(from + random.below(5 - from)));
    set("auto_margin_half_steps", json!(random.below(7)));
    let rules = ["caveat", "unresolved", "caveat_if_saline_control_reactive"];
    set("negative_test_with_reactive_auto", json!(random.pick(&rules)));
    set("dispersal_up_to", json!(random.pick(&GRADES)));
    let least = 1 + random.below(9);
    set("saline_parts", json!({ "lo": least, "hi": least + random.below(9) }));
    set("check_cells_min", json!(random.pick(&GRADES)));
    set("check_cells_missing", json!(random.pick(&["caveat", "void"])));
    set("control_tolerance_half_steps", json!(random.below(5)));
    set("weak_up_to", json!(random.pick(&GRADES)));
    set("run_max_hours", json!(1 + random.below(10)));
    set("recent_transfusion_days", json!(random.below(30)));
    set("lipemia_from", json!(1 + random.below(3)));
    set("icterus_from", json!(1 + random.below(3)));
    set("plasma_ratio_min", json!(random.below(60)));
    set("panel_min_donors", json!(1 + random.below(4)));
    set("pregnancy_sensitises", json!(random.one_in(2)));
    set("anticoagulant_lysis", json!(random.pick(&["note", "caveat"])));
    set("lysis_must_be_testable", json!(random.one_in(2)));
    set("type_rules", json!(random.pick(&["dog", "cat", "horse", "none"])));
    let mut remark = || json!(random.pick(&["note", "caveat"]));
    let minor = json!({
        "reactive": remark(), "unresolved": remark(), "void": remark(), "not_read": remark()
    });
    set("minor_with_packed_cells", minor);
    for method in ["tube", "slide", "gel"] {
        let rules = &mut protocol["methods"][method];
        for phase in ["room", "warm_37c", "antiglobulin", "cold_4c"] {
            let roles = ["required", "one_of", "optional", "informative"];
            let used = rules["phases"]["value"].get(phase).is_some();
            if used && random.one_in(3) {
                rules["phases"]["value"][phase] = json!(random.pick(&roles));
            }
        }
        let roles = rules["phases"]["value"].as_object().unwrap();
        if !roles.values().any(|role| role == "required" || role == "one_of") {
            let first = roles.keys().next().unwrap().clone();
            rules["phases"]["value"][first] = json!("required");
        }
        for test in ["minor", "recipient_auto", "donor_auto"] {
            rules["tests"]["value"][test] = json!(random.pick(&["required", "optional"]));
        }
        if method != "slide" {
            rules["hemolysis"]["value"] =
                json!(random.pick(&["required", "optional", "not_readable"]));
        }
    }
    protocol["id"] = json!("random-rules");
    protocol
}

/// A worksheet under a protocol.
pub fn worksheet(random: &mut Random, species: &str, protocol: &Value) -> Value {
    // Slides are as likely as tubes, because half of the rules of trust are theirs.
    let method = *random.pick(&["tube", "tube", "slide", "gel"]);
    let rules = protocol["methods"][method].clone();
    let donors = 1 + random.below(4);
    let donor_ids: Vec<String> = (1..=donors).map(|donor| format!("D-{donor}")).collect();
    let mut recipient = animal(random, species, "R-1");
    if random.one_in(8) {
        recipient["history"]["incompatible_with"] = json!([random.pick(&donor_ids)]);
    }
    if random.one_in(3) {
        recipient["conditions"] = json!(["immune_hemolysis", "high_globulin"]);
    }
    let mut all_donors = Vec::new();
    for id in &donor_ids {
        let of = if random.one_in(12) { *random.pick(&SPECIES) } else { species };
        let mut donor = animal(random, of, id);
        donor["product"] = json!(random.pick(&PRODUCTS));
        if random.one_in(3) {
            donor["unit"] = json!({ "number": format!("U-{id}") });
            if random.one_in(2) {
                let day = *random.pick(&["2026-02-28", "2026-03-01", "2026-03-02"]);
                donor["unit"]["expires_on"] = json!(day);
            }
            if random.one_in(2) {
                let seen = ["normal", "hemolyzed", "discolored", "clotted", "not_inspected"];
                donor["unit"]["inspection"] = json!(random.pick(&seen));
            }
        }
        all_donors.push(donor);
    }
    let mut worksheet = json!({
        "format": "crossread.worksheet/1",
        "id": "WS-1",
        "protocol": { "id": protocol["id"], "version": protocol["version"] },
        "method": method,
        "recipient": recipient,
        "donors": all_donors,
        "samples": samples(random, &donor_ids),
        "setup": setup(random),
        "readings": readings(random, method, &rules, &donor_ids),
    });
    if random.one_in(5) {
        let control = |random: &mut Random| {
            if random.one_in(8) { json!("unreadable") } else { json!(random.pick(&GRADES)) }
        };
        let mut controls = json!({});
        if random.one_in(2) {
            let read = control(random);
            controls["positive"] = json!({ "expected": random.pick(&GRADES), "read": read });
        }
        if random.one_in(2) {
            let read = if random.one_in(2) { json!("0") } else { control(random) };
            controls["negative"] = json!({ "read": read });
        }
        worksheet["reagent_controls"] = controls;
    }
    decide(&mut random.aside(), &mut worksheet);
    worksheet
}

/// Now and then, somebody's decision to go on with an animal or a sample.
fn decide(random: &mut Random, worksheet: &mut Value) {
    let mut maybe = |of: &mut Value| {
        if random.one_in(60) {
            of["decision"] = json!({ "by": "Dr Vane", "reason": "no time to draw again" });
        }
    };
    maybe(&mut worksheet["recipient"]);
    for list in ["donors", "samples"] {
        worksheet[list].as_array_mut().unwrap().iter_mut().for_each(&mut maybe);
    }
}

fn animal(random: &mut Random, species: &str, id: &str) -> Value {
    let mut animal = json!({ "id": id, "species": species });
    if !random.one_in(6) {
        animal["types"] = types(random, species);
    }
    if !random.one_in(6) {
        let mut history = json!({});
        for question in ["transfused", "pregnant", "reaction"] {
            let answers = ["never", "never", "never", "yes", "unknown"];
            if !random.one_in(6) {
                history[question] = json!(random.pick(&answers));
            }
        }
        if history["transfused"] == "yes" && !random.one_in(4) {
            let days = ["2025-06-01", "2026-02-15", "2026-02-27", "2026-03-01", "2026-03-09"];
            history["last_transfused_on"] = json!(random.pick(&days));
        }
        animal["history"] = history;
    }
    animal
}

fn types(random: &mut Random, species: &str) -> Value {
    let systems: &[&str] = match species {
        "cat" => &["AB", "AB", "Mik"],
        "dog" => &["DEA 1", "DEA 1", "Kai 1", "Kai 2", "Dal"],
        _ => &["Aa", "Ca", "Qa", "Ua"],
    };
    let count = 1 + random.below(3);
    (0..count)
        .map(|_| {
            let system = *random.pick(systems);
            let results: &[&str] =
                if system == "AB" { &["A", "B", "AB"] } else { &["positive", "weak", "negative"] };
            json!({ "system": system, "result": random.pick(results) })
        })
        .collect()
}

fn samples(random: &mut Random, donors: &[String]) -> Value {
    let mut all = Vec::new();
    for (number, id) in std::iter::once("R-1").chain(donors.iter().map(String::as_str)).enumerate()
    {
        for again in 0..2 {
            let wanted = if again == 0 { !random.one_in(12) } else { random.one_in(6) };
            if !wanted {
                continue;
            }
            let mut sample = json!({
                "id": format!("S-{number}-{again}"), "of": id,
                "role": random.pick(&["plasma", "both", "both", "cells"]),
            });
            let mut maybe =
                |field: &str, chance: u64, value: &mut dyn FnMut(&mut Random) -> Value| {
                    if !random.one_in(chance) {
                        sample[field] = value(random);
                    }
                };
            maybe("tube", 6, &mut |random| {
                json!(random.pick(&["serum", "serum", "edta", "citrate", "heparin", "cpda"]))
            });
            maybe("drawn_at", 8, &mut |random| {
                let drawn = [
                    "2026-03-01T00:30:00Z",
                    "2026-03-01T01:30:00+01:00",
                    "2026-02-27T02:30:00Z",
                    "2026-02-26T02:30:00.5Z",
                    "2026-02-21T23:30:00-02:00",
                    "2026-03-01T02:45:00Z",
                    "2026-03-01T23:00:00Z",
                ];
                json!(random.pick(&drawn))
            });
            maybe("stored", 5, &mut |random| json!(random.pick(&["room", "fridge"])));
            maybe("hemolysis", 6, &mut |random| json!(random.pick(&[0, 0, 0, 0, 0, 1, 2, 3, 4])));
            maybe("lipemia", 3, &mut |random| json!(random.pick(&[0, 0, 0, 1, 2, 3])));
            maybe("icterus", 3, &mut |random| json!(random.pick(&[0, 0, 0, 1, 2, 3])));
            maybe("clots", 3, &mut |random| json!(random.one_in(10)));
            maybe("agglutinated", 3, &mut |random| json!(random.one_in(10)));
            maybe("label_id", 3, &mut |random| {
                if random.one_in(25) { json!("R-9") } else { json!(id) }
            });
            all.push(sample);
        }
    }
    json!(all)
}

fn setup(random: &mut Random) -> Value {
    let mut setup = json!({});
    let mut maybe = |field: &str, chance: u64, value: &mut dyn FnMut(&mut Random) -> Value| {
        if random.one_in(chance) {
            setup[field] = value(random);
        }
    };
    maybe("cells_percent", 3, &mut |random| {
        let percent = ["4.0", "2", "5", "5.01", "1.99", "0.8", "40", "0.5"];
        let percent: &&str = random.pick(&percent);
        serde_json::from_str(percent).unwrap()
    });
    maybe("washes", 3, &mut |random| json!(random.below(7)));
    maybe("plasma_ul", 2, &mut |random| json!(random.pick(&[25, 50, 100])));
    maybe("cells_ul", 2, &mut |random| json!(random.pick(&[25, 50, 100])));
    maybe("incubation_min", 3, &mut |random| {
        let mut minutes = json!({});
        for phase in ["room", "warm_37c", "antiglobulin", "cold_4c"] {
            if random.one_in(2) {
                minutes[phase] = json!(random.pick(&[15, 30, 30, 60, 14, 61]));
            }
        }
        minutes
    });
    maybe("complement", 2, &mut |random| {
        json!(random.pick(&["none", "fresh_serum", "fresh_serum", "added"]))
    });
    maybe("lots", 4, &mut |random| {
        let day = *random.pick(&["2026-02-28", "2026-03-01", "2026-12-31"]);
        json!([{ "what": "saline", "expires_on": day }, { "what": "antiglobulin" }])
    });
    setup
}

/// A mixture with its first looks and, sometimes, rechecks, a second reader, a retraction.
fn readings(random: &mut Random, method: &str, rules: &Value, donors: &[String]) -> Value {
    let phases = rules["phases"]["value"].as_object().unwrap();
    let lysis = rules["hemolysis"]["value"] != "not_readable";
    // How often anything at all reacts, so that worksheets differ in how troubled they are.
    let calm = *random.pick(&[1, 2, 5, 12]);
    let mut all = Vec::new();
    for (phase, role) in phases {
        let skipped = if role == "required" { 12 } else { 2 };
        let tests = [
            ("recipient_auto", false),
            ("recipient_saline", false),
            ("major", true),
            ("minor", true),
            ("donor_auto", true),
            ("donor_saline", true),
        ];
        for (test, of_donor) in tests {
            let animals = if of_donor { donors.len() } else { 1 };
            for donor in donors.iter().take(animals) {
                let skip = if test.ends_with("saline") {
                    random.below(3) > 0
                } else {
                    random.one_in(skipped)
                };
                if skip {
                    continue;
                }
                let looks = if random.one_in(7) { 2 } else { 1 };
                for _ in 0..looks {
                    let mut look = look(random, method, phase, test, calm, lysis);
                    if of_donor {
                        look["donor"] = json!(donor);
                    }
                    if random.one_in(14) {
                        let how =
                            json!({ "at": "2026-03-01T06:00:00Z", "by": "KT", "reason": "tube" });
                        look["retracted"] = how;
                    }
                    let graded = look["agglutination"] != "0";
                    let rechecks = match (test.ends_with("saline"), graded) {
                        (true, _) => 0,
                        (false, true) => random.below(4).saturating_sub(1),
                        (false, false) => u64::from(random.one_in(15)),
                    };
                    all.push(look.clone());
                    for _ in 0..rechecks {
                        all.push(recheck(random, method, phase, &look, lysis));
                    }
                }
            }
        }
    }
    // The order of readings must not matter, so none is promised.
    for place in (1..all.len()).rev() {
        let other = usize::try_from(random.below(place as u64 + 1)).unwrap();
        all.swap(place, other);
    }
    json!(all)
}

fn look(
    random: &mut Random,
    method: &str,
    phase: &str,
    test: &str,
    calm: u64,
    lysis: bool,
) -> Value {
    let grade = if random.one_in(20) {
        "unreadable"
    } else if random.one_in(calm) {
        random.pick(&GRADES)
    } else {
        "0"
    };
    let time = match phase {
        "room" => "03:1",
        "warm_37c" => "03:3",
        "antiglobulin" => "03:5",
        _ => "04:1",
    };
    let mut look = json!({
        "test": test, "phase": phase, "agglutination": grade,
        "at": format!("2026-03-01T{time}{}:{:02}+01:00", random.below(10), random.below(60)),
    });
    if random.one_in(40) {
        look["at"] =
            json!(random.pick(&["2026-02-28T19:30:00+01:00", "2026-03-01T23:30:00-02:00"]));
    }
    if lysis && !random.one_in(8) {
        look["hemolysis"] = json!(random.pick(&[0, 0, 0, 0, 0, 0, 0, 1, 2, 3, 4]));
        if random.below(3) > 0 {
            look["hemolysis"] = json!(0);
        }
    }
    details(random, method, phase, &mut look);
    look
}

fn recheck(random: &mut Random, method: &str, phase: &str, first: &Value, lysis: bool) -> Value {
    let mut again = json!({
        "test": first["test"], "phase": phase,
        "agglutination": first["agglutination"],
        "after": random.pick(&["saline_replacement", "saline_replacement", "wash", "saline_dilution"]),
        "at": "2026-03-01T04:30:00+01:00",
    });
    if let Some(donor) = first.get("donor") {
        again["donor"] = donor.clone();
    }
    if random.below(5) > 0 {
        again["agglutination"] =
            json!(random.pick(&["0", "0", "0", "rough", "w", "1+", "3+", "unreadable"]));
    }
    if again["after"] == "saline_dilution" {
        again["saline_parts"] = json!(random.pick(&[1, 3, 4, 6, 9, 10, 20]));
    }
    if random.one_in(12) {
        again["at"] = first["at"].clone();
    }
    if lysis && random.one_in(3) {
        again["hemolysis"] = json!(random.pick(&[0, 0, 1, 2]));
    }
    details(random, method, phase, &mut again);
    again
}

/// What else is written beside a look.
fn details(random: &mut Random, method: &str, phase: &str, look: &mut Value) {
    let graded = look["agglutination"] != "0";
    if graded && random.below(3) > 0 {
        look["pattern"] = json!(random.pick(&["clumps", "stacks", "both", "unsure"]));
    }
    if graded && random.one_in(10) {
        look["mixed_field"] = json!(true);
    }
    if phase == "antiglobulin" && random.below(3) > 0 {
        look["check_cells"] = json!(random.pick(&["2+", "2+", "2+", "2+w", "1+", "0", "4+"]));
    }
    match method {
        "slide" => {
            if !random.one_in(6) {
                look["seconds"] = json!(random.pick(&[60, 120, 120, 120, 300, 59, 301]));
            }
            if random.one_in(12) {
                look["dried"] = json!(random.one_in(2));
            }
        }
        _ if random.one_in(4) => look["seconds"] = json!(random.pick(&[30, 300, 301])),
        _ => {}
    }
    if random.one_in(15) {
        look["artefacts"] = json!([random.pick(&ARTEFACTS)]);
    }
    look["by"] = json!(random.pick(&["KT", "MO"]));
}
