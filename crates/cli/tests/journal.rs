//! The record and the bench's arithmetic from outside, as their user runs them.
#![expect(clippy::unwrap_used, reason = "a helper may fail the test")]

use std::io::Write as _;
use std::process::{Command, Output, Stdio};

use tempfile::TempDir;

/// A journal in a folder of its own.
struct Night {
    folder: TempDir,
}

impl Night {
    fn new() -> Self {
        let night = Self { folder: tempfile::tempdir().unwrap() };
        night.good(&["init", "Brindlemoor Animal Hospital"], "");
        night
    }

    fn place(&self) -> String {
        self.folder.path().join("night.journal").to_str().unwrap().to_owned()
    }

    /// Runs `journal` with something on the standard input.
    fn run(&self, arguments: &[&str], input: &str) -> Output {
        let (verb, rest) = arguments.split_first().unwrap();
        let place = self.place();
        let mut all = vec!["journal", verb, "-j", &place];
        let reads = [
            "list", "show", "animal", "search", "compare", "units", "tasks", "old", "verify",
            "export", "import", "running",
        ];
        if !reads.contains(verb) {
            all.extend(["--by", "KT", "--now", "2026-03-01T03:40:00+01:00"]);
        }
        all.extend(rest);
        crossread(&all, input)
    }

    fn good(&self, arguments: &[&str], input: &str) -> String {
        let output = self.run(arguments, input);
        assert_eq!(output.status.code(), Some(0), "{arguments:?}: {}", said(&output));
        String::from_utf8(output.stdout).unwrap()
    }

    fn clean_run(&self) {
        self.good(&["open", "-"], OPENING);
        self.good(&["add", "WS-0142", "donor", "-"], DONOR);
        self.good(&["add", "WS-0142", "sample", "-"], SAMPLE);
        self.good(&["enter", "WS-0142", "recipient_auto", "warm_37c", "0", "--hemolysis", "0"], "");
        self.good(&["enter", "WS-0142", "major", "D-091", "warm_37c", "0", "--hemolysis", "0"], "");
    }
}

fn crossread(arguments: &[&str], input: &str) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_crossread"))
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut stdin = child.stdin.take().unwrap();
    // The command may end without reading it.
    stdin.write_all(input.as_bytes()).unwrap_or_default();
    drop(stdin);
    child.wait_with_output().unwrap()
}

fn said(output: &Output) -> String {
    let texts = [&output.stdout, &output.stderr].map(|text| String::from_utf8_lossy(text));
    texts.join("")
}

const OPENING: &str = r#"{ "worksheet": "WS-0142",
    "protocol": { "id": "dog-routine", "version": "1.0.0" }, "method": "tube",
    "recipient": { "id": "R-3107", "name": "Jürgen", "species": "dog",
        "types": [ { "system": "DEA 1", "result": "negative" } ],
        "history": { "transfused": "never", "pregnant": "never", "reaction": "never" } } }"#;

const DONOR: &str = r#"{ "id": "D-091", "species": "dog", "product": "packed_cells",
    "types": [ { "system": "DEA 1", "result": "negative" } ],
    "unit": { "number": "U-5512", "expires_on": "2026-03-20", "inspection": "normal" } }"#;

const SAMPLE: &str = r#"{ "id": "S-1", "of": "R-3107", "role": "both", "tube": "serum",
    "stored": "fridge", "drawn_at": "2026-03-01T01:10:00+01:00", "hemolysis": 0, "lipemia": 0,
    "icterus": 0, "clots": false, "agglutinated": false, "label_id": "R-3107" }"#;

