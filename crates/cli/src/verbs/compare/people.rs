//! The comparison for people, at most 80 columns wide.

use std::io::{self, Write};

use crossread_core::document::Id;
use crossread_core::interpretation::{Comparison, FindingChange, PairChange};
use crossread_core::words::{Effect, Verdict};

use serde_json::Value;

use super::summary::{OfFinding, Summary};
use super::{Has, Tell, Told};
use crate::exit::Failure;
use crate::text::{faults, line, paragraph};

/// How many faults of a worksheet are named.
const FAULTS: usize = 3;

/// Writes text.
pub(super) struct People<W> {
    out: W,
}

impl<W: Write> People<W> {
    pub(super) fn new(out: W) -> Self {
        Self { out }
    }
}

impl<W: Write> Tell for People<W> {
    fn tell(&mut self, told: &Told<'_>) -> Result<(), Failure> {
        let out = &mut self.out;
        match told {
            Told::Unreadable { name, line, document, faults, .. } => {
                // What was compared before comes first on a terminal.
                out.flush()?;
                faults::each(&mut anstream::stderr().lock(), name, *line, document, faults)?;
            }
            Told::Changed { id, lines, comparison } => changed(out, id, *lines, comparison)?,
            Told::Turned { lines, old, new } => {
                let told = format!(
                    "Old line {}, new line {}: {} -> {}",
                    lines.0,
                    lines.1,
                    has(*old),
                    has(*new)
                );
                paragraph(out, "", "    ", &told)?;
                writeln!(out)?;
            }
            Told::Only { which, line, has: what } => {
                let told =
                    format!("Only in the {} file, line {line}: {}", which.word(), has(*what));
                paragraph(out, "", "    ", &told)?;
                writeln!(out)?;
            }
        }
        Ok(())
    }

    fn end(&mut self, summary: &Summary) -> Result<(), Failure> {
        ended(&mut self.out, summary)?;
        Ok(self.out.flush()?)
    }
}

fn has(has: Has<'_>) -> String {
    match has {
        Has::Answer(issued) => {
            let (id, all) = (issued.worksheet().id.as_str(), issued.pairs().len());
            format!("worksheet {id}, {} of {all} donors releasable", has.releasable())
        }
        Has::Faults(faults) => {
            let text = |fault: &Value, field: &str| -> String {
                fault.get(field).and_then(Value::as_str).unwrap_or_default().to_owned()
            };
            let mut told: Vec<_> = faults
                .iter()
                .take(FAULTS)
                .map(|fault| format!("{} at `{}`", text(fault, "code"), text(fault, "pointer")))
                .collect();
            if faults.len() > FAULTS {
                told.push(format!("{} more", faults.len().saturating_sub(FAULTS)));
            }
            format!("a worksheet at fault ({})", told.join(", "))
        }
    }
}

fn spoken(verdict: Option<Verdict>) -> &'static str {
    verdict.map_or("not on it", Verdict::spoken)
}

fn changed(
    out: &mut dyn Write,
    id: &Id,
    lines: (u64, u64),
    comparison: &Comparison<'_>,
) -> io::Result<()> {
    let at = if lines.0 == lines.1 {
        format!("line {}", lines.0)
    } else {
        format!("old line {}, new line {}", lines.0, lines.1)
    };
    paragraph(out, "", "    ", &format!("{}, {at}", id.as_str()))?;
    if comparison.worksheet_differs {
        paragraph(out, "  ", "    ", "Not the same document: the worksheets' hashes differ.")?;
    }
    if comparison.protocol_differs {
        paragraph(out, "  ", "    ", "Not the same rules: the protocols differ.")?;
    }
    for pair in &comparison.pairs {
        one(out, pair)?;
    }
    findings(out, "all donors ", comparison.panel.iter())?;
    words(out, &comparison.other)?;
    writeln!(out)
}

