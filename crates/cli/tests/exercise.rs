//! Exercises from outside, as a teacher runs them.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a helper may fail the test")]

use std::fs;
use std::process::{Command, Output};

use tempfile::TempDir;

fn crossread(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_crossread")).args(arguments).output().unwrap()
}

fn said(output: &Output) -> String {
    let texts = [&output.stdout, &output.stderr].map(|text| String::from_utf8_lossy(text));
    texts.join("")
}

/// What a command prints that must go well.
fn good(arguments: &[&str]) -> String {
    let output = crossread(arguments);
    assert_eq!(output.status.code(), Some(0), "{arguments:?}: {}", said(&output));
    String::from_utf8(output.stdout).unwrap()
}

/// A folder with a set in it.
struct Class {
    folder: TempDir,
}

impl Class {
    fn new(wishes: &[&str]) -> Self {
        let class = Self { folder: tempfile::tempdir().unwrap() };
        let set = class.path("set.json");
        let mut all = vec!["exercise", "make", "--seed", "42", "-o", &set];
        all.extend(wishes);
        let output = crossread(&all);
        assert_eq!(output.status.code(), Some(0), "{}", said(&output));
        class
    }

    fn path(&self, name: &str) -> String {
        self.folder.path().join(name).to_str().unwrap().to_owned()
    }

    /// The keys, as `item,key`.
    fn keys(&self) -> Vec<(String, String)> {
        let set: serde_json::Value =
            serde_json::from_str(&fs::read_to_string(self.path("set.json")).unwrap()).unwrap();
        let text = |value: &serde_json::Value| value.as_str().unwrap().to_owned();
        let items = set["items"].as_array().unwrap();
        items.iter().map(|item| (text(&item["id"]), text(&item["key"]))).collect()
    }

    /// A file of answers in which a student has all of them right.
    fn answers(&self, student: &str) -> String {
        let mut all = String::from("item,student,answer\n");
        for (item, key) in self.keys() {
            all.push_str(&format!("{item},{student},{key}\n"));
        }
        let file = self.path("answers.csv");
        fs::write(&file, &all).unwrap();
        file
    }
}

#[test]
fn a_set_is_made_shown_and_marked() {
    let class = Class::new(&["--items", "12"]);
    let set = class.path("set.json");
    let answers = class.answers("Learner 01");
    let marked = good(&["exercise", "mark", &set, &answers]);
    assert!(marked.contains("PASSED  Learner 01: 12.00 of 12 points, 100.00 %"), "{marked}");
    assert!(marked.lines().all(|line| line.chars().count() <= 80), "{marked}");
    let json = good(&["exercise", "mark", &set, &answers, "--format", "json"]);
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["students"][0]["passed"], true);
    let csv = good(&["exercise", "mark", &set, &answers, "--format", "csv"]);
    assert_eq!(csv.lines().count(), 13);
    let (item, _) = class.keys().remove(0);
    let withdraw = format!("{item}=unclear");
    let fewer = good(&["exercise", "mark", &set, &answers, "--withdraw", &withdraw]);
    assert!(fewer.contains("11.00 of 11 points"), "{fewer}");
    let one = [
        "exercise",
        "show",
        &set,
        "mark",
        "--answers",
        &answers,
        "--student",
        "Learner 01",
        "--item",
        &item,
    ];
    let one = good(&one);
    assert!(one.contains("exact") && one.contains("experts"), "{one}");
}

#[test]
fn each_way_of_showing_says_exercise() {
    let class = Class::new(&["--items", "9"]);
    let set = class.path("set.json");
    for what in ["booklet", "page", "answer-sheet", "keys"] {
        let html = good(&["exercise", "show", &set, what]);
        assert!(html.starts_with("<!DOCTYPE html>") && html.contains("EXERCISE"), "{what}");
    }
    for what in ["answer-sheet", "keys"] {
        let text = good(&["exercise", "show", &set, what, "--as", "text"]);
        assert!(text.contains("EXERCISE: "), "{text}");
        assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    }
    let text = good(&["exercise", "show", &set, "booklet", "--as", "text"]);
    assert!(text.contains("Drawing of") && text.contains("[\u{a0}]"), "{text}");
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    let refused = crossread(&["exercise", "show", &set, "page", "--as", "text"]);
    assert_eq!(refused.status.code(), Some(2), "{}", said(&refused));
    let item = good(&["exercise", "show", &set, "item", "--item", "i001"]);
    assert!(item.starts_with("i001\n") && item.lines().all(|line| line.chars().count() <= 80));
}

#[test]
fn the_same_seed_gives_the_same_bytes() {
    let class = Class::new(&["--items", "6"]);
    let again = good(&["exercise", "make", "--seed", "42", "--items", "6"]);
    assert_eq!(again, fs::read_to_string(class.path("set.json")).unwrap());
}

