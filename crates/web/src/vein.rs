//! The unit on the line: the plan, the checks, what is seen, the end, a reaction.

use crossread_core::care::{self, Care, Check, Order, Sign, Warmth, warmth};
use crossread_core::document::{Hundredths, Id, Text, Time, Whole};
use crossread_core::prepare::{Exact, Milliliters};
use crossread_core::protocol::Protocol;
use crossread_journal::{
    Checked, Ended, Entered, Observation, Observed, OutcomeMeasured, Running, Sheet, Started,
    TYPED_AGAIN, Task,
};
use crossread_print::{ReleasedUnit, clock, zone_of};
use jiff::tz::TimeZone;
use maud::{Markup, html};

use crate::answer::{Answer, Problem};
use crate::ask::{Ask, Fields};
use crate::fields::{Field, Kind, OBSERVATION};
use crate::form::{document, draw};
use crate::reaction::{self, After};
use crate::{address, shell};

/// What is asked to plan a transfusion.
const PLAN: &[Field] = &[
    Field::new("weight", "Body weight, kg", Kind::Number),
    Field::new("pcv_now", "PCV now, %", Kind::Number),
    Field::new("pcv_target", "PCV wished for, %", Kind::Number),
    Field::new("product_pcv", "PCV of the product, %", Kind::Number),
    Field::new("volume", "Volume ordered by the veterinarian, mL", Kind::Number),
    Field::new("drops_per_ml", "Drops of the set in one mL", Kind::Number),
    Field::new("slowly", "Heart or kidneys weak: run it slowly", Kind::YesNo),
];

/// The clock by which times that are to come are shown.
fn zone(now: Time) -> TimeZone {
    zone_of(now, TimeZone::system())
}

/// The entry of a release, from an address.
fn entry_of(release: &str) -> Result<u64, Problem> {
    release.parse().map_err(|_no_number| Problem::NoPage)
}

/// The unit of a release.
fn released(sheet: &Sheet, release: u64) -> Result<ReleasedUnit<'_>, Problem> {
    ReleasedUnit::of(sheet, release).ok_or(Problem::NoPage)
}

/// The page of a released unit.
pub(crate) fn page(ask: &Ask<'_>, id: &Id, release: &str) -> Result<Answer, Problem> {
    shown(ask, id, release, None)
}

fn shown(
    ask: &Ask<'_>,
    id: &Id,
    release: &str,
    problem: Option<&Problem>,
) -> Result<Answer, Problem> {
    let release = entry_of(release)?;
    let mut journal = ask.bench.journal();
    let sheet = journal.sheet(id)?;
    let protocol = journal.show(id, None)?.protocol;
    let running = journal.running()?;
    let now = ask.bench.now()?;
    let unit = released(&sheet, release)?;
    let after = After::of(&mut journal, &unit)?;
    drop(journal);
    let started = unit.started();
    let runs = running.iter().find(|of| started.is_some_and(|s| s.seq == of.started.seq));
    let alarms: Vec<&Text> = sheet
        .open_tasks()
        .filter(|open| open.value.task == Task::StopAndCall)
        .filter(|open| open.value.donor.as_ref() == Some(&unit.donor))
        .map(|open| &open.value.text)
        .collect();
    Answer::page(
        format!("Unit {}", unit.number),
        html! {
            (shell::tabs(id.as_str(), ""))
            h1 { "Unit " (unit.said()) " for " (unit.recipient()) }
            p.problem { strong { (Sign::STOP) } }
            @for alarm in alarms { p.problem.big role="alert" { strong { (alarm) } } }
            @if let Some(problem) = problem { (problem.shown()) }
            @match (started, runs) {
                (None, _) => (before(ask, &unit, &protocol)?),
                (Some(started), Some(runs)) => (while_running(ask, &unit, &protocol, started, runs, now)),
                (Some(started), None) => (afterwards(ask, &unit, &protocol, started, &after)),
            }
            p { "The veterinarian decides what, how much and whether. This is arithmetic and times." }
        },
    )
}

