//! Messages to other programs: what is written comes back, and no change of it frees a unit.

use std::process::Command;

use crossread_core::document::Time;
use crossread_core::interpretation::Issued;
use crossread_core::words::Verdict;
use crossread_exchange::{CannotConvert, Message, from_fhir, from_hl7, to_fhir, to_hl7};
use crossread_tests::corpus::{Corpus, WORKSHEETS};
use crossread_tests::example_names;
use rstest::rstest;
use serde_json::{Value, json};

use crate::engine::{interpret_shipped, project, text};

fn at() -> Time {
    Time::new("2026-03-01T04:00:00+01:00").unwrap()
}

fn of_worksheet(worksheet: &str) -> Result<Message, CannotConvert> {
    let interpretation = interpret_shipped(worksheet).to_string();
    Message::new(worksheet.as_bytes(), Issued::from_json(interpretation.as_bytes()).unwrap())
}

fn example(name: &str) -> Message {
    of_worksheet(&text(&format!("examples/{name}/worksheet.json"))).unwrap()
}

fn fhir(message: &Message) -> Value {
    to_fhir(message, at()).unwrap()
}

fn hl7(message: &Message) -> String {
    to_hl7(message, at()).unwrap()
}

/// Why a message is refused.
fn why(result: Result<Message, CannotConvert>) -> String {
    result.unwrap_err().to_string()
}

fn comes_back(message: &Message, what: &str) {
    let bundle = fhir(message).to_string();
    let back = from_fhir(bundle.as_bytes()).unwrap_or_else(|why| panic!("{what}:\n{why}"));
    assert_eq!(back, *message, "{what} as FHIR");
    let written = hl7(message);
    let back = from_hl7(written.as_bytes()).unwrap_or_else(|why| panic!("{what}:\n{why}"));
    assert_eq!(back, *message, "{what} as HL7");
}

#[test]
fn every_example_comes_back_word_for_word() {
    for name in example_names().unwrap() {
        let message = example(&name);
        comes_back(&message, &name);
        let issued = text(&format!("examples/{name}/interpretation.json"));
        let issued: Value = serde_json::from_str(&issued).unwrap();
        let sheet = text(&format!("examples/{name}/worksheet.json"));
        let sheet: Value = serde_json::from_str(&sheet).unwrap();
        let back = from_hl7(hl7(&message).as_bytes()).unwrap();
        let back = serde_json::to_value(back).unwrap();
        assert_eq!(back["interpretation"], issued, "{name}");
        let readings = back["readings"].as_array().unwrap();
        assert_eq!(readings.len(), sheet["readings"].as_array().unwrap().len(), "{name}");
        assert_eq!(back["recipient"]["name"], sheet["recipient"]["name"], "{name}");
        assert_eq!(back["donors"][0]["unit"], sheet["donors"][0]["unit"], "{name}");
    }
}

/// One of so many is tried, or with `CROSSREAD_EXCHANGE=full` each.
#[expect(clippy::disallowed_methods, reason = "a longer run is asked for from outside")]
fn one_of(usual: usize) -> usize {
    let full = std::env::var("CROSSREAD_EXCHANGE").is_ok_and(|what| what == "full");
    if full { 1 } else { usual }
}

/// F76, over the corpus: some of it, or with `CROSSREAD_EXCHANGE=full` all.
#[test]
#[expect(clippy::print_stdout, reason = "says how many were tried")]
fn the_corpus_comes_back() {
    let corpus = Corpus::new();
    let mut tried = 0;
    for number in (0..WORKSHEETS).step_by(one_of(97)) {
        let (document, _) = corpus.document(number);
        let answer = serde_json::to_vec(&corpus.answer(number)).unwrap();
        let issued = Issued::from_json(&answer).unwrap();
        let message = Message::new(document.as_bytes(), issued).unwrap();
        comes_back(&message, &format!("worksheet {number}"));
        tried += 1;
    }
    println!("{tried} worksheets, there and back, as FHIR and HL7");
    assert!(tried > 200);
}

/// Every value of a document with everything inside it, as pointers.
fn pointers(document: &Value) -> Vec<String> {
    let (mut found, mut open) = (Vec::new(), vec![String::new()]);
    while let Some(pointer) = open.pop() {
        match document.pointer(&pointer).unwrap() {
            Value::Object(fields) => {
                open.extend(fields.keys().map(|key| format!("{pointer}/{key}")));
            }
            Value::Array(elements) => {
                open.extend((0..elements.len()).map(|index| format!("{pointer}/{index}")));
            }
            _ => {}
        }
        found.push(pointer);
    }
    found.retain(|pointer| !pointer.is_empty());
    found
}

