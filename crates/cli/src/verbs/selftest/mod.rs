//! The shipped cases on this very installation, for a hospital's own validation.

mod cases;
mod record;
mod shipped;

use std::io::{BufWriter, Write as _};

use clap::Args;
use crossread_core::document::Digest;
use crossread_core::interpretation::ENGINE;
use crossread_core::protocol::SHIPPED;
use crossread_print::{CheckedPart, Validation};

use super::journal::now;
use super::paper::Page;
use crate::exit::{self, Failure};
use crate::text::{line, paragraph};

/// Run the shipped cases on this very installation.
///
/// Every worked case must give its committed interpretation byte for byte, spoilt ones must be
/// refused, messages must come back, and a journal in a temporary folder must keep, refuse, release
/// and verify. With --report it also writes a page with versions, hashes, results and places to
/// sign, for a hospital's own validation.
#[derive(Debug, Args)]
pub(crate) struct Selftest {
    /// The page to write. A file that is there is replaced only when the new one is complete.
    #[arg(long, value_name = "FILE")]
    report: Option<String>,
    /// Whose validation it is, for the page.
    #[arg(long, value_name = "NAME", requires = "report")]
    hospital: Option<String>,
    #[command(flatten)]
    page: Page,
}

/// What a check belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Part {
    Protocols,
    Schemas,
    Cases,
    Refusals,
    Messages,
    Paper,
    Record,
}

impl Part {
    const ALL: [Self; 7] = [
        Self::Protocols,
        Self::Schemas,
        Self::Cases,
        Self::Refusals,
        Self::Messages,
        Self::Paper,
        Self::Record,
    ];

    /// What is asked of it.
    fn spoken(self) -> &'static str {
        match self {
            Self::Protocols => "protocols that ship: no fault, and the hash that the cases name",
            Self::Schemas => "schemas: as they are published",
            Self::Cases => "worked cases: the committed interpretation, byte for byte",
            Self::Refusals => "worked cases spoilt: refused",
            Self::Messages => "worked cases as FHIR and HL7: there and back",
            Self::Paper => "worked cases on paper: the report says every verdict",
            Self::Record => "a journal: kept, refused, released, verified",
        }
    }
}

/// What was checked.
#[derive(Debug, Default)]
struct Checks {
    all: Vec<(Part, String, Result<(), String>)>,
    /// The verdicts of each case.
    verdicts: Vec<(String, String)>,
}

impl Checks {
    fn add(&mut self, part: Part, what: impl Into<String>, found: Result<(), String>) {
        self.all.push((part, what.into(), found));
    }

    fn of(&self, part: Part) -> impl Iterator<Item = (&str, &Result<(), String>)> {
        let of = self.all.iter().filter(move |(of, ..)| *of == part);
        of.map(|(_, what, found)| (what.as_str(), found))
    }

    /// What failed, and why.
    fn failed(&self) -> Vec<String> {
        let failed = self.all.iter().filter_map(|(part, what, found)| {
            let why = found.as_ref().err()?;
            let kind = part.spoken().split(':').next().unwrap_or_default();
            Some(format!("{kind}, {what}: {why}"))
        });
        failed.collect()
    }
}

fn checked(cases: &[cases::Case], schemas: &[(&str, &str)]) -> Checks {
    let mut checks = Checks::default();
    cases::protocols(&mut checks, cases);
    cases::schemas(&mut checks, schemas);
    for case in cases {
        cases::case(&mut checks, case);
    }
    record::record(&mut checks, cases);
    checks
}

pub(crate) fn run(asked: &Selftest) -> Result<u8, Failure> {
    if asked.report.is_none() && !asked.page.is_as_usual() {
        return Err(Failure::misuse(
            "--as, --paper and --font are of the page: name it by --report",
        ));
    }
    ended(asked, &checked(shipped::CASES, shipped::SCHEMAS))
}