/// What was filled in for a plan; the weight is the recipient's until another is given.
fn given(ask: &Ask<'_>, unit: &ReleasedUnit<'_>) -> Fields {
    let filled = ask.posts && !ask.form.get("pcv_target").is_empty();
    let mut given = if filled { ask.form.clone() } else { ask.query.clone() };
    let weight = unit.sheet.opening().and_then(|opened| opened.value.recipient.weight_kg);
    if let (true, Some(weight)) = (given.get("weight").is_empty(), weight) {
        given.set("weight", &Exact::hundredths(weight.hundredths()).to_string());
    }
    given
}

/// A quantity; a comma may stand for the point.
fn read<T: std::str::FromStr<Err = String>>(text: &str) -> Result<T, Problem> {
    text.replace(',', ".").parse().map_err(Problem::Told)
}

/// A quantity, if one was filled in.
fn maybe<T: std::str::FromStr<Err = String>>(text: &str) -> Result<Option<T>, Problem> {
    if text.is_empty() { Ok(None) } else { read(text).map(Some) }
}

fn order(unit: &ReleasedUnit<'_>, given: &Fields) -> Result<Option<Order>, Problem> {
    let needed = ["weight", "pcv_now", "pcv_target", "product_pcv"];
    if needed.iter().any(|name| given.get(name).is_empty()) {
        return Ok(None);
    }

    Ok(Some(Order {
        weight: read(given.get("weight"))?,
        pcv_now: read(given.get("pcv_now"))?,
        pcv_target: read(given.get("pcv_target"))?,
        product: unit.product,
        product_pcv: read(given.get("product_pcv"))?,
        volume: maybe(given.get("volume"))?,
        slowly: given.get("slowly") == "yes",
        drops_per_ml: maybe(given.get("drops_per_ml"))?,
        begins: None,
    }))
}

/// The plan, and the checks before the unit is spiked.
fn before(ask: &Ask<'_>, unit: &ReleasedUnit<'_>, protocol: &Protocol) -> Result<Markup, Problem> {
    let given = given(ask, unit);
    let planned = order(unit, &given).and_then(|order| {
        let plan = order.map(|order| care::care(&order, protocol));
        plan.transpose().map_err(|why| Problem::Told(why.to_string()))
    });
    Ok(html! {
        p.big { "Released, " (unit.validity(&zone(ask.bench.now()?))) "." }
        form.sheet method="get" {
            fieldset { legend { "Plan" } (draw(PLAN, &given)) button { "Work out" } }
        }
        @match &planned {
            Err(problem) => (problem.shown()),
            Ok(None) => p { "Fill in weight and the three PCV values." },
            Ok(Some(plan)) => {
                (figures(plan))
                @if plan.volume_ml.is_some() {
                    (on_paper(unit, protocol, &given))
                    (start(ask, protocol, &given))
                } @else { p { "Enter the volume that was ordered for rates and times." } }
            },
        }
    })
}

/// The sheets, for either paper; a plan's form where there is no plan yet.
fn on_paper(unit: &ReleasedUnit<'_>, protocol: &Protocol, given: &Fields) -> Markup {
    let planned = order(unit, given).ok().flatten();
    let parts = planned.and_then(|order| {
        let sheet = unit.paper(&order, protocol, "", TimeZone::UTC);
        sheet.parts().ok().filter(|_| order.volume.is_some())
    });
    let Some(parts) = parts else {
        return html! { details { summary { "The sheet on paper, with its times" }
            form.sheet method="get" { (draw(PLAN, given)) button { "Work out" } }
        } };
    };
    let (worksheet, release) = (unit.sheet.id.as_str(), unit.release.to_string());
    let sheet = address::of(["worksheets", worksheet, "transfusion", &release, "sheet"]);
    let planned = again(given);
    html! {
        @for part in 1..=parts {
            @let asked = format!("{sheet}?{planned}&part={part}");
            @let which = if parts > 1 { format!("sheet {part} of {parts}") } else { "the sheet".to_owned() };
            p.row {
                a.button href=(asked) target="_blank" { "Print " (which) }
                a.button href=(format!("{asked}&size=letter")) target="_blank" { "Print " (which) " on Letter paper" }
            }
        }
    }
}

/// The plan's fields as the part of an address that follows its path.
fn again(given: &Fields) -> String {
    let pairs =
        PLAN.iter().map(|field| format!("{}={}", field.at, address::value(given.get(field.at))));
    pairs.collect::<Vec<_>>().join("&")
}

