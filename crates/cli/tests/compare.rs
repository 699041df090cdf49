//! `crossread compare` from outside: what it tells of two files of interpretations.
#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a helper of a test may fail the test"
)]

use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use serde_json::{Value, json};
use tempfile::TempDir;

fn interpretation(example: &str) -> Value {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let file = root.join(example).join("interpretation.json");
    serde_json::from_str(&fs::read_to_string(file).unwrap()).unwrap()
}

/// The interpretation with the deciding finding of its first donor gone, as an engine that misses
/// it would give.
fn overlooked(example: &str, slug: &str, verdict: &str) -> Value {
    let mut document = interpretation(example);
    let pair = &mut document["pairs"][0];
    pair["findings"].as_array_mut().unwrap().retain(|finding| finding["slug"] != slug);
    pair["verdict"] = json!(verdict);
    pair["releasable"] = json!(verdict.starts_with("compatible"));
    document
}

struct Files(TempDir);

impl Files {
    fn of(old: &[String], new: &[String]) -> Self {
        let folder = tempfile::tempdir().unwrap();
        for (name, lines) in [("old.ndjson", old), ("new.ndjson", new)] {
            let text = lines.iter().flat_map(|line| [line.as_str(), "\n"]).collect::<String>();
            fs::write(folder.path().join(name), text).unwrap();
        }
        Self(folder)
    }

    fn compare(&self, more: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_crossread"))
            .current_dir(self.0.path())
            .args(["compare", "old.ndjson", "new.ndjson"])
            .args(more)
            .stdin(Stdio::null())
            .output()
            .unwrap()
    }