/// Two times of one class: figures as text within 80 columns, as JSON, and as SVG.
#[test]
fn statistics_of_a_class() {
    let class = Class::new(&["--items", "12", "--kind", "picture"]);
    let set = class.path("set.json");
    let first = class.answers("Learner 01");
    let more = fs::read_to_string(&first).unwrap();
    let more = more.lines().skip(1).map(|line| format!("{}\n", line.replace("r 01", "r 02")));
    let both = fs::read_to_string(&first).unwrap() + &more.collect::<String>();
    fs::write(&first, both).unwrap();
    let text = good(&["exercise", "stats", &set, &first]);
    assert!(text.contains("Learner 02: reactions missed 0, false alarms 0"), "{text}");
    assert!(text.contains("12 items that count"), "{text}");
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    let figures = class.path("figures");
    let json =
        good(&["exercise", "stats", &set, &first, &first, "--format", "json", "--plots", &figures]);
    for line in json.lines() {
        let told: serde_json::Value = serde_json::from_str(line).unwrap();
        assert_eq!(told["grades"]["readers"][0]["decisions"]["missed"], 0);
        assert_eq!(told["items"]["items"][11]["right"], 2);
    }
    for name in ["over-time", "time-01/students", "time-02/confusion-02", "time-02/bias-01"] {
        let svg = fs::read_to_string(class.path(&format!("figures/{name}.svg"))).unwrap();
        assert!(svg.starts_with("<svg"), "{name}");
    }
    let refused = crossread(&["exercise", "stats", &set, &first, "--reactive-from", "1+s"]);
    assert_eq!(refused.status.code(), Some(2), "{}", said(&refused));
}

/// Every form that needs no PNG; drawings are refused as text, each item by name.
#[test]
fn a_set_becomes_files_for_learning_systems() {
    let class = Class::new(&["--items", "6"]);
    let set = class.path("set.json");
    let package = class.path("set.zip");
    good(&["exercise", "export", &set, "--as", "qti30", "-o", &package]);
    assert!(fs::read(&package).unwrap().starts_with(b"PK"));
    for (form, first) in [("items-csv", "set,title,question"), ("keys-csv", "set,question,choice")]
    {
        let csv = good(&["exercise", "export", &set, "--as", form]);
        assert!(csv.trim_start_matches('\u{feff}').starts_with(first), "{csv}");
    }
    let refused = crossread(&["exercise", "export", &set, "--as", "gift"]);
    assert_eq!(refused.status.code(), Some(65), "{}", said(&refused));
    assert!(said(&refused).contains("GIFT holds text only") && refused.stdout.is_empty());
    let texts = Class::new(&["--items", "6", "--kind", "text"]);
    let gift = good(&["exercise", "export", &texts.path("set.json"), "--as", "gift"]);
    assert!(gift.contains("::i001::"), "{gift}");
}

/// F64 from outside: the report names every finding.
#[test]
fn f64_the_report_of_a_covering_set() {
    let class = Class::new(&["--items", "1", "--cover"]);
    let report = class.path("coverage.json");
    let make = ["exercise", "make", "--items", "1", "--cover", "--coverage", &report, "-o"];
    let set = class.path("other.json");
    let output = crossread(&[&make[..], &[&set]].concat());
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    // Two can stand in no set under the rules that ship, and the report says why.
    let all = crossread_core::findings::CATALOGUE.len();
    let covered = format!("{} of the {all} findings", all - 2);
    assert!(said(&output).contains(&covered), "{}", said(&output));
    let report: serde_json::Value =
        serde_json::from_str(&fs::read_to_string(report).unwrap()).unwrap();
    let findings = report["findings"].as_array().unwrap();
    let missing: Vec<_> = findings.iter().filter(|finding| finding["how"] == "missing").collect();
    assert_eq!((findings.len(), missing.len()), (all, 2));
    assert!(missing.iter().all(|finding| finding["because"].is_string()));
}

/// H28: an exercise comes into no record and gets no verdict.
#[test]
fn h28_an_exercise_is_taken_nowhere_else() {
    let class = Class::new(&["--items", "6", "--kind", "text"]);
    let set = class.path("set.json");
    let journal = class.path("night.journal");
    let at = ["-j", journal.as_str()];
    let empty = [class.path("empty.journal"), class.path("another.journal")];
    let by = ["--by", "KT", "--now", "2026-03-01T03:40:00+01:00"];
    good(&[&["journal", "init"], &at[..], &by[..], &["Brindlemoor Animal Hospital"]].concat());
    // A worksheet taken out of the set is none either.
    let read: serde_json::Value = serde_json::from_str(&fs::read_to_string(&set).unwrap()).unwrap();
    let inner = class.path("inner.json");
    fs::write(&inner, read["runs"][0]["worksheet"].to_string()).unwrap();
    for (file, empty) in [&set, &inner].into_iter().zip(&empty) {
        for verb in [
            vec!["interpret", file],
            vec!["check", file],
            vec!["sheet", file],
            vec!["report", file],
            [&["journal", "open"], &at[..], &by[..], &[file.as_str()]].concat(),
            vec!["journal", "import", "-j", empty, file],
        ] {
            let output = crossread(&verb);
            let code = output.status.code();
            assert!(matches!(code, Some(2 | 65)), "{verb:?} gives {code:?}: {}", said(&output));
        }
    }
    assert_eq!(
        good(&[&["journal", "list"], &at[..]].concat()).trim(),
        "no worksheet is unfinished"
    );
}

