//! Faults of documents: each code has a document that raises it, at its place; hostile documents
//! end in a clear fault, in time and memory that grow no faster than they do.

use std::collections::BTreeSet;

use crossread_core::document::{FaultCode, Faults};
use crossread_core::protocol::SHIPPED;
use crossread_core::{Protocol, Protocols, Worksheet};
use serde_json::{Value, json};

use crate::vectors::{Species, base, major, vectors};

fn faults(document: &[u8]) -> Faults {
    Worksheet::from_json(document, Protocols::shipped()).expect_err("a fault")
}

/// Code and pointer of each fault.
fn told(faults: &Faults) -> Vec<(FaultCode, String)> {
    faults.as_slice().iter().map(|fault| (fault.code, fault.pointer.clone())).collect()
}

fn good() -> Value {
    let mut sheet = base(Species::Dog).read(major("2+")).worksheet();
    sheet["remarks"] = json!("µ");
    sheet
}

/// A good worksheet with changes at JSON Pointers; the last key may be new.
fn with(changes: &[(&str, Value)]) -> Value {
    let mut sheet = good();
    for (pointer, value) in changes {
        let (parent, key) = pointer.rsplit_once('/').unwrap();
        match sheet.pointer_mut(parent).unwrap() {
            Value::Array(list) if key == "-" => list.push(value.clone()),
            Value::Array(list) => list[key.parse::<usize>().unwrap()] = value.clone(),
            object => object[key] = value.clone(),
        }
    }
    sheet
}

fn without(pointer: &str) -> Value {
    let mut sheet = good();
    let (parent, key) = pointer.rsplit_once('/').unwrap();
    sheet.pointer_mut(parent).unwrap().as_object_mut().unwrap().remove(key).unwrap();
    sheet
}

