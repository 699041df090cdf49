//! Every worked case of the project, taken over into a journal, comes to what it comes to by itself.

use std::fs;
use std::path::Path;

use crossread_core::document::Text;
use crossread_core::worksheet::draft;
use crossread_core::{Interpretation, Protocols, Worksheet, interpret};
use crossread_journal::{Override, TakenOver};
use rstest::rstest;

use crate::bench::{Bench, Kind};

fn answers(interpretation: &Interpretation) -> Vec<(String, String, Vec<&'static str>)> {
    let answer = interpretation.pairs.iter().map(|pair| {
        let slugs = pair.findings.iter().map(|finding| finding.slug).collect();
        (pair.donor.to_string(), pair.verdict.word().to_owned(), slugs)
    });
    answer.collect()
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
        assert_eq!(answers(&kept), answers(&own), "{}", worksheet.id());
        taken += 1;
        let call = bench.journal.take_over(&writer, &taken_over, protocols);
        assert!(call.is_err());
    }
    assert!(taken > 30, "{taken}");
}
