//! The files of the project that are made from its code, so that no two places can differ.
//!
//! `cargo regenerate` writes them; the suite compares them and names that command.
#![forbid(unsafe_code)]

pub mod careful;
pub mod corpus;
pub mod random;
pub mod typescript;

use std::fmt::Write as _;
use std::io;
use std::path::{Path, PathBuf};

use crossread_core::findings::{CATALOGUE, Meta};
use crossread_core::schema::PUBLISHED;
use crossread_core::words::Effect;
use crossread_core::{Protocols, Worksheet, interpret};

/// One generated file.
#[derive(Debug)]
#[non_exhaustive]
pub struct Generated {
    /// Its path from the project's folder.
    pub path: String,
    /// What stands in it.
    pub text: String,
}

/// The folder of the project.
pub fn project() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap_or_else(|| Path::new(".")).to_owned()
}

/// The files that follow from the code alone: schemas, and the pages and table of the findings.
///
/// # Errors
/// If the README cannot be read, or has no place for the table.
pub fn files() -> io::Result<Vec<Generated>> {
    let mut files = Vec::new();
    for schema in PUBLISHED.into_iter().chain([crossread_journal::schema::PUBLISHED]) {
        let path = format!("schemas/{}.json", schema.name);
        files.push(Generated { path, text: schema.to_json()? });
    }
    for schema in PUBLISHED {
        let path = format!("crates/wasm/js/types/{}.d.ts", schema.name);
        files.push(Generated { path, text: typescript::types(schema)? });
    }
    files.push(Generated { path: "crates/core/FINDINGS.md".to_owned(), text: pages() });
    let path = "crates/cli/src/verbs/selftest/shipped.rs".to_owned();
    files.push(Generated { path, text: shipped(&example_names()?) });
    files.push(Generated { path: "crates/c/include/crossread.h".to_owned(), text: header()? });
    let readme = std::fs::read_to_string(project().join("README.md"))?;
    files.push(Generated { path: "README.md".to_owned(), text: with_table(&readme)? });
    Ok(files)
}

/// The header of the binding for C, with the words of its source.
fn header() -> io::Result<String> {
    let folder = project().join("crates/c");
    let config =
        cbindgen::Config::from_file(folder.join("cbindgen.toml")).map_err(io::Error::other)?;
    let source = folder.join("src/lib.rs");
    let made = cbindgen::Builder::new().with_config(config).with_src(source).generate();
    let mut text = Vec::new();
    made.map_err(io::Error::other)?.write(&mut text);
    String::from_utf8(text).map_err(io::Error::other)
}

/// The expected output of every example. A change here is a change of verdict or of words, and
/// belongs in the changelog.
///
/// # Errors
/// If an example cannot be read, or is at fault.
pub fn examples() -> io::Result<Vec<Generated>> {
    let mut files = Vec::new();
    for name in example_names()? {
        let document = std::fs::read(project().join(format!("examples/{name}/worksheet.json")))?;
        let text = interpreted(&document)
            .map_err(|why| io::Error::other(format!("examples/{name}/worksheet.json: {why}")))?;
        files.push(Generated { path: format!("examples/{name}/interpretation.json"), text });
    }
    Ok(files)
}

/// The verdicts of the corpus. A change here is a change of verdict, and belongs in the changelog.
///
/// # Errors
/// If verdicts changed and the changelog does not say so, or a file cannot be read.
pub fn verdicts() -> io::Result<Vec<Generated>> {
    let read = |path: &str| std::fs::read_to_string(project().join(path));
    let (committed, changelog) = (read(corpus::PATH).ok(), read("CHANGELOG.md")?);
    let now = corpus::Corpus::new().verdicts();
    let text = corpus::regenerated(committed.as_deref(), &now, &changelog)?;
    Ok(vec![Generated { path: corpus::PATH.to_owned(), text }])
}

/// The folders of the worked cases, in order.
///
/// # Errors
/// If the folder of the examples cannot be read.
pub fn example_names() -> io::Result<Vec<String>> {
    let mut names = Vec::new();
    for entry in std::fs::read_dir(project().join("examples"))? {
        let entry = entry?;
        if entry.path().join("worksheet.json").is_file() {
            names.push(entry.file_name().to_string_lossy().into_owned());
        }
    }
    names.sort();
    Ok(names)
}