/// The statuses of the main job: 0 for what was written, 1 for what a rule refuses.
#[test]
fn a_night_by_the_command() {
    let night = Night::new();
    night.clean_run();
    let release = [
        "release",
        "WS-0142",
        "D-091",
        "--to",
        "LM",
        "--veterinarian",
        "Dr Vane",
        "--recipient-ends",
        "3107",
        "--unit-ends",
        "5512",
    ];
    let refused = night.run(&release, "");
    assert_eq!(refused.status.code(), Some(1));
    assert!(said(&refused).contains("no interpretation was issued for WS-0142"));
    assert!(night.good(&["issue", "WS-0142", "--to", "Dr Vane"], "").contains("revision 1"));
    let wrong = night.run(&["segment", "WS-0142", "D-091", "5521"], "");
    assert_eq!(wrong.status.code(), Some(1));
    night.good(&["segment", "WS-0142", "D-091", "5512"], "");
    night.good(&release, "");
    let verified = night.good(&["verify"], "");
    assert!(verified.contains("each as it was written"), "{verified}");
    let head = verified.lines().last().unwrap().rsplit(' ').next().unwrap().to_owned();
    night.good(&["verify", "--kept", &head], "");
    let later = head.replacen(char::is_numeric, "9", 1);
    assert_eq!(night.run(&["verify", "--kept", &later], "").status.code(), Some(1));
    let shown = night.run(&["show", "WS-0142", "--format", "json"], "");
    let shown: serde_json::Value = serde_json::from_slice(&shown.stdout).unwrap();
    assert_eq!(shown["today"]["pairs"][0]["verdict"], "compatible");
    assert_eq!(shown["differences"], serde_json::json!([]));
    // The worksheet is a document that `interpret` takes.
    let document = night.good(&["show", "WS-0142", "--document"], "");
    assert_eq!(crossread(&["interpret", "-"], &document).status.code(), Some(0));
    // Warnings come first, and are taken note of.
    let again = OPENING.replace("WS-0142", "WS-0143");
    let refused = night.run(&["open", "-"], &again);
    assert_eq!(refused.status.code(), Some(1));
    assert!(said(&refused).contains("transfused on 2026-03-01"), "{}", said(&refused));
    night.good(&["open", "-", "--acknowledge"], &again);
    assert!(night.good(&["search", "--name", "JURG"], "").contains("WS-0142"));
    assert!(night.good(&["animal", "R-3107"], "").contains("transfused on 2026-03-01"));
    assert!(night.good(&["list"], "").contains("WS-0143 for R-3107"));
    assert!(night.good(&["units", "D-091"], "").contains("U-5512 for R-3107"));
}

/// A clean run whose unit is released; the entry of the release.
fn released(night: &Night) -> String {
    night.clean_run();
    night.good(&["issue", "WS-0142", "--to", "Dr Vane"], "");
    night.good(&["segment", "WS-0142", "D-091", "5512"], "");
    let who = ["--to", "LM", "--veterinarian", "Dr Vane"];
    let ends = ["--recipient-ends", "3107", "--unit-ends", "5512"];
    let release = [&["release", "WS-0142", "D-091"][..], &who, &ends].concat();
    entry(&night.good(&release, ""))
}

/// The entry that a line of text names first.
fn entry(told: &str) -> String {
    told.split([' ', ':']).nth(1).unwrap().to_owned()
}

