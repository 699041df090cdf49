//! F63: a real worksheet becomes an exercise, and nothing in its bytes says whose it was.

use std::fs;
use std::io::{Cursor, Read as _};
use std::path::Path;

use crossread_core::{Protocols, Worksheet, interpret};
use crossread_teach::export::{gift, items_csv, keys_csv, moodle_xml, qti21, qti30};
use crossread_teach::marking::Options;
use crossread_teach::set::{
    Ask, CannotHide, Exercise, Kind, Wanted, answer_sheet, booklet, deidentified, key_sheet, page,
    questions,
};
use serde_json::{Value, json};
use zip::ZipArchive;

fn examples() -> Vec<(String, Vec<u8>)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let mut all: Vec<_> = fs::read_dir(folder)
        .expect("the examples")
        .filter_map(|entry| {
            let path = entry.expect("an entry").path().join("worksheet.json");
            let document = fs::read(&path).ok()?;
            Some((path.display().to_string(), document))
        })
        .collect();
    all.sort();
    all
}

/// Every text of a worksheet that could say whose it was: whatever is no word of a closed list.
fn telling(value: &Value, field: &str, found: &mut Vec<String>) {
    const TELLING: [&str; 18] = [
        "id",
        "name",
        "breed",
        "of",
        "donor",
        "number",
        "what",
        "by",
        "reason",
        "label_id",
        "remarks",
        "incompatible_with",
        "at",
        "drawn_at",
        "expires_on",
        "last_transfused_on",
        "on",
        "weight_kg",
    ];
    match value {
        Value::String(text) if TELLING.contains(&field) => {
            // Of a time the day, which is what dates somebody.
            let is_time = text.len() > 10 && text.as_bytes()[4] == b'-' && text.contains('T');
            let telling = if is_time { text.get(..10) } else { None };
            found.push(telling.unwrap_or(text).to_owned());
        }
        Value::Array(all) => all.iter().for_each(|one| telling(one, field, found)),
        Value::Object(fields) => {
            for (name, one) in fields.iter().filter(|(name, _)| *name != "protocol") {
                telling(one, name, found);
            }
        }
        Value::String(_) | Value::Null | Value::Bool(_) | Value::Number(_) => {}
    }
}

/// A set in every form in which it leaves: itself, what is printed and shown, each file for a
/// learning system, packages unpacked.
fn everything(exercise: &Exercise) -> Vec<(String, String)> {
    let asked = questions(exercise);
    let (title, id) = ("A set", "set");
    let mut all = vec![
        ("set.json".to_owned(), exercise.set().to_json()),
        ("page".to_owned(), page(exercise, &Options::default())),
    ];
    for (name, paper) in [
        ("booklet", booklet(exercise)),
        ("answer sheet", answer_sheet(exercise)),
        ("key sheet", key_sheet(exercise)),
    ] {
        all.push((name.to_owned(), crossread_print::text(&paper)));
    }
    for (name, file) in [
        ("gift", gift(title, id, &asked)),
        ("items.csv", items_csv(title, id, &asked)),
        ("keys.csv", keys_csv(title, id, &asked)),
        ("moodle", moodle_xml(title, id, &asked)),
    ] {
        let file = file.unwrap_or_else(|refused| panic!("{name}: {refused}"));
        all.push((name.to_owned(), String::from_utf8(file).expect("text")));
    }
    for (name, package) in
        [("qti21", qti21(title, id, &asked)), ("qti30", qti30(title, id, &asked))]
    {
        let package = package.unwrap_or_else(|refused| panic!("{name}: {refused}"));
        let mut archive = ZipArchive::new(Cursor::new(package)).expect("a zip");
        for at in 0..archive.len() {
            let mut file = archive.by_index(at).expect("a file");
            let name = format!("{name}/{}", file.name().expect("a name"));
            let mut content = String::new();
            file.read_to_string(&mut content).expect("text");
            all.push((format!("{name}, its name"), name.clone()));
            all.push((name, content));
        }
    }
    all
}

fn hidden(document: &[u8]) -> Result<crossread_teach::set::Made, CannotHide> {
    let protocols = Protocols::shipped();
    let worksheet = Worksheet::from_json(document, protocols).expect("a worksheet");
    let named = worksheet.protocol();
    let protocol = protocols.get(&named.id, &named.version).expect("it ships");
    let wanted = Wanted { kinds: vec![Kind::Text], ..Wanted::default() };
    deidentified(&[(&worksheet, protocol)], &wanted, protocols)
}

