//! Published facts: what studies, guidelines and case reports found, written as worksheets, and
//! what must come of them.
//!
//! `data/published-cases.json` holds one entry a fact, with its source. A check in it says only
//! what differs from a worksheet on which nothing is amiss; the rest is filled in here:
//!
//! - The recipient is `R-1`. It and its donors are of the check's `species`, typed alike (dogs
//!   DEA 1 negative, cats A, horses Aa, Ca and Qa negative), and never transfused, pregnant or ill
//!   from blood. `recipient` and each donor are merged over that, object by object.
//! - `donors` is a list, a number, or `{ "count": … }` with the fields of all; `D-1`, `D-2` and so
//!   on where no id is given. Left out, it is one donor.
//! - Each animal has a sample of serum, drawn 2 hours before the first reading; `samples` changes
//!   that of the animal it names in `of`. Fresh serum is the complement.
//! - Readings are taken in their order, one minute apart, from 03:30 on 2026-03-01. One that needs
//!   a donor and names none is taken for every donor, one that lists several for each of them. On
//!   a slide it is taken at 120 s.
//! - `controls` is `negative` unless it says otherwise: both autocontrols read `0`, without
//!   hemolysis, at every phase of the readings, unless the readings have that test (of that donor).
//!   `recipient` adds the recipient's alone, `none` neither. `minor` does the same for the minor.
//!   What is added to a tube at antiglobulin has check cells of 2+.
//! - `protocol` is the species' own, unless a check names one to start from and what to `set` in
//!   it by JSON Pointer.
//!
//! In `expect`, a map goes from a donor to what it must have; `*` is every donor not named.
//! `include` and `exclude` are findings of every pair, `panel` and `panel_exclude` of the panel.

use std::collections::BTreeSet;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

use jiff::ToSpan as _;
use jiff::civil::date;
use serde_json::{Map, Value, json};

use crate::engine::{interpret_json, shipped_protocol_text};

const BOOK: &str = include_str!("../data/published-cases.json");

/// How many rows the collection of facts has.
const ROWS: usize = 70;

const VERDICTS: [&str; 6] = [
    "compatible",
    "compatible_with_caveats",
    "incomplete",
    "indeterminate",
    "invalid",
    "incompatible",
];

/// Expectations that go from a donor to a value, and where the value stands in a pair.
const OF_DONORS: [(&str, &str); 7] = [
    ("verdict", "/verdict"),
    ("releasable", "/releasable"),
    ("major", "/major/conclusion"),
    ("minor", "/minor/conclusion"),
    ("recipient_auto", "/recipient_auto/summary"),
    ("donor_auto", "/donor_auto/summary"),
    ("rows", "/rows"),
];

/// Expectations that are lists of findings.
const OF_FINDINGS: [&str; 4] = ["include", "exclude", "panel", "panel_exclude"];

fn book() -> Value {
    serde_json::from_str(BOOK).expect("the published cases are JSON")
}

fn cases(book: &Value) -> &[Value] {
    list(&book["cases"])
}

/// A list; what is left out is an empty one.
fn list(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

fn words(value: &Value) -> Vec<&str> {
    list(value).iter().map(word).collect()
}

fn word(value: &Value) -> &str {
    value.as_str().unwrap_or_else(|| panic!("a text, not {value}"))
}

fn object(value: &Value) -> &Map<String, Value> {
    value.as_object().unwrap_or_else(|| panic!("an object, not {value}"))
}

fn said(value: &Value) -> bool {
    value.as_str().is_some_and(|text| !text.trim().is_empty())
}

/// Lays one value over another: objects field by field, anything else in one piece.
fn lay_over(under: &mut Value, over: &Value) {
    match (under, over) {
        (Value::Object(under), Value::Object(over)) => {
            for (field, value) in over {
                lay_over(under.entry(field.clone()).or_insert(Value::Null), value);
            }
        }
        (under, over) => *under = over.clone(),
    }
}

/// A minute of the run.
fn at(minute: i64) -> Value {
    json!(format!("{}+01:00", date(2026, 3, 1).at(3, 30, 0, 0) + minute.minutes()))
}

fn needs_donor(test: &str) -> bool {
    !["recipient_auto", "recipient_saline"].contains(&test)
}

/// One worksheet of a case.
#[derive(Debug, Clone, Copy)]
struct Check<'a> {
    case: &'a Value,
    /// What the file says of it.
    entry: &'a Value,
    /// The citation.
    source: &'a str,
}

