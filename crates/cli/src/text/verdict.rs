//! Verdicts for people: the word, then a sentence, then the next step, then what was not tested.

use std::io::{self, Write};

use anstyle::{AnsiColor, Style};
use crossread_core::Worksheet;
use crossread_core::document::Pointer;
use crossread_core::findings::{Finding, find};
use crossread_core::interpretation::{Answer, Interpretation};
use crossread_core::words::{Effect, Verdict};
use crossread_core::worksheet::Reading;

use super::paragraph;

/// Writes the verdict of every donor, in the order for comparison.
pub(crate) fn write(
    out: &mut dyn Write,
    worksheet: &Worksheet,
    interpretation: &Interpretation,
) -> io::Result<()> {
    let recipient = &worksheet.recipient().animal;
    let name = recipient.name.as_ref().map(|name| format!(" {}", name.as_str()));
    let recipient = format!("{}{}", recipient.id.as_str(), name.unwrap_or_default());
    let protocol = &interpretation.protocol;
    let head = format!(
        "Worksheet {}, {}, rules {} {}",
        interpretation.worksheet.id.as_str(),
        interpretation.method,
        protocol.id.as_str(),
        protocol.version.as_str()
    );
    paragraph(out, "", "  ", &head)?;
    for donor in &interpretation.order {
        let Some(answer) = interpretation.pairs.iter().find(|pair| pair.donor == *donor) else {
            continue;
        };
        writeln!(out)?;
        one(out, worksheet, &recipient, answer)?;
    }
    if !interpretation.panel.is_empty() {
        writeln!(out, "\nAll donors together")?;
        for finding in &interpretation.panel {
            paragraph(out, "    ", "    ", &format!("{} ({})", finding.title, finding.slug))?;
            paragraph(out, "    ", "    ", finding.next_step)?;
        }
    }
    writeln!(out)?;
    // The same text as the finding of every pair, once.
    find("serology-only").map_or(Ok(()), |standing| paragraph(out, "", "", standing.text))
}

fn one(
    out: &mut dyn Write,
    worksheet: &Worksheet,
    recipient: &str,
    answer: &Answer,
) -> io::Result<()> {
    let (mark, style) = shown(answer.verdict);
    let word = answer.verdict.spoken().to_uppercase();
    let donor = worksheet.donors().iter().find(|donor| donor.animal.id == answer.donor);
    let donor_name = donor.and_then(|donor| donor.animal.name.as_ref());
    let donor_name = donor_name.map(|name| format!(" {}", name.as_str())).unwrap_or_default();
    let unit = donor.and_then(|donor| donor.unit.as_ref()).and_then(|unit| unit.number.as_ref());
    let unit = unit.map(|number| format!(", unit {}", number.as_str())).unwrap_or_default();
    let title = format!("{mark} {word}: {}{donor_name} for {recipient}", answer.donor.as_str());
    let product = format!("({}{unit})", answer.product.spoken());
    let lines =
        textwrap::wrap(&title, textwrap::Options::new(super::WIDTH).subsequent_indent("    "));
    for line in lines {
        writeln!(out, "{style}{line}{style:#}")?;
    }
    paragraph(out, "    ", "    ", &format!("{} {product}", answer.headline))?;
    let mut steps = answer.next_steps.iter();
    if let Some(first) = steps.next() {
        labeled(out, "next", first)?;
    }
    for step in steps {
        labeled(out, "", &format!("then: {step}"))?;
    }
    if !answer.not_tested.is_empty() {
        let missing: Vec<_> = answer.not_tested.iter().map(|untested| untested.spoken()).collect();
        labeled(out, "not tested", &missing.join(", "))?;
    }
    if let Some(until) = answer.valid_until {
        labeled(out, "valid until", &format!("{until}, the end of the sample's time"))?;
    }
    let (told, notes): (Vec<_>, Vec<_>) =
        answer.findings.iter().partition(|finding| finding.effect > Effect::Note);
    for (index, finding) in told.iter().enumerate() {
        let label = if index == 0 { "because" } else { "" };
        labeled(out, label, &because(worksheet, finding))?;
    }
    let notes: Vec<_> =
        notes.iter().map(|note| note.slug).filter(|slug| *slug != "serology-only").collect();
    if !notes.is_empty() {
        labeled(out, "also noted", &notes.join(", "))?;
    }
    Ok(())
}

fn labeled(out: &mut dyn Write, label: &str, text: &str) -> io::Result<()> {
    paragraph(out, &format!("    {label:<12} "), "                 ", text)
}

fn because(worksheet: &Worksheet, finding: &Finding) -> String {
    let readings: Vec<_> = finding
        .rests_on
        .iter()
        .filter_map(|pointer| {
            let Pointer::Reading(reading) = pointer else { return None };
            worksheet.readings().get(*reading).map(spoken)
        })
        .collect();
    let seen =
        if readings.is_empty() { String::new() } else { format!(": {}", readings.join("; ")) };
    format!("{} ({}, {}){seen}", finding.title, finding.slug, finding.effect)
}

/// A reading as one would say it.
fn spoken(reading: &Reading) -> String {
    let hemolysis = reading.hemolysis.filter(|hemolysis| *hemolysis > 0);
    let hemolysis = hemolysis.map(|hemolysis| format!(" with hemolysis {hemolysis}"));
    let at = reading.at.to_string();
    let clock = at.get(11..16).map(|clock| format!(", {clock}"));
    let by = reading.by.as_ref().map(|by| format!(" by {}", by.as_str()));
    format!(
        "{} {} {}{}{}{}",
        reading.test.spoken(),
        reading.agglutination.word(),
        reading.phase.spoken(),
        hemolysis.unwrap_or_default(),
        clock.unwrap_or_default(),
        by.unwrap_or_default()
    )
}

/// A mark and a style for a verdict. The word says it; mark and color only repeat it.
fn shown(verdict: Verdict) -> (&'static str, Style) {
    let bold = Style::new().bold();
    match verdict {
        Verdict::Compatible => ("[=]", bold.fg_color(Some(AnsiColor::Cyan.into()))),
        Verdict::CompatibleWithCaveats => ("[~]", bold.fg_color(Some(AnsiColor::Blue.into()))),
        Verdict::Incomplete => ("[.]", bold),
        Verdict::Indeterminate => ("[?]", bold.fg_color(Some(AnsiColor::Yellow.into()))),
        Verdict::Invalid => ("[/]", bold.fg_color(Some(AnsiColor::Magenta.into()))),
        Verdict::Incompatible => ("[X]", bold.fg_color(Some(AnsiColor::Red.into()))),
    }
}
