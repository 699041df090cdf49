use std::io::{BufWriter, Write};

use crossread_core::Protocols;
use crossread_core::findings::{CATALOGUE, Meta, find};
use crossread_core::glossary::{self, Term};
use crossread_core::schema::PUBLISHED;
use serde_json::Value;

use super::protocols::{rules, spoken};
use crate::exit::{self, Failure};
use crate::text::paragraph;

pub(crate) fn run(word: &str) -> Result<u8, Failure> {
    let mut out = BufWriter::new(anstream::stdout().lock());
    let mut known = false;
    if let Some(meta) = find(word) {
        finding(&mut out, meta)?;
        known = true;
    }
    if let Some(term) = glossary::find(word) {
        separate(&mut out, known)?;
        self::term(&mut out, term)?;
        known = true;
    }
    for (code, meaning) in fault_codes()? {
        if code == word {
            separate(&mut out, known)?;
            writeln!(out, "{code} (a fault of a document)")?;
            paragraph(&mut out, "    ", "    ", &meaning)?;
            known = true;
        }
    }
    known |= protocol_key(&mut out, word, known)?;
    out.flush()?;
    if known { Ok(exit::RELEASABLE) } else { Err(unknown(word)?) }
}

fn separate(out: &mut dyn Write, known: bool) -> Result<(), Failure> {
    if known {
        writeln!(out)?;
    }
    Ok(())
}

fn finding(out: &mut dyn Write, meta: &Meta) -> Result<(), Failure> {
    writeln!(out, "{} (a finding)", meta.slug)?;
    let effects: Vec<_> = meta.effects.iter().map(|effect| effect.word()).collect();
    paragraph(out, "    ", "    ", &format!("{}; effect: {}", meta.title, effects.join(", ")))?;
    writeln!(out)?;
    paragraph(out, "    ", "    ", meta.text)?;
    writeln!(out)?;
    paragraph(out, "    Next: ", "    ", meta.next_step)?;
    writeln!(out, "\n    Sources")?;
    for source in meta.sources {
        paragraph(out, "    - ", "      ", source)?;
    }
    Ok(())
}

fn term(out: &mut dyn Write, term: &Term) -> Result<(), Failure> {
    writeln!(out, "{} (a word of the trade)", term.word)?;
    paragraph(out, "    ", "    ", term.meaning)?;
    paragraph(out, "    - ", "      ", term.source)?;
    Ok(())
}

/// Every fault code with what the schema says of it.
fn fault_codes() -> Result<Vec<(String, String)>, Failure> {
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

fn protocol_key(out: &mut dyn Write, word: &str, mut known: bool) -> Result<bool, Failure> {
    for protocol in Protocols::shipped().iter() {
        for (path, rule) in rules(protocol)? {
            if path != word && path.rsplit('.').next() != Some(word) {
                continue;
            }
            separate(out, known)?;
            let title = format!("{path} (a key of protocol {})", protocol.id().as_str());
            paragraph(out, "", "    ", &title)?;
            paragraph(out, "    = ", "      ", &spoken(&rule.value))?;
            paragraph(out, "    ", "    ", &rule.note)?;
            let sources = protocol.document().sources.as_ref();
            let source = sources.and_then(|sources| sources.get(&rule.source));
            paragraph(out, "    - ", "      ", source.unwrap_or(&rule.source))?;
            known = true;
        }
    }
    Ok(known)
}

/// The nearest word that is known.
fn unknown(word: &str) -> Result<Failure, Failure> {
    let mut all: Vec<String> = CATALOGUE.iter().map(|meta| meta.slug.to_owned()).collect();
    all.extend(glossary::TERMS.iter().map(|term| term.word.to_owned()));
    all.extend(fault_codes()?.into_iter().map(|(code, _)| code));
    for protocol in Protocols::shipped().iter() {
        let last = |path: &String| path.rsplit('.').next().map(str::to_owned);
        all.extend(rules(protocol)?.keys().filter_map(last));
    }
    let wanted = word.to_lowercase();
    let near = all.iter().map(|known| (strsim::osa_distance(&wanted, known), known)).min();
    let enough = wanted.chars().count().saturating_div(2).max(2);
    Ok(Failure::misuse(match near {
        Some((distance, known)) if distance <= enough => {
            format!("nothing is called {word}; did you mean {known}?")
        }
        Some(_) | None => format!("nothing is called {word}"),
    }))
}
