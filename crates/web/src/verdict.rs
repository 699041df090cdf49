//! What each donor comes to: the word, the sentence, the next step, what is missing, and why.

use std::collections::BTreeSet;

use crossread_core::document::{Id, Pointer};
use crossread_core::findings::{Finding, find};
use crossread_core::interpretation::Answer as OfDonor;
use crossread_core::words::{Effect, Verdict};
use crossread_core::{Interpretation, Worksheet};
use crossread_journal::{JournalError, Sheet, differences};
use maud::{Markup, html};

use crate::answer::{Answer, Problem};
use crate::ask::Ask;
use crate::read::cell_text;
use crate::{address, plan, shell};

/// The shape of a verdict. The word says it; the shape only repeats it.
fn shape(verdict: Verdict) -> Markup {
    let svg = match verdict {
        Verdict::Compatible => {
            r#"<svg class="shape" viewBox="0 0 24 24" aria-hidden="true"><circle cx="12" cy="12" r="10" fill="currentColor"/></svg>"#
        }
        Verdict::CompatibleWithCaveats => {
            r#"<svg class="shape" viewBox="0 0 24 24" aria-hidden="true"><circle cx="12" cy="12" r="9.5" fill="none" stroke="currentColor" stroke-width="2.5"/><path d="M12 2.5a9.5 9.5 0 0 0 0 19z" fill="currentColor"/></svg>"#
        }
        Verdict::Incomplete => {
            r#"<svg class="shape" viewBox="0 0 24 24" aria-hidden="true"><rect x="2.5" y="2.5" width="19" height="19" fill="none" stroke="currentColor" stroke-width="2.5" stroke-dasharray="4 3"/></svg>"#
        }
        Verdict::Indeterminate => {
            r#"<svg class="shape" viewBox="0 0 24 24" aria-hidden="true"><path d="M12 1.8 22.2 12 12 22.2 1.8 12z" fill="none" stroke="currentColor" stroke-width="2.5"/></svg>"#
        }
        Verdict::Invalid => {
            r#"<svg class="shape" viewBox="0 0 24 24" aria-hidden="true"><rect x="2.5" y="2.5" width="19" height="19" fill="none" stroke="currentColor" stroke-width="2.5"/><path d="M3 21 21 3" stroke="currentColor" stroke-width="2.5"/></svg>"#
        }
        Verdict::Incompatible => {
            r#"<svg class="shape" viewBox="0 0 24 24" aria-hidden="true"><rect x="1" y="1" width="22" height="22" fill="currentColor"/><path class="bars" d="M6 6l12 12M18 6 6 18" stroke-width="3.5"/></svg>"#
        }
    };
    shell::drawing(svg)
}

/// One tile a donor, in the order for comparison.
pub(crate) fn tiles(id: &Id, worksheet: &Worksheet, interpretation: &Interpretation) -> Markup {
    let pairs = interpretation
        .order
        .iter()
        .filter_map(|donor| interpretation.pairs.iter().find(|pair| pair.donor == *donor));
    html! {
        ol.tiles { @for pair in pairs {
            li class=(format!("tile {}", pair.verdict)) {
                p.verdict { (shape(pair.verdict)) " " (pair.verdict.spoken().to_uppercase()) }
                p.donor { strong { (donor_said(worksheet, pair)) } }
                p { (pair.headline) }
                @if let Some(step) = pair.next_steps.first() { p.next { strong { "Next: " } (step) } }
                @if !pair.not_tested.is_empty() {
                    p.not-tested { "Not tested: " (untested(pair)) }
                }
                p { a href=(format!("{}#why-{}", address::sheet(id.as_str(), "verdict"), place(worksheet, pair))) {
                    "Why " (pair.donor) "?"
                } }
            }
        } }
    }
}

fn untested(pair: &OfDonor) -> String {
    pair.not_tested.iter().map(|untested| untested.spoken()).collect::<Vec<_>>().join(", ")
}

fn place(worksheet: &Worksheet, pair: &OfDonor) -> usize {
    let place = worksheet.donors().iter().position(|donor| donor.animal.id == pair.donor);
    place.unwrap_or_default()
}

