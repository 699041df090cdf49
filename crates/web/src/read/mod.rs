//! Reading: the table of mixtures, one key a grade, each key kept before the next is taken.

mod clocks;
mod keys;
mod slot;
mod table;
mod view;

use crossread_core::Worksheet;
use crossread_core::document::{Id, Text, Time};
use crossread_core::worksheet::{Reading, draft};
use crossread_journal::{Cell, LookBegun, Note, Step, StepDone};
use maud::html;

use self::keys::Pressed;
use self::table::Table;
use self::view::{Said, bench, cell_name, last_line};
use crate::animals::named;
use crate::answer::{Answer, Problem};
use crate::ask::Ask;
use crate::{address, plan, shell};

/// Everything that the page shows, as it stands now.
fn table(ask: &Ask<'_>, id: &Id, all: bool) -> Result<Option<Table>, Problem> {
    let person = ask.person.clone().ok_or(Problem::WhoIsThere)?;
    let mut journal = ask.bench.journal();
    let sheet = journal.sheet(id)?;
    if sheet.donors().next().is_none() {
        return Ok(None);
    }
    let view = journal.view(id)?;
    let shown = journal.show(id, None)?;
    let own = journal.begun_looks(&person, id)?;
    drop(journal);
    let rows = Table::rows_of(&view, &shown.protocol, &sheet, &own, all);
    let columns = Table::columns_of(&shown.protocol, view.worksheet.method(), &sheet, all);
    Ok(Some(Table {
        sheet,
        view,
        protocol: shown.protocol,
        interpretation: shown.today,
        own,
        person,
        rows,
        columns,
        all,
    }))
}

/// The mixture in focus: the one that was asked for, or the one to go on with.
fn focus(ask: &Ask<'_>, table: &Table) -> Result<Cell, Problem> {
    let asked = if ask.posts { ask.form.get("cell") } else { ask.query.get("cell") };
    let asked = slot::read(asked).filter(|of| {
        table.rows.iter().any(|(test, donor)| (*test, donor) == (of.test, &of.donor))
            && table.columns.iter().any(|(phase, _)| *phase == of.phase)
    });
    asked.or_else(|| table.first()).ok_or(Problem::NoPage)
}

/// The page.
pub(crate) fn page(ask: &Ask<'_>, id: &Id) -> Result<Answer, Problem> {
    let Some(table) = table(ask, id, ask.query.get("all") == "yes")? else {
        return plan::no_donor(id);
    };
    let focus = focus(ask, &table)?;
    let said = Said { line: last_line(&table), ..Said::default() };
    whole(ask, &table, &focus, &said)
}

