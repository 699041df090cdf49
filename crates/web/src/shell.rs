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

/// A time as it was written down: day, hours and minutes, and the offset of the clock.
pub(crate) fn clock(time: crossread_core::document::Time) -> String {
    let shown = time.instant().to_zoned_datetime(time.offset().to_time_zone());
    shown.strftime("%Y-%m-%d %H:%M %:z").to_string()
}

/// A drawing written elsewhere in this crate.
pub(crate) fn drawing(svg: &'static str) -> Markup {
    html! { (PreEscaped(svg)) }
}

#[cfg(test)]
mod tests {
    use crossread_core::document::Time;

    #[test]
    fn a_recorded_time_keeps_the_offset_it_was_written_with() {
        for (written, shown) in [
            ("2026-10-25T02:30:10+02:00", "2026-10-25 02:30 +02:00"),
            ("2026-10-25T02:30:10+01:00", "2026-10-25 02:30 +01:00"),
            ("2026-03-01T03:28:10.250-03:30", "2026-03-01 03:28 -03:30"),
            ("2026-03-01T03:28:10Z", "2026-03-01 03:28 +00:00"),
        ] {
            assert_eq!(super::clock(Time::new(written).unwrap()), shown);
        }
    }
}
