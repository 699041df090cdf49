//! Today: what is open, what is to be done, and finding what was.

use crossread_core::document::{Date, Text};
use crossread_journal::{Field, Query, Wanted};
use crossread_print::{running_said, zone_of};
use jiff::tz::TimeZone;
use maud::{Markup, html};

use crate::address;
use crate::answer::{Answer, Problem};
use crate::ask::Ask;
use crate::shell;

/// The first day there is: every worksheet was opened later.
fn ever() -> Result<Date, Problem> {
    Date::new("0001-01-01").ok_or(Problem::NoPage)
}

/// The first page.
pub(crate) fn page(ask: &Ask<'_>) -> Result<Answer, Problem> {
    let mut journal = ask.bench.journal();
    let tasks = journal.open_tasks()?;
    let mut open = journal.open_worksheets(ever()?)?;
    let running = journal.running()?;
    drop(journal);
    let now = ask.bench.now()?;
    let zone = zone_of(now, TimeZone::system());
    // What was touched last is what somebody comes back to.
    open.sort_by(|one, other| other.changed.as_str().cmp(one.changed.as_str()));
    Answer::page(
        "Today",
        html! {
            div.ahead {
                h1 { "Today" }
                a.button.main href="/start" { "New worksheet" }
            }
            @for of in &running {
                @let page = of.started.value.release.to_string();
                p.warning {
                    strong { (of.worksheet) ": " (running_said(of, now, &zone)) " " }
                    a.button href=(address::of(["worksheets", of.worksheet.as_str(), "transfusion", &page])) {
                        "Look at the animal"
                    }
                }
            }
            section aria-labelledby="open" {
                h2 #open { "Open worksheets" }
                @if open.is_empty() { p.none { "No worksheet is open." } }
                ul.cards {
                    @for sheet in &open {
                        li.card {
                            a.title href=(address::sheet(sheet.worksheet.as_str(), "read")) {
                                strong { (sheet.worksheet) }
                                @if let Some(recipient) = &sheet.recipient { " for " (recipient) }
                            }
                            p { "last entry " (short(&sheet.changed)) ", open since " (short(&sheet.opened)) }
                            @if sheet.missing.is_empty() { p { "No donor yet." } }
                            ul {
                                @for (donor, missing) in &sheet.missing {
                                    li {
                                        strong { (donor) } ": "
                                        @if missing.is_empty() { "all read; not issued" }
                                        @else { (missing.join("; ")) }
                                    }
                                }
                            }
                        }
                    }
                }
            }
            section aria-labelledby="tasks" {
                h2 #tasks { "To be done" }
                @if tasks.is_empty() { p.none { "No task is open." } }
                @for task in &tasks {
                    form.task method="post" action=(address::of(["tasks", &task.seq.to_string()])) {
                        (shell::token(ask))
                        p {
                            strong { (task.task.text) } " "
                            a href=(address::sheet(task.worksheet.as_str(), "verdict")) { (task.worksheet) }
                            " since " (short(&task.since))
                        }
                        label for=(format!("done-{}", task.seq)) { "What was done, who was told" }
                        div.row {
                            input id=(format!("done-{}", task.seq)) name="text" type="text" autocomplete="off";
                            button { "Done" }
                        }
                    }
                }
            }
            (finder(""))
        },
    )
}

/// A time as the record has it, to the minute.
pub(crate) fn short(time: &Text) -> String {
    let text = time.as_str();
    let (day, rest) = text.split_once('T').unwrap_or((text, ""));
    format!("{day} {}", rest.get(..5).unwrap_or(rest))
}

fn finder(asked: &str) -> Markup {
    html! {
        form.short method="get" action="/search" role="search" {
            label for="find" { "Find" }
            div.row {
                input #find name="q" type="search" value=(asked) autocomplete="off"
                    aria-describedby="find-hint";
                button { "Find" }
            }
            small #find-hint {
                "A worksheet, an animal's number or name, a unit, a reader, a day (2026-03-01), a verdict"
            }
        }
    }
}

/// Finding by anything: each field is asked, and says why it was found.
pub(crate) fn search(ask: &Ask<'_>) -> Result<Answer, Problem> {
    let asked = ask.query.get("q");
    let fields = [
        (Field::Worksheet, "worksheet"),
        (Field::Recipient, "recipient"),
        (Field::Donor, "donor"),
        (Field::Unit, "unit"),
        (Field::Name, "name"),
        (Field::Reader, "reader"),
        (Field::Date, "day"),
        (Field::Verdict, "verdict"),
    ];
    let mut found = Vec::new();
    if !asked.is_empty() {
        let mut journal = ask.bench.journal();
        for (field, said) in fields {
            let value = match field {
                Field::Verdict => asked.to_lowercase().replace(' ', "_"),
                _ => asked.to_owned(),
            };
            let wanted = Wanted::exactly(field, &value);
            let hits = journal.search(&Query::of(wanted))?;
            if !hits.is_empty() {
                found.push((said, hits));
            }
        }
    }
    Answer::page(
        "Find",
        html! {
            h1 { "Find" }
            (finder(asked))
            @if !asked.is_empty() && found.is_empty() {
                p.none role="status" {
                    "Nothing is called " strong { (asked) } ". Numbers are compared character by character."
                }
            }
            @for (said, hits) in &found {
                h2 { (said) " " (asked) }
                ul.plain {
                    @for hit in hits {
                        li {
                            @match &hit.worksheet {
                                Some(id) => a href=(address::sheet(id.as_str(), "verdict")) { (id) },
                                None => "no worksheet",
                            }
                            ", " (hit.kind.replace('_', " ")) " " (short(&hit.at)) " by " (hit.by)
                            @if hit.superseded == Some(true) { strong { ", superseded" } }
                        }
                    }
                }
                @if *said == "recipient" || *said == "donor" {
                    p { a href=(address::of(["animals", asked])) { "The past of " (asked) } }
                }
            }
        },
    )
}

/// A task was done.
pub(crate) fn close_task(ask: &Ask<'_>, seq: &str) -> Result<Answer, Problem> {
    let seq = seq.parse().map_err(|_no_number| Problem::NoPage)?;
    ask.bench.journal().close_task(&ask.writer()?, seq, ask.form.get("text"))?;
    Ok(Answer::GoTo("/".to_owned()))
}