/// F63 from outside: a worksheet of a journal, without a word of whose it was.
#[test]
fn f63_a_worksheet_of_a_journal_without_names() {
    let class = Class { folder: tempfile::tempdir().unwrap() };
    let journal = class.path("night.journal");
    let at = ["-j", journal.as_str()];
    let by = ["--by", "Kirsten Tamm", "--now", "2026-03-01T03:40:00+01:00"];
    let run = |verb: &[&str], rest: &[&str]| {
        good(&[&["journal"], verb, &at[..], &by[..], rest].concat());
    };
    let file = |name: &str, text: &str| {
        let path = class.path(name);
        fs::write(&path, text).unwrap();
        path
    };
    run(&["init"], &["Brindlemoor Animal Hospital"]);
    let opening = file(
        "opening.json",
        r#"{ "worksheet": "WS-0142", "protocol": { "id": "dog-routine", "version": "1.0.0" },
            "method": "tube",
            "recipient": { "id": "R-3107", "name": "Juniper", "species": "dog", "breed": "lurcher",
                "types": [ { "system": "DEA 1", "result": "negative", "on": "2026-02-11" } ],
                "history": { "transfused": "never", "pregnant": "never", "reaction": "never" } } }"#,
    );
    run(&["open"], &[&opening]);
    let donor = file(
        "donor.json",
        r#"{ "id": "D-091", "name": "Bracken", "species": "dog", "product": "packed_cells",
            "types": [ { "system": "DEA 1", "result": "negative" } ],
            "history": { "transfused": "never", "pregnant": "never", "reaction": "never" },
            "unit": { "number": "U-5512", "expires_on": "2026-03-20", "inspection": "normal" } }"#,
    );
    run(&["add"], &["WS-0142", "donor", &donor]);
    for test in [&["recipient_auto"][..], &["major", "D-091"]] {
        let look = ["warm_37c", "2+", "--hemolysis", "0"];
        run(&["enter"], &[&["WS-0142"], test, &look[..]].concat());
    }
    let made = good(&["exercise", "make", "--from-journal", &journal, "WS-0142"]);
    for word in [
        "Brindlemoor",
        "WS-0142",
        "0142",
        "R-3107",
        "3107",
        "Juniper",
        "lurcher",
        "D-091",
        "Bracken",
        "U-5512",
        "5512",
        "Kirsten",
        "Tamm",
        "2026-03-01",
        "2026-03-20",
        "2026-02-11",
        "2026",
    ] {
        assert!(!made.contains(word), "{word}: {made}");
    }
    assert!(made.contains("\"agglutination\": \"2+\""), "{made}");
    let set = file("set.json", &made);
    let keys = good(&["exercise", "show", &set, "keys", "--as", "text"]);
    assert!(keys.contains("sample-not-recorded") || keys.contains("major-unresolved"), "{keys}");
    let refused = crossread(&[
        "exercise",
        "make",
        "--from-journal",
        &journal,
        "WS-0142",
        "--title",
        "juniper at night",
    ]);
    assert_eq!(refused.status.code(), Some(65), "{}", said(&refused));
    assert!(refused.stdout.is_empty());
}

#[test]
fn faults_are_told_with_their_places() {
    let class = Class::new(&["--items", "4", "--kind", "picture"]);
    let set = class.path("set.json");
    let answers = class.path("answers.csv");
    fs::write(&answers, "item,student,answer\ni001,A,5+\ni009,A,0\n").unwrap();
    let output = crossread(&["exercise", "mark", &set, &answers]);
    assert_eq!(output.status.code(), Some(65));
    let told = said(&output);
    assert!(
        told.contains("answers.csv:2:3: at answer") && told.contains("answers.csv:3:1: at item")
    );
    let good = fs::read_to_string(&set).unwrap();
    fs::write(&set, good.replace("\"watermark\": \"EXERCISE\"", "\"watermark\": \"\"")).unwrap();
    let output = crossread(&["exercise", "show", &set, "booklet"]);
    assert_eq!(output.status.code(), Some(65));
    assert!(said(&output).contains("at /watermark"), "{}", said(&output));
    for misuse in [
        &["exercise", "make", "--items", "0"][..],
        &["exercise", "make", "--near", "1.5"],
        &["exercise", "make", "--grade", "1+s"],
        &["exercise", "make", "WS-1"],
        &["exercise", "mark", &set],
    ] {
        assert_eq!(crossread(misuse).status.code(), Some(2), "{misuse:?}");
    }
}