/// Takes away, or puts another value in place of, whatever stands at a pointer.
fn changed(document: &Value, pointer: &str, change: &str) -> Value {
    let mut other = document.clone();
    let (outside, key) = pointer.rsplit_once('/').unwrap();
    match (change, other.pointer_mut(outside).unwrap()) {
        ("gone", Value::Object(fields)) => drop(fields.remove(key)),
        ("gone", Value::Array(elements)) => drop(elements.remove(key.parse().unwrap())),
        ("twice", Value::Array(elements)) => {
            let index: usize = key.parse().unwrap();
            elements.insert(index, elements[index].clone());
        }
        ("swapped", Value::Array(elements)) => elements.reverse(),
        (_, _) => {
            let place = other.pointer_mut(pointer).unwrap();
            *place = match (change, &*place) {
                ("compatible", Value::String(_)) => json!("compatible"),
                ("note", Value::String(_)) => json!("note"),
                ("other", Value::String(text)) => json!(format!("{text}x")),
                ("other", Value::Bool(value)) => json!(!value),
                ("other", Value::Number(number)) => json!(number.as_u64().unwrap() + 1),
                ("null", _) => Value::Null,
                (_, same) => same.clone(),
            };
        }
    }
    other
}

/// H16: no single change of a message, whichever, is read as another message.
#[rstest]
fn no_single_change_of_fhir_is_read_as_another_message(
    #[values("gone", "twice", "swapped", "compatible", "note", "other", "null")] change: &str,
) {
    let message = example("hemolysis-only");
    let bundle = fhir(&message);
    let all = pointers(&bundle);
    assert!(all.len() > 1000, "{}", all.len());
    let mut refused = 0;
    for pointer in all.into_iter().step_by(one_of(11)) {
        let other = changed(&bundle, &pointer, change);
        if other == bundle {
            continue;
        }
        match from_fhir(other.to_string().as_bytes()) {
            Ok(read) => assert_eq!(read, message, "{pointer} {change}"),
            Err(_) => refused += 1,
        }
    }
    assert!(refused > 5, "{refused}");
}

#[rstest]
fn no_single_change_of_hl7_is_read_as_another_message(
    #[values("", "compatible^compatible^L", "note^note^L", "Y^Yes^HL70136", "\"\"", "x", "0")]
    instead: &str,
) {
    let message = example("hemolysis-only");
    let written = hl7(&message);
    let segments: Vec<_> = written.split('\r').filter(|segment| !segment.is_empty()).collect();
    let (mut met, mut tried, mut refused) = (0, 0, 0);
    let mut read = |segments: &[String], what: &str| {
        met += 1;
        if met % one_of(11) > 0 {
            return;
        }
        tried += 1;
        match from_hl7(segments.join("\r").as_bytes()) {
            Ok(read) => assert_eq!(read, message, "{what}"),
            Err(_) => refused += 1,
        }
    };
    let owned: Vec<String> = segments.iter().map(ToString::to_string).collect();
    for (number, segment) in segments.iter().enumerate() {
        let fields: Vec<_> = segment.split('|').collect();
        for field in 0..fields.len() {
            let mut other: Vec<_> = fields.clone();
            other[field] = instead;
            let mut all = owned.clone();
            all[number] = other.join("|");
            read(&all, &format!("segment {number}, field {field}"));
        }
        let mut without = owned.clone();
        without.remove(number);
        read(&without, &format!("without segment {number}"));
        let mut twice = owned.clone();
        twice.insert(number, (*segment).to_owned());
        read(&twice, &format!("segment {number} twice"));
    }
    assert!(tried > 50 && refused > 30, "{refused} of {tried}");
}

#[test]
fn what_a_server_adds_means_nothing() {
    let message = example("three-donors-compared");
    let mut bundle = fhir(&message);
    bundle["id"] = json!("b-1");
    bundle["meta"] = json!({ "versionId": "3" });
    let entries = bundle["entry"].as_array_mut().unwrap();
    entries.reverse();
    for (number, entry) in entries.iter_mut().enumerate() {
        entry["resource"]["id"] = json!(format!("r-{number}"));
        entry["resource"]["meta"] = json!({ "lastUpdated": "2026-03-02T00:00:00Z" });
        entry["resource"]["language"] = json!("en");
    }
    let mut written = bundle.to_string();
    let url = |number: usize| bundle["entry"][number]["fullUrl"].as_str().unwrap().to_owned();
    for number in 0..bundle["entry"].as_array().unwrap().len() {
        written = written.replace(&url(number), &format!("http://127.0.0.1/fhir/X/{number}"));
    }
    assert_eq!(from_fhir(written.as_bytes()), Ok(message));
}

