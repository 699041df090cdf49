//! Every worked case of the project, taken over into a journal, comes to what it comes to by itself.

use std::fs;
use std::path::Path;

use crossread_core::document::Text;
use crossread_core::worksheet::draft;
use crossread_core::{Interpretation, Protocols, Worksheet, interpret};
use crossread_journal::{Override, TakenOver};
use rstest::rstest;
use serde_json::Value;

use crate::bench::{Bench, Kind};

fn answers(interpretation: &Interpretation) -> Vec<(String, String, Vec<&'static str>)> {
    let answer = interpretation.pairs.iter().map(|pair| {
        let slugs = pair.findings.iter().map(|finding| finding.slug).collect();
        (pair.donor.to_string(), pair.verdict.word().to_owned(), slugs)
    });
    answer.collect()
}

/// The readings of a document with all that they say, in an order of their own.
fn readings(document: &[u8]) -> Vec<String> {
    let mut worksheet: Value = serde_json::from_slice(document).unwrap();
    let readings = worksheet["readings"].as_array_mut().unwrap();
    for reading in readings.iter_mut() {
        let reading = reading.as_object_mut().unwrap();
        reading.entry("by").or_insert_with(|| "not written".into());
    }
    let mut said: Vec<_> = readings.iter().map(canonical).collect();
    said.sort();
    said
}

/// The same instants and numbers, however they are written.
fn canonical(reading: &Value) -> String {
    let read = draft::Reading::from_json(reading.to_string().as_bytes()).unwrap();
    serde_json::to_string(&read).unwrap()
}

#[rstest]
fn every_example_is_taken_over(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let protocols = Protocols::shipped();
    let mut taken = 0;
    for folder in fs::read_dir(examples).unwrap() {
        let Ok(document) = fs::read(folder.unwrap().path().join("worksheet.json")) else {
            continue;
        };
        // The cases under local rules of their own are read with those rules; they are not shipped.
        let Ok(worksheet) = Worksheet::from_json(&document, protocols) else { continue };
        // A journal for each: the animals of the cases would be known from one to the other.
        let Some(mut bench) = Bench::new(kind) else { return };
        let named = worksheet.protocol();
        let own = interpret(&worksheet, protocols.get(&named.id, &named.version).unwrap());
        let draft: draft::Worksheet = serde_json::from_slice(&document).unwrap();
        let warnings = bench.journal.warnings(draft.recipient.as_ref().unwrap()).unwrap();
        let noted = warnings.iter().map(|w| Text::from(w.to_string().as_str())).collect();
        let taken_over = TakenOver {
            worksheet: draft,
            acknowledged: noted,
            overridden: Some(Override {
                by: Text::from("Dr Vane"),
                reason: Text::from("a worked case"),
            }),
        };
        let writer = crossread_journal::Writer::new(
            "KT",
            crossread_core::document::Time::new("2030-01-01T00:00:00Z").unwrap(),
        );
        bench.journal.take_over(&writer, &taken_over, protocols).unwrap();
        let kept = bench.journal.interpretation(worksheet.id()).unwrap();
        let (kept, own) = (answers(&kept), answers(&own));
        assert_eq!(kept.len(), own.len());
        for ((donor, verdict, mut slugs), own) in kept.into_iter().zip(own) {
            // An animal without a name, or a label that nobody read, was accepted by decision.
            let before = slugs.len();
            slugs.retain(|slug| *slug != "accepted-by-decision" || own.2.contains(slug));
            let verdict = match (slugs.len() < before, verdict.as_str()) {
                (true, "compatible_with_caveats") if own.1 == "compatible" => own.1.clone(),
                _ => verdict,
            };
            assert_eq!((donor, verdict, slugs), own, "{}", worksheet.id());
        }
        assert_eq!(readings(&bench.journal.view(worksheet.id()).unwrap().document), {
            readings(&document)
        });
        taken += 1;
        let call = bench.journal.take_over(&writer, &taken_over, protocols);
        assert!(call.is_err());
    }
    assert!(taken > 30, "{taken}");
}