/// The donor with its name, its product and its unit.
fn donor_said(worksheet: &Worksheet, pair: &OfDonor) -> String {
    let donor = worksheet.donors().iter().find(|donor| donor.animal.id == pair.donor);
    let name = donor.and_then(|donor| donor.animal.name.as_ref());
    let name = name.map(|name| format!(" {name}")).unwrap_or_default();
    let unit = donor.and_then(|donor| donor.unit.as_ref()).and_then(|unit| unit.number.as_ref());
    let unit = unit.map(|number| format!(", unit {number}")).unwrap_or_default();
    format!("{}{name}: {}{unit}", pair.donor, pair.product.spoken())
}

/// The page.
pub(crate) fn page(ask: &Ask<'_>, id: &Id) -> Result<Answer, Problem> {
    let mut journal = ask.bench.journal();
    let sheet = journal.sheet(id)?;
    let view = match journal.view(id) {
        Err(JournalError::Faults(_)) if sheet.donors().next().is_none() => {
            drop(journal);
            return plan::no_donor(id);
        }
        other => other?,
    };
    let shown = journal.show(id, None)?;
    drop(journal);
    let interpretation = &shown.today;
    let mut told = BTreeSet::new();
    let worksheet = &view.worksheet;
    let paper = |which: &str| address::of(["worksheets", id.as_str(), "paper", which]);
    let recipient = &worksheet.recipient().animal;
    Answer::page(
        format!("{id}: verdict"),
        html! {
            (shell::tabs(id.as_str(), "verdict"))
            h1 { "For " (recipient.id) @if let Some(name) = &recipient.name { " " (name) } }
            p { "Read in " (interpretation.method) ", rules " (interpretation.protocol.id) " "
                (interpretation.protocol.version) ". Compared by reactivity, which says nothing of risk." }
            (tiles(id, worksheet, interpretation))
            (standing())
            (issuing(ask, id, &sheet, shown.changed_since_issue))
            @if let Some((_, issued)) = &shown.issued {
                @let now = serde_json::to_value(interpretation).unwrap_or_default();
                @let differ = differences(&issued.interpretation, &now);
                @if !differ.is_empty() {
                    section aria-labelledby="differs" {
                        h2 #differs { "Revision " (issued.revision) " said otherwise" }
                        ul { @for one in &differ { li {
                            @if let Some(donor) = &one.donor { strong { (donor) } ", " }
                            (one.what) ": issued " strong { (one.first) } ", now " strong { (one.second) }
                        } } }
                    }
                }
            }
            @if let Some(given) = given(ask, id, &sheet) { (given) }
            p {
                a.button href=(paper("report")) target="_blank" { "Print the report" } " "
                a.button href=(paper("sheet")) target="_blank" { "Print the worksheet" }
            }
            @for pair in &interpretation.pairs { (why(id, worksheet, &view.readings, pair, &mut told)) }
            @if !interpretation.panel.is_empty() {
                section { h2 { "All donors together" }
                    ul.findings { @for found in &interpretation.panel {
                        (finding(id, worksheet, &view.readings, found, &mut told))
                    } }
                }
            }
        },
    )
}

/// What a crossmatch does not exclude, as every verdict carries it.
pub(crate) fn standing() -> Markup {
    html! { @if let Some(standing) = find("serology-only") { p.standing { (standing.text) } } }
}

