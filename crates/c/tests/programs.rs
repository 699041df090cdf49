//! Programs in C, compiled against the header and run as their authors would: with the library
//! inside them, and beside them. With `CROSSREAD_VALGRIND` set they run under valgrind; with
//! `CROSSREAD_SANITIZER`, programs and libraries alike are built to watch every address they use,
//! and what is never given back.
#![expect(clippy::unwrap_used, reason = "a helper of a test may fail the test")]
#![forbid(unsafe_code)]

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::sync::OnceLock;

fn package() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn example(file: &str) -> PathBuf {
    package().join("../../examples").join(file)
}

/// Whether all is built with the address sanitizer.
fn sanitized() -> bool {
    std::env::var_os("CROSSREAD_SANITIZER").is_some()
}

/// The folder of the libraries, built with the function that panics, in the profile of this test.
fn libraries() -> &'static Path {
    static BUILT: OnceLock<PathBuf> = OnceLock::new();
    BUILT.get_or_init(|| {
        let target = Path::new(env!("CARGO_TARGET_TMPDIR")).join("libraries");
        let mut cargo = Command::new(env!("CARGO"));
        cargo.args(["build", "--quiet", "--locked", "--features", "panic", "--target-dir"]);
        cargo.arg(&target).current_dir(package());
        let profile = if cfg!(debug_assertions) { "debug" } else { "release" };
        if profile == "release" {
            cargo.arg("--release");
        }
        if !sanitized() {
            assert!(cargo.status().unwrap().success());
            return target.join(profile);
        }
        // The compiler that is there takes the flag of the unstable one; with a target named, the
        // build scripts are left as they are.
        let host = Command::new("rustc").args(["--print", "host-tuple"]).output().unwrap();
        let host = String::from_utf8(host.stdout).unwrap();
        cargo.args(["--target", host.trim()]).env("RUSTC_BOOTSTRAP", "1");
        cargo.env("RUSTFLAGS", "-Zsanitizer=address");
        assert!(cargo.status().unwrap().success());
        target.join(host.trim()).join(profile)
    })
}

fn compiler() -> Command {
    let mut compiler = Command::new("cc");
    compiler.args(["-std=c99", "-Wall", "-Wextra", "-Wpedantic", "-Werror", "-g", "-I"]);
    compiler.arg(package().join("include"));
    if sanitized() {
        compiler.args(["-fsanitize=address,undefined", "-fno-sanitize-recover=all"]);
    }
    compiler
}

/// Compiles a program with the library inside it.
fn inside(source: &str, program: &Path) {
    let mut compiler = compiler();
    compiler.arg("-DCROSSREAD_PANIC").arg(package().join(source)).arg("-o").arg(program);
    compiler.arg(libraries().join("libcrossread_c.a")).args(["-lpthread", "-ldl", "-lm"]);
    assert!(compiler.status().unwrap().success(), "{source}");
}

/// Compiles a program that finds the library beside it.
fn beside(source: &str, program: &Path) {
    let mut compiler = compiler();
    compiler.arg(package().join(source)).arg("-o").arg(program).arg("-L").arg(libraries());
    let path = format!("-Wl,-rpath,{}", libraries().display());
    compiler.args(["-lcrossread_c", &path]);
    assert!(compiler.status().unwrap().success(), "{source}");
}

/// Runs a program under valgrind, if that is wanted.
fn watched(program: &Path, arguments: &[&Path], input: &[u8]) -> Output {
    let mut command = Command::new(program);
    if std::env::var_os("CROSSREAD_VALGRIND").is_some() {
        command = Command::new("valgrind");
        // The backtrace of a panic keeps what it read of the program, for the next one.
        command.env("RUST_BACKTRACE", "0");
        command.args([
            "--quiet",
            "--leak-check=full",
            "--show-leak-kinds=definite,indirect,possible",
        ]);
        command.args(["--errors-for-leak-kinds=definite,indirect,possible"]);
        command.args(["--error-exitcode=99"]).arg(program);
    }
    run(command, arguments, input)
}

fn run(mut command: Command, arguments: &[&Path], input: &[u8]) -> Output {
    command.args(arguments).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().unwrap();
    let mut stdin = child.stdin.take().unwrap();
    let input = input.to_vec();
    let writer = std::thread::spawn(move || stdin.write_all(&input));
    let output = child.wait_with_output().unwrap();
    // A program that has all it needs need not read to the end.
    drop(writer.join().unwrap());
    output
}

fn status(output: &Output) -> i32 {
    output.status.code().unwrap()
}

#[test]
fn a_program_in_c_gets_what_the_header_promises_and_survives_its_own_mistakes() {
    let folder = tempfile::tempdir().unwrap();
    let program = folder.path().join("border");
    inside("tests/border.c", &program);
    let (sheet, answer) =
        (example("clean-run/worksheet.json"), example("clean-run/interpretation.json"));
    let rules = package().join("../core/protocols/dog-routine.json");
    let ended = watched(&program, &[&sheet, &answer, &rules], b"");
    assert_eq!(status(&ended), 0, "{}", String::from_utf8_lossy(&ended.stderr));
    // That the test can fail: another case's answer is not this one's.
    let other = example("major-2-plus/interpretation.json");
    assert_eq!(status(&watched(&program, &[&sheet, &other, &rules], b"")), 1);
}

