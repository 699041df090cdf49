//! The command from outside, as its user runs it.
#![expect(clippy::unwrap_used, reason = "a helper of a test may fail the test")]

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

fn crossread(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_crossread"));
    command.args(arguments).env_remove("NO_COLOR").env_remove("CLICOLOR_FORCE");
    command
}

fn run(arguments: &[&str]) -> Output {
    crossread(arguments).stdin(Stdio::null()).output().unwrap()
}

/// Runs with `input` on the standard input.
fn feed(arguments: &[&str], input: &[u8]) -> Output {
    let mut child = crossread(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut stdin = child.stdin.take().unwrap();
    let input = input.to_vec();
    let writer = std::thread::spawn(move || stdin.write_all(&input));
    let output = child.wait_with_output().unwrap();
    // The command may rightly stop reading early.
    drop(writer.join().unwrap());
    output
}

fn status(output: &Output) -> i32 {
    output.status.code().unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn example(name: &str) -> String {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    root.join(name).join("worksheet.json").to_str().unwrap().to_owned()
}

/// A worksheet of an example on one line.
fn line(name: &str) -> String {
    let text = fs::read_to_string(example(name)).unwrap();
    serde_json::from_str::<serde_json::Value>(&text).unwrap().to_string()
}

fn examples() -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let entries = fs::read_dir(root).unwrap().map(|entry| entry.unwrap().path());
    let mut all: Vec<_> = entries.filter(|path| path.is_dir()).collect();
    all.sort();
    all
}

#[test]
fn the_status_says_whether_every_donor_may_be_released() {
    assert_eq!(status(&run(&["interpret", &example("clean-run")])), 0);
    assert_eq!(status(&run(&["interpret", &example("major-2-plus")])), 1);
    assert_eq!(status(&run(&["interpret", "--exit-zero", &example("major-2-plus")])), 0);
    let both = run(&["interpret", &example("clean-run"), &example("major-2-plus")]);
    assert_eq!(status(&both), 1);
}

#[test]
fn misuse_is_2() {
    assert_eq!(status(&run(&[])), 2);
    assert_eq!(status(&run(&["interprt"])), 2);
    assert_eq!(status(&run(&["explain", "no-such-thing-at-all"])), 2);
    let (one, two) = (example("clean-run"), example("major-2-plus"));
    assert_eq!(status(&run(&["interpret", "--format", "json", &one, &two])), 2);
    assert!(err(&run(&["explain", "rouleaux-dispersd"])).contains("rouleaux-dispersed"));
}

#[test]
fn a_document_at_fault_is_65_even_beside_good_ones() {
    let bad = feed(&["interpret", "-", &example("clean-run")], b"{}");
    assert_eq!(status(&bad), 65);
    assert!(out(&bad).contains("COMPATIBLE"), "the good one is answered");
    assert!(err(&bad).contains("<stdin>:1:1: missing-field"));
    assert_eq!(status(&feed(&["interpret", "--exit-zero", "-"], b"[")), 65);
    assert_eq!(status(&feed(&["check", "-"], b"{}")), 65);
}

#[test]
fn a_missing_file_is_66() {
    let missing = run(&["interpret", "no-such-file.json"]);
    assert_eq!(status(&missing), 66);
    assert!(err(&missing).contains("no-such-file.json"));
    assert_eq!(status(&run(&["interpret", "--protocol", "no.json", &example("clean-run")])), 66);
}

#[test]
fn a_folder_that_cannot_be_written_is_73() {
    assert_eq!(status(&run(&["man", "no/such/folder"])), 73);
}

#[test]
fn a_reader_that_stops_gives_74_without_a_word() {
    let lines = format!("{}\n", line("clean-run")).repeat(2_000);
    let mut child = crossread(&["interpret", "--stream", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let mut stdin = child.stdin.take().unwrap();
    drop(stdin.write_all(lines.as_bytes()));
    drop(stdin);
    let ended = child.wait_with_output().unwrap();
    assert_eq!(status(&ended), 74);
    assert_eq!(err(&ended), "");
}

#[test]
fn a_stream_gives_one_line_for_each_in_order_whatever_the_jobs() {
    let mut input = String::new();
    for number in 0..400 {
        let name = if number % 3 == 0 { "clean-run" } else { "three-donors-compared" };
        input.push_str(&line(name).replace("WS-", &format!("N{number}-")));
        // CRLF is an end of line too, and an empty line is a fault, not nothing.
        input.push_str(if number % 5 == 0 { "\r\n" } else { "\n" });
    }
    input.push_str("\n{\"format\":\n");
    let one = feed(&["interpret", "--stream", "-"], input.as_bytes());
    assert_eq!(status(&one), 65);
    let lines: Vec<_> = out(&one).lines().map(str::to_owned).collect();
    assert_eq!(lines.len(), 402);
    for (number, line) in lines.iter().take(400).enumerate() {
        assert!(line.contains(&format!("\"N{number}-")), "line {number}");
    }
    assert!(lines[400].contains("\"document\":401"));
    assert!(lines[401].contains("\"document\":402"));
    for jobs in ["2", "3", "8"] {
        let many = feed(&["interpret", "--stream", "--jobs", jobs, "-"], input.as_bytes());
        assert_eq!(many.stdout, one.stdout, "{jobs} jobs");
    }
}

#[test]
fn a_line_without_its_end_counts() {
    let answered = feed(&["interpret", "--stream", "-"], line("clean-run").as_bytes());
    assert_eq!(status(&answered), 0);
    assert_eq!(out(&answered).lines().count(), 1);
}

#[test]
fn a_line_that_is_too_large_is_a_fault_and_the_next_is_answered() {
    let mut input = vec![b' '; 65 * 1024 * 1024];
    input.push(b'\n');
    input.extend_from_slice(line("clean-run").as_bytes());
    let answered = feed(&["interpret", "--stream", "-"], &input);
    let text = out(&answered);
    let lines: Vec<_> = text.lines().collect();
    assert_eq!(lines.len(), 2);
    assert!(lines[0].contains("document-too-large"));
    assert!(lines[1].contains("\"verdict\":\"compatible\""));
}

#[test]
fn a_stream_file_is_known_by_its_ending_and_gives_the_bytes_of_the_core() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("night.ndjson");
    fs::write(&file, format!("{}\n", line("clean-run"))).unwrap();
    let streamed = run(&["interpret", file.to_str().unwrap()]);
    let single = feed(&["interpret", "--format", "ndjson", "-"], line("clean-run").as_bytes());
    assert_eq!(streamed.stdout, single.stdout);
    assert_eq!(status(&run(&["interpret", "--format", "text", file.to_str().unwrap()])), 2);
}

#[test]
fn the_expected_output_of_an_example_is_what_json_prints() {
    for folder in examples() {
        let file = folder.join("worksheet.json");
        let printed = run(&["interpret", "--format", "json", file.to_str().unwrap()]);
        let expected = fs::read(folder.join("interpretation.json")).unwrap();
        assert_eq!(printed.stdout, expected, "{}", folder.display());
    }
}

#[test]
fn places_are_lines_and_columns_in_characters() {
    let document = "{\r\n  \"id\": \"µµ\", \"metod\": \"tube\"\r\n}";
    let checked = feed(&["check", "-"], document.as_bytes());
    let text = out(&checked);
    assert!(text.contains("<stdin>:2:15: unknown-field at /metod"), "{text}");
    assert!(text.contains("did you mean `method`?"), "{text}");
    let json = feed(&["check", "--format", "json", "-"], document.as_bytes());
    let report: serde_json::Value = serde_json::from_str(&out(&json)).unwrap();
    assert_eq!(report["format"], "crossread.fault/1");
    assert_eq!(report["input"], "<stdin>");
}

#[test]
fn windows_paths_come_out_as_they_went_in() {
    let missing = run(&["check", r"C:\bench\night 3\ws.json"]);
    assert_eq!(status(&missing), 66);
    assert!(err(&missing).contains(r"C:\bench\night 3\ws.json"));
}

#[test]
fn color_is_asked_for_or_not_there() {
    let file = example("major-2-plus");
    let escape = '\u{1b}';
    assert!(!out(&run(&["interpret", &file])).contains(escape), "no terminal, no color");
    assert!(out(&run(&["interpret", "--color", "always", &file])).contains(escape));
    let mut never = crossread(&["interpret", &file]);
    let never = never.env("NO_COLOR", "1").env("CLICOLOR_FORCE", "0").output().unwrap();
    assert!(!out(&never).contains(escape));
    let json = run(&["interpret", "--color", "always", "--format", "json", &file]);
    assert!(!out(&json).contains(escape), "data never has color");
}

/// What people read fits 80 columns and never promises what nobody can.
fn for_people(text: &str, what: &str) {
    for line in text.lines() {
        assert!(line.chars().count() <= 80, "{what}: over 80 columns: {line}");
    }
    let mut words = text.split(|c: char| !c.is_alphabetic()).map(str::to_lowercase);
    assert!(!words.any(|word| word == "safe" || word == "safely"), "{what}");
}

#[test]
fn text_is_readable_at_80_columns() {
    for folder in examples() {
        let file = folder.join("worksheet.json");
        for_people(
            &out(&run(&["interpret", file.to_str().unwrap()])),
            &folder.display().to_string(),
        );
    }
    for arguments in [
        &["demo"][..],
        &["protocols", "list"],
        &["protocols", "show", "dog-routine"],
        &["protocols", "compare", "dog-routine", "horse-routine"],
        &["explain", "serology-only"],
        &["explain", "saline replacement"],
        &["explain", "duplicate-key"],
        &["explain", "reactive_from"],
    ] {
        let printed = run(arguments);
        assert_eq!(status(&printed), 0, "{arguments:?}");
        for_people(&out(&printed), &format!("{arguments:?}"));
    }
}

#[test]
fn every_verb_has_help_with_one_example() {
    let verbs: &[&[&str]] = &[
        &[],
        &["demo"],
        &["check"],
        &["interpret"],
        &["explain"],
        &["protocols", "list"],
        &["protocols", "show"],
        &["protocols", "check"],
        &["protocols", "compare"],
        &["schema"],
        &["completions"],
        &["man"],
    ];
    for verb in verbs {
        let help = run(&[verb, &["--help"][..]].concat());
        assert_eq!(status(&help), 0);
        let text = out(&help);
        assert_eq!(text.matches("Example: crossread").count(), 1, "{verb:?}");
        for_people(&text, &format!("{verb:?}"));
    }
}

#[test]
fn every_finding_and_fault_code_is_explained() {
    for meta in crossread_core::findings::CATALOGUE {
        let explained = run(&["explain", meta.slug]);
        assert_eq!(status(&explained), 0, "{}", meta.slug);
        for_people(&out(&explained), meta.slug);
    }
    for code in crossread_core::document::FaultCode::ALL {
        assert_eq!(status(&run(&["explain", code.word()])), 0, "{code}");
    }
}

#[test]
fn what_machines_ask_for() {
    for name in ["fault", "interpretation", "protocol", "worksheet"] {
        let schema = run(&["schema", name]);
        serde_json::from_str::<serde_json::Value>(&out(&schema)).unwrap();
    }
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        assert!(out(&run(&["completions", shell])).contains("crossread"), "{shell}");
    }
    assert!(out(&run(&["man"])).contains(".TH"));
    let folder = tempfile::tempdir().unwrap();
    assert_eq!(status(&run(&["man", folder.path().to_str().unwrap()])), 0);
    assert!(folder.path().join("crossread-interpret.1").exists());
}

#[test]
fn a_local_protocol_is_used_and_checked() {
    let folder = tempfile::tempdir().unwrap();
    let shipped =
        crossread_core::protocol::SHIPPED.iter().find(|(name, _)| name.starts_with("dog"));
    let local = shipped.unwrap().1.replace("\"dog-routine\"", "\"our-dogs\"");
    let path = folder.path().join("our-dogs.json");
    fs::write(&path, &local).unwrap();
    let path = path.to_str().unwrap();
    let worksheet = line("clean-run").replace("dog-routine", "our-dogs");
    let unknown = feed(&["interpret", "-"], worksheet.as_bytes());
    assert_eq!(status(&unknown), 65);
    assert!(err(&unknown).contains("unknown-protocol at /protocol"));
    let known = feed(&["interpret", "--protocol", path, "-"], worksheet.as_bytes());
    assert_eq!(status(&known), 0);
    assert_eq!(status(&run(&["protocols", "check", path])), 0);
    assert_eq!(status(&run(&["check", path])), 0);
    fs::write(path, local.replace("\"lo\": 60", "\"lo\": 600")).unwrap();
    let broken = run(&["protocols", "check", path]);
    assert_eq!(status(&broken), 65);
    assert!(out(&broken).contains("protocol-contradiction at /methods/slide/seconds/value/lo"));
}
