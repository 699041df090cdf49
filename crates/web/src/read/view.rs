//! The page of reading, drawn: what to do next, the line, the clocks, the table, the pad, the panel.

use crossread_core::document::{Id, Time};
use crossread_core::protocol::{HemolysisRule, PhaseRole};
use crossread_core::words::{Artefact, Grade, Method, Pattern, Phase, Recheck, Test};
use crossread_journal::{Cell, Entered, LookBegun, ReadingEntered};
use maud::{Markup, html};

use super::clocks::{clock_of, clocks, phase_name};
use super::table::{Slot, Table};
use super::{draft_text, keys, seen_text, slot};
use crate::ask::Ask;
use crate::fields::spoken;
use crate::{address, drawn, explain, shell, verdict};

/// What the page says above the table.
#[derive(Debug, Default)]
pub(crate) struct Said {
    /// What was written last, in large type.
    pub(crate) line: String,
    /// Why something was not done.
    pub(crate) told: Option<String>,
    /// Whether a reason is asked for to go on before the controls.
    pub(crate) asks_why: Option<String>,
}

/// The whole region that a key changes.
pub(crate) fn bench(ask: &Ask<'_>, table: &Table, focus: &Cell, said: &Said, now: Time) -> Markup {
    let id = &table.sheet.id;
    let read = address::sheet(id.as_str(), "read");
    html! {
        div #bench data-last=(table.sheet.last) data-cell=(slot::written(focus)) data-read=(read)
            data-token=(ask.bench.form_token) {
            div #prompt.prompt { (prompt(table, focus)) }
            p #line.line role="status" { (said.line) }
            div #told role="alert" {
                @if let Some(told) = &said.told { p.problem { (crate::answer::sentence(told)) } }
                @if let Some(key) = &said.asks_why { (why_first(ask, &read, focus, key, table)) }
            }
            div.bench-two {
                div.left-side {
                    form #clocks method="post" action=(address::sheet(id.as_str(), "step")) {
                        (shell::token(ask))
                        input type="hidden" name="cell" value=(slot::written(focus));
                        (clocks(table, now))
            }
                    div #grid.wide { (grid(table, focus, &read)) }
                }
                form #pad.pad method="post" action=(read) { (pad(ask, table, focus)) }
                section #panel aria-label="What it comes to so far" {
                    h2 { "So far" }
                    @if !table.sheet.awaited().is_empty() {
                        p { "Without the looks that wait for the second reader." }
                    }
                    (verdict::tiles(id, table.worksheet(), &table.interpretation))
                    (verdict::standing())
                    p { a.button href=(address::sheet(id.as_str(), "verdict")) { "Verdict, issue, release" } }
            }
            }
        }
    }
}

/// The one thing to do next, large enough for two metres.
fn prompt(table: &Table, focus: &Cell) -> Markup {
    let slots = table.slots();
    let waiting = slots.iter().filter(|slot| table.waits(slot)).count();
    let begun = table.own.iter().find(|look| look.of == *focus);
    let rules = table.rules();
    let what = cell_name(focus);
    let is_read = slots.iter().any(|slot| slot.of == *focus && !table.waits(slot));
    let fluid = rules.hemolysis != HemolysisRule::NotReadable
        && begun.is_none_or(|look| look.hemolysis.is_none());
    let tilt = match table.method() {
        Method::Tube => "Tilt the tube slowly, do not shake. How strong?",
        Method::Slide => "Rock the slide. How strong?",
        Method::Gel => "Hold the column to the light. How strong?",
    };
    html! {
        @if waiting == 0 && begun.is_none() {
            p.next { "Everything on this page is read." }
            p { "Look at the verdict below, and issue it." }
        } @else {
            p.next { (crate::answer::first_capital(&what)) }
            p {
                @if is_read && begun.is_none() { "Read already: a further look is a reading of its own. " }
                @if fluid && begun.is_none_or(|look| look.agglutination.is_none()) {
                    "First the fluid against the light, before the cells move: hemolysis? "
                    kbd { "h" } " " kbd { "0" } "-" kbd { "4" }
                } @else if begun.is_none_or(|look| look.agglutination.is_none()) {
                    (tilt) " " kbd { "0" } "-" kbd { "4" } " " kbd { "w" } " " kbd { "m" } " " kbd { "x" }
                } @else {
                    @match begun.map(|look| keys::complete(look, rules)) {
                        Some(Err(missing)) => (crate::answer::sentence(missing)),
                        _ => { kbd { "Enter" } " writes it down and goes on." },
                    }
                }
            }
            p.left { (waiting) " to read" }
        }
    }
}