fn one(out: &mut dyn Write, pair: &PairChange<'_>) -> io::Result<()> {
    let donor = pair.donor.as_str();
    let told = if pair.is_of_verdict() {
        let turn = match (pair.frees(), pair.bars()) {
            (true, _) => ": NOW RELEASABLE",
            (false, true) => ": no longer releasable",
            (false, false) => "",
        };
        format!("{donor}: {} -> {}{turn}", spoken(pair.old), spoken(pair.new))
    } else {
        format!("{donor}: {} as before", spoken(pair.new))
    };
    paragraph(out, "  ", "    ", &told)?;
    let by = |decides| pair.findings.iter().filter(move |change| change.decides == decides);
    findings(out, "by         ", by(true))?;
    findings(out, "beside it  ", by(false))?;
    words(out, &pair.other)
}

fn findings<'c>(
    out: &mut dyn Write,
    label: &str,
    changes: impl Iterator<Item = &'c FindingChange<'c>>,
) -> io::Result<()> {
    let mut label = format!("    {label}");
    for change in changes {
        let effect = |effect: Option<Effect>| effect.map_or("", Effect::word);
        let (old, new) = (effect(change.old), effect(change.new));
        let told = match (change.old, change.new) {
            (None, _) => format!("{} added, {new}", change.slug.as_str()),
            (Some(_), None) => format!("{} gone, was {old}", change.slug.as_str()),
            (Some(_), Some(_)) => format!("{}: {old} -> {new}", change.slug.as_str()),
        };
        paragraph(out, &label, &" ".repeat(17), &told)?;
        label = " ".repeat(15);
    }
    Ok(())
}

fn words(out: &mut dyn Write, other: &[&'static str]) -> io::Result<()> {
    if other.is_empty() {
        return Ok(());
    }
    let told = other.join(", ").replace('_', " ");
    paragraph(out, "    also       ", &" ".repeat(15), &told)
}

fn ended(out: &mut dyn Write, summary: &Summary) -> io::Result<()> {
    if summary.stopped {
        paragraph(out, "", "    ", "STOPPED before the end: the counts are of a part only.")?;
    }
    paragraph(out, "old: ", "     ", &summary.old)?;
    paragraph(out, "new: ", "     ", &summary.new)?;
    let facts = [
        ("worksheets in both", summary.worksheets, true),
        ("  of these, nothing differs", summary.alike, true),
        ("  not the same document", summary.worksheet_differs, false),
        ("  not the same rules", summary.protocol_differs, false),
        ("donors", summary.donors, true),
        ("  verdict changed", summary.verdicts_changed, true),
        ("  NOW RELEASABLE, and were not", summary.now_releasable, true),
        ("  no longer releasable", summary.no_longer_releasable, true),
        ("  same verdict by other findings", summary.findings_changed, true),
        ("  same verdict and findings, something else", summary.otherwise_changed, true),
        ("worksheets at fault alike in both", summary.at_fault_in_both, false),
        ("worksheets with other faults, or in one only", summary.turned, false),
        ("only in the old file", summary.only_old, false),
        ("only in the new file", summary.only_new, false),
        ("lines that could not be compared", summary.unreadable, false),
    ];
    for (what, number, always) in facts {
        if always || number > 0 {
            writeln!(out, "{what:<46} {number:>10}")?;
        }
    }
    if !summary.verdicts.is_empty() {
        writeln!(out, "\nVerdicts that changed")?;
        for of in &summary.verdicts {
            let told = format!("{} -> {}", spoken(of.old), spoken(of.new));
            writeln!(out, "  {told:<44} {:>10}", of.donors)?;
        }
    }
    if !summary.findings.is_empty() {
        writeln!(
            out,
            "\n{:<38} {:>8} {:>8} {:>8} {:>8}",
            "Findings that changed", "added", "gone", "effect", "decided"
        )?;
        for (slug, OfFinding { added, removed, effect_changed, decided }) in &summary.findings {
            line(
                out,
                &format!("  {slug:<36} {added:>8} {removed:>8} {effect_changed:>8} {decided:>8}"),
            )?;
        }
    }
    Ok(())
}