fn issuing(ask: &Ask<'_>, id: &Id, sheet: &Sheet, changed: bool) -> Markup {
    let last = sheet.last_issued();
    html! {
        section aria-labelledby="issue" {
            h2 #issue { "Issue" }
            @match last {
                Some(last) => p {
                    "Revision " (last.value.revision) " was issued " (shell::clock(last.at)) " by "
                    (last.by) " to " (last.value.to) "."
                    @if changed { strong { " Something was entered since: issue it again." } }
                },
                None => p { "Nothing was issued yet." },
            }
            form.short method="post" action=(address::sheet(id.as_str(), "issue")) {
                (shell::token(ask))
                label for="to" { "Issue to (the veterinarian)" }
                div.row { input #to name="to" type="text" autocomplete="off"; button.main { "Issue" } }
            }
            @if last.is_some() && !changed {
                form.short method="post" action=(address::sheet(id.as_str(), "hand")) {
                    (shell::token(ask))
                    label for="hand" { "Somebody else was given it" }
                    div.row { input #hand name="to" type="text" autocomplete="off"; button { "Record" } }
                }
            }
            h3 { "Release a unit" }
            p.row { @for donor in sheet.donors() {
                @if let Some(donor) = &donor.value.donor.id {
                    a.button href=(address::of(["worksheets", id.as_str(), "release", donor.as_str()])) {
                        "Release the unit of " (donor)
                    }
                }
            } }
        }
    }
}

/// The units that left, each with a way to come back.
fn given(ask: &Ask<'_>, id: &Id, sheet: &Sheet) -> Option<Markup> {
    let back = |seq: u64| sheet.returned.iter().any(|back| back.value.release == seq);
    let released = sheet.releases.iter().map(|of| {
        let value = &of.value;
        (of.seq, of.at, format!("unit {} of {} to {}", value.unit, value.donor, value.to))
    });
    let untested = sheet.emergency_releases.iter().map(|of| {
        let value = &of.value;
        let said =
            format!("{}: unit {} of {} to {}", value.headline, value.unit, value.donor, value.to);
        (of.seq, of.at, said)
    });
    let all: Vec<_> = released.chain(untested).collect();
    (!all.is_empty()).then(|| html! {
        section aria-labelledby="given" {
            h2 #given { "Units that left" }
            @for (seq, at, said) in &all {
                div.card {
                    p { strong { (said) } ", " (shell::clock(*at)) }
                    p { a.button href=(address::of(["worksheets", id.as_str(), "transfusion", &seq.to_string()])) {
                        "Transfusion: plan, checks, times"
                    } }
                    @if back(*seq) { p { "It came back." } } @else {
                        form.short method="post" action=(address::sheet(id.as_str(), "return")) {
                            (shell::token(ask))
                            input type="hidden" name="release" value=(seq);
                            label for=(format!("back-{seq}")) { "It came back unused: why, in what state" }
                            div.row {
                                input id=(format!("back-{seq}")) name="reason" type="text" autocomplete="off";
                                button { "Record" }
                            }
                        }
                    }
                }
            }
        }
    })
}

/// Why a donor came to its verdict.
fn why(
    id: &Id,
    worksheet: &Worksheet,
    readings: &[u64],
    pair: &OfDonor,
    told: &mut BTreeSet<&'static str>,
) -> Markup {
    html! {
        section.why id=(format!("why-{}", place(worksheet, pair))) {
            h2 { (shape(pair.verdict)) " " (pair.verdict.spoken().to_uppercase()) ": " (donor_said(worksheet, pair)) }
            p { (pair.headline) }
            @if !pair.next_steps.is_empty() {
                h3 { "Next" }
                ol { @for step in &pair.next_steps { li { (step) } } }
            }
            @if !pair.not_tested.is_empty() { p { strong { "Not tested: " } (untested(pair)) } }
            @if let Some(until) = pair.valid_until {
                p { strong { "Valid until " } (until_said(worksheet, until)) ", the end of the samples' time" }
            }
            h3 { "Because" }
            ul.findings { @for found in &pair.findings { (finding(id, worksheet, readings, found, told)) } }
        }
    }
}

fn until_said(worksheet: &Worksheet, until: jiff::Timestamp) -> String {
    let offset =
        worksheet.readings().first().map_or(jiff::tz::Offset::UTC, |read| read.at.offset());
    until.to_zoned_datetime(offset.to_time_zone()).strftime("%Y-%m-%d %H:%M (%:z)").to_string()
}

/// A finding with the readings that it rests on. What it means is told once on a page; every verdict
/// has its own sentence and next steps besides.
fn finding(
    id: &Id,
    worksheet: &Worksheet,
    readings: &[u64],
    found: &Finding,
    told: &mut BTreeSet<&'static str>,
) -> Markup {
    let is_new = found.effect > Effect::Note && told.insert(found.slug);
    let rests_on = found.rests_on.iter().filter_map(|pointer| match pointer {
        Pointer::Reading(place) => Some((worksheet.readings().get(*place)?, readings.get(*place)?)),
        _ => None,
    });
    html! {
        li {
            strong { (found.title) }
            @if found.effect > Effect::Note { " (" (found.effect) ")" }
            @if is_new { ". " (found.text) } " " a href=(address::of(["explain", found.slug])) { "Explain " (found.slug) }
            ul { @for (reading, seq) in rests_on {
                li { a href=(crate::animals::entry(id, *seq)) { (cell_text(worksheet, reading)) } }
            } }
        }
    }
}