fn figures(plan: &Care) -> Markup {
    let thumb = plan.thumb_ml.iter().flat_map(|thumb| &thumb.from);
    let from = plan.formula_ml.from.iter().chain(thumb).chain(&plan.from);
    html! {
        @for caution in &plan.cautions { p.warning role="alert" { (caution.text()) } }
        dl.facts {
            div { dt { "By the formula:" } dd { (plan.formula_ml) } }
            @if let Some(thumb) = &plan.thumb_ml { div { dt { "By the rule of thumb:" } dd { (thumb) } } }
            @if let (Some(start), Some(speed)) = (&plan.start_ml, &plan.start) {
                div { dt { "First:" } dd { (start.rounded(1)) " mL over " (plan.start_min) " min, " (speed) } }
            }
            div { dt { "Then:" } dd { (plan.allowed.0) " to " (plan.allowed.1) } }
            @if let Some(least) = plan.least_said() { div { dt { "To be in on time, at least:" } dd { (least) } } }
        }
        @if !plan.portions.is_empty() {
            ol { @for said in plan.portions_said(|minutes| format!("after {minutes} min")) { li { (said) } } }
        }
        @if plan.volume_ml.is_some() {
            p { "In after " (plan.earliest_min()) " min at the fastest, " (plan.latest_min()) " at the slowest that is allowed." }
        }
        @if let Some(filters) = &plan.filters {
            p { "Filter: " (filters.said(plan.portions.len(), |minutes| format!("after {minutes} min"))) "." }
        }
        details { summary { "Where the numbers come from" }
            ul { @for value in from { li { (value.rule) ": " (value.value) ". " (value.source) } } }
        }
    }
}

/// The checks before spiking, the baseline, and the identifiers again.
fn start(ask: &Ask<'_>, protocol: &Protocol, given: &Fields) -> Markup {
    html! {
        form.sheet method="post" {
            (shell::token(ask))
            input type="hidden" name="do" value="start";
            @for field in PLAN { input type="hidden" name=(field.at) value=(given.get(field.at)); }
            h2 { "Before it is spiked" }
            @for check in Check::ALL {
                fieldset.check-one {
                    legend { (check.asked(protocol).unwrap_or_default()) }
                    @for (value, said) in [("yes", "yes"), ("no", "no")] {
                        label.check {
                            input type="radio" name=(check) value=(value)
                                checked[given.get(check.word()) == value];
                            (said)
                        }
                    }
                    @if given.get(check.word()) == "no" { p.warning { (check.otherwise()) } }
                }
            }
            h2 { "Baseline" }
            (draw(OBSERVATION, given))
            h2 { "Unit and animal again" }
            div.fields {
                (typed("typed_recipient", &format!("Last {TYPED_AGAIN} characters of the animal's number"), given))
                (typed("typed_unit", &format!("Last {TYPED_AGAIN} characters of the unit's number"), given))
            }
            button.main { "It is spiked now" }
        }
    }
}

fn typed(name: &str, label: &str, given: &Fields) -> Markup {
    html! { div.field {
        label for=(name) { (label) }
        input.again id=(name) name=(name) type="text" autocomplete="off" spellcheck="false" size="8"
            value=(given.get(name));
    } }
}

/// What to look at, and what was seen.
fn while_running(
    ask: &Ask<'_>,
    unit: &ReleasedUnit<'_>,
    protocol: &Protocol,
    started: &Entered<Started>,
    runs: &Running,
    now: Time,
) -> Markup {
    let missed = runs.missed(now);
    let zone = zone(now);
    let plan = given(ask, unit);
    html! {
        div.prompt {
            @if let Some(first) = missed.first() {
                p.next { "Look at the animal now: due " (clock(*first, &zone)) }
            } @else if let Some(next) = runs.next(now) {
                p.next { "Next look at " time.due data-due=(next.as_millisecond()) { (clock(next, &zone)) } }
            } @else { p.next { "The time is over: has it run in?" } }
            p { "Started " (shell::clock(started.at)) " by " (started.by) ", " (ml(started.value.ml)) " ordered." }
        }
        (on_paper(unit, protocol, &plan))
        form.sheet method="post" {
            (shell::token(ask))
            input type="hidden" name="do" value="observe";
            input type="hidden" name="started" value=(started.seq);
            h2 { "What is seen now" }
            (draw(OBSERVATION, &if ask.posts { ask.form.clone() } else { Fields::default() }))
            button.main { "Record" }
        }
        (seen(protocol, started, unit.sheet))
        form.sheet method="post" {
            (shell::token(ask))
            input type="hidden" name="started" value=(started.seq);
            h2 { "The end, or a reaction" }
            div.fields {
                (field("ml", "How much has run in, mL"))
                (field("text", "What was seen; why it was stopped"))
            }
            p.row {
                button name="do" value="end" { "It has run in" }
                button name="do" value="stop" { "Stopped, no reaction" }
                button.main name="do" value="react" { "REACTION: it is stopped" }
            }
        }
    }
}