    fn lines(&self) -> (i32, Vec<Value>) {
        let output = self.compare(&["--format", "ndjson"]);
        let lines = out(&output).lines().map(|line| serde_json::from_str(line).unwrap()).collect();
        (output.status.code().unwrap(), lines)
    }
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn all(examples: &[&str]) -> Vec<String> {
    examples.iter().map(|name| interpretation(name).to_string()).collect()
}

const NIGHT: [&str; 5] =
    ["clean-run", "major-2-plus", "three-donors-compared", "unreadable-gel", "cat-type-mismatch"];

#[test]
fn the_same_twice_is_0_and_says_how_much_was_compared() {
    let mut lines = all(&NIGHT);
    // Another engine alone is no difference.
    let before = lines.clone();
    for line in &mut lines {
        *line = line.replace(r#""engine":"0.1.0""#, r#""engine":"9.9.9""#);
        assert!(line.contains("9.9.9"));
    }
    let files = Files::of(&before, &lines);
    let output = files.compare(&[]);
    assert_eq!(output.status.code(), Some(0), "{}", out(&output));
    assert!(out(&output).contains("worksheets in both"));
    let (status, told) = files.lines();
    assert_eq!((status, told.len()), (0, 1), "only the summary");
    assert_eq!(told[0]["summary"]["worksheets"], 5);
    assert_eq!(told[0]["summary"]["alike"], 5);
    assert_eq!(told[0]["summary"]["donors"], 8);
}

/// Documents of many lines, as `interpret --format json` prints them, also after each other.
#[test]
fn documents_of_many_lines_are_compared() {
    let pretty = |name| serde_json::to_string_pretty(&interpretation(name)).unwrap();
    let old = [pretty("clean-run"), pretty("major-2-plus").replace('\n', "\r\n")];
    let files = Files::of(&old, &all(&["clean-run", "major-2-plus"]));
    let (status, told) = files.lines();
    assert_eq!((status, &told[0]["summary"]["alike"]), (0, &json!(2)), "{told:?}");
    let cut = pretty("clean-run");
    let cut = cut.strip_suffix("\n}").unwrap().to_owned();
    let files = Files::of(&[cut], &all(&["clean-run"]));
    let (status, told) = files.lines();
    assert_eq!(status, 65, "one fault, and not one a line: {told:?}");
    assert_eq!(told.len(), 3, "{told:?}");
}

#[test]
fn a_verdict_that_changed_is_told_with_the_finding_that_changed_it() {
    let old = all(&NIGHT);
    let mut new = old.clone();
    new[1] = overlooked("major-2-plus", "major-reactive", "compatible").to_string();
    let files = Files::of(&old, &new);
    let text = out(&files.compare(&[]));
    let first: Vec<_> = text.lines().take(3).collect();
    assert_eq!(
        first[1..],
        [
            "  D-091: incompatible -> compatible: NOW RELEASABLE",
            "    by         major-reactive gone, was incompatible",
        ],
        "{text}"
    );
    assert!(first[0].ends_with(", line 2"), "{text}");
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    let (status, told) = files.lines();
    assert_eq!(status, 1);
    let pair = &told[0]["comparison"]["pairs"][0];
    assert_eq!((&pair["old"], &pair["new"]), (&json!("incompatible"), &json!("compatible")));
    assert_eq!(
        pair["findings"],
        json!([{ "slug": "major-reactive", "old": "incompatible", "new": null, "decides": true }])
    );
    let summary = &told[1]["summary"];
    assert_eq!(summary["now_releasable"], 1);
    assert_eq!(summary["no_longer_releasable"], 0);
    assert_eq!(summary["alike"], 4);
    assert_eq!(
        summary["verdicts"],
        json!([{ "old": "incompatible", "new": "compatible", "donors": 1 }])
    );
    assert_eq!(summary["findings"]["major-reactive"]["removed"], 1);
    assert_eq!(summary["findings"]["major-reactive"]["decided"], 1);
    // The other way round.
    let (_, told) = Files::of(&new, &old).lines();
    assert_eq!(told[1]["summary"]["no_longer_releasable"], 1);
    assert_eq!(told[1]["summary"]["findings"]["major-reactive"]["added"], 1);
}

#[test]
fn json_is_one_document_with_the_same_in_it() {
    let old = all(&NIGHT);
    let mut new = old.clone();
    new[1] = overlooked("major-2-plus", "major-reactive", "compatible").to_string();
    new.remove(3);
    let files = Files::of(&old, &new);
    let document: Value =
        serde_json::from_slice(&files.compare(&["--format", "json"]).stdout).unwrap();
    let (_, mut lines) = files.lines();
    let summary = lines.pop().unwrap();
    assert_eq!(document["format"], "crossread.comparison/1");
    assert_eq!(document["entries"], json!(lines));
    assert_eq!(document["summary"], summary["summary"]);
    assert_eq!(lines.len(), 2);
}

#[test]
fn words_and_other_effects_are_changes_too() {
    let old = all(&["clean-run", "loose-technique"]);
    let mut words = interpretation("clean-run");
    words["pairs"][0]["headline"] = json!("Other words.");
    let mut effect = interpretation("loose-technique");
    let findings = effect["pairs"][0]["findings"].as_array_mut().unwrap();
    let noted = findings.iter_mut().find(|finding| finding["effect"] == "note").unwrap();
    noted["effect"] = json!("caveat");
    let files = Files::of(&old, &[words.to_string(), effect.to_string()]);
    let (status, told) = files.lines();
    assert_eq!(status, 1);
    assert_eq!(told[0]["comparison"]["pairs"][0]["other"], json!(["headline"]));
    let change = &told[1]["comparison"]["pairs"][0]["findings"][0];
    assert_eq!((&change["old"], &change["new"]), (&json!("note"), &json!("caveat")));
    let summary = &told[2]["summary"];
    assert_eq!(
        (&summary["otherwise_changed"], &summary["findings_changed"]),
        (&json!(1), &json!(1))
    );
    assert_eq!(summary["verdicts_changed"], 0);
}

#[test]
fn other_rules_and_another_document_are_told() {
    let old = all(&["clean-run"]);
    let mut new = interpretation("clean-run");
    new["protocol"]["version"] = json!("2.0.0");
    new["worksheet"]["sha256"] = json!("0".repeat(64));
    let text = out(&Files::of(&old, &[new.to_string()]).compare(&[]));
    assert!(
        text.contains("Not the same document") && text.contains("Not the same rules"),
        "{text}"
    );
}

#[test]
fn worksheets_that_only_one_has_are_told_and_the_others_are_compared() {
    let whole = all(&NIGHT);
    for gone in 0..whole.len() {
        let mut fewer = whole.clone();
        fewer.remove(gone);
        let (status, told) = Files::of(&whole, &fewer).lines();
        assert_eq!((status, told.len()), (1, 2), "{told:?}");
        assert_eq!((&told[0]["kind"], &told[0]["line"]), (&json!("only_old"), &json!(gone + 1)));
        assert_eq!(told[1]["summary"]["alike"], 4);
        let (status, told) = Files::of(&fewer, &whole).lines();
        assert_eq!((status, &told[0]["kind"]), (1, &json!("only_new")));
    }
    let (status, told) = Files::of(&whole, &[]).lines();
    assert_eq!((status, &told[5]["summary"]["only_old"]), (1, &json!(5)));
    assert_eq!(Files::of(&[], &[]).compare(&[]).status.code(), Some(0));
}

#[test]
fn lines_in_another_order_than_can_be_followed_are_refused() {
    let one = |number: usize| {
        let mut document = interpretation("clean-run");
        document["worksheet"]["id"] = json!(format!("WS-{number}"));
        document.to_string()
    };
    let old: Vec<_> = (0..2100).map(one).collect();
    let mut new = old.clone();
    new.rotate_left(1050);
    let output = Files::of(&old, &new).compare(&[]);
    assert_eq!(output.status.code(), Some(65));
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.contains("line 1 of old.ndjson is worksheet WS-0"), "{said}");
    assert!(said.contains("line 1 of new.ndjson is worksheet WS-1050"), "{said}");
    let output = Files::of(&old, &new).compare(&["--format", "json"]);
    let told: Value = serde_json::from_str(&out(&output)).unwrap();
    assert_eq!((output.status.code(), &told["summary"]["stopped"]), (Some(65), &json!(true)));
    // Where one file is at its end, all of the other is only there.
    let few = [one(5000)];
    let (status, told) = Files::of(&few, &old).lines();
    let summary = &told.last().unwrap()["summary"];
    assert_eq!((status, &summary["only_old"], &summary["only_new"]), (1, &json!(1), &json!(2100)));
    // As far as the look ahead goes it is followed.
    let mut near = old.clone();
    near.drain(..999);
    let (status, told) = Files::of(&old, &near).lines();
    assert_eq!(status, 1);
    assert_eq!(told.last().unwrap()["summary"]["only_old"], 999);
    assert_eq!(told.last().unwrap()["summary"]["alike"], 1101);
}

#[test]
fn a_line_that_is_no_interpretation_is_65_and_told_with_its_place() {
    let old = all(&NIGHT);
    let mut new = old.clone();
    new[2] = "{\"format\":1}".to_owned();
    let mut lying = interpretation("major-2-plus");
    lying["pairs"][0]["releasable"] = json!(true);
    new[1] = lying.to_string();
    let files = Files::of(&old, &new);
    let output = files.compare(&[]);
    assert_eq!(output.status.code(), Some(65));
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.contains("new.ndjson:2:"), "{said}");
    assert!(said.contains("interpretation-contradiction at /pairs/0/releasable"), "{said}");
    assert!(said.contains("new.ndjson:3:1: missing-field"), "{said}");
    let (status, told) = files.lines();
    assert_eq!(status, 65);
    let faults: Vec<_> = told.iter().filter(|told| told["format"] == "crossread.fault/1").collect();
    assert_eq!((&faults[0]["document"], &faults[1]["document"]), (&json!(2), &json!(3)));
    let summary = &told.last().unwrap()["summary"];
    assert_eq!((&summary["unreadable"], &summary["only_old"]), (&json!(2), &json!(2)));
    assert_eq!(summary["alike"], 3);
}