fn checks(book: &Value) -> Vec<Check<'_>> {
    cases(book)
        .iter()
        .flat_map(|case| {
            let source = book["sources"][word(&case["source"])].as_str().unwrap_or("no source");
            list(&case["checks"]).iter().map(move |entry| Check { case, entry, source })
        })
        .collect()
}

impl Check<'_> {
    /// The case, the check and the source, for a person to find it by.
    fn title(&self) -> String {
        let (id, name) = (word(&self.case["id"]), word(&self.entry["name"]));
        format!("{id} `{name}` [{}]", self.source)
    }

    fn word_or(&self, field: &str, otherwise: &'static str) -> &str {
        self.entry[field].as_str().unwrap_or(otherwise)
    }

    fn species(&self) -> &str {
        word(&self.entry["species"])
    }

    fn is_slide(&self) -> bool {
        self.entry["method"] == "slide"
    }

    /// The protocol, under an id of its own where it differs from the one that ships.
    fn protocol(&self) -> Value {
        let wanted = &self.entry["protocol"];
        let own = format!("{}-routine", self.species());
        let base = wanted["base"].as_str().unwrap_or(&own);
        let mut protocol: Value = serde_json::from_str(&shipped_protocol_text(base))
            .unwrap_or_else(|fault| panic!("{}: `{base}`: {fault}", self.title()));
        if wanted.is_object() {
            for (pointer, value) in object(&wanted["set"]) {
                let place = protocol.pointer_mut(pointer);
                *place.unwrap_or_else(|| panic!("{}: no `{pointer}`", self.title())) =
                    value.clone();
            }
            protocol["id"] = json!(format!("{base}-{}", word(&self.case["id"])));
        }
        protocol
    }

    /// An animal on which nothing is amiss.
    fn animal(&self, id: &str) -> Value {
        let types = match self.species() {
            "dog" => json!([{ "system": "DEA 1", "result": "negative" }]),
            "cat" => json!([{ "system": "AB", "result": "A" }]),
            "horse" => json!([
                { "system": "Aa", "result": "negative" },
                { "system": "Ca", "result": "negative" },
                { "system": "Qa", "result": "negative" },
            ]),
            _ => json!([]),
        };
        let history = json!({ "transfused": "never", "pregnant": "never", "reaction": "never" });
        json!({ "id": id, "species": self.species(), "types": types, "history": history })
    }

    fn recipient(&self) -> Value {
        let mut recipient = self.animal("R-1");
        if self.entry["recipient"].is_object() {
            lay_over(&mut recipient, &self.entry["recipient"]);
        }
        recipient
    }

    fn donors(&self) -> Vec<Value> {
        let wanted = &self.entry["donors"];
        let overs: Vec<Value> = if let Some(donors) = wanted.as_array() {
            donors.clone()
        } else {
            let mut fields = wanted.as_object().cloned().unwrap_or_default();
            let count = fields.remove("count").or_else(|| wanted.is_u64().then(|| wanted.clone()));
            let count = count.as_ref().and_then(Value::as_u64).unwrap_or(1);
            (0..count).map(|_| Value::Object(fields.clone())).collect()
        };
        (1..)
            .zip(overs)
            .map(|(number, over)| {
                let mut donor = self.animal(&format!("D-{number}"));
                donor["product"] = self.entry["product"].clone();
                lay_over(&mut donor, &over);
                donor
            })
            .collect()
    }

    fn donor_ids(&self) -> Vec<String> {
        self.donors().iter().map(|donor| word(&donor["id"]).to_owned()).collect()
    }

    fn samples(&self, of: &[&Value]) -> Vec<Value> {
        let changes = list(&self.entry["samples"]);
        of.iter()
            .map(|animal| {
                let id = word(&animal["id"]);
                let mut sample = json!({
                    "id": format!("S-{id}"), "of": id, "role": "plasma", "tube": "serum",
                    "drawn_at": at(-120), "stored": "fridge", "hemolysis": 0, "label_id": id,
                });
                for change in changes.iter().filter(|change| change["of"] == *id) {
                    lay_over(&mut sample, change);
                }
                sample
            })
            .collect()
    }

    /// The readings that a check gives, one for each donor that they are taken for.
    fn given_readings(&self, donors: &[String]) -> Vec<Value> {
        let spread = |given: &Value| -> Vec<Value> {
            let mut reading = given.clone();
            if self.is_slide() && reading.get("seconds").is_none() {
                reading["seconds"] = json!(120);
            }
            if !needs_donor(word(&given["test"])) {
                return vec![reading];
            }
            let named: Vec<String> = match &given["donor"] {
                Value::Null => donors.to_vec(),
                Value::String(id) => vec![id.clone()],
                several => words(several).into_iter().map(str::to_owned).collect(),
            };
            named
                .into_iter()
                .map(|id| {
                    let mut reading = reading.clone();
                    reading["donor"] = json!(id);
                    reading
                })
                .collect()
        };
        list(&self.entry["readings"]).iter().flat_map(spread).collect()
    }

    /// Negative looks at a test at every phase, for whomever the given readings leave it out.
    fn added_readings(&self, test: &str, given: &[Value], donors: &[String]) -> Vec<Value> {
        let phases: BTreeSet<&str> = given.iter().map(|one| word(&one["phase"])).collect();
        let whose: Vec<Option<&String>> =
            if needs_donor(test) { donors.iter().map(Some).collect() } else { vec![None] };
        let mut added = Vec::new();
        for donor in whose {
            let has_it = |one: &Value| {
                one["test"] == *test
                    && one.get("donor").and_then(Value::as_str) == donor.map(String::as_str)
            };
            if given.iter().any(has_it) {
                continue;
            }
            for &phase in &phases {
                let mut look = json!({ "test": test, "phase": phase, "agglutination": "0" });
                if let Some(id) = donor {
                    look["donor"] = json!(id);
                }
                if self.is_slide() {
                    look["seconds"] = json!(120);
                } else {
                    look["hemolysis"] = json!(0);
                }
                if self.entry["method"] == "tube" && phase == "antiglobulin" {
                    look["check_cells"] = json!("2+");
                }
                added.push(look);
            }
        }
        added
    }

    /// Every reading, with its time and its reader.
    fn readings(&self, donors: &[String]) -> Vec<Value> {
        let given = self.given_readings(donors);
        let controls: &[&str] = match self.word_or("controls", "negative") {
            "negative" => &["recipient_auto", "donor_auto"],
            "recipient" => &["recipient_auto"],
            _ => &[],
        };
        let minor: &[&str] =
            if self.word_or("minor", "negative") == "negative" { &["minor"] } else { &[] };
        let mut readings: Vec<Value> = controls
            .iter()
            .chain(minor)
            .flat_map(|test| self.added_readings(test, &given, donors))
            .collect();
        readings.extend(given);
        for (minute, reading) in (0..).zip(&mut readings) {
            let mut filled = json!({ "at": at(minute), "by": "KT" });
            if reading.get("retracted").is_some() {
                filled["retracted"] = json!({ "at": at(minute + 300), "by": "KT" });
            }
            lay_over(&mut filled, reading);
            *reading = filled;
        }
        readings
    }

    /// The whole worksheet.
    fn worksheet(&self, protocol: &Value) -> Value {
        let (recipient, donors) = (self.recipient(), self.donors());
        let animals: Vec<&Value> = std::iter::once(&recipient).chain(&donors).collect();
        let mut setup = json!({ "complement": "fresh_serum" });
        if self.entry["setup"].is_object() {
            lay_over(&mut setup, &self.entry["setup"]);
        }
        let mut worksheet = json!({
            "format": "crossread.worksheet/1",
            "id": format!("WS-{}", word(&self.case["id"])),
            "protocol": { "id": protocol["id"], "version": protocol["version"] },
            "method": self.entry["method"],
            "recipient": recipient,
            "donors": donors,
            "samples": self.samples(&animals),
            "setup": setup,
            "readings": self.readings(&self.donor_ids()),
        });
        if let Some(controls) = self.entry.get("reagent_controls") {
            worksheet["reagent_controls"] = controls.clone();
        }
        worksheet
    }

    /// The interpretation, or what the engine said instead of one.
    fn interpretation(&self) -> Result<Value, String> {
        let protocol = self.protocol();
        let worksheet = self.worksheet(&protocol).to_string();
        let protocol = protocol.to_string();
        // A worksheet at fault panics without saying which of the cases it was.
        catch_unwind(AssertUnwindSafe(|| interpret_json(&worksheet, &protocol))).map_err(|fault| {
            let text = fault.downcast_ref::<String>().cloned();
            text.unwrap_or_else(|| "the engine panicked".to_owned())
        })
    }

    /// Where an interpretation is not what the source leads to.
    fn failures(&self, interpretation: &Value) -> Vec<String> {
        let expect = &self.entry["expect"];
        let slugs = |findings: &Value| -> BTreeSet<String> {
            list(findings).iter().map(|finding| word(&finding["slug"]).to_owned()).collect()
        };
        let mut failures = Vec::new();
        let pairs = list(&interpretation["pairs"]);
        let donors: Vec<&str> = pairs.iter().map(|pair| word(&pair["donor"])).collect();
        if donors != self.donor_ids() {
            failures.push(format!("the donors are {donors:?}"));
        }
        for pair in pairs {
            let donor = word(&pair["donor"]);
            let found = slugs(&pair["findings"]);
            let mut fail = |what: String| {
                failures.push(format!("{donor}: {what}\n      its findings: {found:?}"));
            };
            for (key, pointer) in OF_DONORS {
                let wanted = expect[key].get(donor).or_else(|| expect[key].get("*"));
                let is = pair.pointer(pointer).unwrap_or(&Value::Null);
                if let Some(wanted) = wanted
                    && wanted != is
                {
                    fail(format!("{key} is {is}, and should be {wanted}"));
                }
            }
            for slug in words(&expect["include"]) {
                if !found.contains(slug) {
                    fail(format!("`{slug}` is missing"));
                }
            }
            for slug in words(&expect["exclude"]) {
                if found.contains(slug) {
                    fail(format!("`{slug}` should not be there"));
                }
            }
        }
        let panel = slugs(&interpretation["panel"]);
        for slug in words(&expect["panel"]) {
            if !panel.contains(slug) {
                failures.push(format!("the panel lacks `{slug}`; it has {panel:?}"));
            }
        }
        for slug in words(&expect["panel_exclude"]) {
            if panel.contains(slug) {
                failures.push(format!("the panel should not have `{slug}`"));
            }
        }
        failures
    }
}