/// Tells what was found, on the terminal and on paper.
fn ended(asked: &Selftest, checks: &Checks) -> Result<u8, Failure> {
    let mut out = BufWriter::new(anstream::stdout().lock());
    for (label, value) in about() {
        paragraph(&mut out, &format!("{label:<12}"), "            ", &value)?;
    }
    writeln!(out)?;
    for part in Part::ALL {
        let (all, passed) = counts(checks, part);
        let (word, of) = if all == passed {
            ("passed", String::new())
        } else {
            ("FAILED", format!(", {} of them", all.saturating_sub(passed)))
        };
        paragraph(
            &mut out,
            &format!("{all:>4} {word}  "),
            "             ",
            &format!("{}{of}", part.spoken()),
        )?;
    }
    writeln!(out)?;
    let failed = checks.failed();
    for why in &failed {
        paragraph(&mut out, "FAILED  ", "        ", why)?;
    }
    let all = checks.all.len();
    let told = if failed.is_empty() {
        format!("All {all} checks passed on this installation.")
    } else {
        format!("{} of {all} checks FAILED: do not use this installation.", failed.len())
    };
    line(&mut out, &told)?;
    out.flush()?;
    if let Some(file) = &asked.report {
        let document = validation(asked, checks)?.document();
        match asked.page.write(&document, Some(file)) {
            Ok(_) => {}
            Err(failure) if failed.is_empty() => return Err(failure),
            // That checks failed is worse than that the page could not be written.
            Err(mut failure) => {
                failure.status = exit::PROGRAM;
                return Err(failure);
            }
        }
        line(&mut out, &format!("The page for signing: {file}"))?;
        out.flush()?;
    }
    Ok(if failed.is_empty() { exit::RELEASABLE } else { exit::PROGRAM })
}

/// How many checks of a part there are, and how many passed.
fn counts(checks: &Checks, part: Part) -> (usize, usize) {
    let (all, passed) =
        (checks.of(part).count(), checks.of(part).filter(|(_, f)| f.is_ok()).count());
    (all, passed)
}

/// What was tested.
fn about() -> Vec<(&'static str, String)> {
    let program = std::env::current_exe();
    let hash = program.as_ref().ok().and_then(|file| std::fs::read(file).ok());
    let hash = hash.map_or_else(
        || "its own file cannot be read".to_owned(),
        |bytes| Digest::of(&bytes).to_string(),
    );
    let file = program.map_or_else(|_| "unknown".to_owned(), |file| file.display().to_string());
    vec![
        ("crossread", format!("{}, engine {ENGINE}", env!("CARGO_PKG_VERSION"))),
        ("on", format!("{} {}", std::env::consts::OS, std::env::consts::ARCH)),
        ("program", file),
        ("sha256", hash),
    ]
}

/// The hashes of every case's worksheet and interpretation, one case a line, in the way of
/// `sha256sum`.
fn hashes(cases: &[cases::Case]) -> String {
    let mut lines = String::new();
    for case in cases {
        for (text, file) in
            [(case.worksheet, "worksheet.json"), (case.interpretation, "interpretation.json")]
        {
            let hash = Digest::of(text.as_bytes());
            lines.push_str(&format!("{hash}  {}/{file}\n", case.name));
        }
    }
    lines
}

fn validation(asked: &Selftest, checks: &Checks) -> Result<Validation, Failure> {
    let mut cases: Vec<(String, Vec<String>, bool)> = Vec::new();
    for (case, found) in checks.of(Part::Cases) {
        let verdicts = checks.verdicts.iter().filter(|(name, _)| name == case);
        let verdicts = verdicts.map(|(_, verdict)| verdict.clone()).collect();
        cases.push((case.to_owned(), verdicts, found.is_ok()));
    }
    let parts = Part::ALL.into_iter().map(|part| {
        let (checks, passed) = counts(checks, part);
        CheckedPart { what: part.spoken().to_owned(), checks, passed }
    });
    let hash =
        |(file, text): (&str, &str)| (file.to_owned(), Digest::of(text.as_bytes()).to_string());
    Ok(Validation {
        hospital: asked.hospital.clone().unwrap_or_default(),
        at: now()?.to_string(),
        about: about().into_iter().map(|(label, value)| (label.to_owned(), value)).collect(),
        parts: parts.collect(),
        failures: checks.failed(),
        protocols: SHIPPED
            .into_iter()
            .map(|(file, text)| hash((&format!("protocol {file}"), text)))
            .chain([hash(("worked cases, all", &hashes(shipped::CASES)))])
            .collect(),
        schemas: shipped::SCHEMAS
            .iter()
            .map(|(name, text)| hash((&format!("schema {name}"), text)))
            .collect(),
        steps: checks
            .of(Part::Record)
            .map(|(what, found)| (what.to_owned(), found.is_ok()))
            .collect(),
        cases,
    })
}

