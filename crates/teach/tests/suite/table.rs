//! The marking table by enumeration of all keys and answers, beside a table written anew from its
//! words.

use std::collections::BTreeMap;

use crossread_core::words::{Grade, Species};
use crossread_core::{Protocol, Protocols};
use crossread_teach::marking::mark;
use crossread_teach::set::{Ask, Exercise, Kind, Wanted, make};
use serde_json::{Value, json};

use crate::shared::{checked, picture, protocol, set};

const MAIN: [&str; 6] = ["0", "w", "1+", "2+", "3+", "4+"];

/// The class of an answer by the words of the table, over grades in thirteen levels.
fn by_table(
    scale: &[&str],
    doubtful_from: &str,
    reactive_from: &str,
    key: &str,
    answer: &str,
) -> &'static str {
    let level = |word: &str| Grade::ALL.iter().position(|grade| grade.word() == word).expect("one");
    let side = |word: &str| {
        usize::from(level(word) >= level(doubtful_from))
            + usize::from(level(word) >= level(reactive_from))
    };
    let is_grade = |word: &str| scale.contains(&word);
    let positive = |word: &str| word == "mixed_field" || (is_grade(word) && side(word) > 0);
    if key == answer {
        "exact"
    } else if key == "unreadable" {
        "forced"
    } else if answer == "unreadable" {
        "withheld"
    } else if key == "rouleaux" {
        // Stacks called negative: beyond the table, on the side that never frees a unit.
        if positive(answer) { "false_positive" } else { "critical" }
    } else if answer == "rouleaux" {
        if positive(key) { "critical" } else { "minor_error" }
    } else if positive(key) && !positive(answer) {
        "critical"
    } else if !positive(key) && positive(answer) {
        "false_positive"
    } else if !is_grade(key) || !is_grade(answer) || side(key) != side(answer) {
        "minor_error"
    } else {
        let place = |word: &str| scale.iter().position(|one| *one == word).expect("on the scale");
        if place(key).abs_diff(place(answer)) == 1 { "near" } else { "minor_error" }
    }
}

/// A set with one item for each key of a question.
fn each_key(
    protocols: &Protocols,
    protocol: &Protocol,
    scale: &str,
    ask: &str,
    keys: &[(String, Value)],
) -> Exercise {
    let choices: Vec<String> = keys.iter().map(|(key, _)| key.clone()).collect();
    let items: Vec<_> =
        keys.iter().map(|(key, shown)| picture(protocol, ask, shown, key, &choices)).collect();
    checked(&set(scale, &[], &items), protocols)
}

/// Every class by every pair of key and answer.
fn classes(exercise: &Exercise) -> BTreeMap<(String, String), (String, u32)> {
    let mut classes = BTreeMap::new();
    for item in &exercise.set().items {
        for word in &item.choices {
            let answer = item.ask.answer(word, exercise.set().scale).expect("a choice");
            let mark = mark(exercise, item, &answer).expect("a mark");
            let told = (mark.class.to_string(), mark.score_hundredths);
            classes.insert((item.key.clone(), word.clone()), told);
        }
    }
    classes
}

fn counted(classes: &BTreeMap<(String, String), (String, u32)>) -> BTreeMap<&str, usize> {
    let mut counts = BTreeMap::new();
    for (class, _) in classes.values() {
        *counts.entry(class.as_str()).or_insert(0) += 1;
    }
    counts
}

fn agglutination_keys(scale: &[&str]) -> Vec<(String, Value)> {
    let grades = scale.iter().map(|grade| ((*grade).to_owned(), json!({ "seen": grade })));
    let others = [
        ("mixed_field", json!({ "seen": "2+", "pattern": "clumps", "mixed_field": true })),
        ("rouleaux", json!({ "seen": "w", "pattern": "stacks" })),
        ("unreadable", json!({ "seen": "unreadable", "artefacts": ["fibrin"] })),
    ];
    grades.chain(others.map(|(key, shown)| (key.to_owned(), shown))).collect()
}