#[rstest]
#[case::a_modifier("/entry/3/resource/modifierExtension", json!([{ "url": "x", "valueBoolean": true }]), "modifierExtension")]
#[case::implicit_rules("/entry/3/resource/implicitRules", json!("x"), "implicitRules")]
#[case::status("/entry/0/resource/status", json!("preliminary"), "report/status")]
#[case::a_second_coding("/entry/4/resource/valueCodeableConcept/coding/1", json!({ "system": "x", "code": "y" }), "valueCodeableConcept")]
#[case::text_against_code("/entry/4/resource/valueCodeableConcept/text", json!("compatible"), "valueCodeableConcept/text")]
#[case::conclusion("/entry/0/resource/conclusion", json!("D-072: COMPATIBLE."), "report/conclusion")]
#[case::type_of_bundle("/type", json!("batch"), "/type")]
#[case::a_test("/meta", json!({ "security": [{ "code": "HTEST" }] }), "/meta/security")]
#[case::a_tag("/entry/4/resource/meta", json!({ "tag": [{ "code": "x" }] }), "/entry/4/resource/meta/tag")]
#[case::narrative("/entry/0/resource/text", json!({ "status": "generated", "div": "COMPATIBLE" }), "report/text")]
#[case::issued("/entry/0/resource/issued", json!("2026-03-09T00:00:00Z"), "report/issued")]
#[case::a_worksheet("/format", json!("crossread.worksheet/1"), "`crossread.worksheet/1`")]
fn what_is_not_known_in_fhir_is_refused(
    #[case] pointer: &str,
    #[case] value: Value,
    #[case] place: &str,
) {
    let mut bundle = fhir(&example("hemolysis-only"));
    let (outside, key) = pointer.rsplit_once('/').unwrap();
    match bundle.pointer_mut(outside).unwrap() {
        Value::Array(elements) => elements.push(value),
        fields => fields[key] = value,
    }
    let why = why(from_fhir(bundle.to_string().as_bytes()));
    assert!(why.contains(place), "{why}");
}

/// A value that is lost on both sides of the comparison would not be missed, but by the hash.
#[test]
fn what_is_lost_on_the_way_is_missed() {
    let message = example("three-donors-compared");
    let bundle = fhir(&message);
    for code in ["next_steps", "valid_until", "not_tested", "sources", "donor.unit", "hemolysis"] {
        let mut other = bundle.clone();
        let mut lost = 0;
        for entry in other["entry"].as_array_mut().unwrap() {
            let Some(Value::Array(components)) = entry["resource"].get_mut("component") else {
                continue;
            };
            let before = components.len();
            components.retain(|of| of["code"]["coding"][0]["code"] != code);
            lost += before - components.len();
        }
        match from_fhir(other.to_string().as_bytes()) {
            Ok(read) => assert!(lost == 0 && read == message, "{code}"),
            Err(_) => assert!(lost > 0, "{code}"),
        }
    }
    // A sentence in both places where it stands.
    let headline = message.interpretation().document().pairs.as_ref().unwrap();
    let headline = headline.iter().next().unwrap().1.headline.as_ref().unwrap().as_str().to_owned();
    let other = bundle.to_string().replace(&headline, "All is well.");
    assert!(why(from_fhir(other.as_bytes())).contains("run/0/sha256"));
    let written = hl7(&message);
    let last_of: Vec<_> = written.split_inclusive('\r').collect();
    for number in 0..last_of.len() {
        let next = last_of.get(number + 1).is_none_or(|next| next.starts_with("OBR"));
        if last_of[number].starts_with("OBX") && next {
            let mut without = last_of.clone();
            without.remove(number);
            assert!(from_hl7(without.concat().as_bytes()).is_err(), "{}", last_of[number]);
        }
    }
}