/// Every rule of the format that one change can break: the change, and the fault it must give.
fn broken() -> Vec<(Value, FaultCode, &'static str)> {
    use FaultCode as F;
    let donor = good()["donors"][0].clone();
    let many: Vec<_> = (0..25)
        .map(|number| {
            let mut donor = donor.clone();
            donor["id"] = json!(if number == 0 { "D-1".to_owned() } else { format!("E-{number}") });
            donor
        })
        .collect();
    let recheck = json!({
        "test": "minor", "donor": "D-1", "phase": "room", "agglutination": "0", "hemolysis": 0,
        "after": "wash", "at": "2026-03-01T03:40:00+01:00"
    });
    let saline = json!({
        "test": "recipient_saline", "phase": "room", "agglutination": "0", "after": "wash",
        "at": "2026-03-01T03:40:00+01:00"
    });
    // Where the base has its readings.
    let place = |test: &str| {
        let readings = good()["readings"].as_array().unwrap().clone();
        readings.iter().position(|reading| reading["test"] == test).unwrap()
    };
    let (zero, two) = (place("minor"), place("major"));
    assert_eq!((zero, two, place("recipient_auto")), (0, 3, 1), "the base has changed");
    vec![
        (without("/id"), F::MissingField, "/id"),
        (without("/readings"), F::MissingField, "/readings"),
        (without("/recipient/species"), F::MissingField, "/recipient/species"),
        (without("/readings/0/at"), F::MissingField, "/readings/0/at"),
        (with(&[("/x", json!(1))]), F::UnknownField, "/x"),
        (with(&[("/recipient/product", json!("plasma"))]), F::UnknownField, "/recipient/product"),
        (with(&[("/donors/0/weight_kg", json!(1))]), F::UnknownField, "/donors/0/weight_kg"),
        (with(&[("/remarks", json!(null))]), F::NullValue, "/remarks"),
        (with(&[("/readings/0/by", json!(null))]), F::NullValue, "/readings/0/by"),
        (with(&[("/readings/0", json!(null))]), F::NullValue, "/readings/0"),
        (with(&[("/readings", json!({}))]), F::WrongType, "/readings"),
        (with(&[("/recipient", json!(["R-1", "dog"]))]), F::WrongType, "/recipient"),
        (with(&[("/setup/washes", json!(3.0))]), F::WrongType, "/setup/washes"),
        (with(&[("/setup/washes", json!("3"))]), F::WrongType, "/setup/washes"),
        (with(&[("/setup/washes", json!(21))]), F::OutOfRange, "/setup/washes"),
        (with(&[("/setup/washes", json!(-1))]), F::OutOfRange, "/setup/washes"),
        (with(&[("/setup/plasma_ul", json!(0))]), F::OutOfRange, "/setup/plasma_ul"),
        (with(&[("/setup/cells_percent", json!(0))]), F::OutOfRange, "/setup/cells_percent"),
        (with(&[("/setup/cells_percent", json!(4.001))]), F::OutOfRange, "/setup/cells_percent"),
        (with(&[("/setup/cells_percent", json!(100.01))]), F::OutOfRange, "/setup/cells_percent"),
        (with(&[("/recipient/weight_kg", json!(2000.01))]), F::OutOfRange, "/recipient/weight_kg"),
        (with(&[("/samples/0/hemolysis", json!(5))]), F::OutOfRange, "/samples/0/hemolysis"),
        (with(&[("/samples/0/lipemia", json!(4))]), F::OutOfRange, "/samples/0/lipemia"),
        (with(&[("/readings/0/seconds", json!(86_401))]), F::OutOfRange, "/readings/0/seconds"),
        (with(&[("/method", json!("tile"))]), F::UnknownWord, "/method"),
        (with(&[("/method", json!({ "tube": null }))]), F::WrongType, "/method"),
        (
            with(&[("/readings/0/agglutination", json!("5+"))]),
            F::UnknownWord,
            "/readings/0/agglutination",
        ),
        (
            with(&[("/readings/0/artefacts", json!(["bubbel"]))]),
            F::UnknownWord,
            "/readings/0/artefacts/0",
        ),
        (with(&[("/id", json!(""))]), F::EmptyText, "/id"),
        (
            with(&[("/recipient/types/0/on", json!("2026-02-30"))]),
            F::BadDate,
            "/recipient/types/0/on",
        ),
        (with(&[("/readings/0/at", json!("2026-03-01T03:28:10"))]), F::BadTime, "/readings/0/at"),
        (
            with(&[("/readings/0/at", json!("2026-03-01T03:28:10-00:00"))]),
            F::BadTime,
            "/readings/0/at",
        ),
        (with(&[("/format", json!("crossread.worksheet/2"))]), F::UnknownFormat, "/format"),
        (with(&[("/protocol/version", json!("9"))]), F::UnknownProtocol, "/protocol"),
        (with(&[("/recipient/species", json!("cat"))]), F::ProtocolSpecies, "/recipient/species"),
        (with(&[("/readings/0/donor", json!("D-9"))]), F::UnknownAnimal, "/readings/0/donor"),
        (with(&[("/samples/0/of", json!("D-9"))]), F::UnknownAnimal, "/samples/0/of"),
        (with(&[("/donors/-", donor)]), F::DuplicateId, "/donors/1/id"),
        (
            with(&[("/samples/1/id", good()["samples"][0]["id"].clone())]),
            F::DuplicateId,
            "/samples/1/id",
        ),
        (with(&[("/donors/0/id", json!("R-1"))]), F::DonorIsRecipient, "/donors/0/id"),
        (without("/readings/0/donor"), F::DonorNeeded, "/readings/0/donor"),
        (with(&[("/readings/1/donor", json!("D-1"))]), F::DonorNotAllowed, "/readings/1/donor"),
        (with(&[("/donors", json!([]))]), F::NoDonors, "/donors"),
        (with(&[("/donors", json!(many))]), F::TooManyDonors, "/donors"),
        (with(&[("/method", json!("slide"))]), F::PhaseNotUsed, "/readings/0/phase"),
        (with(&[("/method", json!("slide"))]), F::HemolysisNotReadable, "/readings/0/hemolysis"),
        (with(&[("/readings/0/dried", json!(false))]), F::DriedNotOnSlide, "/readings/0/dried"),
        (
            with(&[("/recipient/history/last_transfused_on", json!("2026-01-01"))]),
            F::TransfusionDateUnexplained,
            "/recipient/history/last_transfused_on",
        ),
        (
            with(&[("/donors/0/history/last_transfused_on", json!("2026-01-01"))]),
            F::TransfusionDateUnexplained,
            "/donors/0/history/last_transfused_on",
        ),
        (
            with(&[("/readings/0/after", json!("saline_dilution"))]),
            F::SalinePartsNeeded,
            "/readings/0/saline_parts",
        ),
        (
            with(&[("/readings/0/saline_parts", json!(4))]),
            F::SalinePartsNotAllowed,
            "/readings/0/saline_parts",
        ),
        (
            with(&[("/readings/0/check_cells", json!("2+"))]),
            F::CheckCellsNotAllowed,
            "/readings/0/check_cells",
        ),
        (with(&[("/readings/-", saline)]), F::SalineControlRecheck, "/readings/4/after"),
        (
            with(&[("/readings/0/mixed_field", json!(true))]),
            F::SeenOnGradeZero,
            "/readings/0/mixed_field",
        ),
        (
            with(&[("/readings/0/pattern", json!("stacks"))]),
            F::SeenOnGradeZero,
            "/readings/0/pattern",
        ),
        (with(&[("/readings/-", recheck)]), F::RecheckWithoutFirstLook, "/readings/4/after"),
        (
            with(&[("/recipient/types/0/result", json!("AB"))]),
            F::ResultNotOfSystem,
            "/recipient/types/0/result",
        ),
    ]
}

