//! The frame around every page.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::ask::Ask;

/// A page in its frame.
pub(crate) fn page(ask: &Ask<'_>, title: &str, body: &Markup) -> Markup {
    let here = ask.path.first().map_or("", String::as_str);
    let link = |to: &str, name: &str| {
        let page = to.trim_start_matches('/');
        html! { a href=(to) aria-current=[(page == here).then_some("page")] { (name) } }
    };
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) " - " (ask.bench.hospital) }
                link rel="stylesheet" href="/style.css";
                link rel="icon" href="/icon.svg" type="image/svg+xml";
                script src="/bench.js" defer {}
            }
            body {
                a.skip href="#main" { "To the content" }
                header.top {
                    span.of { (ask.bench.hospital) }
                    nav aria-label="Pages" {
                        (link("/", "Today"))
                        (link("/start", "New worksheet"))
                        (link("/search", "Find"))
                        (link("/handover", "Handover"))
                        (link("/grades", "Grades"))
                    }
                    span.who {
                        @if let Some(person) = &ask.person {
                            strong { (person) } " "
                            a href=(format!("/who?to={}", crate::address::value(&ask.address()))) {
                                "not you?"
                            }
                        }
                    }
                    time #now {}
                }
                @if ask.bench.clock_jumped() {
                    p.problem role="alert" {
                        "The clock of this machine was set while the server ran. Times and reading \
                         windows may be wrong: check the clock, and restart the server."
                    }
                }
                main #main { (body) }
                footer {
                    "Serology only. Local rules and the veterinarian decide what is given. Kept on \
                     this machine; nothing is sent anywhere."
                }
            }
        }
    }
}

/// What every form carries.
pub(crate) fn token(ask: &Ask<'_>) -> Markup {
    html! { input type="hidden" name="form_token" value=(ask.bench.form_token); }
}

/// The pages of one worksheet.
pub(crate) fn tabs(worksheet: &str, here: &str) -> Markup {
    tabs_for(worksheet, here, None)
}

/// The pages of one worksheet, with its recipient as the heading.
pub(crate) fn tabs_for(worksheet: &str, here: &str, recipient: Option<&str>) -> Markup {
    let tabs = [
        ("", "Animals"),
        ("plan", "Prepare"),
        ("read", "Read"),
        ("verdict", "Verdict"),
        ("entries", "Record"),
    ];
    html! {
        nav.tabs aria-label="Worksheet" {
            @if let Some(recipient) = recipient { h1 { (worksheet) " for " (recipient) } }
            @else { span.id { (worksheet) } }
            @for (page, name) in tabs {
                a href=(crate::address::sheet(worksheet, page))
                    aria-current=[(page == here).then_some("page")] { (name) }
            }
        }
    }
}

/// A clock time of today, or with its day.
pub(crate) fn clock(time: crossread_core::document::Time) -> String {
    let text = time.to_string();
    let (day, rest) = text.split_once('T').unwrap_or(("", &text));
    format!("{day} {}", rest.get(..5).unwrap_or(rest))
}

/// A drawing written elsewhere in this crate.
pub(crate) fn drawing(svg: &'static str) -> Markup {
    html! { (PreEscaped(svg)) }
}