/// Of one worksheet several messages may be sent: none is taken for another.
#[test]
fn another_message_of_the_same_worksheet_has_other_ids_and_says_that_it_corrects() {
    let first = example("hemolysis-only");
    let second = first.clone().revised(std::num::NonZeroU32::new(2).unwrap());
    comes_back(&second, "revised");
    let control = |message: &Message, at: &str| {
        let written = to_hl7(message, Time::new(at).unwrap()).unwrap();
        written.split('|').nth(9).unwrap().to_owned()
    };
    let one = control(&first, "2026-03-01T04:00:00+01:00");
    assert_eq!(one.len(), 20);
    assert_eq!(one, control(&first, "2026-03-01T04:00:00+01:00"));
    assert_ne!(one, control(&first, "2026-03-01T04:00:01+01:00"));
    assert_ne!(one, control(&second, "2026-03-01T04:00:00+01:00"));
    let (old, new) = (fhir(&first), fhir(&second));
    assert_ne!(old["entry"][0]["fullUrl"], new["entry"][0]["fullUrl"]);
    assert_eq!(old["entry"][0]["resource"]["status"], "final");
    assert_eq!(new["entry"][0]["resource"]["status"], "corrected");
    assert_eq!(new["entry"][0]["resource"]["issued"], "2026-03-01T04:00:00+01:00");
    assert!(
        hl7(&second).contains("OBX|1|CWE|verdict^verdict^L||incompatible^incompatible^L||||||C")
    );
}

#[test]
fn unfinished_work_is_not_sent_as_final() {
    let mut met = 0;
    for name in example_names().unwrap() {
        let message = example(&name);
        let mut pairs = message.interpretation().pairs().iter();
        let incomplete = pairs.any(|pair| pair.verdict == Verdict::Incomplete);
        met += usize::from(incomplete);
        let bundle = fhir(&message);
        let status = if incomplete { "partial" } else { "final" };
        assert_eq!(bundle["entry"][0]["resource"]["status"], status, "{name}");
        for entry in bundle["entry"].as_array().unwrap() {
            let resource = &entry["resource"];
            if resource["valueCodeableConcept"]["coding"][0]["code"] == "incomplete" {
                assert_eq!(resource["status"], "preliminary", "{name}");
            }
        }
        for line in hl7(&message).split('\r') {
            if line.contains("|verdict^verdict^L||incomplete^") {
                assert!(line.ends_with("|P"), "{line}");
            }
        }
    }
    assert!(met > 0);
}

/// A hostile message is refused soon, and with a bounded report.
#[test]
fn a_message_of_very_many_records_is_refused() {
    let mut written = hl7(&example("clean-run"));
    for number in 1..40_000 {
        written += &format!("OBR|1||answer/{number}^crossread|answer^answer^L\r");
    }
    let refused = from_hl7(written.as_bytes()).unwrap_err();
    assert!(refused.as_slice().len() <= 10_001, "{}", refused.as_slice().len());
    assert!(refused.to_string().contains("at most 24 donors"));
}

#[test]
fn a_key_that_stands_twice_is_refused() {
    let bundle = fhir(&example("hemolysis-only")).to_string();
    let twice = bundle.replacen("\"resourceType\":", "\"resourceType\":\"X\",\"resourceType\":", 1);
    assert!(why(from_fhir(twice.as_bytes())).contains("the key `resourceType` twice"));
    assert!(from_fhir(b"").is_err() && from_fhir(b"[]").is_err() && from_fhir(b"{}").is_err());
    assert!(
        from_hl7(b"").is_err() && from_hl7(b"MSH").is_err() && from_hl7(b"MSH|^~\\&|").is_err()
    );
}

/// All reasons at once, each with its place.
#[test]
fn all_reasons_come_at_once() {
    let written = hl7(&example("hemolysis-only"));
    let other = written
        .replace(
            "OBX|1|CWE|verdict^verdict^L||incompatible^incompatible^L",
            "OBX|1|CWE|verdict^verdict^L||fine^fine^L",
        )
        .replace("product^product^L||", "product^product^L||milk^milk^L|")
        .replace("|2.5.1|", "|2.3|");
    let refused = from_hl7(other.as_bytes()).unwrap_err();
    let places: Vec<_> = refused.as_slice().iter().map(|wrong| wrong.place.as_str()).collect();
    for place in ["segment 1, MSH-12", "interpretation/pairs/0/verdict"] {
        assert!(places.contains(&place), "{places:?}");
    }
    assert!(places.len() >= 3, "{places:?}");
}

/// A worksheet with texts that mean something in a message, and more than one line.
fn with_texts() -> Message {
    let mut sheet: Value =
        serde_json::from_str(&text("examples/retracted-reading/worksheet.json")).unwrap();
    sheet["recipient"]["name"] = json!(r"A|B^C~D\E&F");
    sheet["recipient"]["breed"] = json!("two\r\nlines, Ünïcødé 猫 🐈, \u{a0}");
    sheet["donors"][0]["name"] = json!("x".repeat(5000));
    sheet["donors"][0]["breed"] = json!("tab\tand MSH|^~\\&|");
    of_worksheet(&sheet.to_string()).unwrap()
}