/// From the release to the vein, to a reaction and the PCV after it; each check by its name.
#[test]
fn a_transfusion_by_the_command() {
    let night = Night::new();
    let release = released(&night);
    let plan = ["--weight-kg", "20", "--pcv-now", "15", "--pcv-target", "25"];
    let more = ["--product-pcv", "60", "--ordered-ml", "300", "--temperature-c", "38.5"];
    let ends = ["--recipient-ends", "3107", "--unit-ends", "5512"];
    let start = [&["start", "WS-0142", &release][..], &plan, &more, &ends].concat();
    let but_one = "release,identity,inspected,not_too_warm,own_line,no_calcium,baseline";
    for (answers, status, told) in [
        (vec!["--yes", but_one], 1, "Is the filter for this volume in the line"),
        (vec!["--yes", but_one, "--no", "filter"], 1, "Put the filter in first."),
        (vec!["--yes", "warm"], 2, "expected one of: release, identity"),
        (vec!["--yes", "filter", "--no", "filter"], 2, "both yes and no"),
    ] {
        let refused = night.run(&[&start[..], &answers].concat(), "");
        assert_eq!(refused.status.code(), Some(status), "{answers:?}: {}", said(&refused));
        assert!(said(&refused).contains(told), "{answers:?}: {}", said(&refused));
    }
    assert!(night.good(&["running"], "").contains("no unit runs"));
    let all = format!("{but_one},filter");
    let started = night.good(&[&start[..], &["--yes", &all]].concat(), "");
    assert!(started.contains("U-5512 of D-091, packed cells is spiked"), "{started}");
    let started = entry(&started);
    for (now, told) in [
        ("03:44", "since 2026-03-01 03:40. Next look at 03:45."),
        ("03:52", "LOOK NOW: due 03:45, 03:50. Next look at 03:55."),
        ("08:00", "06:40, 06:52. Its time is over"),
    ] {
        let now = format!("2026-03-01T{now}:00+01:00");
        let running = night.good(&["running", "--now", &now], "");
        let running = running.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(running.contains("WS-0142") && running.contains(told), "{running}");
    }
    let nothing = night.run(&["observe", "WS-0142", &started], "");
    assert_eq!(nothing.status.code(), Some(2), "{}", said(&nothing));
    let usual = night.run(&["observe", "WS-0142", &started, "--temperature-c", "38.9"], "");
    assert!(!said(&usual).contains("stop unit"), "{}", said(&usual));
    let look =
        ["observe", "WS-0142", &started, "--temperature-c", "39.6", "--sign", "vomiting,hives"];
    let seen = night.run(&look, "");
    let seen = said(&seen).split_whitespace().collect::<Vec<_>>().join(" ");
    let alarm = "stop unit U-5512 of R-3107 now, keep unit and line, call the veterinarian: vomiting \
                 or diarrhea; hives, itching, swollen face; a fever, 39.6 °C, after 38.5 °C";
    assert!(seen.contains(alarm), "{seen}");
    let reaction = ["end", "WS-0142", &started, "--ml", "12.5", "--reaction", "vomited, 39.6 °C"];
    assert!(night.good(&reaction, "").contains("barred for every animal"));
    assert_eq!(night.run(&look, "").status.code(), Some(1), "it runs no more");
    assert!(night.good(&["animal", "R-3107"], "").contains("vomited, 39.6 °C"));
    assert!(night.good(&["units", "D-091"], "").contains("reaction"));
    let fraction = night.run(&["outcome", "WS-0142", &started, "24", "0.22"], "");
    assert!(said(&fraction).contains("give it in percent"), "{}", said(&fraction));
    assert!(night.good(&["outcome", "WS-0142", &started, "24", "22"], "").contains("after 24 h"));
    assert!(night.good(&["verify"], "").contains("each as it was written"));
    // The sheet of the unit, from the record, with the times from the spiking on.
    let place = night.place();
    let at = ["--journal", &place, "--worksheet", "WS-0142", "--release", &release];
    let sheet = |product: &str, more: &[&str]| {
        let verb = ["transfusion", "dog", product];
        let volume = ["--product-pcv", "60", "--ordered-ml", "300", "--sheet", "-", "--as", "text"];
        crossread(&[&verb[..], &plan, &volume, &at, more].concat(), "")
    };
    let paper = said(&sheet("packed_cells", &["--paper", "letter"]));
    for told in ["For: R-3107 Jürgen", "U-5512 of D-091", "2026-03-01 03:40", "due 03:55"] {
        assert!(paper.contains(told), "{told} in {paper}");
    }
    assert!(paper.lines().all(|line| line.chars().count() <= 80), "{paper}");
    let other = sheet("plasma", &[]);
    assert_eq!(other.status.code(), Some(2));
    assert!(said(&other).contains("released packed_cells for a dog"), "{}", said(&other));
}

/// Without a reaction: it has run in, or was stopped, and says why.
#[test]
fn the_end_of_a_transfusion_by_the_command() {
    for (end, told) in
        [(["--text", "no sign"], "has run in"), (["--stopped", "the vein was lost"], "stopped")]
    {
        let night = Night::new();
        let release = released(&night);
        let plan = ["--weight-kg", "20", "--pcv-now", "15", "--pcv-target", "25"];
        let more = ["--product-pcv", "60", "--ordered-ml", "300", "--temperature-c", "38.5"];
        let ends = ["--recipient-ends", "3107", "--unit-ends", "5512", "--yes"];
        let yes = "release,identity,inspected,not_too_warm,filter,own_line,no_calcium,baseline";
        let start = [&["start", "WS-0142", &release][..], &plan, &more, &ends, &[yes]].concat();
        let started = entry(&night.good(&start, ""));
        let ended = night.good(&[&["end", "WS-0142", &started][..], &end].concat(), "");
        assert!(ended.contains(told), "{ended}");
        assert!(!night.good(&["animal", "R-3107"], "").contains("reaction"));
        // A reaction hours later is written down too.
        let late = ["end", "WS-0142", &started, "--reaction", "urine red in the morning"];
        night.good(&late, "");
        assert!(night.good(&["animal", "R-3107"], "").contains("urine red in the morning"));
    }
}

