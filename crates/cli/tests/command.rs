//! The command from outside, as its user runs it.
#![expect(clippy::unwrap_used, reason = "a helper of a test may fail the test")]

use std::fs;
use std::io::{BufRead as _, BufReader, Write as _};
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::sync::mpsc::channel;
use std::time::{Duration, Instant};

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
    let mut all: Vec<_> = entries.filter(|path| path.join("worksheet.json").is_file()).collect();
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
fn a_missing_file_does_not_stop_the_others() {
    let (good, reacting) = (example("clean-run"), example("major-2-plus"));
    let some = run(&["interpret", "no-such-1.json", &good, "no-such-2.json", &reacting]);
    assert_eq!(status(&some), 66);
    assert!(err(&some).contains("no-such-1.json") && err(&some).contains("no-such-2.json"));
    assert!(out(&some).contains("[=] COMPATIBLE") && out(&some).contains("[X] INCOMPATIBLE"));
    assert_eq!(status(&run(&["interpret", "--exit-zero", "no-such.json", &reacting])), 66);
    let checked = feed(&["check", "no-such.json", "-", &good], b"{}");
    assert_eq!(status(&checked), 66, "the gravest of 66, 65 and 0");
    assert!(out(&checked).contains("<stdin>: 7 faults") && out(&checked).contains("no fault"));
    let folder = tempfile::tempdir().unwrap();
    let stream = folder.path().join("night.ndjson");
    fs::write(&stream, format!("{}\n", line("clean-run"))).unwrap();
    let streams = run(&["interpret", "no-such.ndjson", stream.to_str().unwrap()]);
    assert_eq!((status(&streams), out(&streams).lines().count()), (66, 1));
    let protocols = run(&["protocols", "check", "no-such.json", &good]);
    assert_eq!(status(&protocols), 66);
    assert!(out(&protocols).contains("unknown-format"), "the worksheet is no protocol");
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
        &["exercise", "make"],
        &["exercise", "show"],
        &["exercise", "mark"],
        &["exercise", "stats"],
        &["exercise", "export"],
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
fn an_explanation_for_programs_is_a_list_of_all_meanings() {
    for format in ["json", "ndjson"] {
        let all = run(&["explain", "--format", format, "reactive_from"]);
        let all: serde_json::Value = serde_json::from_str(&out(&all)).unwrap();
        let rules = all.as_array().unwrap();
        let of = |rule: &serde_json::Value| rule["protocol"].as_str().unwrap().to_owned();
        let protocols: Vec<_> = rules.iter().map(of).collect();
        assert_eq!(protocols, ["cat-routine", "dog-routine", "horse-routine"]);
        assert!(rules.iter().all(|rule| rule["kind"] == "rule" && rule["value"] != ""));
    }
    let finding = out(&run(&["explain", "--format", "ndjson", "major-reactive"]));
    assert_eq!(finding.lines().count(), 1);
    assert!(finding.contains(r#""effects":["note","incompatible"]"#), "{finding}");
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
    for name in ["fault", "interpretation", "journal", "protocol", "worksheet"] {
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

/// The text of the protocol that ships for dogs.
fn dog_routine() -> &'static str {
    let mut shipped = crossread_core::protocol::SHIPPED.iter();
    shipped.find(|(name, _)| name.starts_with("dog")).unwrap().1
}

#[test]
fn check_goes_by_the_documents_own_format_and_nothing_else() {
    let checked = |document: &str| {
        let checked = feed(&["check", "-"], document.as_bytes());
        (status(&checked), out(&checked))
    };
    let remark = r#"see \"format\": \"crossread.protocol/1\" and crossread.protocol/1"#;
    let worksheet = line("clean-run").replacen('{', &format!(r#"{{"remarks":"{remark}","#), 1);
    let (ended, text) = checked(&worksheet);
    assert_eq!(ended, 0, "{text}");
    assert!(text.contains("no fault: worksheet WS-0131"), "{text}");

    let protocol = dog_routine().replacen("\"note\": \"", "\"note\": \"crossread.worksheet/1 ", 1);
    let (ended, text) = checked(&protocol);
    assert_eq!(ended, 0, "{text}");
    assert!(text.contains("no fault: protocol dog-routine"), "{text}");
    // Escapes are read as what they stand for.
    let (ended, text) = checked(&protocol.replacen("\"format\"", "\"f\\u006frmat\"", 1));
    assert_eq!(ended, 0, "{text}");
    // Another version of a protocol is judged as a protocol.
    let later = protocol.replace("crossread.protocol/1", "crossread.protocol/2");
    assert_eq!(checked(&later).1.matches("<stdin>:").count(), 2, "one fault and the count");
    assert!(checked(&later).1.contains("unknown-format at /format"));

    // A format inside a part is not the document's.
    let nested = line("clean-run").replacen('{', r#"{"x":{"format":"crossread.protocol/1"},"#, 1);
    let (ended, text) = checked(&nested);
    assert_eq!(ended, 65);
    assert!(text.contains("unknown-field at /x") && text.contains("1 fault\n"), "{text}");
    // Two formats are no format, whichever comes first.
    for (before, after) in [
        (r#"{"format":"crossread.protocol/1","#, "}"),
        ("{", r#","format":"crossread.protocol/1"}"#),
    ] {
        let inner = line("clean-run");
        let inner = inner.strip_prefix('{').and_then(|inner| inner.strip_suffix('}')).unwrap();
        let (ended, text) = checked(&format!("{before}{inner}{after}"));
        assert_eq!(ended, 65);
        assert!(text.contains("duplicate-key at /format"), "{text}");
    }
    // What cannot be read has the one fault of its grammar.
    for broken in
        [protocol.trim_end_matches(['}', '\n']), &format!("{protocol} x"), "crossread.protocol/1"]
    {
        let (ended, text) = checked(broken);
        assert_eq!(ended, 65);
        assert!(text.contains("1 fault\n"), "{text}");
    }
}

#[test]
fn check_takes_a_stream_and_names_its_lines() {
    let mut stream = format!("{}\n{}\r\n", line("clean-run"), line("major-2-plus"));
    let protocol: serde_json::Value = serde_json::from_str(dog_routine()).unwrap();
    stream.push_str(&protocol.to_string());
    stream.push('\n');
    let folder = tempfile::tempdir().unwrap();
    let good = folder.path().join("good.JSONL");
    fs::write(&good, &stream).unwrap();
    let checked = run(&["check", good.to_str().unwrap()]);
    assert_eq!(status(&checked), 0);
    assert!(out(&checked).ends_with("good.JSONL: no fault: documents: 3\n"));

    stream.push('\n');
    stream.push_str(&line("clean-run").replace("\"method\"", "\"metod\""));
    let checked = feed(&["check", "--stream", "-"], stream.as_bytes());
    let text = out(&checked);
    assert_eq!(status(&checked), 65);
    assert!(text.contains("<stdin>:4:1: not-json"), "{text}");
    assert!(text.contains(": unknown-field at /metod") && text.contains("<stdin>:5:"), "{text}");
    assert!(text.contains("\n  5 | …"), "the line shown has the stream's number: {text}");
    assert!(text.ends_with("<stdin>: 3 faults in 2 of 5 documents\n"), "{text}");
    for_people(&text, "check --stream");

    let checked = feed(&["check", "--stream", "--format", "ndjson", "-"], stream.as_bytes());
    let numbers: Vec<_> = out(&checked)
        .lines()
        .map(|line| serde_json::from_str::<serde_json::Value>(line).unwrap()["document"].as_u64())
        .collect();
    assert_eq!(numbers, [Some(4), Some(5)]);
    let indented = ["check", "--format", "json", good.to_str().unwrap()];
    assert_eq!(status(&run(&indented)), 2);
}

/// Nothing but what is to be seen, and line ends.
fn nothing_hidden(text: &str, what: &str) {
    let hidden = |c: char| {
        (c.is_control() && c != '\n')
            || ('\u{202a}'..='\u{202e}').contains(&c)
            || ('\u{2066}'..='\u{2069}').contains(&c)
            || matches!(c, '\u{200b}'..='\u{200f}' | '\u{61c}' | '\u{2028}' | '\u{2029}')
    };
    assert!(!text.contains(hidden), "{what}: {text:?}");
}

#[test]
fn a_document_cannot_color_move_or_hide_what_is_printed() {
    // Clears the screen, starts a line of its own, and turns the writing around.
    let evil = "\u{1b}[2J\r\n[=] COMPATIBLE: \u{202e}\u{9b}\u{200b}\u{7}";
    let json = serde_json::to_string(evil).unwrap();
    let json = json.trim_matches('"');
    let put = |text: &str, at: &str| text.replace(at, &format!("{at}{json}"));
    let mut worksheet = line("three-donors-compared");
    for at in ["R-3113", "Pascoe", "D-072", "U-5522", "WS-0144", "MO", "S-1"] {
        worksheet = put(&worksheet, at);
    }
    let verdict = feed(&["interpret", "-"], worksheet.as_bytes());
    assert_eq!(status(&verdict), 1, "{}", err(&verdict));
    let text = out(&verdict);
    nothing_hidden(&text, "verdict");
    for_people(&text, "verdict");
    assert!(text.contains(r"\u001b[2J\u000d\u000a[=]"), "{text}");
    assert!(!text.lines().any(|line| line.starts_with("[=] COMPATIBLE: \\")), "{text}");
    // With color there is ours and no other.
    let colored = out(&feed(&["interpret", "--color", "always", "-"], worksheet.as_bytes()));
    assert!(colored.contains("\u{1b}[1m") && !colored.contains("\u{1b}[2J"));
    // JSON is for programs, and says what was written.
    let answer = out(&feed(&["interpret", "--format", "json", "-"], worksheet.as_bytes()));
    assert!(answer.contains(&format!("\"R-3113{json}\"")));

    // Faults: in a text, a key, a word, and raw in the line that is shown.
    let raw = worksheet.replacen("R-3113", "R-\u{202e}\u{85}3113", 1);
    let bad = raw.replace("\"tube\"", &format!("\"tube{json}\""));
    let bad = bad.replacen('{', &format!("{{\"x{json}\":1,"), 1);
    for arguments in [&["check", "-"][..], &["interpret", "-"], &["check", "--stream", "-"]] {
        let told = feed(arguments, bad.as_bytes());
        assert_eq!(status(&told), 65);
        let text = format!("{}{}", out(&told), err(&told));
        nothing_hidden(&text, "faults");
        assert!(text.contains("unknown-field at /x\\u001b[2J"), "{text}");
    }

    let ours = put(&put(dog_routine(), "dog-routine"), "\"note\": \"");
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("our\u{1b}[2J\u{202e}dogs.json");
    let name = path.to_str().unwrap();
    fs::write(&path, ours).unwrap();
    for arguments in [
        &["protocols", "show", name][..],
        &["protocols", "compare", "dog-routine", name],
        &["protocols", "check", name],
        &["check", name],
        &["interpret", name],
        &["interpret", "no\u{1b}such.json"],
        &["explain", "no\u{1b}such"],
    ] {
        let told = run(arguments);
        let text = format!("{}{}", out(&told), err(&told));
        assert!(text.contains("\\u001b"), "{arguments:?}: {text}");
        nothing_hidden(&text, &format!("{arguments:?}"));
    }
}

/// One line of about 30 MB with 10,000 faults: telling them costs no more than finding them does,
/// give or take. Looking through the line for each fault takes minutes.
#[test]
fn many_faults_on_one_long_line_are_told_in_linear_time() {
    let (good, _) = line("clean-run").split_once("\"readings\":[").map_or_else(
        || panic!("the example has readings"),
        |(before, after)| (before.to_owned(), after.to_owned()),
    );
    let spoiled = r#"{"test":"major","phase":7,"agglutination":"0","at":"2026-03-01T03:28:10Z"},"#;
    let padded = format!("{}{spoiled}", " ".repeat(2_900));
    let document = format!("{good}\"readings\":[{}null]}}", padded.repeat(10_500));
    let took = |format: &str| {
        let start = Instant::now();
        let checked = feed(&["check", "--format", format, "-"], document.as_bytes());
        assert_eq!(status(&checked), 65);
        (start.elapsed(), checked)
    };
    let (as_json, _) = took("ndjson");
    let (as_text, checked) = took("text");
    assert!(as_text < as_json * 4 + Duration::from_secs(5), "{as_text:?} beside {as_json:?}");
    let text = out(&checked);
    assert!(text.contains("10001 faults") || text.contains("10000 faults"));
    for_people(&text, "one long line");
}

#[test]
fn the_line_is_shown_around_the_place_with_a_caret() {
    let long = format!("{{\"id\": \"{}\",\t\"metod\": \"{}\"}}", "µ".repeat(300), "x".repeat(300));
    let text = out(&feed(&["check", "-"], long.as_bytes()));
    let shown: Vec<_> = text.lines().skip_while(|line| !line.contains("unknown-field")).collect();
    let row = shown.iter().find(|line| line.contains(" | …")).unwrap();
    let carets = shown.iter().find(|line| line.contains('^')).unwrap();
    assert!(row.starts_with("  1 | …µµµ") && row.ends_with("xxx…"), "{row}");
    let at = row.chars().position(|c| c == 'm').unwrap() - 1;
    let caret = carets.chars().position(|c| c == '^').unwrap();
    assert_eq!((caret, carets.matches('^').count()), (at, "\"metod\"".len()), "{text}");
    for_people(&text, "a long line");
    // A line that is short enough is shown whole.
    let text = out(&feed(&["check", "-"], b"{\n  \"metod\": 1\r\n}\r\n"));
    assert!(text.contains("\n  2 |   \"metod\": 1\n    |   ^^^^^^^\n"), "{text}");
}

/// Whoever writes a line and waits gets its answer, and only then the next.
#[test]
fn a_line_is_answered_when_it_has_come() {
    for arguments in [
        &["interpret", "--stream", "-"][..],
        &["interpret", "--stream", "--jobs", "2", "-"],
        &["interpret", "--stream", "--jobs", "7", "-"],
        &["check", "--stream", "--format", "ndjson", "-"],
    ] {
        let mut child = crossread(arguments)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::inherit())
            .spawn()
            .unwrap();
        let mut stdin = child.stdin.take().unwrap();
        let stdout = BufReader::new(child.stdout.take().unwrap());
        let (answer, answers) = channel();
        let reader = std::thread::spawn(move || {
            for line in stdout.lines() {
                answer.send(line.unwrap()).unwrap();
            }
        });
        let verb = arguments[0];
        for number in 0..20 {
            // To `check`, only a fault is worth a word.
            let bad = verb == "check" || number % 4 == 3;
            let sent = if bad { "{}".to_owned() } else { line("clean-run") };
            stdin.write_all(format!("{sent}\n").as_bytes()).unwrap();
            let came = answers.recv_timeout(Duration::from_secs(20));
            let came = came.unwrap_or_else(|_| panic!("{arguments:?}: no answer to {number}"));
            let wanted =
                if bad { format!("\"document\":{},", number + 1) } else { "WS-0131".into() };
            assert!(came.contains(&wanted), "{arguments:?}: {came}");
        }
        drop(stdin);
        assert_eq!(child.wait().unwrap().code(), Some(65));
        reader.join().unwrap();
    }
}

/// With several jobs the reader may hang on a pipe that stays open; the command must end anyway.
#[test]
fn a_reader_that_stops_ends_the_command_while_its_input_stays_open() {
    let mut child = crossread(&["interpret", "--stream", "--jobs", "2", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let mut stdin = child.stdin.take().unwrap();
    stdin.write_all(format!("{}\n", line("clean-run")).as_bytes()).unwrap();
    let start = Instant::now();
    let ended = loop {
        if let Some(ended) = child.try_wait().unwrap() {
            break ended;
        }
        assert!(start.elapsed() < Duration::from_secs(20), "it hangs");
        std::thread::sleep(Duration::from_millis(10));
    };
    assert_eq!(ended.code(), Some(74));
    drop(stdin);
}

#[test]
fn short_bad_lines_with_long_answers_keep_their_order() {
    let input = "{}\n\n[]\n".repeat(6_000);
    let one = feed(&["interpret", "--stream", "-"], input.as_bytes());
    assert_eq!(status(&one), 65);
    assert!(one.stdout.len() > 4_000_000, "more than one piece a batch");
    for (number, line) in (1..).zip(out(&one).lines()) {
        assert!(line.contains(&format!("\"document\":{number},")), "{line}");
    }
    let many = feed(&["interpret", "--stream", "--jobs", "3", "-"], input.as_bytes());
    assert!(many.stdout == one.stdout, "the same with several jobs");
}

#[test]
fn a_verdict_says_what_to_do_what_was_read_and_why() {
    let text = out(&run(&["interpret", &example("three-donors-compared")]));
    let at = |piece: &str| text.find(piece).unwrap_or_else(|| panic!("no {piece:?} in:\n{text}"));
    // First all donors at a glance, in the order for comparison, then one after the other.
    let order = [
        "Worksheet WS-0144",
        "\n    [=] COMPATIBLE    D-071 (packed cells, unit U-5521)\n",
        "    [=] COMPATIBLE    D-073 (packed cells, unit U-5523)\n",
        "    [X] INCOMPATIBLE  D-072 (packed cells, unit U-5522)\n",
        "\n[=] COMPATIBLE: D-071 for R-3113 Pascoe (packed cells, unit U-5521)\n    No reaction",
        "\n[=] COMPATIBLE: D-073 for",
        "\n[X] INCOMPATIBLE: D-072 for R-3113 Pascoe (packed cells, unit U-5522)\n    Do not give.",
        "\n                   Quarantine the unit",
        "not tested   minor, donor autocontrol, room temperature, antiglobulin\n",
        "read         major: 3+ at 37 °C, reactive\n",
        "                 recipient autocontrol: 0 at 37 °C; 0 at antiglobulin\n    because",
        "because      major-reactive (incompatible): major crossmatch reactive\n",
        "                 - major 3+ at 37 °C, read 03:13 by MO\n",
        "All donors together\n    noted        one-donor-reactive:",
        "This is serology only.",
    ];
    assert!(order.iter().map(|piece| at(piece)).is_sorted(), "{text}");

    let single = out(&run(&["interpret", &example("rouleaux-dispersed")]));
    assert!(single.contains("0\n\n[~] COMPATIBLE WITH CAVEATS: D-304"), "no overview of one donor");
    assert!(
        single.contains("next         1. Keep both")
            && single.contains("\n                 2. Hand")
    );
    assert!(single.contains("- major 0 at 37 °C after saline replacement, read 23:41 by KT"));
    assert!(single.contains("valid until  2026-03-15 20:10 (+01:00)"), "by the bench's clock");
}

/// What cannot be used or was withdrawn never looks like a plain negative.
#[test]
fn a_reading_that_does_not_count_says_so() {
    let void = out(&run(&["interpret", &example("label-mismatch")]));
    assert!(void.contains("read         major: 0 at 37 °C, not usable\n"), "{void}");
    let retracted = out(&run(&["interpret", &example("retracted-reading")]));
    assert!(retracted.contains("; taken back by"), "{retracted}");
    let cold = out(&run(&["interpret", &example("cold-only-reaction")]));
    assert!(cold.contains("(this phase does not decide)"), "{cold}");
    // A run that goes over midnight has the date beside each time.
    let evening = line("major-2-plus");
    let night = evening.replace("2026-03-14T02:08", "2026-03-13T23:50");
    let read = |sheet: &str| out(&feed(&["interpret", "-"], sheet.as_bytes()));
    assert!(read(&evening).contains("major 2+ at 37 °C, read 02:37 by MO"));
    assert!(read(&night).contains("major 2+ at 37 °C, read 2026-03-14 02:37 by MO"));
}

#[test]
fn the_sample_in_the_readme_is_what_is_printed() {
    let readme = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../README.md");
    let readme = fs::read_to_string(readme).unwrap();
    let sample = readme.split("```text\n").nth(1).and_then(|rest| rest.split("```").next());
    let printed = out(&run(&["interpret", &example("three-donors-compared")]));
    assert!(
        printed.contains(sample.unwrap()),
        "README.md has another sample than `crossread interpret \
         examples/three-donors-compared/worksheet.json` prints:\n{printed}"
    );
}

/// Calculated: a dog of 20 kg from 15 to 25 % with packed cells of 60 % takes 267 to 300 mL by
/// 80 to 90 mL of blood a kg, and 200 to 320 mL by 1 to 1.6 mL/kg for each percent.
#[test]
fn a_transfusion_is_planned() {
    let of = |more: &[&str]| {
        let asked = ["transfusion", "dog", "packed_cells", "--pcv-now", "15", "--pcv-target", "25"];
        run(&[&asked[..], more].concat())
    };
    let planned = of(&["--weight-kg", "20", "--product-pcv", "60", "--ordered-ml", "300"]);
    let text = out(&planned);
    assert_eq!(planned.status.code(), Some(0), "{text}");
    assert!(text.contains("267 to 300 mL") && text.contains("200 to 320 mL"), "{text}");
    assert!(text.contains("Any sign: stop first. Keep the unit and the line."), "{text}");
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    // The sheet for a pen, on either paper; a long one in parts.
    let sheet = ["--weight-kg", "20", "--product-pcv", "60", "--ordered-ml", "300", "--sheet", "-"];
    let text = out(&of(&[&sheet[..], &["--as", "text"]].concat()));
    assert!(text.contains("+min +192") && text.contains("For: ____"), "{text}");
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    let letter = out(&of(&[&sheet[..], &["--paper", "letter"]].concat()));
    assert!(letter.contains("size: letter") && letter.contains("Transfusion sheet"), "{letter}");
    let slow = of(&[&sheet[..], &["--slowly", "--part", "2", "--as", "text"]].concat());
    assert!(out(&slow).contains("+min +480") && slow.stderr.is_empty(), "{}", out(&slow));
    let none = of(&[&sheet[..], &["--part", "2"]].concat());
    assert!(String::from_utf8_lossy(&none.stderr).contains("--part is from 1 to 1"));
    assert_eq!(none.status.code(), Some(2));
    for (more, says) in [
        (["--weight-kg", "0", "--product-pcv", "60"], "outside its range, over 0 to 2000 kg"),
        (["--weight-kg", "-4", "--product-pcv", "60"], "`-4` is no number"),
        (["--weight-kg", "20", "--product-pcv", "95"], "outside its range, from 2 to 80 %"),
        (["--weight-kg", "20", "--product-pcv", "0.60"], "give it in percent"),
    ] {
        let refused = of(&more);
        assert_eq!(refused.status.code(), Some(2), "{more:?}");
        let told = String::from_utf8_lossy(&refused.stderr);
        assert!(told.contains(says) && refused.stdout.is_empty(), "{told}");
    }
    let refused = of(&["--weight-kg", "20", "--product-pcv", "60", "--ordered-ml", "1801"]);
    let told = String::from_utf8_lossy(&refused.stderr);
    assert!(told.contains("more than the animal's own blood, at most 1800 mL"), "{told}");
    assert_ne!(refused.status.code(), Some(0));
}