/// Asks why a mixture is read before its controls.
fn why_first(ask: &Ask<'_>, read: &str, focus: &Cell, key: &str, table: &Table) -> Markup {
    let before = table.controls_before(focus);
    let before: Vec<_> = before.iter().map(cell_name).collect();
    html! {
        form.short method="post" action=(read) {
            (shell::token(ask))
            input type="hidden" name="cell" value=(slot::written(focus));
            input type="hidden" name="key" value=(key);
            p.problem { "First read: " (before.join("; ")) "." }
            label for="first-why" { "If this one must be read first: why?" }
            div.row {
                input #first-why name="reason" type="text" autocomplete="off";
                button { "Read it first" }
            }
        }
    }
}

/// A mixture at a phase, in words.
pub(crate) fn cell_name(of: &Cell) -> String {
    let donor = of.donor.as_ref().map(|donor| format!("{donor} ")).unwrap_or_default();
    let after =
        of.after.map(|after| format!(", after {}", spoken(after.word()))).unwrap_or_default();
    format!("{donor}{} {}{after}", of.test.spoken(), of.phase.spoken())
}

fn grid(table: &Table, focus: &Cell, read: &str) -> Markup {
    html! {
        table {
            caption.aside { "Controls first; phase by phase. Keys act in the marked cell only." }
            thead { tr {
                th scope="col" { "Mixture" }
                @for (phase, role) in &table.columns {
                    th scope="col" { (phase_name(*phase)) " " small { (role_name(*role)) } }
                }
            } }
            tbody { @for (test, donor) in &table.rows {
                tr class=[test.is_autocontrol().then_some("control")] {
                    th scope="row" { (row_name(table, *test, donor.as_ref())) }
                    @for (phase, _) in &table.columns {
                        @let first = Cell::new(*test, donor.clone(), *phase);
                        @let is_here = focus.clone().after(None) == first;
                        @let asked = if is_here { focus.after } else { None };
                        td { @for slot in table.slots_at(&first, asked) { (one(table, &slot, focus, read)) } }
                    }
                }
            } }
        }
        @if !table.all {
            p { a href=(format!("{read}?all=yes&cell={}", address::value(&slot::written(focus)))) {
                "Show the tests and phases that the rules leave open"
            } }
        }
    }
}

fn role_name(role: PhaseRole) -> &'static str {
    match role {
        PhaseRole::Required => "must be read",
        PhaseRole::OneOf => "one of these must be read",
        PhaseRole::Optional => "decides if read",
        PhaseRole::Informative => "never decides",
    }
}

fn row_name(table: &Table, test: Test, donor: Option<&Id>) -> Markup {
    let name = donor.and_then(|donor| {
        let of = table.worksheet().donors().iter().find(|other| other.animal.id == *donor)?;
        of.animal.name.as_ref()
    });
    html! {
        (test.spoken())
        @if let Some(donor) = donor { br; span.aside { (donor) @if let Some(name) = name { " " (name) } } }
    }
}