#[test]
fn an_amendment_by_the_command() {
    let night = Night::new();
    night.clean_run();
    let read = night.good(&["enter", "WS-0142", "minor", "D-091", "warm_37c", "2+"], "");
    let entry = read.split([' ', ':']).nth(1).unwrap().to_owned();
    assert_eq!(night.run(&["issue", "WS-0142", "--to", "Dr Vane"], "").status.code(), Some(0));
    let amended = night
        .good(&["amend", &entry, "--reason", "wrong row", "--grade", "0", "--hemolysis", "0"], "");
    assert!(amended.contains("tell Dr Vane that revision 1"), "{amended}");
    let tasks = night.run(&["tasks", "--format", "json"], "");
    let tasks: serde_json::Value = serde_json::from_slice(&tasks.stdout).unwrap();
    assert_eq!(tasks[0]["task"], "tell_of_amendment");
    let task = tasks[0]["seq"].to_string();
    night.good(&["done", &task, "told by phone"], "");
    assert!(night.good(&["tasks"], "").contains("no task is open"));
    assert_eq!(night.run(&["done", &task, "again"], "").status.code(), Some(1));
    let shown = night.good(&["show", "WS-0142"], "");
    assert!(shown.contains("took back entry") && shown.contains("wrong row"), "{shown}");
    for line in shown.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

/// F50: nothing of the amended reading is taken over, and nothing of it is dropped unsaid.
#[test]
fn f50_an_amendment_says_everything() {
    let night = Night::new();
    night.clean_run();
    let read = night.good(
        &[
            "enter",
            "WS-0142",
            "minor",
            "D-091",
            "antiglobulin",
            "2+",
            "--hemolysis",
            "1",
            "--pattern",
            "clumps",
            "--mixed-field",
            "--check-cells",
            "2+",
            "--seconds",
            "30",
            "--artefact",
            "fibrin",
            "--artefact",
            "hard_spin",
        ],
        "",
    );
    let read = read.split_whitespace().collect::<Vec<_>>().join(" ");
    let echo = "minor of D-091 at antiglobulin: 2+, hemolysis 1, pattern clumps, mixed field, check \
                cells 2+, 30 s, fibrin, hard spin";
    assert!(read.contains(echo), "{read}");
    let entry = read.split([' ', ':']).nth(1).unwrap().to_owned();
    let amend = |options: &[&str]| {
        let mut all = vec!["amend", &entry, "--reason", "wrong tube"];
        all.extend(options);
        night.run(&all, "")
    };
    let refused = amend(&["--hemolysis", "0"]);
    assert_eq!(refused.status.code(), Some(2));
    let told = said(&refused).split_whitespace().collect::<Vec<_>>().join(" ");
    let missing = "--grade, --pattern, --mixed-field, --check-cells, --seconds, --artefact";
    assert!(told.contains(missing), "{told}");
    let none = [
        "--grade",
        "0",
        "--hemolysis",
        "not_looked",
        "--pattern",
        "none",
        "--mixed-field=no",
        "--check-cells",
        "none",
        "--seconds",
        "none",
        "--artefact",
        "none",
    ];
    let amended = amend(&none);
    assert_eq!(amended.status.code(), Some(0), "{}", said(&amended));
    let document = night.good(&["show", "WS-0142", "--document"], "");
    let document: serde_json::Value = serde_json::from_str(&document).unwrap();
    let readings = document["readings"].as_array().unwrap();
    let of =
        |reading: &&serde_json::Value| reading["test"] == "minor" && reading["retracted"].is_null();
    let mut reading = readings.iter().find(of).unwrap().clone();
    reading.as_object_mut().unwrap().remove("at");
    let expected = serde_json::json!({
        "test": "minor", "donor": "D-091", "phase": "antiglobulin", "agglutination": "0",
        "mixed_field": false, "by": "KT",
    });
    assert_eq!(reading, expected);
}

/// F22, F50: whoever amends a look that waits for the second reader does not see what it holds.
#[test]
fn f22_a_sealed_reading_is_not_amended_by_the_command() {
    let night = Night::new();
    let opening = OPENING.replacen('{', r#"{ "second_reader": true,"#, 1);
    night.good(&["open", "-"], &opening);
    night.good(&["add", "WS-0142", "donor", "-"], DONOR);
    let major = ["enter", "WS-0142", "major", "D-091", "warm_37c", "2+", "--hemolysis", "3"];
    let read = night.good(&major, "");
    let entry = read.split([' ', ':']).nth(1).unwrap().to_owned();
    let refused = night.run(&["amend", &entry, "--reason", "wrong tube", "--grade", "0"], "");
    assert_eq!(refused.status.code(), Some(1));
    let told = said(&refused).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("waits for the second reader"), "{told}");
    assert!(!told.contains("2+") && !told.contains("hemolysis 3"), "{told}");
}

/// Every kind of entry says what it holds, not only its name.
#[test]
fn show_tells_what_each_entry_holds() {
    let night = Night::new();
    night.clean_run();
    night.good(&["add", "WS-0142", "setup", "-"], r#"{ "cells_percent": 4, "washes": 3 }"#);
    let controls =
        r#"{ "positive": { "expected": "2+", "read": "3+" }, "negative": { "read": "0" } }"#;
    night.good(&["add", "WS-0142", "controls", "-"], controls);
    let read = ["unit:unit=U-5521", "request:recipient=R-3107"];
    let clerical = night.run(&["clerical", "WS-0142", "D-091", read[0], read[1]], "");
    assert_eq!(clerical.status.code(), Some(1));
    let shown = night.good(&["show", "WS-0142"], "");
    let shown = shown.split_whitespace().collect::<Vec<_>>().join(" ");
    for said in [
        "cells percent 4, washes 3",
        "negative read 0, positive expected 2+, read 3+",
        "agrees no, place unit, read U-5521, recorded U-5512",
        "looks normal",
    ] {
        assert!(shown.contains(said), "{said}: {shown}");
    }
}

#[test]
fn what_is_wrong_has_its_place_and_its_status() {
    let night = Night::new();
    night.clean_run();
    for (arguments, input, status, told) in [
        (vec!["enter", "WS-0142", "major", "D-099", "warm_37c", "0"], "", 65, "/donor"),
        (vec!["enter", "WS-0142", "major", "D-091", "warm_37c", "5+"], "", 2, "expected one of"),
        (vec!["enter", "WS-9", "recipient_auto", "warm_37c", "0"], "", 66, "worksheet WS-9"),
        (vec!["add", "WS-0142", "donor", "-"], r#"{ "id": "D-1" }"#, 65, "missing-field"),
        (vec!["add", "WS-0142", "sample", "-"], SAMPLE, 65, "duplicate-id"),
        (vec!["open", "-"], "{}", 65, "missing field"),
        (vec!["open", "-"], OPENING, 1, "there is a worksheet WS-0142 already"),
        (vec!["init", "again"], "", 73, "never overwrites"),
        (vec!["retract", "1", "--reason", "x"], "", 1, "cannot be taken back"),
        (vec!["verify", "--kept", "x"], "", 2, "--kept"),
    ] {
        let output = night.run(&arguments, input);
        assert_eq!(output.status.code(), Some(status), "{arguments:?}: {}", said(&output));
        assert!(said(&output).contains(told), "{arguments:?}: {}", said(&output));
    }
    let missing = crossread(&["journal", "tasks", "-j", "no-such.journal"], "");
    assert_eq!(missing.status.code(), Some(66));
}

/// F45: one byte of an entry changed on the disk is found, with the entry named, and the status is 1.
#[test]
fn f45_a_flipped_byte_is_found_by_the_command() {
    let night = Night::new();
    night.clean_run();
    night.good(&["note", "WS-0142", "called away 03:10"], "");
    let place = night.place();
    let mut bytes = std::fs::read(&place).unwrap();
    let told = b"called away 03:10";
    let found: Vec<_> = (0..bytes.len()).filter(|at| bytes[*at..].starts_with(told)).collect();
    let [at] = found[..] else { panic!("{found:?}") };
    bytes[at + told.len() - 1] ^= 1;
    std::fs::write(&place, &bytes).unwrap();
    let verified = night.run(&["verify"], "");
    assert_eq!(verified.status.code(), Some(1), "{}", said(&verified));
    assert!(said(&verified).contains("entry 8:"), "{}", said(&verified));
}

/// F52: what is found, a line each, in the same order every time, as what stands or was superseded.
#[test]
fn f52_search_as_lines() {
    let night = Night::new();
    night.clean_run();
    night.good(&["issue", "WS-0142", "--to", "Dr Vane"], "");
    night.good(&["note", "WS-0142", "called away"], "");
    let again = ["amend", "6", "--reason", "wrong tube", "--grade", "w", "--hemolysis", "0"];
    night.good(&again, "");
    night.run(&["issue", "WS-0142", "--to", "Dr Vane"], "");
    let search =
        ["search", "--verdict", "compatible", "--from", "2026-03-01", "--format", "ndjson"];
    let found = night.good(&search, "");
    assert_eq!(night.good(&search, ""), found);
    let hits: Vec<serde_json::Value> =
        found.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert_eq!(hits.len(), 1);
    assert_eq!((&hits[0]["worksheet"], &hits[0]["superseded"]), (&"WS-0142".into(), &true.into()));
}

/// Exported, taken over, exported: the same bytes.
#[test]
fn export_and_import_by_the_command() {
    let night = Night::new();
    night.clean_run();
    let export = night.good(&["export"], "");
    let copy = night.folder.path().join("copy.journal");
    let copy = copy.to_str().unwrap();
    let imported = crossread(&["journal", "import", "-j", copy, "-"], &export);
    assert_eq!(imported.status.code(), Some(0), "{}", said(&imported));
    let again = crossread(&["journal", "export", "-j", copy], "");
    assert_eq!(String::from_utf8(again.stdout).unwrap(), export);
    let other = night.folder.path().join("other.journal");
    let changed = export.replace("R-3107", "R-3170");
    let refused = crossread(&["journal", "import", "-j", other.to_str().unwrap(), "-"], &changed);
    assert_eq!(refused.status.code(), Some(65));
    assert!(said(&refused).contains("line 3"), "{}", said(&refused));
}

#[test]
fn an_emergency_never_ends_like_a_crossmatch_that_went_well() {
    let night = Night::new();
    night.good(&["open", "-"], OPENING);
    night.good(&["add", "WS-0142", "donor", "-"], DONOR);
    let output = night.run(
        &[
            "release",
            "WS-0142",
            "D-091",
            "--to",
            "LM",
            "--veterinarian",
            "Dr Vane",
            "--recipient-ends",
            "3107",
            "--unit-ends",
            "5512",
            "--emergency",
            "bleeding",
        ],
        "",
    );
    assert_eq!(output.status.code(), Some(1));
    let told = said(&output).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        told.contains("CROSSMATCH NOT COMPLETED") && told.contains("major not tested"),
        "{told}"
    );
    assert!(!told.to_lowercase().contains("compatible"), "{told}");
    assert!(night.good(&["tasks"], "").contains("finish the crossmatch"));
    // `-` is the standard output, and no file of that name.
    let place = night.place();
    let paper = ["handover", "-j", &place, "--by", "KT", "--as", "text", "-o", "-"];
    let paper = crossread(&paper, "");
    assert!(said(&paper).contains("finish the crossmatch"), "{}", said(&paper));
    assert!(!std::path::Path::new("-").exists());
}

#[test]
fn arithmetic_by_the_command() {
    for (arguments, told) in [
        (
            vec!["prepare", "suspension", "--percent", "2", "--volume-ul", "500"],
            "10 µL of cells (100 %) and 490 µL of saline make 500 µL of 2 %",
        ),
        (
            vec!["prepare", "spin", "--radius-cm", "10", "--rpm", "3000"],
            "3000 rpm at 10 cm are 1006 × g",
        ),
        (vec!["prepare", "drops", "--cells", "1", "--saline", "20", "--drop-ul", "40"], "4.76 %"),
        (
            vec!["prepare", "ratio", "--plasma-ul", "50", "--cells-ul", "50", "--percent", "2"],
            "50.0 parts",
        ),
        (vec!["prepare", "residual", "--left-ul", "10", "--saline-ul", "100"], "9.09 %"),
        (vec!["prepare", "dilution", "--mixture-ul", "10", "--parts", "49"], "490 µL"),
        (vec!["titer", "3+", "2+", "1+", "0"], "titer 4 (end point 1+), score 23"),
        (vec!["screen", "--wanted", "2", "--stock", "20", "--compatible", "8"], "test 9 donors"),
        (vec!["need", "cat", "packed_cells"], "type recipient and donor in: AB"),
    ] {
        let output = crossread(&arguments, "");
        assert_eq!(output.status.code(), Some(0), "{}", said(&output));
        assert!(said(&output).contains(told), "{arguments:?}: {}", said(&output));
    }
    for wrong in [
        vec!["prepare", "suspension", "--percent", "0", "--volume-ul", "500"],
        vec!["prepare", "suspension", "--percent", "5", "--volume-ul", "500", "--hematocrit", "4"],
        vec!["prepare", "spin", "--radius-cm", "0", "--rpm", "3000"],
        vec!["prepare", "spin", "--radius-cm", "10"],
        vec!["screen", "--wanted", "2", "--share", "0"],
        vec!["screen", "--wanted", "2", "--share", "0.5", "--probability", "1"],
        vec!["need", "dog", "packed_cells", "--last-transfused-on", "2026-01-01"],
        vec!["titer", "5+"],
    ] {
        assert_eq!(crossread(&wrong, "").status.code(), Some(2), "{wrong:?}");
    }
}

/// Everything that goes on paper, from the journal and from a file.
#[test]
fn paper_by_the_command() {
    let night = Night::new();
    night.clean_run();
    night.good(&["issue", "WS-0142", "--to", "Dr Vane"], "");
    let again = ["amend", "6", "--reason", "wrong row", "--grade", "w", "--hemolysis", "0"];
    night.good(&again, "");
    let place = night.place();
    let print = |arguments: &[&str]| {
        let output = crossread(arguments, "");
        assert_eq!(output.status.code(), Some(0), "{arguments:?}: {}", said(&output));
        let text = String::from_utf8(output.stdout).unwrap();
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let report = print(&["report", "-j", &place, "WS-0142", "--as", "text"]);
    for part in [
        "Brindlemoor Animal Hospital",
        "not issued",
        "Replaces r1 issued 2026-03-01T03:40:00+01:00 to Dr Vane: D-091 was compatible",
        "0, hemolysis 0 → w, hemolysis 0",
        "wrong row",
        "record: entry",
    ] {
        assert!(report.contains(part), "{part}: {report}");
    }
    assert!(print(&["sheet", "-j", &place, "WS-0142"]).contains("<s>0</s> → w"));
    let blank = print(&["sheet", "-j", &place, "WS-0142", "--blank", "--as", "text"]);
    assert!(!blank.contains("03:40 KT"), "{blank}");
    assert!(print(&["labels", "-j", &place, "WS-0142"]).contains("WS-0142 2 major D-091"));
    let handover = print(&["handover", "-j", &place, "--by", "KT", "--as", "text"]);
    assert!(handover.contains("tell Dr Vane that revision 1"), "{handover}");
    assert!(handover.contains("WS-0142"), "{handover}");
    let document = night.good(&["show", "WS-0142", "--document"], "");
    let output = crossread(&["report", "-", "--as", "text"], &document);
    assert!(said(&output).contains("not issued"));
    let file = night.folder.path().join("report.html");
    let file = file.to_str().unwrap();
    print(&["report", "-j", &place, "WS-0142", "-o", file]);
    assert!(std::fs::read_to_string(file).unwrap().starts_with("<!DOCTYPE html>"));
    let nowhere = crossread(&["report", "-j", &place, "WS-0142", "-o", "no/such/folder.html"], "");
    assert_eq!(nowhere.status.code(), Some(73));
}

/// Hidden characters of the record do not reach the terminal.
#[test]
fn hidden_characters_are_shown() {
    let night = Night::new();
    night.good(&["open", "-"], &OPENING.replace("Jürgen", "J\\u001b[31m\\u202e"));
    night.good(&["note", "WS-0142", "bell \u{7} and \u{1b}[2J"], "");
    for told in [
        night.good(&["show", "WS-0142"], ""),
        night.good(&["list"], ""),
        night.good(&["animal", "R-3107"], ""),
    ] {
        assert!(!told.contains(['\u{1b}', '\u{7}', '\u{202e}']), "{told:?}");
    }
}
