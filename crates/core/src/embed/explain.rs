//! What a word means: a finding, a fault, a rule of a protocol or a word of the trade.

use serde::Serialize;
use serde_json::Value;

use super::Broken;
use crate::Protocols;
use crate::findings::{CATALOGUE, find};
use crate::glossary;
use crate::schema::PUBLISHED;
use crate::words::Effect;

/// One meaning of a word.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
#[expect(clippy::exhaustive_enums, reason = "whoever tells them must see when there is a new one")]
pub enum Explanation {
    /// A finding of the catalogue.
    #[non_exhaustive]
    Finding {
        /// Its name.
        slug: &'static str,
        /// What was noticed.
        title: &'static str,
        /// The effects that it can have.
        effects: &'static [Effect],
        /// What it means.
        text: &'static str,
        /// What to do.
        next_step: &'static str,
        /// Published sources, or "common practice".
        sources: &'static [&'static str],
    },
    /// A word of the trade.
    #[non_exhaustive]
    Word {
        /// The word.
        word: &'static str,
        /// What it means.
        meaning: &'static str,
        /// A published source, or "common practice".
        source: &'static str,
    },
    /// A fault of a document.
    #[non_exhaustive]
    Fault {
        /// Its code word.
        code: String,
        /// What is wrong.
        meaning: String,
    },
    /// A rule of a protocol that ships.
    #[non_exhaustive]
    Rule {
        /// The path of the rule in the protocol.
        path: String,
        /// The id of the protocol.
        protocol: String,
        /// Its value, as one would write it down.
        value: String,
        /// Why it is so.
        note: String,
        /// Where it is from.
        source: String,
    },
}

/// No meaning is known.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("nothing is called {word}{}", .near.as_ref().map_or_else(String::new, |near| format!("; did you mean {near}?")))]
#[non_exhaustive]
pub struct NothingCalled {
    /// What was asked for.
    pub word: String,
    /// The nearest word that is known, if it is near.
    pub near: Option<String>,
}

/// Every meaning of a word, at least one.
///
/// ```
/// use crossread_core::embed::explain;
/// assert_eq!(explain("rouleaux-dispersed")??.len(), 1);
/// let unknown = explain("rouleaux-disperse")?.unwrap_err();
/// assert_eq!(unknown.near.as_deref(), Some("rouleaux-dispersed"));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// [`Broken`] if the engine is at fault.
pub fn explain(word: &str) -> Result<Result<Vec<Explanation>, NothingCalled>, Broken> {
    let mut all = Vec::new();
    if let Some(meta) = find(word) {
        all.push(Explanation::Finding {
            slug: meta.slug,
            title: meta.title,
            effects: meta.effects,
            text: meta.text,
            next_step: meta.next_step,
            sources: meta.sources,
        });
    }
    if let Some(term) = glossary::find(word) {
        let (word, meaning, source) = (term.word, term.meaning, term.source);
        all.push(Explanation::Word { word, meaning, source });
    }
    let faults = fault_codes()?.into_iter().filter(|(code, _)| code == word);
    all.extend(faults.map(|(code, meaning)| Explanation::Fault { code, meaning }));
    for protocol in Protocols::shipped().iter() {
        for (path, rule) in protocol.listed()? {
            if path != word && last(&path) != word {
                continue;
            }
            let sources = protocol.document().sources.as_ref();
            let source = sources.and_then(|sources| sources.get(&rule.source));
            all.push(Explanation::Rule {
                path,
                protocol: protocol.id().as_str().to_owned(),
                value: rule.spoken(),
                note: rule.note,
                source: source.map(str::to_owned).unwrap_or(rule.source),
            });
        }
    }
    if all.is_empty() { Ok(Err(unknown(word)?)) } else { Ok(Ok(all)) }
}

/// The last part of a rule's path.
fn last(path: &str) -> &str {
    path.rsplit('.').next().unwrap_or(path)
}

/// Every fault code with what the schema says of it.
fn fault_codes() -> Result<Vec<(String, String)>, Broken> {
    let Some(schema) = PUBLISHED.iter().find(|schema| schema.name == "fault") else {
        return Ok(Vec::new());
    };
    let schema: Value = serde_json::from_str(&schema.to_json()?)?;
    let codes = schema.pointer("/$defs/FaultCode/oneOf").and_then(Value::as_array);
    let text = |code: &Value, key: &str| {
        code.get(key).and_then(Value::as_str).unwrap_or_default().to_owned()
    };
    Ok(codes
        .into_iter()
        .flatten()
        .map(|code| (text(code, "const"), text(code, "description")))
        .collect())
}

/// The nearest word that is known.
fn unknown(word: &str) -> Result<NothingCalled, Broken> {
    let mut all: Vec<String> = CATALOGUE.iter().map(|meta| meta.slug.to_owned()).collect();
    all.extend(glossary::TERMS.iter().map(|term| term.word.to_owned()));
    all.extend(fault_codes()?.into_iter().map(|(code, _)| code));
    for protocol in Protocols::shipped().iter() {
        all.extend(protocol.listed()?.keys().map(|path| last(path).to_owned()));
    }
    let wanted = word.to_lowercase();
    let near = all.into_iter().map(|known| (strsim::osa_distance(&wanted, &known), known)).min();
    let enough = wanted.chars().count().saturating_div(2).max(2);
    let near = near.filter(|(distance, _)| *distance <= enough).map(|(_, known)| known);
    Ok(NothingCalled { word: word.to_owned(), near })
}