fn field(name: &str, label: &str) -> Markup {
    html! { div.field {
        label for=(format!("end-{name}")) { (label) }
        input id=(format!("end-{name}")) name=(name) type="text" autocomplete="off";
    } }
}

fn ml(volume: Hundredths<200_000>) -> String {
    format!("{} mL", Exact::hundredths(volume.hundredths()))
}

/// What was seen, with the baseline first, and each temperature judged against it.
fn seen(protocol: &Protocol, started: &Entered<Started>, sheet: &Sheet) -> Markup {
    let base = &started.value.baseline;
    let of = sheet.observed.iter().filter(|seen| seen.value.started == started.seq);
    let rows = std::iter::once((started.at, &started.by, base))
        .chain(of.map(|seen| (seen.at, &seen.by, &seen.value.seen)));
    let number = |value: Option<u32>| value.map(|value| value.to_string()).unwrap_or_default();
    let celsius = |of: &Observation| of.temperature_c.map(|c| Exact::hundredths(c.hundredths()));
    let judged = |of: &Observation| {
        let baseline: crossread_core::prepare::Celsius = celsius(base)?.to_string().parse().ok()?;
        let now = celsius(of)?.to_string().parse().ok()?;
        match warmth(protocol, &baseline, &now).ok()? {
            Warmth::Fever => Some("FEVER: stop first"),
            Warmth::Warmer => Some("warmer"),
            Warmth::Usual => None,
        }
    };
    html! {
        div.wide { table {
            thead { tr {
                th scope="col" { "At" } th scope="col" { "°C" } th scope="col" { "Heart" } th scope="col" { "Breaths" }
                th scope="col" { "mL in" } th scope="col" { "Seen" } th scope="col" { "By" }
            } }
            tbody { @for (at, by, of) in rows {
                tr {
                    th scope="row" { (shell::clock(at)) }
                    td { @if let Some(c) = celsius(of) { (c) } @if let Some(said) = judged(of) { " " strong { (said) } } }
                    td { (number(of.heart.map(Whole::get))) }
                    td { (number(of.breaths.map(Whole::get))) }
                    td { @if let Some(volume) = of.ml { (ml(volume)) } }
                    td {
                        @for sign in &of.signs { strong { (sign.spoken()) } "; " }
                        @if let Some(text) = &of.text { (text) }
                    }
                    td { (by) }
                }
            } }
        } }
    }
}