/// One slot: what was read there, or what is begun.
fn one(table: &Table, slot: &Slot<'_>, focus: &Cell, read: &str) -> Markup {
    let is_focus = slot.of == *focus;
    let written = slot::written(&slot.of);
    let shown: Vec<Markup> =
        slot.readings.iter().map(|reading| reading_shown(table, reading)).collect();
    let state = if slot.own.is_some() {
        "begun"
    } else if slot.is_read() {
        "read"
    } else {
        "open"
    };
    let label = format!("{}: {}", cell_name(&slot.of), in_words(table, slot));
    html! {
        a class=(format!("slot {state}")) href=(format!("{read}?cell={}", address::value(&written)))
            data-cell=(written) aria-label=(label) aria-current=[is_focus.then_some("true")] {
            @if let Some(after) = slot.of.after { small { "after " (spoken(after.word())) } }
            @for reading in &shown { (reading) }
            @if let Some(look) = slot.own { span.now { (look_text(look)) " …" } }
            @for by in &slot.others { small { (by) " is reading" } }
            @if shown.is_empty() && slot.own.is_none() { span.none { "–" } }
        }
    }
}

fn reading_shown(table: &Table, reading: &Entered<ReadingEntered>) -> Markup {
    let by = reading.value.reading.by.as_ref().unwrap_or(&reading.by);
    let at = reading.value.reading.at.map(clock_of).unwrap_or_default();
    let when = html! { small { (at) " " (by) } };
    html! {
        span.look {
            @if !reading.stands() { s { (seen_text(&reading.value.reading)) } " " small { "taken back" } }
            @else if table.sheet.is_sealed(reading) { span.sealed { "sealed" } (when) }
            @else { b { (seen_text(&reading.value.reading)) } (when) }
        }
    }
}

fn in_words(table: &Table, slot: &Slot<'_>) -> String {
    let mut words: Vec<String> = slot
        .readings
        .iter()
        .filter(|reading| reading.stands())
        .map(|reading| {
            if table.sheet.is_sealed(reading) {
                "sealed until the second reader has read".to_owned()
            } else {
                seen_text(&reading.value.reading)
            }
        })
        .collect();
    words.extend(slot.own.map(|look| format!("begun, {}", look_text(look))));
    if words.is_empty() { "not read".to_owned() } else { words.join("; ") }
}

/// What was seen so far.
pub(crate) fn look_text(look: &LookBegun) -> String {
    seen_text(&look.reading())
}