fn whole(ask: &Ask<'_>, table: &Table, focus: &Cell, said: &Said) -> Result<Answer, Problem> {
    let id = &table.sheet.id;
    let recipient = &table.worksheet().recipient().animal;
    let region = bench(ask, table, focus, said, ask.bench.now()?);
    if ask.by_script {
        return Ok(Answer::Part(region));
    }
    Answer::page(
        format!("{id}: read"),
        html! {
            (shell::tabs_for(id.as_str(), "read", Some(&named(Some(&recipient.id), recipient.name.as_ref()))))
            (region)
            @if table.sheet.is_blind() {
                details {
                    summary { "Two readers" }
                    p { "Every mixture is read by two people. What the first one saw stays sealed until the second \
                        one has read it." }
                    form.short method="post" action=(address::sheet(id.as_str(), "unblind")) {
                        (shell::token(ask))
                        label for="unblind" { "Nobody else is here: show the first looks, because" }
                        div.row { input #unblind name="reason" type="text" autocomplete="off"; button { "Unseal" } }
                    }
                }
            }
        },
    )
}

/// What is new since the page was drawn, for the script.
pub(crate) fn since(ask: &Ask<'_>, id: &Id) -> Result<Answer, Problem> {
    let seen = ask.query.get("seen");
    if ask.bench.journal().sheet(id)?.last.to_string() == seen {
        return Ok(Answer::Unchanged);
    }
    page(ask, id)
}

/// A key was pressed.
pub(crate) fn press(ask: &Ask<'_>, id: &Id) -> Result<Answer, Problem> {
    let all = ask.form.get("all") == "yes";
    let Some(before) = table(ask, id, all)? else { return plan::no_donor(id) };
    let here = focus(ask, &before)?;
    let done = pressed(ask, id, &before, &here);
    let (to, said) = match done {
        Ok(done) => done,
        Err(Problem::Faults(faults)) => {
            let all: Vec<_> = faults
                .as_slice()
                .iter()
                .map(|fault| {
                    format!(
                        "{}: expected {}, found {}",
                        crate::fields::label_of(&fault.pointer),
                        fault.expected,
                        fault.found
                    )
                })
                .collect();
            (here, told(all.join("; ")))
        }
        Err(Problem::WhoIsThere) => return Err(Problem::WhoIsThere),
        Err(problem) => (here, told(problem.to_string())),
    };
    if !ask.by_script && said.told.is_none() && said.asks_why.is_none() {
        let all = if all { "&all=yes" } else { "" };
        let cell = address::value(&slot::written(&to));
        let read = address::sheet(id.as_str(), "read");
        return Ok(Answer::GoTo(format!("{read}?cell={cell}{all}")));
    }
    let Some(now) = table(ask, id, all)? else { return plan::no_donor(id) };
    let line = if said.line.is_empty() { last_line(&now) } else { said.line.clone() };
    whole(ask, &now, &to, &Said { line, ..said })
}

fn told(why: String) -> Said {
    Said { told: Some(why), ..Said::default() }
}

/// What a key does: where it leads, and what is said of it.
fn pressed(ask: &Ask<'_>, id: &Id, table: &Table, here: &Cell) -> Result<(Cell, Said), Problem> {
    let key = ask.form.get("key");
    let own = table.own.iter().find(|look| look.of == *here);
    match key {
        "enter" => enter(ask, id, table, here, own),
        "up" | "down" | "go" => go(ask, id, table, here, own, key),
        "t" => {
            let step = match table.method() {
                crossread_core::words::Method::Slide => Step::Mixed,
                _ => Step::Spun,
            };
            let done = StepDone { step, phase: here.phase, of: Some(here.clone().after(None)) };
            let writer = ask.writer()?;
            ask.bench.journal().step(&writer, id, &done)?;
            let line =
                format!("{}: clock started at {}", cell_name(here), clocks::clock_of(writer.at));
            Ok((here.clone(), Said { line, ..Said::default() }))
        }
        "u" if own.is_none() => undo_last(ask, table, here),
        _ if key.starts_with("again:") => {
            let after = key.strip_prefix("again:").and_then(|after| after.parse().ok());
            Ok((here.clone().after(after), Said::default()))
        }
        _ => look(ask, id, table, here, own, key),
    }
}

/// A key that says what was seen.
fn look(
    ask: &Ask<'_>,
    id: &Id,
    table: &Table,
    here: &Cell,
    own: Option<&LookBegun>,
    key: &str,
) -> Result<(Cell, Said), Problem> {
    let parts = format!("parts:{}", ask.form.get("parts"));
    let key = if key == "parts" { parts.as_str() } else { key };
    let reason = ask.form.get("reason");
    let early = own.is_none() && !table.controls_before(here).is_empty();
    if early && reason.is_empty() {
        let asks_why = Some(key.to_owned());
        return Ok((here.clone(), Said { asks_why, ..Said::default() }));
    }
    let empty = LookBegun::new(here.clone());
    match keys::press(own.unwrap_or(&empty), key, table.rules()) {
        Pressed::Told(why) => Ok((here.clone(), told(why))),
        Pressed::WithoutHemolysis => finish(ask, id, table, here),
        Pressed::Look(look) => {
            let writer = ask.writer()?;
            let mut journal = ask.bench.journal();
            if early {
                let text = format!("{} read before its controls: {reason}", cell_name(here));
                journal.enter(&writer, id, Note { text: Text::from(text.as_str()) })?;
            }
            journal.begin_look(&writer, id, &look)?;
            let line = if look.is_empty() {
                format!("{}: taken back", cell_name(here))
            } else {
                format!("{}: {} …", cell_name(here), view::look_text(&look))
            };
            Ok((here.clone(), Said { line, ..Said::default() }))
        }
    }
}

fn enter(
    ask: &Ask<'_>,
    id: &Id,
    table: &Table,
    here: &Cell,
    own: Option<&LookBegun>,
) -> Result<(Cell, Said), Problem> {
    match own {
        None => Ok((step_on(table, here, true), Said::default())),
        Some(look) => match keys::complete(look, table.rules()) {
            Ok(()) => finish(ask, id, table, here),
            Err(missing) => Ok((here.clone(), told(missing.to_owned()))),
        },
    }
}

/// Writes a begun look down, and goes on to the next that waits.
fn finish(ask: &Ask<'_>, id: &Id, table: &Table, here: &Cell) -> Result<(Cell, Said), Problem> {
    let written = ask.bench.journal().finish_look(&ask.writer()?, id, here)?;
    let Some(now) = self::table(ask, id, table.all)? else { return Err(Problem::NoPage) };
    let next = now.after(&now.slots(), Some(here)).unwrap_or_else(|| here.clone());
    let own = table.own.iter().find(|look| look.of == *here).map(LookBegun::reading);
    let line = match own {
        Some(reading) => format!("Written: {}", draft_text(&reading)),
        None => last_line(&now),
    };
    let told: Vec<_> = written.notices.iter().map(ToString::to_string).collect();
    let told = (!told.is_empty()).then(|| told.join(". "));
    Ok((next, Said { line, told, asks_why: None }))
}

/// Goes to another mixture. A look that is whole is written down; one that is not stays begun.
fn go(
    ask: &Ask<'_>,
    id: &Id,
    table: &Table,
    here: &Cell,
    own: Option<&LookBegun>,
    key: &str,
) -> Result<(Cell, Said), Problem> {
    let to = match key {
        "up" => step_on(table, here, false),
        "down" => step_on(table, here, true),
        _ => slot::read(ask.form.get("target")).ok_or(Problem::NoPage)?,
    };
    let Some(look) = own else { return Ok((to, Said::default())) };
    match keys::complete(look, table.rules()) {
        Ok(()) => {
            let (_, said) = finish(ask, id, table, here)?;
            Ok((to, said))
        }
        Err(missing) => {
            let why = format!("{} is not finished: {missing}", cell_name(here));
            Ok((to, told(why)))
        }
    }
}

/// The neighbor in the order of reading.
fn step_on(table: &Table, here: &Cell, on: bool) -> Cell {
    let slots = table.slots();
    let place = slots.iter().position(|slot| slot.of == *here).unwrap_or_default();
    let next = if on { place.checked_add(1) } else { place.checked_sub(1) };
    let next = next.and_then(|place| slots.get(place));
    next.map_or_else(|| here.clone(), |slot| slot.of.clone())
}

/// Takes back the last look that this person wrote down in a mixture.
fn undo_last(ask: &Ask<'_>, table: &Table, here: &Cell) -> Result<(Cell, Said), Problem> {
    let writer = ask.writer()?;
    let own = table.sheet.readings.iter().rev().find(|reading| {
        reading.stands()
            && table::cell(&reading.value.reading).as_ref() == Some(here)
            && reading.value.reading.by.as_ref() == Some(&writer.by)
    });
    let Some(own) = own else {
        return Ok((here.clone(), told("there is nothing of yours to take back here".to_owned())));
    };
    ask.bench.journal().retract(&writer, own.seq, "undone at the bench")?;
    let line = format!("{}: taken back; both stay on the record", cell_name(here));
    Ok((here.clone(), Said { line, ..Said::default() }))
}

/// A step that a clock runs from.
pub(crate) fn step(ask: &Ask<'_>, id: &Id) -> Result<Answer, Problem> {
    let (step, phase) = ask.form.get("step").split_once('|').ok_or(Problem::NoPage)?;
    let done = StepDone {
        step: step.parse().map_err(|_unknown| Problem::NoPage)?,
        phase: phase.parse().map_err(|_unknown| Problem::NoPage)?,
        of: None,
    };
    ask.bench.journal().step(&ask.writer()?, id, &done)?;
    if ask.by_script {
        return page(ask, id);
    }
    let cell = address::value(ask.form.get("cell"));
    Ok(Answer::GoTo(format!("{}?cell={cell}", address::sheet(id.as_str(), "read"))))
}

/// Shows the first looks, with a reason.
pub(crate) fn unblind(ask: &Ask<'_>, id: &Id) -> Result<Answer, Problem> {
    ask.bench.journal().unblind(&ask.writer()?, id, ask.form.get("reason"))?;
    Ok(Answer::GoTo(address::sheet(id.as_str(), "read")))
}

/// What was seen, in short.
pub(crate) fn seen_text(reading: &draft::Reading) -> String {
    let mut parts = Vec::new();
    if let Some(seen) = reading.agglutination {
        parts.push(seen.word().to_owned());
    }
    if let Some(red) = reading.hemolysis {
        parts.push(format!("hemolysis {}", red.get()));
    }
    if let Some(pattern) = reading.pattern {
        parts.push(pattern.word().to_owned());
    }
    if reading.mixed_field == Some(true) {
        parts.push("mixed field".to_owned());
    }
    if let Some(saline) = reading.saline_parts {
        parts.push(format!("{}:1 saline", saline.get()));
    }
    if let Some(check) = reading.check_cells {
        parts.push(format!("check cells {check}"));
    }
    if reading.dried == Some(true) {
        parts.push("edge dried".to_owned());
    }
    if let Some(artefacts) = &reading.artefacts {
        parts.extend(artefacts.iter().map(|(_, artefact)| crate::fields::spoken(artefact.word())));
    }
    parts.join(", ")
}

/// A reading: of what, and what was seen.
pub(crate) fn draft_text(reading: &draft::Reading) -> String {
    let of = table::cell(reading).as_ref().map(cell_name).unwrap_or_default();
    format!("{of}: {}", seen_text(reading))
}

/// A checked reading: of what, what was seen, when and by whom.
pub(crate) fn cell_text(worksheet: &Worksheet, reading: &Reading) -> String {
    let donor = reading.donor.and_then(|place| worksheet.donors().get(place));
    let of = Cell::new(reading.test, donor.map(|donor| donor.animal.id.clone()), reading.phase)
        .after(reading.after);
    let red = reading.hemolysis.map(|red| format!(", hemolysis {red}")).unwrap_or_default();
    let by = reading.by.as_ref().map(|by| format!(" by {by}")).unwrap_or_default();
    let at: Time = reading.at;
    let back = if reading.retracted.is_some() { ", taken back" } else { "" };
    let seen = reading.agglutination.word();
    format!("{}: {seen}{red}, read {}{by}{back}", cell_name(&of), clocks::clock_of(at))
}
