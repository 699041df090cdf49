use std::collections::BTreeMap;
use std::io::{BufWriter, Write};

use crossread_core::protocol::Listed;
use crossread_core::{Protocol, Protocols};

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

fn show(out: &mut dyn Write, protocol: &Protocol) -> Result<u8, Failure> {
    line(out, &name(protocol))?;
    writeln!(out, "sha256 {}", protocol.digest())?;
    for (path, rule) in protocol.listed()? {
        writeln!(out)?;
        paragraph(out, "", "    ", &format!("{path} = {}", rule.spoken()))?;
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
    let (before, after) = (old.listed()?, new.listed()?);
    let mut paths: Vec<_> = before.keys().chain(after.keys()).collect();
    paths.sort();
    paths.dedup();
    let mut differ = 0_usize;
    for path in paths {
        let value = |rules: &BTreeMap<String, Listed>| {
            rules.get(path).map_or_else(|| "left out".to_owned(), Listed::spoken)
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