#[test]
fn texts_that_mean_something_to_a_message_come_back() {
    let message = with_texts();
    comes_back(&message, "texts");
    let written = hl7(&message);
    assert!(written.contains(r"^A\F\B\S\C\R\D\E\E\T\F|"), "{written}");
    assert!(written.contains(r"two\X0D\\X0A\lines, Ünïcødé 猫 🐈"), "{written}");
    assert!(written.contains("|TX|donor.name^donor name^L||xxx"));
    let short = |line: &str| line.split('|').nth(2) != Some("ST") || line.len() < 300;
    assert!(written.split('\r').all(short));
    assert!(!written.contains('\n') && written.ends_with('\r'));
}

#[test]
fn a_retracted_reading_is_marked_and_comes_back_retracted() {
    let message = example("retracted-reading");
    let retracted = message.readings().iter().filter(|reading| reading.retracted.is_some()).count();
    assert!(retracted > 0);
    let bundle = fhir(&message);
    let wrong = bundle["entry"].as_array().unwrap().iter();
    let wrong = wrong.filter(|entry| entry["resource"]["status"] == "entered-in-error").count();
    assert_eq!(wrong, retracted);
    let marked = |line: &&str| line.starts_with("OBX") && line.ends_with("|W");
    assert!(hl7(&message).split('\r').filter(marked).count() > 5 * retracted);
}

#[test]
fn other_delimiters_ends_and_headers_are_read() {
    let message = with_texts();
    let written = hl7(&message);
    for end in ["\n", "\r\n"] {
        assert_eq!(from_hl7(written.replace('\r', end).as_bytes()), Ok(message.clone()));
    }
    // Each delimiter for another; what was escaped stays so, as its letters say which it was.
    let plain = example("clean-run");
    let from = hl7(&plain);
    let swapped: String = from
        .chars()
        .map(|c| match c {
            '|' => '#',
            '^' => '@',
            '~' => '*',
            '\\' => '!',
            '&' => '%',
            '#' | '@' | '*' | '!' | '%' => panic!("the example has a {c}"),
            other => other,
        })
        .collect();
    assert_eq!(from_hl7(swapped.as_bytes()).as_ref(), Ok(&plain));
    let header = from.replacen("|crossread||||", "|engine|north|records|south|", 1);
    assert!(header != from);
    assert_eq!(from_hl7(header.as_bytes()), Ok(plain));
    for (what, instead) in
        [("|P|2.5.1", "|T|2.5.1"), ("ORU^R01", "ORM^O01"), ("UNICODE UTF-8", "8859/1")]
    {
        let other = from.replacen(what, instead, 1);
        assert!(other != from && from_hl7(other.as_bytes()).is_err(), "{what}");
    }
    // Without a character set a message is ASCII.
    for (text, ascii) in [(&from, true), (&written, false)] {
        let no_set = text.replacen("||||||UNICODE UTF-8", "", 1);
        assert!(no_set != *text && no_set.is_ascii() == ascii);
        assert_eq!(from_hl7(no_set.as_bytes()).is_ok(), ascii);
    }
    let mut latin = from.into_bytes();
    latin.push(0xb0);
    assert!(why(from_hl7(&latin)).contains("UTF-8"));
}