/// Every worked case: none of its ids, names, units, lots, people and days is in the bytes, and it
/// comes to the same verdicts.
#[test]
fn f63_nothing_is_left_of_any_worked_case() {
    let mut searched = 0;
    for (name, document) in examples() {
        let made = hidden(&document).unwrap_or_else(|error| panic!("{name}: {error}"));
        let written = everything(&made.exercise);
        let mut words = Vec::new();
        let original: Value = serde_json::from_slice(&document).expect("JSON");
        telling(&original, "", &mut words);
        // Not the word `saline`, which a lot is called and which is a word of the trade.
        words.retain(|word| {
            !["saline", "antiglobulin", "check cells", "mixed"].contains(&word.as_str())
        });
        for word in &words {
            for (form, text) in &written {
                // A reader's initials may stand within a word by chance, never as one.
                let found = if word.len() < 3 {
                    text.contains(&format!("\"{word}\""))
                } else {
                    text.contains(word.as_str())
                };
                assert!(!found, "{name}: {word} is still there, in {form}");
                searched += 1;
            }
        }
        let protocols = Protocols::shipped();
        let before = Worksheet::from_json(&document, protocols).expect("a worksheet");
        let named = before.protocol();
        let protocol = protocols.get(&named.id, &named.version).expect("it ships");
        let verdicts: Vec<_> = interpret(&before, protocol)
            .pairs
            .iter()
            .map(|pair| pair.verdict.word().to_owned())
            .collect();
        let items = made.exercise.set().items.iter();
        let keys: Vec<_> =
            items.filter(|item| item.ask == Ask::Verdict).map(|item| item.key.clone()).collect();
        assert_eq!(keys, verdicts, "{name}");
    }
    assert!(searched > 15_000, "{searched}");
}

fn clean_run() -> Value {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/clean-run");
    let document = fs::read(folder.join("worksheet.json")).expect("an example");
    serde_json::from_slice(&document).expect("JSON")
}

/// Free text and everything else that may name somebody is left out or replaced.
#[test]
fn f63_free_text_labels_and_retractions_are_taken_out() {
    let mut document = clean_run();
    document["remarks"] = json!("Brindlemoor ward 3, owner called twice");
    document["recipient"]["history"]["incompatible_with"] = json!(["D-OLD-77"]);
    document["samples"][0]["label_id"] = json!("R-WRONG-9");
    document["setup"]["lots"][0]["what"] = json!("Brindlemoor saline");
    let mut taken = document["readings"][0].clone();
    taken["retracted"] = json!({
        "at": "2026-03-13T20:20:00+01:00", "by": "Dr Vane", "reason": "mixed up with Marzipan"
    });
    document["readings"].as_array_mut().expect("readings").push(taken);
    let bytes = hidden(document.to_string().as_bytes()).expect("a set").exercise.set().to_json();
    for word in [
        "Brindlemoor",
        "ward",
        "OLD-77",
        "WRONG-9",
        "Vane",
        "Marzipan",
        "mixed up",
        "terrier",
        "9.5",
    ] {
        assert!(!bytes.contains(word), "{word}");
    }
    // The label still names another animal, which is what the case is about.
    assert!(bytes.contains("\"label_id\": \"EXA"), "{bytes}");
}

/// A word that the teacher brings back in by the title is found, and nothing comes of it.
#[test]
fn f63_a_name_in_the_title_is_found() {
    let document = clean_run().to_string();
    let protocols = Protocols::shipped();
    let worksheet = Worksheet::from_json(document.as_bytes(), protocols).expect("a worksheet");
    let named = worksheet.protocol();
    let protocol = protocols.get(&named.id, &named.version).expect("it ships");
    for title in ["The night of Clover", "the night of CLOVER", "as in ws-0131"] {
        let wanted = Wanted { title: title.to_owned(), ..Wanted::default() };
        let refused = deidentified(&[(&worksheet, protocol)], &wanted, protocols);
        let error = refused.expect_err("it is still there");
        assert_eq!(error, CannotHide::StillThere { at: "/title".to_owned() });
        assert!(!error.to_string().contains("Clover"));
    }
}

/// A dog called Major is as good as any other.
#[test]
fn f63_a_name_that_is_a_word_of_the_format() {
    let mut document = clean_run();
    document["recipient"]["name"] = json!("Major");
    document["donors"][0]["name"] = json!("Tube");
    assert!(hidden(document.to_string().as_bytes()).is_ok());
}

/// Times written under several offsets do not keep their distances when the offsets are taken
/// away: refused, if the engine then comes to something else.
#[test]
fn f63_what_would_come_to_something_else_is_refused() {
    let mut document = clean_run();
    for reading in document["readings"].as_array_mut().expect("readings") {
        if reading["test"] == "recipient_auto" {
            let at = reading["at"].as_str().expect("a time").replace("T20", "T06");
            reading["at"] = json!(at.replace("+01:00", "-13:00"));
        }
    }
    assert_eq!(hidden(document.to_string().as_bytes()).map(|_| ()), Err(CannotHide::Changed(1)));
}

#[test]
fn f63_a_local_protocol_is_refused() {
    let shipped = Protocols::shipped();
    let dogs = crate::shared::protocol(crossread_core::words::Species::Dog);
    let local = dogs.text().replacen("\"dog-routine\"", "\"brindlemoor-dogs\"", 1);
    let local = crossread_core::Protocol::from_json(local.as_bytes()).expect("a protocol");
    let protocols = shipped.clone().with(local.clone());
    let mut document = clean_run();
    document["protocol"]["id"] = json!("brindlemoor-dogs");
    let worksheet =
        Worksheet::from_json(document.to_string().as_bytes(), &protocols).expect("a worksheet");
    let wanted = Wanted::default();
    let refused = deidentified(&[(&worksheet, &local)], &wanted, &protocols);
    assert!(matches!(refused, Err(CannotHide::LocalProtocol { worksheet: 1, .. })));
}