fn interpreted(document: &[u8]) -> Result<String, String> {
    let protocols = Protocols::shipped();
    let worksheet =
        Worksheet::from_json(document, protocols).map_err(|faults| format!("\n{faults}"))?;
    let named = worksheet.protocol();
    let protocol = protocols.get(&named.id, &named.version).ok_or("no such protocol")?;
    let mut text = serde_json::to_string_pretty(&interpret(&worksheet, protocol))
        .map_err(|error| error.to_string())?;
    text.push('\n');
    Ok(text)
}

/// The list of the cases and schemas that the selftest has within it.
fn shipped(names: &[String]) -> String {
    let list = |names: &[&str]| -> String {
        names.iter().map(|name| format!("    \"{name}\"\n")).collect::<Vec<_>>().concat()
    };
    let all = PUBLISHED.into_iter().chain([crossread_journal::schema::PUBLISHED]);
    let schemas: Vec<_> = all.map(|schema| schema.name).collect();
    let schemas = list(&schemas);
    let cases: Vec<_> = names.iter().map(String::as_str).collect();
    let cases = list(&cases);
    format!(
        r#"//! The worked cases and schemas that ship, made by `cargo regenerate`.

use super::cases::Case;

macro_rules! cases {{
    ($($name:literal)*) => {{
        &[$(Case {{
            name: $name,
            worksheet: include_str!(concat!("../../../../../examples/", $name, "/worksheet.json")),
            interpretation: include_str!(concat!(
                "../../../../../examples/", $name, "/interpretation.json"
            )),
        }},)*]
    }};
}}

macro_rules! schemas {{
    ($($name:literal)*) => {{
        &[$(($name, include_str!(concat!("../../../../../schemas/", $name, ".json"))),)*]
    }};
}}

/// The worked cases.
pub(super) const CASES: &[Case] = cases! {{
{cases}}};

/// The published schemas.
pub(super) const SCHEMAS: &[(&str, &str)] = schemas! {{
{schemas}}};
"#
    )
}

fn pages() -> String {
    let mut text = String::from(
        "# Findings\n\nWhat the engine can notice, one section each. Made from \
         `crates/core/src/findings/`; `crossread explain <slug>` prints the same.\n",
    );
    for finding in sorted() {
        let _ = write!(
            text,
            "\n## {}\n\n**{}.** Effect: {}.\n\n{}\n\n**Next step.** {}\n\nSources:\n\n",
            finding.slug,
            capitalized(finding.title),
            effects(finding),
            finding.text,
            finding.next_step
        );
        for source in finding.sources {
            let _ = writeln!(text, "- {source}");
        }
    }
    text
}

const TABLE_STARTS: &str = "<!-- findings: made by `cargo regenerate` -->\n";
const TABLE_ENDS: &str = "<!-- findings end -->\n";

fn with_table(readme: &str) -> io::Result<String> {
    let parts = readme
        .split_once(TABLE_STARTS)
        .and_then(|(before, rest)| rest.split_once(TABLE_ENDS).map(|(_, after)| (before, after)));
    let (before, after) = parts
        .ok_or_else(|| io::Error::other("README.md has no place for the table of findings"))?;
    let mut table = String::from("| finding | effect | what was noticed |\n|---|---|---|\n");
    for finding in sorted() {
        let slug = finding.slug;
        let _ = writeln!(
            table,
            "| [`{slug}`](crates/core/FINDINGS.md#{slug}) | {} | {} |",
            effects(finding),
            finding.title
        );
    }
    Ok(format!("{before}{TABLE_STARTS}{table}{TABLE_ENDS}{after}"))
}

fn sorted() -> Vec<&'static Meta> {
    let mut all: Vec<_> = CATALOGUE.iter().collect();
    all.sort_by_key(|meta| meta.slug);
    all
}

fn effects(finding: &Meta) -> String {
    finding.effects.iter().map(|effect: &Effect| effect.word()).collect::<Vec<_>>().join(", ")
}

fn capitalized(fragment: &str) -> String {
    let mut characters = fragment.chars();
    let first = characters.next().into_iter().flat_map(char::to_uppercase);
    first.chain(characters).collect()
}