/// Fails with all complaints at once.
fn assert_none(what: &str, complaints: &[String]) {
    assert!(complaints.is_empty(), "{what}:\n  {}", complaints.join("\n  "));
}

/// What stands in an object beside the keys that it may have.
fn strangers(title: &str, value: &Value, known: &[&str]) -> Vec<String> {
    let unknown = object(value).keys().filter(|key| !known.contains(&key.as_str()));
    unknown.map(|key| format!("{title}: unknown key `{key}`")).collect()
}

#[test]
fn the_engine_concludes_what_was_published() {
    let book = book();
    let mut complaints = Vec::new();
    for check in checks(&book) {
        let failures = match check.interpretation() {
            Ok(interpretation) => check.failures(&interpretation),
            Err(fault) => vec![fault],
        };
        complaints.extend(failures.iter().map(|one| format!("{}\n    {one}", check.title())));
    }
    assert_none("the engine and what was published differ", &complaints);
}

#[test]
fn every_row_is_there_once_as_checks_or_with_a_reason() {
    let book = book();
    let ids: BTreeSet<&str> = cases(&book).iter().map(|case| word(&case["id"])).collect();
    assert_eq!(cases(&book).len(), ROWS, "rows");
    assert_eq!(ids.len(), ROWS, "different ids");
    let mut complaints = Vec::new();
    for case in cases(&book) {
        let id = word(&case["id"]);
        let checked = !list(&case["checks"]).is_empty();
        if checked == said(&case["not_expressed"]) {
            complaints.push(format!("{id}: either `checks` or `not_expressed`, and one of them"));
        }
        let names: BTreeSet<&str> =
            list(&case["checks"]).iter().map(|check| word(&check["name"])).collect();
        if names.len() != list(&case["checks"]).len() {
            complaints.push(format!("{id}: two checks of one name"));
        }
    }
    assert_none("rows", &complaints);
}