/// All 81 pairs on the main scale, under each protocol that ships.
#[test]
fn every_pair_of_main_grades() {
    for species in [Species::Dog, Species::Cat, Species::Horse] {
        let protocol = protocol(species);
        let keys = agglutination_keys(&MAIN);
        let exercise = each_key(Protocols::shipped(), protocol, "main", "agglutination", &keys);
        let classes = classes(&exercise);
        assert_eq!(classes.len(), 81);
        for ((key, answer), (class, score)) in &classes {
            assert_eq!(class, by_table(&MAIN, "rough", "w", key, answer), "{key} as {answer}");
            let scores = match class.as_str() {
                "exact" => 100,
                "near" => 50,
                _ => 0,
            };
            assert_eq!(*score, scores, "{key} as {answer}");
        }
        // Counted by hand from the table.
        let counts = [
            ("critical", 13),
            ("exact", 9),
            ("false_positive", 12),
            ("forced", 8),
            ("minor_error", 23),
            ("near", 8),
            ("withheld", 8),
        ];
        assert_eq!(counted(&classes), counts.into_iter().collect());
    }
}

/// All 256 pairs on the full scale, under rules that ship and under local cut-offs: the thresholds
/// are the protocol's, and none stands in the marking.
#[test]
fn every_pair_of_thirteen_grades_under_several_cut_offs() {
    let scale: Vec<&str> = Grade::ALL.iter().map(|grade| grade.word()).collect();
    for (doubtful, reactive) in [("rough", "w"), ("micro", "1+w"), ("w", "w"), ("1+", "2+")] {
        let mut document: Value =
            serde_json::from_str(protocol(Species::Dog).text()).expect("a protocol");
        document["id"] = json!("dog-local");
        document["doubtful_from"]["value"] = json!(doubtful);
        document["reactive_from"]["value"] = json!(reactive);
        let text = document.to_string();
        let local =
            Protocol::from_json(text.as_bytes()).unwrap_or_else(|faults| panic!("{faults}"));
        let protocols = Protocols::shipped().clone().with(local.clone());
        let keys = agglutination_keys(&scale);
        let exercise = each_key(&protocols, &local, "full", "agglutination", &keys);
        let classes = classes(&exercise);
        assert_eq!(classes.len(), 256);
        for ((key, answer), (class, _)) in &classes {
            let expected = by_table(&scale, doubtful, reactive, key, answer);
            assert_eq!(class, expected, "{key} as {answer}, {doubtful} and {reactive}");
        }
    }
}

/// All 36 pairs of hemolysis, at each cut-off that a protocol can have.
#[test]
fn every_pair_of_hemolysis() {
    for from in 1..=4_u32 {
        let mut document: Value =
            serde_json::from_str(protocol(Species::Dog).text()).expect("a protocol");
        document["id"] = json!("dog-local");
        document["hemolysis_from"]["value"] = json!(from);
        document["hemolysis_reject_from"]["value"] = json!(4);
        let local = Protocol::from_json(document.to_string().as_bytes())
            .unwrap_or_else(|faults| panic!("{faults}"));
        let protocols = Protocols::shipped().clone().with(local.clone());
        let mut keys: Vec<_> =
            (0..=4).map(|grade| (grade.to_string(), json!({ "hemolysis": grade }))).collect();
        keys.push(("unreadable".to_owned(), json!({ "seen": "unreadable" })));
        let classes = classes(&each_key(&protocols, &local, "main", "hemolysis", &keys));
        assert_eq!(classes.len(), 36);
        for ((key, answer), (class, _)) in &classes {
            let number = |word: &str| word.parse::<u32>();
            let expected = match (number(key), number(answer)) {
                _ if key == answer => "exact",
                (Err(_), _) => "forced",
                (_, Err(_)) => "withheld",
                (Ok(key), Ok(answer)) if key >= from && answer < from => "critical",
                (Ok(key), Ok(answer)) if key < from && answer >= from => "false_positive",
                (Ok(key), Ok(answer)) if key.abs_diff(answer) == 1 => "near",
                _ => "minor_error",
            };
            assert_eq!(class, expected, "{key} as {answer} from {from}");
        }
    }
}

