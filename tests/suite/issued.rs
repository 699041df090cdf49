//! Interpretations read back: what the engine writes is read word for word, and what contradicts
//! itself is refused at its place.

use crossread_core::document::FaultCode;
use crossread_core::interpretation::{Comparison, Issued};
use crossread_tests::corpus::Corpus;
use crossread_tests::example_names;
use rstest::rstest;
use serde_json::{Value, json};

use crate::engine::{interpret_json, text};
use crate::random::{case, cases};

fn example(name: &str) -> Value {
    serde_json::from_str(&text(&format!("examples/{name}/interpretation.json"))).unwrap()
}

fn faults(document: &Value) -> Vec<(FaultCode, String)> {
    let faults = Issued::from_json(document.to_string().as_bytes()).unwrap_err();
    faults.as_slice().iter().map(|fault| (fault.code, fault.pointer.clone())).collect()
}

#[test]
fn what_was_issued_is_read_back_word_for_word() {
    let mut all: Vec<Value> = example_names().unwrap().iter().map(|name| example(name)).collect();
    for seed in 0..u64::from(cases(200)) {
        let (worksheet, protocol) = case(seed);
        all.push(interpret_json(&worksheet.to_string(), &protocol.to_string()));
    }
    for document in all {
        let issued = Issued::from_json(document.to_string().as_bytes())
            .unwrap_or_else(|faults| panic!("{faults}\n{document}"));
        assert_eq!(serde_json::to_value(issued.document()).unwrap(), document);
        for (pair, written) in issued.pairs().iter().zip(document["pairs"].as_array().unwrap()) {
            assert_eq!(pair.donor.as_str(), written["donor"]);
            assert_eq!(pair.verdict.word(), written["verdict"]);
            assert_eq!(pair.verdict.is_releasable(), written["releasable"]);
            assert_eq!(pair.findings.len(), written["findings"].as_array().unwrap().len());
        }
        assert!(Comparison::of(&issued, &issued).is_empty());
    }
}

/// One place of the corpus's answers changed, of whatever kind, and it is a difference.
#[test]
fn whatever_differs_is_a_difference() {
    let corpus = Corpus::new();
    for number in (0..20_000).step_by(3_999) {
        let document = serde_json::to_value(corpus.answer(number)).unwrap();
        let old = Issued::from_json(document.to_string().as_bytes()).unwrap();
        let mut changed = 0;
        for pointer in leaves(&document) {
            let mut other = document.clone();
            let place = other.pointer_mut(&pointer).unwrap();
            *place = match &*place {
                Value::String(text) if text.len() == 64 => json!(text.replace(['1', '2'], "3")),
                Value::String(text) => json!(format!("{text} ")),
                Value::Number(number) => json!(number.as_u64().unwrap() ^ 1),
                other => other.clone(),
            };
            // Words of a list cannot be changed into no word.
            let Ok(new) = Issued::from_json(other.to_string().as_bytes()) else { continue };
            if other == document || pointer == "/engine" || pointer == "/worksheet/id" {
                continue;
            }
            changed += 1;
            assert!(!Comparison::of(&old, &new).is_empty(), "{pointer} of {document}");
        }
        assert!(changed > 20, "{changed}");
    }
}

fn leaves(document: &Value) -> Vec<String> {
    let (mut found, mut open) = (Vec::new(), vec![String::new()]);
    while let Some(pointer) = open.pop() {
        match document.pointer(&pointer).unwrap() {
            Value::Object(fields) => {
                open.extend(fields.keys().map(|key| format!("{pointer}/{key}")));
            }
            Value::Array(elements) => {
                open.extend((0..elements.len()).map(|index| format!("{pointer}/{index}")));
            }
            _ => found.push(pointer),
        }
    }
    found
}

/// H16: nothing that was read back is releasable unless its verdict's word says so.
#[rstest]
#[case::freed_by_its_flag("major-2-plus", "/pairs/0/releasable", json!(true))]
#[case::freed_by_its_word("major-2-plus", "/pairs/0/verdict", json!("compatible"))]
#[case::barred_by_its_flag("clean-run", "/pairs/0/releasable", json!(false))]
#[case::barred_by_its_word("clean-run", "/pairs/0/verdict", json!("invalid"))]
#[case::a_greater_effect("clean-run", "/pairs/0/findings/0/effect", json!("incompatible"))]
#[case::valid_without_a_verdict("major-2-plus", "/pairs/0/valid_until", json!("2026-03-20T00:00:00Z"))]
#[case::nothing_noticed("clean-run", "/pairs/0/findings", json!([]))]
#[case::an_effect_it_never_has("clean-run", "/pairs/0/findings/0/effect", json!("caveat"))]
#[case::an_order_without_a_donor("three-donors-compared", "/order", json!(["D-071"]))]
fn contradictions_are_refused(#[case] name: &str, #[case] pointer: &str, #[case] value: Value) {
    let mut document = example(name);
    *document.pointer_mut(pointer).unwrap() = value;
    let found = faults(&document);
    assert!(
        found.iter().all(|(code, _)| *code == FaultCode::InterpretationContradiction),
        "{found:?}"
    );
}