#[test]
fn every_fact_has_its_source_and_says_how_it_is_known() {
    let book = book();
    let sources = object(&book["sources"]);
    let mut complaints = strangers("the file", &book, &["about", "sources", "cases"]);
    let known = ["id", "source", "read", "mark", "fact", "assumed", "checks", "not_expressed"];
    for case in cases(&book) {
        let id = word(&case["id"]);
        complaints.extend(strangers(id, case, &known));
        if !sources.contains_key(word(&case["source"])) {
            complaints.push(format!("{id}: unknown source `{}`", word(&case["source"])));
        }
        let mark = word(&case["mark"]);
        if !["READ", "from memory", "common practice"].contains(&mark) {
            complaints.push(format!("{id}: unknown mark `{mark}`"));
        }
        if (mark == "from memory") != (case["read"] == "from memory") {
            complaints.push(format!("{id}: `read` and `mark` disagree"));
        }
        let needed: &[&str] =
            if said(&case["not_expressed"]) { &["fact"] } else { &["fact", "assumed"] };
        complaints.extend(
            needed.iter().filter(|key| !said(&case[**key])).map(|key| format!("{id}: no `{key}`")),
        );
    }
    let cited: BTreeSet<&str> = cases(&book).iter().map(|case| word(&case["source"])).collect();
    for (key, citation) in sources {
        if !said(citation) {
            complaints.push(format!("`{key}` has no citation"));
        }
        if !cited.contains(key.as_str()) {
            complaints.push(format!("`{key}` is cited nowhere"));
        }
    }
    assert_none("sources", &complaints);
}