/// All 25 pairs of what is seen under the microscope, written out.
#[test]
fn every_pair_of_patterns() {
    let keys = [
        ("free_cells", json!({ "view": "microscope" })),
        ("rouleaux", json!({ "view": "microscope", "seen": "1+", "pattern": "stacks" })),
        ("stacks_and_clumps", json!({ "view": "microscope", "seen": "1+", "pattern": "both" })),
        ("clumps", json!({ "view": "microscope", "seen": "micro", "pattern": "clumps" })),
        ("unreadable", json!({ "view": "microscope", "seen": "unreadable" })),
    ];
    let keys = keys.map(|(key, shown)| (key.to_owned(), shown));
    let exercise = each_key(Protocols::shipped(), protocol(Species::Dog), "main", "pattern", &keys);
    let classes = classes(&exercise);
    // Answers in the order of the keys.
    let table = [
        ["exact", "minor_error", "false_positive", "false_positive", "withheld"],
        ["critical", "exact", "false_positive", "false_positive", "withheld"],
        ["critical", "critical", "exact", "near", "withheld"],
        ["critical", "critical", "near", "exact", "withheld"],
        ["forced", "forced", "forced", "forced", "exact"],
    ];
    for ((key, _), row) in keys.iter().zip(table) {
        for ((answer, _), expected) in keys.iter().zip(row) {
            let (class, _) = &classes[&(key.clone(), answer.clone())];
            assert_eq!(class, expected, "{key} as {answer}");
        }
    }
}

/// All 36 pairs of verdicts, written out, on runs whose autocontrols do not matter.
#[test]
fn every_pair_of_verdicts() {
    let words = [
        "compatible",
        "compatible_with_caveats",
        "incomplete",
        "indeterminate",
        "invalid",
        "incompatible",
    ];
    let table = [
        ["exact", "near", "false_positive", "false_positive", "false_positive", "false_positive"],
        [
            "minor_error",
            "exact",
            "false_positive",
            "false_positive",
            "false_positive",
            "false_positive",
        ],
        ["critical", "critical", "exact", "near", "minor_error", "minor_error"],
        ["critical", "critical", "minor_error", "exact", "near", "minor_error"],
        ["critical", "critical", "minor_error", "minor_error", "exact", "near"],
        ["critical", "critical", "minor_error", "minor_error", "minor_error", "exact"],
    ];
    let wanted = Wanted { items: 2, kinds: vec![Kind::Text], cover: true, ..Wanted::default() };
    let made = make(&wanted, Protocols::shipped()).expect("a set");
    let exercise = &made.exercise;
    let mut runs = 0;
    for (key, row) in words.iter().zip(table) {
        let items = exercise.set().items.iter().filter(|item| {
            let truth = exercise.truth(item).expect("a truth");
            item.ask == Ask::Verdict && item.key == *key && truth.ignoring_autocontrols.is_none()
        });
        let items: Vec<_> = items.collect();
        assert!(!items.is_empty(), "{key}");
        for item in items {
            runs += 1;
            for (answer, expected) in words.iter().zip(row) {
                let given = Ask::Verdict.answer(answer, exercise.set().scale).expect("a verdict");
                let mark = mark(exercise, item, &given).expect("a mark");
                assert_eq!(mark.class.to_string(), expected, "{key} as {answer}");
            }
        }
    }
    assert!(runs > 60, "{runs}");
}

