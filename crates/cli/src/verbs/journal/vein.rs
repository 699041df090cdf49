//! A unit on the line, written down: the start, what is seen, the end, the PCV after it.

use crossread_core::care::{Check, care};
use crossread_core::document::{Hundredths, Text, Whole};
use crossread_core::prepare::{Celsius, Exact, Milliliters, Pcv};
use crossread_journal::{Checked, Ended, Observation, Observed, OutcomeMeasured, Started};
use crossread_print::{ReleasedUnit, clock, running_said, zone_of};
use jiff::tz::TimeZone;
use serde::Serialize;

use super::args::{End, Observe, Outcome, Running, Seeing, Start};
use super::tell::{journal, lines, now, written};
use crate::exit::{self, Failure};
use crate::text;
use crate::verbs::transfusion::not_ordered;

/// Hundredths of a number, if it is one of them to the last place.
fn hundredths<const MOST: u32>(exact: &Exact, what: &str) -> Result<Hundredths<MOST>, Failure> {
    let read = exact.times(&Exact::from(100));
    let whole = read.floor().filter(|whole| Exact::from(*whole) == read).and_then(Hundredths::new);
    whole.ok_or_else(|| Failure::misuse(format!("{what}: give at most two decimals")))
}

impl Seeing {
    fn observation(&self) -> Result<Observation, Failure> {
        let temperature = self.temperature_c.as_ref().map(Celsius::exact);
        let pcv = self.pcv.as_ref().map(Pcv::exact);
        let ml = self.ml.as_ref().map(Milliliters::exact);
        let range = |what: &str, most: u32| Failure::misuse(format!("{what} is at most {most}"));
        let heart = self.heart.map(|beats| Whole::new(beats).ok_or_else(|| range("--heart", 500)));
        let breaths =
            self.breaths.map(|breaths| Whole::new(breaths).ok_or_else(|| range("--breaths", 400)));
        Ok(Observation {
            temperature_c: temperature.map(|c| hundredths(c, "--temperature-c")).transpose()?,
            heart: heart.transpose()?,
            breaths: breaths.transpose()?,
            pcv: pcv.map(|pcv| hundredths(pcv, "--pcv")).transpose()?,
            ml: ml.map(|ml| hundredths(ml, "--ml")).transpose()?,
            text: self.text.as_deref().map(Text::from),
            signs: self.sign.clone(),
        })
    }
}

pub(super) fn start(asked: &Start) -> Result<u8, Failure> {
    let mut journal = journal(&asked.by.at)?;
    let writer = asked.by.writer()?;
    let sheet = journal.sheet(&asked.worksheet)?;
    let protocol = journal.show(&asked.worksheet, None)?.protocol;
    let unit = ReleasedUnit::of(&sheet, asked.release).ok_or_else(|| {
        let (worksheet, release) = (&asked.worksheet, asked.release);
        Failure::new(exit::MISSING, format!("worksheet {worksheet} has no release {release}"))
    })?;
    let order = asked.figures.order(unit.product, Some(writer.at));
    let volume = order.volume.as_ref().ok_or_else(not_ordered)?;
    let plan = care(&order, &protocol)?;
    let answered = |check: &Check| asked.yes.contains(check) || asked.no.contains(check);
    if let Some(twice) = asked.yes.iter().find(|check| asked.no.contains(check)) {
        return Err(Failure::misuse(format!("{twice} is answered both yes and no")));
    }
    let checks = Check::ALL.iter().filter(|check| answered(check));
    let start = Started {
        release: asked.release,
        ml: hundredths(volume.exact(), "--ordered-ml")?,
        minutes: plan.latest_min(),
        checks: checks
            .map(|check| Checked { check: *check, yes: asked.yes.contains(check) })
            .collect(),
        baseline: asked.baseline.observation()?,
        typed_recipient: Text::from(asked.recipient_ends.as_str()),
        typed_unit: Text::from(asked.unit_ends.as_str()),
    };
    let said = unit.said();
    for caution in &plan.cautions {
        text::paragraph(&mut anstream::stderr().lock(), "! ", "  ", caution.text())?;
    }
    let started = journal.start_transfusion(&writer, &asked.worksheet, &start)?;
    written(&asked.by.at, &format!("{said} is spiked; watch it by this entry"), &started)
}

pub(super) fn observe(asked: &Observe) -> Result<u8, Failure> {
    let mut journal = journal(&asked.by.at)?;
    let seen = asked.seen.observation()?;
    if seen.is_empty() {
        return Err(Failure::misuse("say what was seen: --temperature-c, --sign and the like"));
    }
    let observed = Observed { started: asked.started, seen };
    let entry = journal.observe(&asked.by.writer()?, &asked.worksheet, &observed)?;
    written(&asked.by.at, "seen", &entry)
}

pub(super) fn end(asked: &End) -> Result<u8, Failure> {
    let mut journal = journal(&asked.by.at)?;
    let ml = asked.ml.as_ref().map(|ml| hundredths(ml.exact(), "--ml")).transpose()?;
    let text = asked.reaction.as_ref().or(asked.stopped.as_ref()).or(asked.text.as_ref());
    let ended = Ended {
        started: asked.started,
        ml,
        stopped: asked.reaction.is_some() || asked.stopped.is_some(),
        text: Text::from(text.map_or("", String::as_str)),
    };
    let (writer, worksheet) = (asked.by.writer()?, &asked.worksheet);
    if asked.reaction.is_some() {
        let reaction = journal.reaction_to(&writer, worksheet, &ended)?;
        return written(&asked.by.at, "a reaction: the unit is barred for every animal", &reaction);
    }
    let what = if ended.stopped { "stopped" } else { "has run in" };
    written(&asked.by.at, what, &journal.end_transfusion(&writer, worksheet, &ended)?)
}

pub(super) fn outcome(asked: &Outcome) -> Result<u8, Failure> {
    let mut journal = journal(&asked.by.at)?;
    let outcome = OutcomeMeasured {
        started: asked.started,
        hours: asked.hours,
        pcv: hundredths(asked.pcv.exact(), "the PCV")?,
    };
    let entry = journal.outcome(&asked.by.writer()?, &asked.worksheet, &outcome)?;
    written(&asked.by.at, &format!("PCV {} after {} h", asked.pcv, asked.hours), &entry)
}

/// A unit that runs, as it is told.
#[derive(Serialize)]
struct Runs {
    worksheet: String,
    unit: String,
    recipient: String,
    started: u64,
    since: String,
    missed: Vec<String>,
    next: Option<String>,
    #[serde(skip)]
    said: String,
}

pub(super) fn running(asked: &Running) -> Result<u8, Failure> {
    let now = asked.now.map_or_else(now, Ok)?;
    let zone = zone_of(now, TimeZone::system());
    let running = journal(&asked.at)?.running()?;
    let all = running.iter().map(|of| Runs {
        worksheet: of.worksheet.to_string(),
        unit: of.unit.to_string(),
        recipient: of.recipient.to_string(),
        started: of.started.seq,
        since: of.started.at.to_string(),
        missed: of.missed(now).into_iter().map(|at| clock(at, &zone)).collect(),
        next: of.next(now).map(|at| clock(at, &zone)),
        said: running_said(of, now, &zone),
    });
    lines(&asked.at, "no unit runs", &all.collect::<Vec<_>>(), |of| {
        format!("{}, start {}: {}", of.worksheet, of.started, of.said)
    })
}