#[cfg(test)]
mod tests {
    use super::cases::Case;
    use super::{Checks, Part, Selftest, checked, counts, ended, shipped};
    use crate::exit;
    use crate::verbs::paper::Page;

    /// The cases with one of them, and the schemas, as a test breaks them.
    fn with(
        name: &str,
        broken: impl Fn(&mut Case),
        schemas: impl Fn(&mut Vec<(&'static str, &'static str)>),
    ) -> Checks {
        let mut cases = shipped::CASES.to_vec();
        cases.iter_mut().filter(|case| case.name == name).for_each(broken);
        let mut committed = shipped::SCHEMAS.to_vec();
        schemas(&mut committed);
        checked(&cases, &committed)
    }

    fn leaked(text: String) -> &'static str {
        Box::leak(text.into_boxed_str())
    }

    fn asked(report: Option<String>) -> Selftest {
        Selftest { report, hospital: None, page: Page::default() }
    }

    #[test]
    fn everything_passes_as_it_ships() {
        let checks = with("", |_| {}, |_| {});
        assert_eq!(checks.failed(), Vec::<String>::new());
        for part in Part::ALL {
            assert!(counts(&checks, part).0 >= 4, "{part:?}");
        }
        assert_eq!(counts(&checks, Part::Cases).0, shipped::CASES.len());
        assert_eq!(ended(&asked(None), &checks).unwrap(), exit::RELEASABLE);
    }

    #[test]
    fn one_byte_of_an_interpretation_is_reported() {
        let broken = |case: &mut Case| {
            let text = case.interpretation.replacen("\"3+\"", "\"2+\"", 1);
            let text = text.replacen("\"2+\"", "\"4+\"", 1);
            assert!(text != case.interpretation);
            case.interpretation = leaked(text);
        };
        let checks = with("major-2-plus", broken, |_| {});
        let failed = checks.failed();
        assert_eq!(failed.len(), 1, "{failed:?}");
        assert!(failed[0].starts_with("worked cases, major-2-plus: line "), "{failed:?}");
        assert!(failed[0].contains("should be"), "{failed:?}");
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("page.html");
        let asked = asked(Some(file.to_str().unwrap().to_owned()));
        assert_eq!(ended(&asked, &checks).unwrap(), exit::PROGRAM);
        let page = std::fs::read_to_string(file).unwrap();
        assert!(page.contains("FAILED") && page.contains("major-2-plus"));
    }

    #[test]
    fn a_verdict_that_is_not_borne_out_is_reported() {
        let broken = |case: &mut Case| {
            let text = case
                .interpretation
                .replace("\"verdict\": \"incompatible\"", "\"verdict\": \"compatible\"");
            case.interpretation = leaked(text);
        };
        let failed = with("major-2-plus", broken, |_| {}).failed();
        assert!(
            failed.iter().any(|why| why.contains("interpretation-contradiction")),
            "{failed:?}"
        );
        assert!(
            failed.iter().any(|why| why.starts_with("worked cases, major-2-plus")),
            "{failed:?}"
        );
    }

    #[test]
    fn another_worksheet_another_schema_and_a_lost_case_are_reported() {
        let worksheet = |case: &mut Case| {
            case.worksheet = leaked(case.worksheet.replacen("\"0\"", "\"3+\"", 2));
        };
        let failed = with("clean-run", worksheet, |schemas| {
            for (_, text) in schemas.iter_mut() {
                *text = "{}\n";
            }
        })
        .failed();
        assert!(failed.iter().any(|why| why.starts_with("worked cases, clean-run")), "{failed:?}");
        assert!(failed.iter().any(|why| why.contains("release a compatible unit")), "{failed:?}");
        assert_eq!(
            failed.iter().filter(|why| why.starts_with("schemas")).count(),
            shipped::SCHEMAS.len()
        );
        let at_fault = |case: &mut Case| case.worksheet = "{}";
        let failed = with("clean-run", at_fault, Vec::clear).failed();
        assert!(failed.iter().any(|why| why.contains("at fault")), "{failed:?}");
        assert!(failed.iter().any(|why| why.contains("none is committed")), "{failed:?}");
        let lost = |case: &mut Case| case.name = "renamed";
        let failed = with("clean-run", lost, |_| {}).failed();
        assert!(failed.iter().any(|why| why.contains("does not ship")), "{failed:?}");
    }
}