/// What watches the programs is itself tried on one that is at fault.
#[test]
fn a_program_that_uses_what_it_gave_back_is_caught() {
    if !sanitized() && std::env::var_os("CROSSREAD_VALGRIND").is_none() {
        let told = b"SKIPPED, not passed: nothing watches the programs\n";
        std::io::stderr().write_all(told).unwrap();
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let program = folder.path().join("broken");
    beside("tests/broken.c", &program);
    let ended = watched(&program, &[], b"");
    assert!(![0, 2, 3].contains(&status(&ended)), "{ended:?}");
    let told = String::from_utf8_lossy(&ended.stderr);
    assert!(told.contains("heap-use-after-free") || told.contains("Invalid read"), "{told}");
}

#[test]
fn a_stream_is_answered_line_by_line() {
    let folder = tempfile::tempdir().unwrap();
    let program = folder.path().join("stream");
    beside("tests/stream.c", &program);
    let sheet = fs::read_to_string(example("clean-run/worksheet.json")).unwrap().replace('\n', "");
    let ended = watched(&program, &[], format!("{sheet}\nno worksheet\n{sheet}").as_bytes());
    assert_eq!(status(&ended), 0, "{}", String::from_utf8_lossy(&ended.stderr));
    let answers = String::from_utf8(ended.stdout).unwrap();
    let answers: Vec<_> = answers.lines().collect();
    assert_eq!(answers.len(), 3);
    assert_eq!(answers[0], answers[2]);
    assert!(answers[0].starts_with(r#"{"format":"crossread.interpretation/1","#));
    let fault = r#"{"format":"crossread.fault/1","input":"<stdin>","document":2,"#;
    assert!(answers[1].starts_with(fault), "{}", answers[1]);
}

#[test]
fn the_gate_opens_for_a_releasable_donor_only() {
    let folder = tempfile::tempdir().unwrap();
    let gate = folder.path().join("gate");
    beside("examples/gate.c", &gate);
    let opens = |sheet: &Path, donor: &str| {
        let ended = run(Command::new(&gate), &[sheet, Path::new(donor)], b"");
        assert!([0, 1].contains(&status(&ended)), "{ended:?}");
        status(&ended) == 0
    };
    let mut opened = 0;
    for entry in fs::read_dir(example("")).unwrap() {
        let folder = entry.unwrap().path();
        let Ok(answer) = fs::read_to_string(folder.join("interpretation.json")) else { continue };
        // Of each donor, by the committed answer: `"donor": "D-081",` and its `"releasable": true,`.
        for pair in answer.split("\n      \"donor\": \"").skip(1) {
            let (donor, pair) = pair.split_once('"').unwrap();
            let (_, said) = pair.split_once("\"releasable\": ").unwrap();
            let releasable = said.starts_with("true,");
            assert_eq!(opens(&folder.join("worksheet.json"), donor), releasable, "{folder:?}");
            opened += usize::from(releasable);
        }
    }
    assert!(opened > 5, "{opened}");
    let clean = example("clean-run/worksheet.json");
    for donor in ["", "D-999", "D-08", "D-0811", "d-081", "D-081\"", "R-3101"] {
        assert!(!opens(&clean, donor), "{donor}");
    }
    assert!(opens(&clean, "D-081"));
    assert!(!opens(&example("no-such-file"), "D-081"));
    assert!(!opens(&example("clean-run/interpretation.json"), "D-081"));
}

#[test]
fn every_worksheet_has_the_bytes_of_the_command() {
    let Some(documents) = std::env::var_os("CROSSREAD_DOCUMENTS").map(PathBuf::from) else {
        let told = b"SKIPPED, not passed: CROSSREAD_DOCUMENTS names no folder\n";
        std::io::stderr().write_all(told).unwrap();
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let program = folder.path().join("stream");
    beside("tests/stream.c", &program);
    let protocols = fs::read_dir(documents.join("protocols")).unwrap();
    let mut protocols: Vec<_> = protocols.map(|entry| entry.unwrap().path()).collect();
    // A fault may name the protocols that are at hand, in the order in which they were given.
    protocols.sort();
    let protocols: Vec<_> = protocols.iter().map(PathBuf::as_path).collect();
    for (stream, least) in [("worksheets", 20_000), ("spoilt", 1_000)] {
        let given = fs::read(documents.join(format!("{stream}.ndjson"))).unwrap();
        let wanted = fs::read(documents.join(format!("{stream}.answers.ndjson"))).unwrap();
        let ended = run(Command::new(&program), &protocols, &given);
        assert_eq!(status(&ended), 0, "{}", String::from_utf8_lossy(&ended.stderr));
        let (answers, wanted) = (lines(&ended.stdout), lines(&wanted));
        assert!(wanted.len() >= least, "{}", wanted.len());
        assert_eq!(answers.len(), wanted.len(), "{stream}");
        let differs = answers.iter().zip(&wanted).position(|(answer, wanted)| answer != wanted);
        assert_eq!(differs, None, "{stream}");
    }
}

fn lines(stream: &[u8]) -> Vec<&[u8]> {
    stream.split_inclusive(|byte| *byte == b'\n').collect()
}