/// After the end: the outcome, and what a reaction asks for.
fn afterwards(
    ask: &Ask<'_>,
    unit: &ReleasedUnit<'_>,
    protocol: &Protocol,
    started: &Entered<Started>,
    after: &After,
) -> Markup {
    let sheet = unit.sheet;
    let ended = sheet.ended.iter().find(|ended| ended.value.started == started.seq);
    let hours = protocol.document().care.as_ref().and_then(|care| care.outcome_h.as_ref());
    let hours = hours.and_then(|rule| rule.value.as_ref());
    let hours: Vec<u32> =
        hours.into_iter().flat_map(|all| all.iter().map(|(_, h)| h.get())).collect();
    html! {
        @if let Some(ended) = ended {
            p.big { @if ended.value.stopped { "Stopped" } @else { "Run in" } " at " (shell::clock(ended.at)) " by " (ended.by)
                @if let Some(volume) = ended.value.ml { ", " (ml(volume)) " in" } ". " (ended.value.text) }
        }
        (seen(protocol, started, sheet))
        h2 { "PCV after it" }
        ul { @for outcome in sheet.outcomes.iter().filter(|of| of.value.started == started.seq) {
            li { (outcome.value.hours) " h: " (Exact::hundredths(outcome.value.pcv.hundredths())) " %, "
                (shell::clock(outcome.at)) " by " (outcome.by) }
        } }
        form.short method="post" {
            (shell::token(ask))
            input type="hidden" name="do" value="outcome";
            input type="hidden" name="started" value=(started.seq);
            div.row {
                div.field { label for="hours" { "Hours after the end" }
                    select #hours name="hours" { @for hour in &hours { option value=(hour) { (hour) } } } }
                div.field { label for="pcv" { "PCV, %" } input #pcv name="pcv" type="text" inputmode="decimal" autocomplete="off"; }
                button { "Record" }
            }
        }
        form.sheet method="post" {
            (shell::token(ask))
            input type="hidden" name="started" value=(started.seq);
            h2 { "A reaction, also hours or days later" }
            div.fields { (field("text", "What was seen, and when")) }
            button.main name="do" value="react" { "REACTION: write it down" }
        }
        (after.shown(ask, unit, protocol))
    }
}

/// Something is done with the unit.
pub(crate) fn act(ask: &Ask<'_>, id: &Id, release: &str) -> Result<Answer, Problem> {
    let done = match ask.form.get("do") {
        "start" => started(ask, id, release),
        "observe" => observed(ask, id),
        "end" => ended(ask, id, false),
        "stop" => ended(ask, id, true),
        "react" => reacted(ask, id),
        "outcome" => outcome(ask, id),
        "retest" => reaction::retest(ask, id, entry_of(release)?),
        "clerical" => reaction::compare(ask, id, entry_of(release)?),
        "classify" => reaction::classify(ask, id, entry_of(release)?),
        _ => Err(Problem::NoPage),
    };
    match done {
        Ok(()) => {
            let page = address::of(["worksheets", id.as_str(), "transfusion", release]);
            // The plan is not on the record: it goes on in the address, for the sheet with its times.
            let planned = [&ask.form, &ask.query];
            let planned = planned.into_iter().find(|given| !given.get("pcv_target").is_empty());
            let to =
                planned.map_or_else(|| page.clone(), |given| format!("{page}?{}", again(given)));
            Ok(Answer::GoTo(to))
        }
        Err(problem) => shown(ask, id, release, Some(&problem)),
    }
}

fn started(ask: &Ask<'_>, id: &Id, release: &str) -> Result<(), Problem> {
    let form = &ask.form;
    let checks = Check::ALL.iter().filter(|check| !form.get(check.word()).is_empty());
    let release = entry_of(release)?;
    let mut journal = ask.bench.journal();
    let (sheet, protocol) = (journal.sheet(id)?, journal.show(id, None)?.protocol);
    // How long it is watched follows from the plan, and not from what a form says of it.
    let order = order(&released(&sheet, release)?, form)?.ok_or(Problem::Missing("the plan"))?;
    let plan = care::care(&order, &protocol).map_err(|why| Problem::Told(why.to_string()))?;
    let start = Started {
        release,
        ml: volume(form.get("volume"))?,
        minutes: plan.latest_min(),
        checks: checks
            .map(|check| Checked { check: *check, yes: form.get(check.word()) == "yes" })
            .collect(),
        baseline: observation(form)?,
        typed_recipient: Text::from(form.get("typed_recipient")),
        typed_unit: Text::from(form.get("typed_unit")),
    };
    journal.start_transfusion(&ask.writer()?, id, &start)?;
    Ok(())
}

/// What was seen, field by field, so that a wrong one is named.
fn observation(form: &Fields) -> Result<Observation, Problem> {
    for field in OBSERVATION {
        let one = document(std::slice::from_ref(field), form).to_string();
        let read: Result<Observation, _> = serde_json::from_str(&one);
        if let Err(error) = read {
            return Err(Problem::Told(format!("{}: {error}", field.label)));
        }
    }
    serde_json::from_str(&document(OBSERVATION, form).to_string())
        .map_err(|error| Problem::Told(error.to_string()))
}

fn observed(ask: &Ask<'_>, id: &Id) -> Result<(), Problem> {
    let seen = observation(&ask.form)?;
    if seen.is_empty() {
        return Err(Problem::Missing("what was seen"));
    }
    let observed = Observed { started: ask.form.number("started")?, seen };
    ask.bench.journal().observe(&ask.writer()?, id, &observed)?;
    Ok(())
}

fn how_it_ended(ask: &Ask<'_>, stopped: bool) -> Result<Ended, Problem> {
    let text = ask.form.get("ml");
    let ml = if text.is_empty() { None } else { Some(volume(text)?) };
    Ok(Ended {
        started: ask.form.number("started")?,
        ml,
        stopped,
        text: Text::from(ask.form.get("text")),
    })
}

fn volume(text: &str) -> Result<Hundredths<200_000>, Problem> {
    let volume: Milliliters = read(text)?;
    let hundredths = volume.exact().times(&Exact::from(100)).floor().and_then(Hundredths::new);
    hundredths.ok_or(Problem::Missing("the volume in mL"))
}

fn ended(ask: &Ask<'_>, id: &Id, stopped: bool) -> Result<(), Problem> {
    let ended = how_it_ended(ask, stopped)?;
    ask.bench.journal().end_transfusion(&ask.writer()?, id, &ended)?;
    Ok(())
}

fn reacted(ask: &Ask<'_>, id: &Id) -> Result<(), Problem> {
    let ended = how_it_ended(ask, true)?;
    ask.bench.journal().reaction_to(&ask.writer()?, id, &ended)?;
    Ok(())
}

fn outcome(ask: &Ask<'_>, id: &Id) -> Result<(), Problem> {
    let pcv: crossread_core::prepare::Pcv = read(ask.form.get("pcv"))?;
    let hundredths = pcv.exact().times(&Exact::from(100)).floor().and_then(Hundredths::new);
    let outcome = OutcomeMeasured {
        started: ask.form.number("started")?,
        hours: u32::try_from(ask.form.number("hours")?).map_err(|_too_long| Problem::NoPage)?,
        pcv: hundredths.ok_or(Problem::Missing("the PCV"))?,
    };
    ask.bench.journal().outcome(&ask.writer()?, id, &outcome)?;
    Ok(())
}

/// All units of a donor, and where they went.
pub(crate) fn units(ask: &Ask<'_>, donor: &str) -> Result<Answer, Problem> {
    let donor = Id::new(donor).ok_or(Problem::NoPage)?;
    let units = ask.bench.journal().units_of(&donor)?;
    Answer::page(
        format!("Units of {donor}"),
        html! {
            h1 { "Units of " (donor) }
            @if units.is_empty() { p.none { "The journal has no unit of this donor." } }
            ul { @for of in &units { li {
                @if let Some(unit) = &of.unit { strong { (unit) } } @else { "no number" }
                ": " (of.what.replace('_', " "))
                @if let Some(recipient) = &of.recipient { " for " (recipient) }
                @if let Some(worksheet) = &of.worksheet {
                    ", " a href=(address::sheet(worksheet.as_str(), "verdict")) { (worksheet) }
                }
                ", entry " (of.seq)
            } } }
        },
    )
}

/// The sheet of a planned transfusion, to be printed.
pub(crate) fn paper(ask: &Ask<'_>, id: &Id, release: &str) -> Result<Answer, Problem> {
    let release = entry_of(release)?;
    let mut journal = ask.bench.journal();
    let sheet = journal.sheet(id)?;
    let protocol = journal.show(id, None)?.protocol;
    drop(journal);
    let now = ask.bench.now()?;
    let unit = released(&sheet, release)?;
    let order = order(&unit, &given(ask, &unit))?.ok_or(Problem::Missing("the plan"))?;
    let told = |why: care::CannotCare| Problem::Told(why.to_string());
    // Times run from the spiking on; before it, nobody knows when that will be.
    let begins = unit.started().map(|started| started.at);
    let zone = zone(begins.unwrap_or(now));
    let order = Order { begins, ..order };
    let mut sheet = unit.paper(&order, &protocol, &ask.bench.hospital, zone);
    if !ask.query.get("part").is_empty() {
        let part = ask.query.number("part")?;
        let parts = sheet.parts().map_err(told)?;
        let part = usize::try_from(part).ok().filter(|part| (1..=parts).contains(part));
        sheet.part = part.ok_or(Problem::NoPage)?;
    }
    let document = sheet.document().map_err(told)?;
    Ok(Answer::Paper(crossread_print::html(&document, crate::paper::size(ask))))
}