#[test]
fn what_cannot_be_written_as_it_is_is_refused() {
    let with = |change: &dyn Fn(&mut Value)| {
        let mut sheet: Value =
            serde_json::from_str(&text("examples/slide-saline-dilution/worksheet.json")).unwrap();
        change(&mut sheet);
        let message = of_worksheet(&sheet.to_string()).unwrap();
        let said = |result: Result<(), CannotConvert>| {
            result.err().map(|why| why.to_string()).unwrap_or_default()
        };
        (said(to_fhir(&message, at()).map(drop)), said(to_hl7(&message, at()).map(drop)))
    };
    let (fhir, hl7) = with(&|sheet| sheet["recipient"]["name"] = json!(""));
    assert!(fhir.contains("run/0/recipient.name") && hl7.contains("run/0/recipient.name"));
    let (fhir, hl7) = with(&|sheet| sheet["recipient"]["name"] = json!("a\u{1b}b"));
    assert!(fhir.contains("U+001B") && hl7.is_empty());
    let (fhir, hl7) = with(&|sheet| {
        let readings = sheet["readings"].as_array_mut().unwrap();
        let dilution = readings.iter_mut().find(|reading| reading.get("saline_parts").is_some());
        dilution.unwrap()["saline_parts"] = json!(4_000_000_000_u32);
    });
    assert!(fhir.contains("2147483647") && hl7.is_empty());
    let (fhir, hl7) = with(&|sheet| {
        sheet["readings"][0]["at"] = json!("2026-03-13T19:00:00.123456789+01:00");
    });
    assert!(fhir.is_empty() && hl7.contains("reading/0/at"), "{fhir} {hl7}");
    let (fhir, hl7) =
        with(&|sheet| sheet["readings"][0]["at"] = json!("2026-03-13T19:00:00+15:00"));
    assert!(fhir.contains("reading/0/at") && hl7.is_empty());
    assert_eq!(with(&|_| {}), (String::new(), String::new()));
}

#[test]
fn an_interpretation_of_another_document_is_refused() {
    let sheet = text("examples/clean-run/worksheet.json");
    let issued = |name: &str| {
        let document = text(&format!("examples/{name}/interpretation.json"));
        Issued::from_json(document.as_bytes()).unwrap()
    };
    assert!(Message::new(sheet.as_bytes(), issued("clean-run")).is_ok());
    let other = why(Message::new(sheet.as_bytes(), issued("major-2-plus")));
    assert!(other.contains("the worksheet that was interpreted"), "{other}");
    let one_space_more = format!("{sheet} ");
    assert!(Message::new(one_space_more.as_bytes(), issued("clean-run")).is_err());
}

#[test]
fn a_message_is_the_same_every_time_and_uses_local_codes_or_those_of_hl7() {
    let message = example("three-donors-compared");
    assert_eq!(fhir(&message), fhir(&message));
    let bundle = fhir(&message);
    for pointer in pointers(&bundle).iter().filter(|pointer| pointer.ends_with("/system")) {
        let system = bundle.pointer(pointer).unwrap().as_str().unwrap();
        let known = system.starts_with("urn:crossread:")
            || system.starts_with("http://terminology.hl7.org/CodeSystem/");
        assert!(known, "{system}");
    }
}

/// Both formats beside implementations of others, where `CROSSREAD_MESSAGES` names a Python that
/// has them; see `tests/messages/validate.py`.
#[test]
#[expect(clippy::print_stderr, clippy::disallowed_methods, reason = "says that it was skipped")]
fn others_find_no_fault_in_the_messages() {
    let Ok(python) = std::env::var("CROSSREAD_MESSAGES") else {
        eprintln!("SKIPPED, not passed: CROSSREAD_MESSAGES names no Python");
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let (mut bundles, mut messages) = (Vec::new(), Vec::new());
    let names = example_names().unwrap();
    let all = names.iter().map(|name| example(name)).chain([with_texts()]);
    for (number, message) in all.enumerate() {
        let file = |ending: &str| folder.path().join(format!("{number}.{ending}"));
        std::fs::write(file("json"), fhir(&message).to_string()).unwrap();
        std::fs::write(file("hl7"), hl7(&message)).unwrap();
        bundles.push(file("json"));
        messages.push(file("hl7"));
    }
    // The validators must be able to find one.
    let broken = folder.path().join("broken.json");
    let mut bundle = fhir(&example("clean-run"));
    bundle["entry"][0]["resource"]["status"] = json!(7);
    std::fs::write(&broken, bundle.to_string()).unwrap();
    let broken_message = folder.path().join("broken.hl7");
    std::fs::write(&broken_message, hl7(&example("clean-run")).replacen("OBR|1|", "QQQ|1|", 1))
        .unwrap();
    let script = project("tests/messages/validate.py");
    let validate = |kind: &str, files: &[std::path::PathBuf]| {
        let run = Command::new(&python).arg(&script).arg(kind).args(files).output().unwrap();
        (
            run.status.code(),
            String::from_utf8(run.stdout).unwrap() + &String::from_utf8(run.stderr).unwrap(),
        )
    };
    assert_eq!(validate("fhir", &[broken]).0, Some(1));
    assert_eq!(validate("hl7", &[broken_message]).0, Some(1));
    let (status, said) = validate("fhir", &bundles);
    assert_eq!(status, Some(0), "{said}");
    let (status, said) = validate("hl7", &messages);
    assert_eq!(status, Some(0), "{said}");
}
