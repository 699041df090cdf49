//! What the journal knows of an animal makes no pair better than the worksheet alone.

use crossread_core::document::Id;
use crossread_core::interpretation::Answer;
use crossread_core::words::{Effect, Product};
use crossread_core::worksheet::draft;
use crossread_core::{Interpretation, Protocols, Worksheet, interpret};
use crossread_journal::{Reacted, Sheet, Transfused};

use super::night::Night;
use super::words::{at, donor_told, opening, reading, recipient_told, sample, text};
use crate::bench::id;

impl Night {
    /// Each pair's greatest effect as told, and as known.
    pub(super) fn knowing_is_no_better(&mut self, sheet: &Sheet) -> Vec<[Option<Effect>; 2]> {
        let Ok(view) = self.journal.view(&sheet.id) else { return Vec::new() };
        let mut told: draft::Worksheet = serde_json::from_slice(&view.document).unwrap();
        told.recipient = Some(sheet.opening().unwrap().value.recipient.clone());
        told.donors = Some(sheet.donors().map(|donor| donor.value.donor.clone()).collect());
        let told = interpreted(&serde_json::to_vec(&told).unwrap());
        let known = interpreted(&view.document);
        let both = told.pairs.iter().zip(&known.pairs);
        both.map(|(told, known)| {
            let greatest = [greatest(told), greatest(known)];
            assert!(greatest[1] >= greatest[0], "{known:?}\n{told:?}");
            assert!(!known.releasable || known.valid_until <= told.valid_until, "{sheet:?}");
            greatest
        })
        .collect()
    }

    /// Opens a worksheet for an animal with this history, and takes note of every warning.
    fn opened(&mut self, worksheet: &Id, animal: &str, history: &str) {
        let mut told = recipient_told(0, 0, 0);
        told.id = Some(id(animal));
        let history = format!("{{ {history} }}");
        told.history = Some(serde_json::from_str(&history).unwrap());
        let warnings = self.journal.warnings(&told).unwrap();
        let mut opening = opening(worksheet, told);
        opening.acknowledged = warnings.iter().map(|w| text(&w.to_string())).collect();
        let kt = self.by("KT");
        self.journal.open_worksheet(&kt, &opening, Protocols::shipped()).unwrap();
    }
}

pub(super) fn interpreted(document: &[u8]) -> Interpretation {
    let protocols = Protocols::shipped();
    let worksheet = Worksheet::from_json(document, protocols).unwrap();
    let named = worksheet.protocol();
    interpret(&worksheet, protocols.get(&named.id, &named.version).unwrap())
}

/// The gravest effect of what was found about a pair.
pub(super) fn greatest(answer: &Answer) -> Option<Effect> {
    answer.findings.iter().map(|finding| finding.effect).max()
}

/// Every history that is told, with every past that the journal knows, and samples of every age.
#[test]
fn knowing_an_animal_frees_nothing() {
    const DAY: i32 = 1_440;
    let told = [
        "",
        r#""transfused": "never""#,
        r#""transfused": "unknown""#,
        r#""transfused": "yes""#,
        r#""transfused": "yes", "last_transfused_on": "2026-02-05""#,
        r#""transfused": "yes", "last_transfused_on": "2026-02-26""#,
    ];
    let pasts: [(&str, i32); 8] = [
        ("", 0),
        ("reaction", 1),
        ("transfused", 0),
        ("transfused", 1),
        ("transfused", 3),
        ("transfused", 6),
        ("transfused", 30),
        ("told", 0),
    ];
    let drawn = [None, Some(60), Some(30 * 60), Some(2 * DAY), Some(4 * DAY), Some(10 * DAY)];
    let mut night = Night::new();
    let (mut number, mut worse) = (0, 0);
    for told in told {
        for (past, days) in pasts {
            for drawn in drawn {
                number += 1;
                night.minute = 240;
                let (animal, sheet) = (format!("R-{number}"), id(&format!("WS-{number}")));
                let kt = night.by("KT");
                let then = at(night.minute - days * DAY);
                match past {
                    "" => {}
                    "reaction" => {
                        let text = text("vomited");
                        let (animal, at) = (id(&animal), then);
                        let event = Reacted { animal, at, text, donor: None, unit: None };
                        night.journal.reacted(&kt, &event).map(drop).unwrap();
                    }
                    "transfused" => {
                        let event = Transfused {
                            animal: id(&animal),
                            at: then,
                            product: Product::PackedCells,
                            donor: None,
                            unit: None,
                            text: None,
                        };
                        night.journal.transfused(&kt, &event).map(drop).unwrap();
                    }
                    _ => {
                        let first = format!("WS-{number}-1");
                        let told = r#""transfused": "yes", "incompatible_with": ["D-091"]"#;
                        night.opened(&id(&first), &animal, told);
                    }
                }
                night.opened(&sheet, &animal, told);
                let donor = donor_told("D-091", 0, 0, false, 0);
                night.journal.enter(&kt, &sheet, donor).unwrap();
                if let Some(minutes) = drawn {
                    let sample = sample(&animal, &animal, at(night.minute - minutes), 0);
                    night.journal.enter(&kt, &sheet, sample).unwrap();
                }
                for mixture in [0, 2] {
                    let reading = reading(mixture, &id("D-091"), 0);
                    night.journal.enter(&kt, &sheet, reading).unwrap();
                }
                let sheet = night.journal.sheet(&sheet).unwrap();
                let [told, known] = night.knowing_is_no_better(&sheet)[0];
                worse += u32::from(known > told);
            }
        }
    }
    println!("{number} histories, {worse} of them graver for what is known");
    assert!(worse > number / 10, "{worse} of {number}");
}
