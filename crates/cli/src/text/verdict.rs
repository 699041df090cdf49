//! Verdicts for people: the word, then a sentence, then the next steps, then what was not tested,
//! then what was read, then why.

use std::io::{self, Write};

use anstyle::{AnsiColor, Style};
use crossread_core::document::{Id, Text};
use crossread_core::findings::{Finding, find};
use crossread_core::interpretation::{Answer, Interpretation};
use crossread_core::words::{Effect, Test, Verdict};
use crossread_core::{Protocol, Worksheet};
use jiff::tz::Offset;

use super::evidence::{Evidence, clock};
use super::{paragraph, styled};

/// Writes the verdict of every donor, in the order for comparison.
pub(crate) fn write(
    out: &mut dyn Write,
    worksheet: &Worksheet,
    protocol: &Protocol,
    interpretation: &Interpretation,
) -> io::Result<()> {
    let head = format!(
        "Worksheet {}, {}, rules {} {}",
        interpretation.worksheet.id.as_str(),
        interpretation.method,
        interpretation.protocol.id.as_str(),
        interpretation.protocol.version.as_str()
    );
    paragraph(out, "", "  ", &head)?;
    let of_donor = |donor: &Id| interpretation.pairs.iter().find(|pair| pair.donor == *donor);
    let answers: Vec<_> = interpretation.order.iter().filter_map(of_donor).collect();
    if answers.len() > 1 {
        overview(out, worksheet, &answers)?;
    }
    let evidence = Evidence::of(worksheet, protocol);
    for answer in answers {
        writeln!(out)?;
        one(out, worksheet, &evidence, answer)?;
    }
    if !interpretation.panel.is_empty() {
        writeln!(out, "\nAll donors together")?;
        for found in &interpretation.panel {
            finding(out, "noted", &evidence, found, None)?;
            labeled(out, "next", "  ", found.next_step)?;
        }
    }
    writeln!(out)?;
    // The same text as the finding of every pair, once.
    find("serology-only").map_or(Ok(()), |standing| paragraph(out, "", "", standing.text))
}

/// One line a donor.
fn overview(out: &mut dyn Write, worksheet: &Worksheet, answers: &[&Answer]) -> io::Result<()> {
    let word = |answer: &Answer| answer.verdict.spoken().to_uppercase();
    let longest = answers.iter().map(|answer| word(answer).len()).max().unwrap_or_default();
    for answer in answers {
        let (mark, style) = shown(answer.verdict);
        let (word, (donor, product)) = (word(answer), donor(worksheet, answer));
        let line = format!("{mark} {word:longest$}  {donor} {product}");
        styled(out, style, "    ", "        ", &line)?;
    }
    Ok(())
}

fn one(
    out: &mut dyn Write,
    worksheet: &Worksheet,
    evidence: &Evidence<'_>,
    answer: &Answer,
) -> io::Result<()> {
    let (mark, style) = shown(answer.verdict);
    let word = answer.verdict.spoken().to_uppercase();
    let animal = &worksheet.recipient().animal;
    let recipient = named(&animal.id, animal.name.as_ref());
    let (donor, product) = donor(worksheet, answer);
    let title = format!("{mark} {word}: {donor} for {recipient} {product}");
    styled(out, style, "", "    ", &title)?;
    paragraph(out, "    ", "    ", &answer.headline)?;
    next_steps(out, answer)?;
    if !answer.not_tested.is_empty() {
        let missing: Vec<_> = answer.not_tested.iter().map(|untested| untested.spoken()).collect();
        labeled(out, "not tested", "", &missing.join(", "))?;
    }
    read(out, evidence, answer)?;
    if let Some(until) = answer.valid_until {
        // By the clock on the wall of whoever read the tubes.
        let offset = worksheet.readings().first().map_or(Offset::UTC, |first| first.at.offset());
        let until = clock(until, offset, "%Y-%m-%d %H:%M (%:z)");
        labeled(out, "valid until", "", &format!("{until}, the end of the sample's time"))?;
    }
    let number = worksheet.donors().iter().position(|donor| donor.animal.id == answer.donor);
    let (told, notes): (Vec<_>, Vec<_>) =
        answer.findings.iter().partition(|finding| finding.effect > Effect::Note);
    let notes = notes.into_iter().filter(|note| note.slug != "serology-only");
    let labeled = |label: &'static str| std::iter::once(label).chain(std::iter::repeat(""));
    let told = labeled("because").zip(told);
    for (label, found) in told.chain(labeled("also noted").zip(notes)) {
        finding(out, label, evidence, found, number)?;
    }
    Ok(())
}

fn next_steps(out: &mut dyn Write, answer: &Answer) -> io::Result<()> {
    if let [only] = answer.next_steps.as_slice() {
        return labeled(out, "next", "  ", only);
    }
    for (number, step) in (1..).zip(&answer.next_steps) {
        let label = if number == 1 { "next" } else { "" };
        labeled(out, label, "   ", &format!("{number}. {step}"))?;
    }
    Ok(())
}

/// What each mixture came to, one paragraph a test.
fn read(out: &mut dyn Write, evidence: &Evidence<'_>, answer: &Answer) -> io::Result<()> {
    let mut label = "read";
    for test in Test::ALL {
        let records = answer.readings_of_record.iter().filter(|record| record.test == *test);
        let spoken: Vec<_> = records.map(|record| evidence.of_record(record)).collect();
        if !spoken.is_empty() {
            labeled(out, label, "  ", &format!("{}: {}", test.spoken(), spoken.join("; ")))?;
            label = "";
        }
    }
    if label.is_empty() { Ok(()) } else { labeled(out, label, "", "nothing") }
}

/// A finding, and below it what it rests on.
fn finding(
    out: &mut dyn Write,
    label: &str,
    evidence: &Evidence<'_>,
    found: &Finding,
    donor: Option<usize>,
) -> io::Result<()> {
    let effect = match found.effect {
        Effect::Note => String::new(),
        effect @ (Effect::Caveat
        | Effect::Incomplete
        | Effect::Indeterminate
        | Effect::Invalid
        | Effect::Incompatible) => format!(" ({effect})"),
    };
    labeled(out, label, "  ", &format!("{}{effect}: {}", found.slug, found.title))?;
    for seen in evidence.of_finding(found, donor) {
        labeled(out, "", "  ", &format!("- {seen}"))?;
    }
    Ok(())
}

/// Writes a text beside its label; its further lines are indented by `hanging` besides.
fn labeled(out: &mut dyn Write, label: &str, hanging: &str, text: &str) -> io::Result<()> {
    paragraph(out, &format!("    {label:<12} "), &format!("{:17}{hanging}", ""), text)
}

/// The donor; and its product with the unit, in brackets.
fn donor(worksheet: &Worksheet, answer: &Answer) -> (String, String) {
    let donor = worksheet.donors().iter().find(|donor| donor.animal.id == answer.donor);
    let name = donor.and_then(|donor| donor.animal.name.as_ref());
    let unit = donor.and_then(|donor| donor.unit.as_ref()).and_then(|unit| unit.number.as_ref());
    let unit = unit.map(|number| format!(", unit {}", number.as_str())).unwrap_or_default();
    (named(&answer.donor, name), format!("({}{unit})", answer.product.spoken()))
}

fn named(id: &Id, name: Option<&Text>) -> String {
    let name = name.map(|name| format!(" {}", name.as_str())).unwrap_or_default();
    format!("{}{name}", id.as_str())
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