#[test]
fn every_rule_of_the_format_has_its_fault_at_its_place() {
    let mut wrong = Vec::new();
    for (sheet, code, pointer) in broken() {
        let text = serde_json::to_string_pretty(&sheet).unwrap();
        let Err(found) = Worksheet::from_json(text.as_bytes(), Protocols::shipped()) else {
            wrong.push(format!("{code} at {pointer}: no fault"));
            continue;
        };
        if !told(&found).contains(&(code, pointer.to_owned())) {
            wrong.push(format!("{code} at {pointer} is not among\n{found}"));
        }
        for fault in found.as_slice() {
            let line = text.lines().nth(fault.line - 1).unwrap_or_default();
            if fault.column > line.chars().count() + 1 {
                wrong.push(format!("{fault}: beyond its line"));
            }
            // The place is the value itself, or the object in which it is missing.
            let at = text.get(fault.span.clone()).unwrap_or_default();
            let is_there = sheet.pointer(&fault.pointer);
            let key = fault.code == FaultCode::UnknownField;
            if let (Some(Value::String(value)), false) = (is_there, key)
                && *at != format!("{value:?}")
            {
                wrong.push(format!("{fault}: points at {at}"));
            }
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn all_faults_come_at_once() {
    let sheet = with(&[
        ("/method", json!("tbue")),
        ("/recipient/species", json!("dgo")),
        ("/donors/0/product", json!("blood")),
        ("/readings/0/agglutination", json!("3+w")),
        ("/readings/1/donor", json!("D-1")),
        ("/readings/3/at", json!("yesterday")),
        ("/samples/0/of", json!("R-9")),
        ("/setup/washes", json!(99)),
        ("/extra", json!(true)),
    ]);
    let found = faults(sheet.to_string().as_bytes());
    assert_eq!(found.as_slice().len(), 9, "{found}");
    let hints: Vec<_> = found.as_slice().iter().filter_map(|f| f.hint.clone()).collect();
    for hint in ["did you mean `tube`?", "did you mean `dog`?", "`3+w` is written `2+s`"] {
        assert!(hints.iter().any(|found| found == hint), "{hint} is not among {hints:?}");
    }
}

/// What stands before the reading of fields: bytes, grammar, size.
#[test]
fn hostile_documents_give_one_clear_fault() {
    use FaultCode as F;
    let text = good().to_string();
    let deep = format!("{}{}", "[".repeat(10_000), "]".repeat(10_000));
    let deep_field = text.replacen('{', &format!("{{\"x\":{deep},"), 1);
    let eighty = format!("{}{}", "[".repeat(80), "]".repeat(80));
    let eighty = text.replacen('{', &format!("{{\"x\":{eighty},"), 1);
    let mut bad_utf8 = text.clone().into_bytes();
    bad_utf8[5] = 0xff;
    let cases: Vec<(Vec<u8>, F)> = vec![
        (b"".to_vec(), F::NotJson),
        (b" \n ".to_vec(), F::NotJson),
        (format!("\u{feff}{text}").into_bytes(), F::ByteOrderMark),
        (b"\xff\xfe{\0}\0".to_vec(), F::ByteOrderMark),
        (bad_utf8, F::InvalidUtf8),
        (text.replace("\"µ\"", "\"\\ud800\"").into_bytes(), F::LoneSurrogate),
        (text.replace("\"µ\"", "NaN").into_bytes(), F::NotANumber),
        (text.replace("\"µ\"", "-Infinity").into_bytes(), F::NotANumber),
        (text.replace("\"µ\"", "1e999").into_bytes(), F::NotANumber),
        (format!("{text}x").into_bytes(), F::TrailingText),
        (format!("{text}{text}").into_bytes(), F::TrailingText),
        (deep.into_bytes(), F::NestingTooDeep),
        (deep_field.into_bytes(), F::NestingTooDeep),
        (eighty.into_bytes(), F::NestingTooDeep),
        (text.replace("\"µ\"", "\"a\tb\"").into_bytes(), F::NotJson),
        (text.replace("\"µ\"", "'µ'").into_bytes(), F::NotJson),
        (text.replacen('{', "{ // note\n", 1).into_bytes(), F::NotJson),
        (text.as_bytes()[..text.len() - 1].to_vec(), F::NotJson),
        (vec![b' '; 100_000_000], F::DocumentTooLarge),
    ];
    for (document, code) in cases {
        let found = faults(&document);
        let codes: BTreeSet<_> = found.as_slice().iter().map(|fault| fault.code).collect();
        assert!(codes.contains(&code), "{code} is not among\n{found}");
    }
    let twice = text.replacen('{', "{\"id\":\"WS-0\",", 1);
    assert_eq!(told(&faults(twice.as_bytes())), [(F::DuplicateKey, "/id".to_owned())]);
    let inner = text.replacen("\"hemolysis\":0", "\"hemolysis\":0,\"hemolysis\":1", 1);
    assert_eq!(faults(inner.as_bytes()).as_slice()[0].code, F::DuplicateKey);
}

#[test]
fn broken_json_is_told_where_it_broke() {
    let found = faults("{\n  \"µµ\": 1,\n  \"a\": tru\n}".as_bytes());
    let fault = &found.as_slice()[0];
    assert_eq!((fault.code, fault.line), (FaultCode::NotJson, 3), "{fault}");
    let found = faults("{\"µµ\": \"x\", \"a\": NaN}".as_bytes());
    let fault = &found.as_slice()[0];
    assert_eq!((fault.code, fault.line, fault.column), (FaultCode::NotANumber, 1, 18), "{fault}");
}

/// Ten thousand faults are listed, the rest counted; the time is spent once for each byte.
#[test]
fn very_many_faults_are_counted() {
    let fields: Vec<_> = (0..60_000).map(|number| format!("\"x{number}\":1")).collect();
    let found = faults(format!("{{{}}}", fields.join(",")).as_bytes());
    assert_eq!(found.as_slice().len(), Faults::MOST + 1);
    let counted = found.as_slice().iter().find(|fault| fault.code == FaultCode::MoreFaults);
    // Seven required fields are missing too.
    assert!(counted.unwrap().found.starts_with("50007 "), "{counted:?}");
}

/// Every code is told by some document.
#[test]
fn every_code_is_used() {
    let mut seen: BTreeSet<FaultCode> = broken().into_iter().map(|(_, code, _)| code).collect();
    // Told by the tests above and below, and by those of interpretations.
    seen.extend([
        FaultCode::DocumentTooLarge,
        FaultCode::ByteOrderMark,
        FaultCode::InvalidUtf8,
        FaultCode::NotJson,
        FaultCode::NotANumber,
        FaultCode::LoneSurrogate,
        FaultCode::TrailingText,
        FaultCode::NestingTooDeep,
        FaultCode::DuplicateKey,
        FaultCode::MoreFaults,
        FaultCode::ProtocolMethod,
        FaultCode::UnknownSource,
        FaultCode::ProtocolContradiction,
        FaultCode::InterpretationContradiction,
    ]);
    let all: BTreeSet<_> = FaultCode::ALL.iter().copied().collect();
    assert_eq!(seen, all);
}

fn dog() -> Value {
    serde_json::from_str(SHIPPED.iter().find(|(name, _)| name.starts_with("dog")).unwrap().1)
        .unwrap()
}

#[test]
fn what_a_protocol_must_keep() {
    use FaultCode::{
        MissingField, ProtocolContradiction as Contradiction, UnknownField, UnknownSource,
    };
    let cases: Vec<(&str, Value, FaultCode, &str)> = vec![
        ("/species", json!([]), Contradiction, "/species"),
        ("/doubtful_from/value", json!("0"), Contradiction, "/doubtful_from/value"),
        ("/doubtful_from/value", json!("1+"), Contradiction, "/reactive_from/value"),
        ("/hemolysis_from/value", json!(4), Contradiction, "/hemolysis_reject_from/value"),
        ("/saline_parts/value/lo", json!(10), Contradiction, "/saline_parts/value/lo"),
        (
            "/methods/tube/tests/value/major",
            json!("optional"),
            Contradiction,
            "/methods/tube/tests/value/major",
        ),
        (
            "/methods/gel/tests/value/donor_saline",
            json!("required"),
            Contradiction,
            "/methods/gel/tests/value/donor_saline",
        ),
        (
            "/methods/slide/phases/value",
            json!({ "room": "optional" }),
            Contradiction,
            "/methods/slide/phases/value",
        ),
        ("/weak_up_to/source", json!("nobody"), UnknownSource, "/weak_up_to/source"),
        ("/weak_up_to", json!({ "value": "1+", "note": "" }), MissingField, "/weak_up_to/source"),
        ("/more", json!(1), UnknownField, "/more"),
        (
            "/methods/tube/tests/value/dat",
            json!("optional"),
            UnknownField,
            "/methods/tube/tests/value/dat",
        ),
        ("/run_max_hours", json!(null), FaultCode::NullValue, "/run_max_hours"),
        ("/hemolysis_from/value", json!(0), FaultCode::OutOfRange, "/hemolysis_from/value"),
    ];
    for (change, value, code, pointer) in cases {
        let mut protocol = dog();
        let (parent, key) = change.rsplit_once('/').unwrap();
        protocol.pointer_mut(parent).unwrap()[key] = value;
        let found = Protocol::from_json(protocol.to_string().as_bytes()).unwrap_err();
        assert!(
            told(&found).contains(&(code, pointer.to_owned())),
            "{code} at {pointer}:\n{found}"
        );
    }
    let mut no_gel = dog();
    no_gel["methods"].as_object_mut().unwrap().remove("gel");
    no_gel["id"] = json!("no-gel");
    let protocols = Protocols::new([Protocol::from_json(no_gel.to_string().as_bytes()).unwrap()]);
    let sheet = with(&[("/method", json!("gel")), ("/protocol/id", json!("no-gel"))]);
    let found = Worksheet::from_json(sheet.to_string().as_bytes(), &protocols).unwrap_err();
    assert_eq!(told(&found), [(FaultCode::ProtocolMethod, "/method".to_owned())]);
}

#[test]
fn the_protocols_that_ship_are_good() {
    assert_eq!(Protocols::shipped().iter().count(), SHIPPED.len());
    for (name, document) in SHIPPED {
        let protocol = Protocol::from_json(document.as_bytes()).unwrap_or_else(|f| panic!("{f}"));
        assert_eq!(format!("{}.json", protocol.id().as_str()), name);
        assert_eq!(protocol.version().as_str(), "1.0.0");
    }
}

/// Cut anywhere, or with any byte changed, a document ends in faults or in a worksheet, never in a
/// panic.
#[test]
fn no_cut_and_no_changed_byte_can_break_the_check() {
    let text = vectors()[0].worksheet.to_string().into_bytes();
    for end in 0..text.len() {
        drop(Worksheet::from_json(&text[..end], Protocols::shipped()).unwrap_err());
    }
    for at in 0..text.len() {
        for byte in [0, b'"', b'{', b']', b'9', b'n', 0xc3] {
            let mut other = text.clone();
            other[at] = byte;
            drop(Worksheet::from_json(&other, Protocols::shipped()));
        }
    }
}
