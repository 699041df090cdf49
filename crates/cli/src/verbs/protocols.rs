use std::collections::BTreeMap;
use std::io::{BufWriter, Write};

use crossread_core::{Protocol, Protocols};
use serde_json::Value;

use crate::exit::{self, Failure};
use crate::text::{line, paragraph};
use crate::{cli, input};

pub(crate) fn run(what: &cli::Protocols) -> Result<u8, Failure> {
    let mut out = BufWriter::new(anstream::stdout().lock());
    let status = match what {
        cli::Protocols::List => list(&mut out),
        cli::Protocols::Show { protocol } => show(&mut out, &named(protocol)?),
        cli::Protocols::Check { files } => return super::check::protocols(files),
        cli::Protocols::Compare { old, new } => compare(&mut out, &named(old)?, &named(new)?),
    }?;
    out.flush()?;
    Ok(status)
}

/// A protocol that ships, by its id, or one from a file.
fn named(name: &str) -> Result<Protocol, Failure> {
    let shipped = Protocols::shipped().iter().find(|protocol| protocol.id().as_str() == name);
    shipped.cloned().map_or_else(|| input::protocol(name), Ok)
}

fn name(protocol: &Protocol) -> String {
    format!("{} {}", protocol.id().as_str(), protocol.version().as_str())
}

fn list(out: &mut dyn Write) -> Result<u8, Failure> {
    for protocol in Protocols::shipped().iter() {
        let words = |words: Vec<String>| words.join(", ");
        let species = words(protocol.species().iter().map(ToString::to_string).collect());
        let all = crossread_core::words::Method::ALL.iter();
        let methods = all.filter(|method| protocol.method(**method).is_some());
        let methods = words(methods.map(ToString::to_string).collect());
        line(out, &name(protocol))?;
        paragraph(out, "    ", "    ", &format!("for {species}; {methods}"))?;
        writeln!(out, "    sha256 {}", protocol.digest())?;
    }
    Ok(exit::RELEASABLE)
}

/// One rule of a protocol: its value, source and note.
pub(super) struct Rule {
    pub(super) value: Value,
    pub(super) source: String,
    pub(super) note: String,
}

/// Every rule of a protocol, by its path.
pub(super) fn rules(protocol: &Protocol) -> Result<BTreeMap<String, Rule>, Failure> {
    let mut found = BTreeMap::new();
    gather(&serde_json::to_value(protocol.document())?, "", &mut found);
    Ok(found)
}

fn gather(value: &Value, path: &str, found: &mut BTreeMap<String, Rule>) {
    let Value::Object(fields) = value else { return };
    let text = |key: &str| fields.get(key).and_then(Value::as_str).unwrap_or_default().to_owned();
    if let (Some(value), true) = (fields.get("value"), fields.contains_key("note")) {
        let rule = Rule { value: value.clone(), source: text("source"), note: text("note") };
        found.insert(path.to_owned(), rule);
        return;
    }
    for (key, value) in fields {
        let path = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
        gather(value, &path, found);
    }
}

/// A value as one would write it down.
pub(super) fn spoken(value: &Value) -> String {
    if let (Some(lo), Some(hi)) = (value.get("lo"), value.get("hi")) {
        return format!("{} to {}", spoken(lo), spoken(hi));
    }
    if let Some(fields) = value.as_object() {
        let each = fields.iter().map(|(key, value)| format!("{key} {}", spoken(value)));
        return each.collect::<Vec<_>>().join(", ");
    }
    value.as_str().map_or_else(|| value.to_string(), str::to_owned)
}

fn show(out: &mut dyn Write, protocol: &Protocol) -> Result<u8, Failure> {
    line(out, &name(protocol))?;
    writeln!(out, "sha256 {}", protocol.digest())?;
    for (path, rule) in rules(protocol)? {
        writeln!(out)?;
        paragraph(out, "", "    ", &format!("{path} = {}", spoken(&rule.value)))?;
        paragraph(out, "    ", "    ", &rule.note)?;
        paragraph(out, "    source: ", "        ", &rule.source)?;
    }
    writeln!(out, "\nSources")?;
    if let Some(sources) = &protocol.document().sources {
        for (key, citation) in sources.iter() {
            paragraph(out, &format!("    {key}: "), "        ", citation)?;
        }
    }
    Ok(exit::RELEASABLE)
}

fn compare(out: &mut dyn Write, old: &Protocol, new: &Protocol) -> Result<u8, Failure> {
    line(out, &format!("old: {}", name(old)))?;
    line(out, &format!("new: {}", name(new)))?;
    let (before, after) = (rules(old)?, rules(new)?);
    let mut paths: Vec<_> = before.keys().chain(after.keys()).collect();
    paths.sort();
    paths.dedup();
    let mut differ = 0_usize;
    for path in paths {
        let value = |rules: &BTreeMap<String, Rule>| {
            rules.get(path).map_or_else(|| "left out".to_owned(), |rule| spoken(&rule.value))
        };
        let (was, is) = (value(&before), value(&after));
        if was != is {
            differ = differ.saturating_add(1);
            paragraph(out, "", "    ", path)?;
            paragraph(out, "    old  ", "         ", &was)?;
            paragraph(out, "    new  ", "         ", &is)?;
        }
    }
    writeln!(out, "values that differ: {differ}")?;
    Ok(exit::RELEASABLE)
}