/// The pad: the same keys to press with a gloved finger.
fn pad(ask: &Ask<'_>, table: &Table, focus: &Cell) -> Markup {
    let own = table.own.iter().find(|look| look.of == *focus);
    let rules = table.rules();
    let seen = own.and_then(|look| look.agglutination);
    let grade = seen.and_then(crossread_core::words::Agglutination::grade);
    let key = |key: &str, said: &str, under: &str, on: bool| {
        html! {
            button.key name="key" value=(key) aria-pressed=(if on { "true" } else { "false" }) {
                (said) @if !under.is_empty() { small { (under) } }
            }
        }
    };
    let red =
        |value: u32| own.and_then(|look| look.hemolysis).is_some_and(|red| red.get() == value);
    let is = |wanted: &[Grade]| grade.is_some_and(|grade| wanted.contains(&grade));
    html! {
        (shell::token(ask))
        input type="hidden" name="cell" value=(slot::written(focus));
        @if table.all { input type="hidden" name="all" value="yes"; }
        p.aside { strong { (cell_name(focus)) } }
        @if rules.hemolysis != HemolysisRule::NotReadable {
            fieldset.keys { legend { "1. Hemolysis of the fluid" }
                (key("h0", "0", "clear", red(0))) (key("h1", "1", "", red(1))) (key("h2", "2", "", red(2)))
                (key("h3", "3", "", red(3))) (key("h4", "4", "all red", red(4)))
            }
        }
        fieldset.keys { legend { @if rules.hemolysis == HemolysisRule::NotReadable { "Clumps" } @else { "2. Clumps" } }
            (key("0", "0", "none", is(&[Grade::G0])))
            (key("m", "m", "microscope", is(&[Grade::Micro, Grade::Rough])))
            (key("w", "w", "weak", is(&[Grade::W])))
            (key("1", "1", "", is(&[Grade::G1, Grade::G1w, Grade::G1s])))
            (key("2", "2", "", is(&[Grade::G2, Grade::G2w, Grade::G2s])))
            (key("3", "3", "", is(&[Grade::G3, Grade::G3s])))
            (key("4", "4", "solid", is(&[Grade::G4])))
            (key("x", "x", "unreadable", seen.is_some_and(|seen| seen.grade().is_none())))
            (key("w", "-w", "weaker", false)) (key("s", "+s", "stronger", false))
        }
        fieldset.keys.wide-keys {
            button.key.main name="key" value="enter" { "Write it down" small { "Enter" } }
            (key("u", "Undo", "u", false))
            (key("up", "Back", "", false)) (key("down", "On", "", false))
        }
        p.seen { @match (seen, grade) {
            (_, Some(grade)) => { (drawn::beside(table.method(), grade)) strong { (grade) } " " (explain::seen(grade)) br; small { "drawing" } },
            (Some(_), None) => { strong { "unreadable" } " No grade can be given. Repeat the mixture." },
            (None, None) => { a href="/grades" { "What each grade looks like" } },
        } }
        fieldset.keys { legend { "Pattern" }
            @for pattern in Pattern::ALL {
                (key(&format!("pattern:{pattern}"), pattern_name(*pattern), "",
                    own.is_some_and(|look| look.pattern == Some(*pattern))))
            }
            (key("f", "mixed field", "", own.is_some_and(|look| look.mixed_field)))
            @if table.method() == Method::Slide { (key("d", "edge dried", "", own.is_some_and(|look| look.dried))) }
        }
        @if focus.phase == Phase::Antiglobulin {
            fieldset.keys { legend { "Check cells" }
                @for grade in [Grade::G0, Grade::W, Grade::G1, Grade::G2, Grade::G3, Grade::G4] {
                    (key(&format!("check:{grade}"), grade.word(), "",
                        own.is_some_and(|look| look.check_cells == Some(grade))))
                }
            }
        }
        @if focus.after == Some(Recheck::SalineDilution) {
            label for="parts" { "Parts of saline to 1 part" }
            div.row {
                input #parts name="parts" type="text" inputmode="numeric" autocomplete="off"
                    value=(own.and_then(|look| look.saline_parts).map(|parts| parts.get().to_string()).unwrap_or_default());
                button name="key" value="parts" { "Set" }
            }
        }
        details {
            summary { "More: no hemolysis looked for, what spoils it, read again, clock" }
            fieldset.keys { legend { "What spoils it" }
                @for artefact in Artefact::ALL {
                    (key(&format!("artefact:{artefact}"), &spoken(artefact.word()), "",
                        own.is_some_and(|look| look.artefacts.contains(artefact))))
                }
            }
            fieldset.keys { legend { "Read again" }
                @for after in Recheck::ALL {
                    (key(&format!("again:{after}"), &format!("after {}", spoken(after.word())), "", focus.after == Some(*after)))
                }
                (key("again:-", "first look", "", focus.after.is_none()))
            }
            fieldset.keys { legend { "This mixture only" }
                (key("t", if table.method() == Method::Slide { "mixed now" } else { "spun now" }, "t", false))
                @if rules.hemolysis != HemolysisRule::NotReadable {
                    (key("h-", "write down without hemolysis: nobody looked", "", false))
                }
            }
        }
    }
}

fn pattern_name(pattern: Pattern) -> &'static str {
    match pattern {
        Pattern::Clumps => "clumps",
        Pattern::Stacks => "stacks (rouleaux)",
        Pattern::Both => "both",
        Pattern::Unsure => "cannot tell",
    }
}

/// What a person wrote last, to be read back.
pub(crate) fn last_line(table: &Table) -> String {
    let own = table.sheet.readings.iter().rev().find(|reading| {
        reading.value.reading.by.as_ref().is_some_and(|by| by.as_str() == table.person)
    });
    let Some(last) = own else { return String::new() };
    let at = last.value.reading.at.map(clock_of).unwrap_or_default();
    if table.sheet.is_sealed(last) {
        let of =
            super::table::cell(&last.value.reading).as_ref().map(cell_name).unwrap_or_default();
        return format!("Written at {at}: {of}, sealed for the second reader");
    }
    format!("Written at {at}: {}", draft_text(&last.value.reading))
}
