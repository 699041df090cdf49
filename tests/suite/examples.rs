//! The worked cases: what their teaching text says is what the engine gives.

use serde_json::{Value, json};

use crate::agreement::disagreement;
use crate::engine::{interpret_shipped, project, text};
use crossread_tests::example_names;

fn lines<'t>(case: &'t str, label: &str) -> Vec<&'t str> {
    case.lines().filter_map(|line| line.trim().strip_prefix(label)).map(str::trim).collect()
}

#[test]
fn every_case_text_says_what_the_engine_gives() {
    let mut faults = Vec::new();
    let names = example_names().unwrap();
    assert!(names.len() >= 15);
    for name in names {
        let case = text(&format!("examples/{name}/case.md"));
        let given = interpret_shipped(&text(&format!("examples/{name}/worksheet.json")));
        let verdicts = lines(&case, "Verdict ");
        let pairs = given["pairs"].as_array().unwrap();
        if verdicts.len() != pairs.len() {
            faults.push(format!("{name}: {} verdicts for {} donors", verdicts.len(), pairs.len()));
        }
        for verdict in verdicts {
            let (donor, verdict) = verdict.split_once(": ").expect("`Verdict DONOR: verdict`");
            let pair = pairs.iter().find(|pair| pair["donor"] == donor);
            let word = pair.map_or(&Value::Null, |pair| &pair["verdict"]);
            if word != verdict {
                faults.push(format!("{name}: {donor} is {word}, the text says {verdict}"));
            }
        }
        let all = format!("{}{}", given["pairs"], given["panel"]);
        for slugs in lines(&case, "Must include:") {
            for slug in slugs.split(',').map(|slug| slug.trim().trim_matches(['`', '.'])) {
                if !slug.is_empty() && !all.contains(&format!(r#""slug":"{slug}""#)) {
                    faults.push(format!("{name}: nothing raises {slug}"));
                }
            }
        }
        for rows in lines(&case, "Pattern rows:") {
            let wanted: Vec<u8> =
                rows.split(',').filter_map(|row| row.trim().parse().ok()).collect();
            if !pairs.iter().any(|pair| pair["rows"] == json!(wanted)) {
                faults.push(format!("{name}: no donor has rows {rows}"));
            }
        }
        for (number, line) in case.lines().enumerate() {
            if line.chars().count() > 80 && !line.contains("http") {
                faults.push(format!("{name}: case.md line {} is over 80 columns", number + 1));
            }
        }
        let plain = case.to_lowercase();
        if plain.split(|c: char| !c.is_alphabetic()).any(|word| word == "safe" || word == "safely")
        {
            faults.push(format!("{name}: uses a word that is not ours"));
        }
    }
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn both_implementations_agree_on_every_example() {
    for name in example_names().unwrap() {
        let worksheet = text(&format!("examples/{name}/worksheet.json"));
        let worksheet: Value = serde_json::from_str(&worksheet).unwrap();
        if let Some(disagreement) = disagreement(&worksheet) {
            panic!("{name}: {disagreement}");
        }
    }
}

#[test]
fn the_list_of_examples_names_every_folder() {
    let list = std::fs::read_to_string(project("examples/README.md")).unwrap();
    for name in example_names().unwrap() {
        assert!(list.contains(&name), "examples/README.md does not name {name}");
    }
}
