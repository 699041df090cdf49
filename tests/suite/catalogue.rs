//! The catalogue of findings: complete, in one voice, and each finding raised by something and not
//! by something close to it.

use std::collections::{BTreeMap, BTreeSet};

use crossread_core::findings::CATALOGUE;
use crossread_core::words::Effect;
use serde_json::Value;

use crate::engine::{interpret_json, interpret_shipped, project, text};
use crate::random::{case, cases};
use crate::reference::near_misses;
use crate::vectors::{three_majors, vectors};
use crossread_tests::example_names;

/// The files of the folder that hold no finding.
const NO_FINDINGS: [&str; 3] = ["mod", "pair", "panel"];

#[test]
fn slugs_are_the_file_stems_and_all_are_registered() {
    let files: BTreeSet<String> = std::fs::read_dir(project("crates/core/src/findings"))
        .unwrap()
        .map(|entry| entry.unwrap().path().file_stem().unwrap().to_str().unwrap().to_owned())
        .filter(|stem| !NO_FINDINGS.contains(&stem.as_str()))
        .map(|stem| stem.replace('_', "-"))
        .collect();
    let slugs: BTreeSet<String> = CATALOGUE.iter().map(|meta| meta.slug.to_owned()).collect();
    assert_eq!(files, slugs);
    assert_eq!(slugs.len(), CATALOGUE.len(), "a slug stands twice");
}

#[test]
fn every_finding_speaks_in_one_voice() {
    let mut faults = Vec::new();
    for meta in CATALOGUE {
        let mut rule = |holds: bool, what: &str| {
            if !holds {
                faults.push(format!("{}: {what}", meta.slug));
            }
        };
        let words = format!("{} {} {}", meta.title, meta.text, meta.next_step).to_lowercase();
        let mut each = words.split(|c: char| !c.is_alphabetic());
        rule(!each.any(|word| word == "safe" || word == "safely"), "uses a word that is not ours");
        rule(meta.title.len() <= 60, "the title is over 60 characters");
        rule(!meta.title.ends_with('.'), "the title is a sentence");
        rule(meta.title.trim() == meta.title && !meta.title.is_empty(), "the title has no form");
        let sentences = meta.text.matches(". ").count() + 1;
        rule((2..=3).contains(&sentences), "the text is not of two or three sentences");
        rule(meta.text.ends_with('.'), "the text has no full stop");
        rule(meta.next_step.ends_with('.'), "the next step has no full stop");
        rule(meta.next_step.starts_with(char::is_uppercase), "the next step is no sentence");
        rule(!meta.text.contains("  ") && !meta.next_step.contains("  "), "two spaces");
        rule(!meta.sources.is_empty(), "no source");
        rule(meta.sources.iter().all(|source| source.len() > 8), "an empty source");
        rule(meta.effects.windows(2).all(|two| two[0] < two[1]), "effects out of order");
        rule(!meta.effects.is_empty(), "no effect");
    }
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

/// Where each finding was raised, and with which effects.
#[derive(Default)]
struct Seen {
    effects: BTreeMap<String, BTreeSet<String>>,
    absent: BTreeSet<String>,
}

impl Seen {
    fn note(&mut self, interpretation: &Value) {
        let mut raised = BTreeSet::new();
        let pairs = interpretation["pairs"].as_array().unwrap();
        let of_pairs = pairs.iter().flat_map(|pair| pair["findings"].as_array().unwrap());
        for finding in of_pairs.chain(interpretation["panel"].as_array().unwrap()) {
            let word = |field: &str| finding[field].as_str().unwrap().to_owned();
            self.effects.entry(word("slug")).or_default().insert(word("effect"));
            raised.insert(word("slug"));
        }
        let absent = CATALOGUE.iter().filter(|meta| !raised.contains(meta.slug));
        self.absent.extend(absent.map(|meta| meta.slug.to_owned()));
    }
}

/// A finding that is always there has no near miss, and one that asks for a mistake of the program
/// around the engine cannot be written down on a worksheet; a test of its own raises it.
const ALWAYS: &str = "serology-only";
const NOT_ON_A_WORKSHEET: &str = "protocol-differs";

#[test]
fn every_finding_is_raised_by_an_example_or_vector_and_missed_by_another() {
    let mut seen = Seen::default();
    for name in example_names().unwrap() {
        seen.note(&interpret_shipped(&text(&format!("examples/{name}/worksheet.json"))));
    }
    for vector in vectors() {
        seen.note(&interpret_shipped(&vector.worksheet.to_string()));
    }
    for near in near_misses::all() {
        for worksheet in [&near.hit, &near.miss] {
            seen.note(&interpret_json(&worksheet.to_string(), &near.protocol.to_string()));
        }
    }
    // Weak throughout, and one grade more.
    for grades in [["1+", "w", "1+s"], ["1+", "w", "2+w"]] {
        seen.note(&interpret_shipped(&three_majors(grades).to_string()));
    }
    let never: Vec<_> = CATALOGUE
        .iter()
        .map(|meta| meta.slug)
        .filter(|slug| !seen.effects.contains_key(*slug) && *slug != NOT_ON_A_WORKSHEET)
        .collect();
    assert!(never.is_empty(), "no example, vector or fixture raises {never:?}");
    let always: Vec<_> = CATALOGUE
        .iter()
        .map(|meta| meta.slug)
        .filter(|slug| !seen.absent.contains(*slug))
        .collect();
    assert_eq!(always, [ALWAYS]);
}

/// Over random worksheets no finding has an effect that it does not declare.
#[test]
fn effects_are_those_that_the_finding_declares() {
    let mut seen = Seen::default();
    for seed in 0..u64::from(cases(800).max(800)) {
        let (worksheet, protocol) = case(seed);
        seen.note(&interpret_json(&worksheet.to_string(), &protocol.to_string()));
    }
    for (slug, effects) in &seen.effects {
        let meta = crossread_core::findings::find(slug).unwrap();
        let declared: BTreeSet<String> =
            meta.effects.iter().map(|effect: &Effect| effect.word().to_owned()).collect();
        assert!(effects.is_subset(&declared), "{slug}: {effects:?} beyond {declared:?}");
    }
    let never: Vec<_> = CATALOGUE
        .iter()
        .map(|meta| meta.slug)
        .filter(|slug| !seen.effects.contains_key(*slug) && *slug != NOT_ON_A_WORKSHEET)
        .collect();
    assert!(never.is_empty(), "random worksheets never raise {never:?}");
}

/// Interpreted under rules that it was not checked against, no donor is free.
#[test]
fn another_protocol_frees_nobody() {
    use crossread_core::{Protocols, Worksheet, interpret};
    let protocols = Protocols::shipped();
    for vector in vectors() {
        let document = vector.worksheet.to_string();
        let worksheet = Worksheet::from_json(document.as_bytes(), protocols).unwrap();
        for protocol in protocols.iter() {
            let differs = protocol.digest() != worksheet.protocol().digest;
            for pair in interpret(&worksheet, protocol).pairs {
                let raised = pair.findings.iter().any(|f| f.slug == NOT_ON_A_WORKSHEET);
                assert_eq!(raised, differs, "{}", vector.id);
                assert!(!(differs && pair.releasable), "{}", vector.id);
            }
        }
    }
}