#[test]
fn a_worksheet_at_fault_then_and_answered_now_is_a_change() {
    let fault = |what: &str| {
        let fault = json!({ "code": "not-json", "pointer": "", "line": 1, "column": 1,
            "expected": what, "found": "x" });
        json!({ "format": "crossread.fault/1", "input": "x", "document": 2, "faults": [fault] })
            .to_string()
    };
    let answered = all(&NIGHT);
    let mut at_fault = answered.clone();
    at_fault[1] = fault("JSON");
    let (status, told) = Files::of(&at_fault, &answered).lines();
    assert_eq!((status, &told[0]["kind"], told.len()), (1, &json!("turned"), 2));
    assert_eq!(told[0]["old"]["faults"][0]["code"], "not-json");
    assert_eq!(told[1]["summary"]["no_longer_releasable"], 0);
    assert_eq!(told[1]["summary"]["alike"], 4);
    assert_eq!(Files::of(&at_fault, &at_fault).lines().0, 0);
    let mut other = at_fault.clone();
    other[1] = fault("something else");
    let (status, told) = Files::of(&at_fault, &other).lines();
    assert_eq!((status, &told[1]["summary"]["turned"]), (1, &json!(1)));
    // A worksheet that could be released by and is at fault now, or gone, is a release lost.
    let mut lost = answered.clone();
    lost[0] = fault("JSON");
    let (_, told) = Files::of(&answered, &lost).lines();
    assert_eq!(told[1]["summary"]["no_longer_releasable"], 1);
    let (_, told) = Files::of(&lost, &answered).lines();
    assert_eq!(told[1]["summary"]["now_releasable"], 1);
    lost.remove(0);
    let (_, told) = Files::of(&answered, &lost).lines();
    assert_eq!(told[1]["summary"]["no_longer_releasable"], 1);
    let output = Files::of(&at_fault, &other).compare(&[]);
    assert!(out(&output).contains("not-json at ``"), "{}", out(&output));
    // No faults are no entry.
    at_fault[1] = json!({ "format": "crossread.fault/1", "faults": [] }).to_string();
    assert_eq!(Files::of(&at_fault, &answered).lines().0, 65);
}

#[test]
fn a_missing_file_is_66_and_two_standard_inputs_are_2() {
    let crossread = |arguments: &[&str]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_crossread"));
        command.args(arguments).stdin(Stdio::null()).output().unwrap().status.code()
    };
    assert_eq!(crossread(&["compare", "no-such.ndjson", "-"]), Some(66));
    assert_eq!(crossread(&["compare", "-", "-"]), Some(2));
}

#[test]
fn check_takes_interpretations_too() {
    let mut lying = interpretation("major-2-plus");
    lying["pairs"][0]["verdict"] = json!("compatible");
    let files = Files::of(&all(&NIGHT), &[lying.to_string()]);
    let check = |file: &str| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_crossread"));
        command.current_dir(files.0.path()).args(["check", file]).output().unwrap()
    };
    let good = check("old.ndjson");
    assert_eq!(good.status.code(), Some(0), "{}", out(&good));
    let bad = check("new.ndjson");
    assert_eq!(bad.status.code(), Some(65));
    assert!(out(&bad).contains("at /pairs/0/verdict"), "{}", out(&bad));
    let one = fs::write(files.0.path().join("one.json"), all(&["clean-run"])[0].as_bytes());
    one.unwrap();
    assert!(out(&check("one.json")).contains("interpretation of worksheet WS-0131, donors: 1"));
}