#[rstest]
#[case::verdict("/pairs/0/verdict", json!("fine"), FaultCode::UnknownWord)]
#[case::effect("/pairs/0/findings/0/effect", json!("unimportant"), FaultCode::UnknownWord)]
#[case::product("/pairs/0/product", json!("milk"), FaultCode::UnknownWord)]
#[case::a_null("/pairs/0/verdict", json!(null), FaultCode::NullValue)]
#[case::hash("/worksheet/sha256", json!("ABC"), FaultCode::OutOfRange)]
#[case::hemolysis("/pairs/0/major/hemolysis", json!(5), FaultCode::OutOfRange)]
#[case::time("/pairs/0/valid_until", json!("2026-03-20"), FaultCode::BadTime)]
#[case::format("/format", json!("crossread.interpretation/2"), FaultCode::UnknownFormat)]
#[case::no_pairs("/pairs", json!([]), FaultCode::NoDonors)]
#[case::a_list("/pairs/0/rows", json!(7), FaultCode::WrongType)]
fn what_is_not_known_is_refused(
    #[case] pointer: &str,
    #[case] value: Value,
    #[case] code: FaultCode,
) {
    let mut document = example("clean-run");
    *document.pointer_mut(pointer).unwrap() = value;
    assert!(faults(&document).contains(&(code, pointer.to_owned())), "{:?}", faults(&document));
}

#[test]
fn all_faults_come_at_once_and_fields_are_those_of_the_format() {
    let mut document = example("clean-run");
    document["pairs"][0]["verdict"] = json!("fine");
    document["pairs"][0]["safety"] = json!("high");
    document["engine"] = json!("");
    document.as_object_mut().unwrap().remove("panel");
    let found = faults(&document);
    for (code, pointer) in [
        (FaultCode::UnknownWord, "/pairs/0/verdict"),
        (FaultCode::UnknownField, "/pairs/0/safety"),
        (FaultCode::EmptyText, "/engine"),
        (FaultCode::MissingField, "/panel"),
    ] {
        assert!(found.contains(&(code, pointer.to_owned())), "{found:?}");
    }
    let twice = text("examples/clean-run/interpretation.json").replacen(
        "\"verdict\": \"compatible\",",
        "\"verdict\": \"incompatible\", \"verdict\": \"compatible\",",
        1,
    );
    let refused = Issued::from_json(twice.as_bytes()).unwrap_err();
    assert_eq!(refused.as_slice()[0].code, FaultCode::DuplicateKey);
    let mut two = example("clean-run");
    let pair = two["pairs"][0].clone();
    two["pairs"].as_array_mut().unwrap().push(pair);
    assert!(faults(&two).contains(&(FaultCode::DuplicateId, "/pairs/1/donor".to_owned())));
}

/// None that must not be released stands above one that may.
#[test]
fn an_order_against_the_verdicts_is_refused() {
    let mut document = example("three-donors-compared");
    let verdicts: Vec<_> = document["pairs"]
        .as_array()
        .unwrap()
        .iter()
        .map(|pair| pair["releasable"].clone())
        .collect();
    assert!(verdicts.contains(&json!(true)) && verdicts.contains(&json!(false)), "{verdicts:?}");
    document["order"].as_array_mut().unwrap().reverse();
    let found = faults(&document);
    assert!(!found.is_empty());
    for (code, pointer) in found {
        assert_eq!(code, FaultCode::InterpretationContradiction);
        assert!(pointer.starts_with("/order/"), "{pointer}");
    }
}

#[test]
fn what_every_answer_says_cannot_be_left_out() {
    let mut document = example("major-2-plus");
    let findings = document["pairs"][0]["findings"].as_array_mut().unwrap();
    findings.retain(|finding| finding["slug"] != "serology-only");
    let wanted = (FaultCode::InterpretationContradiction, "/pairs/0/findings".to_owned());
    assert_eq!(faults(&document), [wanted]);
}

#[test]
fn more_donors_than_a_worksheet_has_are_refused() {
    let mut document = example("clean-run");
    let pair = document["pairs"][0].clone();
    let many = (0..25).map(|number| {
        let mut pair = pair.clone();
        pair["donor"] = json!(format!("D-{number}"));
        pair
    });
    document["pairs"] = many.collect();
    document["order"] = (0..25).map(|number| json!(format!("D-{number}"))).collect();
    assert_eq!(faults(&document), [(FaultCode::TooManyDonors, "/pairs".to_owned())]);
}
