//! The worked cases on this installation: each must give its committed interpretation, byte for
//! byte, go through a message and back, and be refused when it is spoilt.

use crossread_core::document::{Digest, FaultReport, Time};
use crossread_core::interpretation::Issued;
use crossread_core::protocol::SHIPPED;
use crossread_core::{Interpretation, Protocol, Protocols, Worksheet, interpret};
use crossread_exchange::{Message, from_fhir, from_hl7, to_fhir, to_hl7};
use crossread_print::{Paper, Report, html, text};

use super::{Checks, Part};
use crate::verbs::machine;

/// A worked case that ships: its name, and its documents as they are committed.
#[derive(Clone, Copy, Debug)]
pub(super) struct Case {
    pub(super) name: &'static str,
    pub(super) worksheet: &'static str,
    pub(super) interpretation: &'static str,
}

/// A protocol that ships with the hash of its document.
pub(super) fn protocols(checks: &mut Checks, cases: &[Case]) {
    for (file, document) in SHIPPED {
        let hash = Digest::of(document.as_bytes());
        let found = Protocol::from_json(document.as_bytes()).map(drop);
        let found = found.map_err(|faults| format!("it is at fault: {faults}"));
        checks.add(Part::Protocols, file, found);
        // Every committed interpretation names the hash of the rules that it was made by.
        let named = cases.iter().any(|case| case.interpretation.contains(&hash.to_string()));
        let found = if named { Ok(()) } else { Err(format!("no case was made by {hash}")) };
        checks.add(Part::Protocols, format!("{file}: the hash that the cases name"), found);
    }
}

/// The schemas that this program would publish, beside those that are committed.
pub(super) fn schemas(checks: &mut Checks, committed: &[(&str, &str)]) {
    for schema in machine::schemas() {
        let of = committed.iter().find(|(name, _)| *name == schema.name);
        let found = match (schema.to_json(), of) {
            (Ok(made), Some((_, text))) => same(text, &made),
            (Err(error), _) => Err(error.to_string()),
            (_, None) => Err("none is committed".to_owned()),
        };
        checks.add(Part::Schemas, schema.name, found);
    }
}

/// Everything that is asked of one case.
pub(super) fn case(checks: &mut Checks, case: &Case) {
    let interpretation = match interpreted(case.worksheet) {
        Ok((worksheet, interpretation)) => {
            let written = serde_json::to_string_pretty(&interpretation);
            let found = written
                .map_err(|error| error.to_string())
                .and_then(|text| same(case.interpretation, &format!("{text}\n")));
            checks.add(Part::Cases, case.name, found);
            checks.add(Part::Paper, case.name, on_paper(&worksheet, &interpretation));
            interpretation
        }
        Err(why) => return checks.add(Part::Cases, case.name, Err(why)),
    };
    checks.add(Part::Messages, case.name, there_and_back(case));
    checks.add(Part::Refusals, case.name, refused(case));
    for pair in interpretation.pairs {
        let donor = format!("{}: {}", pair.donor.as_str(), pair.verdict.spoken());
        checks.verdicts.push((case.name.to_owned(), donor));
    }
}

fn interpreted(document: &str) -> Result<(Worksheet, Interpretation), String> {
    let protocols = Protocols::shipped();
    let worksheet = Worksheet::from_json(document.as_bytes(), protocols)
        .map_err(|faults| format!("the worksheet is at fault: {faults}"))?;
    let named = worksheet.protocol();
    let protocol = protocols.get(&named.id, &named.version).ok_or("its protocol does not ship")?;
    let interpretation = interpret(&worksheet, protocol);
    Ok((worksheet, interpretation))
}

/// Nothing, if two texts are alike, or the first line in which they are not.
fn same(expected: &str, found: &str) -> Result<(), String> {
    if expected == found {
        return Ok(());
    }
    let differs = (1_u32..).zip(expected.lines().zip(found.lines()));
    let first = differs.into_iter().find(|(_, (expected, found))| expected != found);
    Err(first.map_or_else(
        || "one of the two is longer".to_owned(),
        |(number, (expected, found))| {
            format!("line {number} is `{}` and should be `{}`", found.trim(), expected.trim())
        },
    ))
}

/// The report says every verdict before its donor, in all its forms.
fn on_paper(worksheet: &Worksheet, interpretation: &Interpretation) -> Result<(), String> {
    let document = Report::new(worksheet, interpretation).document();
    let (page, plain) = (html(&document, Paper::A4), text(&document));
    for pair in &interpretation.pairs {
        let word = pair.verdict.spoken().to_uppercase();
        let said = format!("{word}: {}", pair.donor.as_str());
        let first = document.texts().iter().any(|text| text.starts_with(&said));
        if !first || !page.contains(&said) || !plain.contains(&said) {
            return Err(format!("the report does not say `{said}`"));
        }
    }
    Ok(())
}

/// What was committed goes into a message of either kind and comes back the same.
fn there_and_back(case: &Case) -> Result<(), String> {
    let said = |why: &dyn std::fmt::Display| why.to_string();
    let issued =
        Issued::from_json(case.interpretation.as_bytes()).map_err(|faults| said(&faults))?;
    let message = Message::new(case.worksheet.as_bytes(), issued).map_err(|why| said(&why))?;
    let at = Time::new("2026-03-01T00:00:00Z").ok_or("no time")?;
    let fhir = to_fhir(&message, at).map_err(|why| said(&why))?.to_string();
    let hl7 = to_hl7(&message, at).map_err(|why| said(&why))?;
    if from_fhir(fhir.as_bytes()).map_err(|why| said(&why))? != message {
        return Err("it comes back from FHIR as another".to_owned());
    }
    if from_hl7(hl7.as_bytes()).map_err(|why| said(&why))? != message {
        return Err("it comes back from HL7 as another".to_owned());
    }
    Ok(())
}

/// The worksheet spoilt in several ways is refused each time, with a report of its faults.
fn refused(case: &Case) -> Result<(), String> {
    let half = case.worksheet.len() / 2;
    let half = (0..=half).rev().find_map(|end| case.worksheet.get(..end)).unwrap_or_default();
    let ways = [
        ("cut off", half.to_owned()),
        ("with a grade that is none", with_value(case.worksheet, "agglutination", "\"5+\"")),
        ("with a time that is none", with_value(case.worksheet, "at", "\"half past three\"")),
        ("under unknown rules", with_value(case.worksheet, "version", "\"0.0.0-none\"")),
        ("without a format", case.worksheet.replacen("\"format\"", "\"remarks\"", 1)),
    ];
    for (how, spoilt) in ways {
        match Worksheet::from_json(spoilt.as_bytes(), Protocols::shipped()) {
            Ok(_) => return Err(format!("{how}, it is taken")),
            Err(faults) => {
                let report = FaultReport::new(case.name, None, &faults);
                serde_json::to_string(&report).map_err(|error| error.to_string())?;
            }
        }
    }
    Ok(())
}

/// The document with another value in the first field of this name.
fn with_value(document: &str, field: &str, value: &str) -> String {
    let key = format!("\"{field}\": ");
    let Some((before, rest)) = document.split_once(&key) else { return document.to_owned() };
    let end = rest.find([',', '\n', '}']).unwrap_or(rest.len());
    format!("{before}{key}{value}{}", rest.get(end..).unwrap_or_default())
}