/// A reactive autocontrol that was not looked at: the verdict that would then hold is critical,
/// also where it frees nothing.
#[test]
fn a_reactive_autocontrol_ignored_is_critical() {
    let wanted = Wanted { items: 2, kinds: vec![Kind::Text], cover: true, ..Wanted::default() };
    let made = make(&wanted, Protocols::shipped()).expect("a set");
    let exercise = &made.exercise;
    for (slug, key, ignoring) in [
        // Major and autocontrol 3+: without the autocontrol, an antibody against the donor.
        ("autocontrol-explains", "indeterminate", "incompatible"),
        // Autocontrol 2+, major 0: without the autocontrol, nothing.
        ("autocontrol-reactive-test-negative", "indeterminate", "compatible"),
        // The donor's autocontrol 2+, major 0: the caveat goes unsaid.
        ("donor-autocontrol-reactive", "compatible_with_caveats", "compatible"),
    ] {
        let asked = |item: &&crossread_teach::set::Item| item.key == slug;
        let run = exercise.set().items.iter().find(asked).and_then(|item| item.run.clone());
        let verdict = exercise
            .set()
            .items
            .iter()
            .find(|item| item.ask == Ask::Verdict && item.run == run)
            .expect("a verdict is asked too");
        assert_eq!(verdict.key, key, "{slug}");
        let answer = Ask::Verdict.answer(ignoring, exercise.set().scale).expect("a verdict");
        let mark = mark(exercise, verdict, &answer).expect("a mark");
        assert_eq!(mark.class.to_string(), "critical", "{slug}");
        assert!(mark.rule.contains("autocontrol"), "{slug}: {}", mark.rule);
    }
}

/// Every finding's item with every of its choices: the key is exact, `nothing` is critical where
/// the finding stops the unit and a minor error where it does not, any other is a minor error, or
/// critical where it calls a reaction rouleaux.
#[test]
fn every_choice_of_every_finding() {
    let wanted = Wanted { items: 2, kinds: vec![Kind::Text], cover: true, ..Wanted::default() };
    let made = make(&wanted, Protocols::shipped()).expect("a set");
    let exercise = &made.exercise;
    let mut stops = 0;
    for item in exercise.set().items.iter().filter(|item| item.ask == Ask::Finding) {
        let run = exercise.run_of(item).expect("a run");
        let pair = run.pair(item.donor.as_deref().expect("a donor")).expect("a pair");
        let all = pair.findings.iter().chain(&run.interpretation.panel);
        let holds = all
            .filter(|finding| finding.slug == item.key)
            .any(|finding| !matches!(finding.effect.word(), "note" | "caveat"));
        stops += usize::from(holds);
        for word in &item.choices {
            let answer = Ask::Finding.answer(word, exercise.set().scale).expect("a finding");
            let class = mark(exercise, item, &answer).expect("a mark").class.to_string();
            let expected: &[&str] = match (word.as_str(), item.key.as_str()) {
                (word, key) if word == key => &["exact"],
                ("nothing", _) if holds => &["critical"],
                ("rouleaux-dispersed", _) if holds => &["critical", "minor_error"],
                (_, "nothing") => &["false_positive", "minor_error"],
                _ => &["minor_error"],
            };
            assert!(expected.contains(&class.as_str()), "{}: {word} is {class}", item.key);
        }
    }
    assert!(stops > 25, "{stops}");
}

/// Agglutination called rouleaux, as a finding.
#[test]
fn a_reaction_called_dispersed_rouleaux_is_critical() {
    let wanted = Wanted { items: 2, kinds: vec![Kind::Text], cover: true, ..Wanted::default() };
    let made = make(&wanted, Protocols::shipped()).expect("a set");
    let mut set: Value = serde_json::from_str(&made.exercise.set().to_json()).expect("JSON");
    let items = set["items"].as_array_mut().expect("items");
    let item = items.iter_mut().find(|item| item["key"] == "major-reactive").expect("an item");
    item["choices"] = json!(["major-reactive", "rouleaux-dispersed", "nothing"]);
    let id = item["id"].as_str().expect("an id").to_owned();
    let exercise = checked(&set, Protocols::shipped());
    let item = exercise.item(&id).expect("the item");
    let answer = Ask::Finding.answer("rouleaux-dispersed", exercise.set().scale).expect("one");
    assert_eq!(mark(&exercise, item, &answer).expect("a mark").class.to_string(), "critical");
}
