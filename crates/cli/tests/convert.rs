//! `crossread convert` and `crossread selftest` from outside.
#![expect(clippy::unwrap_used, reason = "a helper of a test may fail the test")]

use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use serde_json::Value;

fn crossread(arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_crossread"));
    command.args(arguments).stdin(Stdio::null()).output().unwrap()
}

fn example(name: &str, file: &str) -> String {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    root.join(name).join(file).to_str().unwrap().to_owned()
}

fn status(output: &Output) -> i32 {
    output.status.code().unwrap()
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

const AT: [&str; 2] = ["--at", "2026-03-14T04:00:00+01:00"];

#[test]
fn there_and_back_gives_what_was_issued_and_the_status_of_its_verdicts() {
    let folder = tempfile::tempdir().unwrap();
    for (name, expected) in [("clean-run", 0), ("major-2-plus", 1)] {
        for format in ["fhir", "hl7"] {
            let sheet = example(name, "worksheet.json");
            let written = crossread(&["convert", "--to", format, &sheet, AT[0], AT[1]]);
            assert_eq!(status(&written), expected, "{}", err(&written));
            let again = crossread(&["convert", "--to", format, &sheet, AT[0], AT[1]]);
            assert_eq!(written.stdout, again.stdout);
            let file = folder.path().join(format!("{name}.{format}"));
            fs::write(&file, &written.stdout).unwrap();
            let read = crossread(&["convert", "--from", format, file.to_str().unwrap()]);
            assert_eq!(status(&read), expected, "{}", err(&read));
            let read: Value = serde_json::from_slice(&read.stdout).unwrap();
            assert_eq!(read["format"], "crossread.exchange/1");
            let issued = fs::read(example(name, "interpretation.json")).unwrap();
            assert_eq!(read["interpretation"], serde_json::from_slice::<Value>(&issued).unwrap());
            let zero =
                crossread(&["convert", "--exit-zero", "--from", format, file.to_str().unwrap()]);
            assert_eq!(status(&zero), 0);
        }
    }
}

#[test]
fn what_was_issued_is_taken_and_only_for_its_own_worksheet() {
    let (sheet, issued) =
        (example("clean-run", "worksheet.json"), |name| example(name, "interpretation.json"));
    let own = crossread(&[
        "convert",
        "--to",
        "hl7",
        &sheet,
        AT[0],
        AT[1],
        "--interpretation",
        &issued("clean-run"),
    ]);
    assert_eq!(status(&own), 0, "{}", err(&own));
    let now = crossread(&["convert", "--to", "hl7", &sheet, AT[0], AT[1]]);
    assert_eq!(own.stdout, now.stdout);
    let other =
        crossread(&["convert", "--to", "hl7", &sheet, "--interpretation", &issued("major-2-plus")]);
    assert_eq!(status(&other), 65);
    assert!(err(&other).contains("the worksheet that was interpreted"), "{}", err(&other));
    assert!(other.stdout.is_empty());
    let none = crossread(&["convert", "--to", "hl7", &sheet, "--interpretation", &sheet]);
    assert_eq!(status(&none), 65);
    assert!(err(&none).contains("is no interpretation"));
}

#[test]
fn a_message_that_was_changed_is_65_with_every_place_and_misuse_is_2() {
    let folder = tempfile::tempdir().unwrap();
    let sheet = example("major-2-plus", "worksheet.json");
    let written = crossread(&["convert", "--to", "hl7", &sheet]);
    let text = String::from_utf8(written.stdout).unwrap();
    let changed = text
        .replace(
            "verdict^verdict^L||incompatible^incompatible",
            "verdict^verdict^L||compatible^compatible",
        )
        .replace("|2.5.1|", "|2.3|");
    let file = folder.path().join("changed.hl7");
    fs::write(&file, changed).unwrap();
    let read = crossread(&["convert", "--from", "hl7", file.to_str().unwrap()]);
    assert_eq!(status(&read), 65);
    assert!(read.stdout.is_empty());
    let said = err(&read);
    assert!(said.contains("segment 1, MSH-12") && said.contains("/pairs/0/verdict"), "{said}");
    assert!(said.lines().all(|line| line.chars().count() <= 100), "{said}");
    assert_eq!(status(&crossread(&["convert", "--from", "fhir", &sheet])), 65);
    assert_eq!(status(&crossread(&["convert", "--to", "fhir", "no-such.json"])), 66);
    assert_eq!(status(&crossread(&["convert", &sheet])), 2);
    assert_eq!(status(&crossread(&["convert", "--to", "hl7", "--from", "hl7", &sheet])), 2);
    assert_eq!(status(&crossread(&["convert", "--to", "pdf", &sheet])), 2);
}

#[test]
fn the_selftest_passes_and_writes_a_page_to_sign() {
    let folder = tempfile::tempdir().unwrap();
    let page = folder.path().join("validation.txt");
    let run = crossread(&[
        "selftest",
        "--as",
        "text",
        "--report",
        page.to_str().unwrap(),
        "--hospital",
        "Brindlemoor Animal Hospital",
    ]);
    let out = String::from_utf8(run.stdout.clone()).unwrap();
    assert_eq!(status(&run), 0, "{out}{}", err(&run));
    assert!(
        out.lines().filter(|line| !line.contains(folder.path().to_str().unwrap())).all(|line| line
            .chars()
            .count()
            <= 80
            || line.starts_with("program")),
        "{out}"
    );
    let page = fs::read_to_string(page).unwrap();
    for said in [
        "Brindlemoor Animal Hospital",
        "checks passed",
        "accepted for use by, date",
        "dog-routine.json",
        "refuse to release an incompatible unit",
        "clean-run",
        "worked cases, all",
        env!("CARGO_PKG_VERSION"),
    ] {
        assert!(page.contains(said), "{said}\n{page}");
    }
    let nowhere = crossread(&["selftest", "--report", "no/such/folder/page.html"]);
    assert_eq!(status(&nowhere), 73);
    for of_the_page in [["--as", "text"], ["--paper", "letter"], ["--font", "none.ttf"]] {
        let run = crossread(&[&["selftest"], &of_the_page[..]].concat());
        assert_eq!(status(&run), 2, "{of_the_page:?}");
        assert!(err(&run).contains("--report"), "{}", err(&run));
    }
}