#[test]
fn every_check_expects_something_of_donors_and_findings_that_exist() {
    let book = book();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../crates/core/src/findings");
    let known = [
        "name",
        "species",
        "method",
        "product",
        "protocol",
        "recipient",
        "donors",
        "samples",
        "setup",
        "reagent_controls",
        "readings",
        "controls",
        "minor",
        "expect",
        "difference",
    ];
    let mut complaints = Vec::new();
    for check in checks(&book) {
        let title = check.title();
        let expect = &check.entry["expect"];
        complaints.extend(strangers(&title, check.entry, &known));
        let donors = check.donor_ids();
        for (key, value) in object(expect) {
            if OF_FINDINGS.contains(&key.as_str()) {
                for slug in words(value) {
                    // A misspelled finding would be missing from every pair, and so would pass
                    // wherever it must be missing.
                    if !folder.join(format!("{}.rs", slug.replace('-', "_"))).is_file() {
                        complaints.push(format!("{title}: there is no finding `{slug}`"));
                    }
                }
            } else if OF_DONORS.iter().any(|(of, _)| of == key) {
                let strange = object(value).keys().filter(|id| *id != "*" && !donors.contains(id));
                complaints.extend(strange.map(|id| format!("{title}: `{key}` of nobody, `{id}`")));
            } else {
                complaints.push(format!("{title}: unknown expectation `{key}`"));
            }
        }
        if object(expect)
            .values()
            .all(|value| value.as_object().is_none_or(Map::is_empty) && list(value).is_empty())
        {
            complaints.push(format!("{title}: nothing is expected"));
        }
        for verdict in expect["verdict"].as_object().into_iter().flat_map(Map::values) {
            if !VERDICTS.contains(&word(verdict)) {
                complaints.push(format!("{title}: unknown verdict {verdict}"));
            }
        }
    }
    assert_none("expectations", &complaints);
}

#[test]
fn every_change_to_a_protocol_changes_something_and_says_why() {
    let book = book();
    let mut changed = 0;
    let mut complaints = Vec::new();
    for check in checks(&book).into_iter().filter(|check| check.entry.get("protocol").is_some()) {
        changed += 1;
        let title = check.title();
        let wanted = &check.entry["protocol"];
        complaints.extend(strangers(&title, wanted, &["base", "set", "why"]));
        if !said(&wanted["why"]) {
            complaints.push(format!("{title}: no `why`"));
        }
        let shipped: Value =
            serde_json::from_str(&shipped_protocol_text(word(&wanted["base"]))).unwrap();
        for (pointer, value) in object(&wanted["set"]) {
            match shipped.pointer(pointer) {
                None => complaints.push(format!("{title}: the protocol has no `{pointer}`")),
                Some(before) if before == value => {
                    complaints.push(format!("{title}: `{pointer}` is {value} anyhow"));
                }
                Some(_) => {}
            }
        }
    }
    assert!(changed > 0, "no check has a protocol of its own");
    assert_none("protocols", &complaints);
}

/// A fact that ends otherwise than here must say so: these are the ways in which it may.
#[test]
fn a_difference_is_told_and_no_reaction_is_freed_by_it() {
    let book = book();
    let mut told = 0;
    let mut complaints = Vec::new();
    for check in checks(&book) {
        let Some(difference) = check.entry.get("difference") else { continue };
        told += 1;
        let title = check.title();
        if !said(difference) {
            complaints.push(format!("{title}: `difference` says nothing"));
        }
        let interpretation = match check.interpretation() {
            Ok(interpretation) => interpretation,
            Err(fault) => {
                complaints.push(format!("{title}: {fault}"));
                continue;
            }
        };
        for pair in list(&interpretation["pairs"]) {
            let decides: &[&str] = match word(&pair["product"]) {
                "plasma" => &["minor"],
                "whole_blood" => &["major", "minor"],
                _ => &["major"],
            };
            let reacts = decides.iter().any(|test| pair[*test]["conclusion"] != "nonreactive");
            if reacts && pair["releasable"] == true {
                complaints.push(format!("{title}: {} is freed though it reacts", pair["donor"]));
            }
        }
    }
    assert!(told > 0, "no check has a difference");
    assert_none("differences", &complaints);
}
