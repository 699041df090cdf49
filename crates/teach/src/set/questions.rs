//! The items of a set as questions: prompt, drawings, choices with what each scores.

use crossread_core::Worksheet;
use crossread_core::document::Digest;
use crossread_core::words::{
    Agglutination, Artefact, Grade, Method, Recheck, Species, Spoils, Test,
};
use crossread_core::worksheet::Reading;

use super::Set;
use super::ask::Ask;
use super::check::Exercise;
use super::facts;
use super::item::{Item, Kind};
use super::key::Interpreted;
use super::shown::{Shown, View};
use crate::marking::{Class, mark};
use crate::question::{Choice, Drawn, Question};

/// Every item of a set as a question, in its order.
///
/// ```
/// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
/// # use lesson::*;
/// # use crossread_teach::set::questions;
/// let asked = questions(&drawings());
/// assert_eq!(asked.len(), 6);
/// assert!(asked.iter().all(|one| one.choices.iter().filter(|choice| choice.is_key).count() == 1));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
pub fn questions(exercise: &Exercise) -> Vec<Question> {
    let items = exercise.set().items.iter();
    items.map(|item| question(exercise, item)).collect()
}

/// Each question, with the item before it if both are about one run, which is then shown once.
pub(super) fn with_runs<'q>(
    exercise: &Exercise,
    asked: &'q [Question],
) -> Vec<(&'q Question, Option<&'q str>)> {
    let run = |question: &Question| exercise.item(&question.id).and_then(|item| item.run.clone());
    let mut before: Option<&Question> = None;
    let mut all = Vec::new();
    for question in asked {
        let same = before.filter(|before| run(before).is_some() && run(before) == run(question));
        all.push((question, same.map(|before| before.id.as_str())));
        before = Some(question);
    }
    all
}

/// One item as a question.
///
/// ```
/// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
/// # use lesson::*;
/// # use crossread_teach::set::question;
/// let exercise = drawings();
/// let item = &exercise.set().items[0];
/// let asked = question(&exercise, item);
/// assert_eq!((&asked.id, asked.choices.len()), (&item.id, item.choices.len()));
/// assert!(asked.pictures[0].svg.starts_with("<svg "));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
pub fn question(exercise: &Exercise, item: &Item) -> Question {
    let set = exercise.set();
    Question {
        id: item.id.clone(),
        prompt: prompt(exercise, item),
        pictures: pictures(set, item, exercise.run_of(item)),
        choices: choices(exercise, item),
    }
}

fn choices(exercise: &Exercise, item: &Item) -> Vec<Choice> {
    let scale = exercise.set().scale;
    let answers = item.choices.iter().filter_map(|word| item.ask.answer(word, scale));
    answers
        .filter_map(|answer| {
            let marked = mark(exercise, item, &answer)?;
            Some(Choice {
                id: answer.word(),
                text: answer.spoken(),
                is_key: marked.class == Class::Exact,
                score_hundredths: marked.score_hundredths,
                is_critical: marked.class == Class::Critical,
                feedback: marked.told(),
            })
        })
        .collect()
}

/// The drawings of an item. A run is drawn from what the check made of its worksheet.
pub(crate) fn pictures(set: &Set, item: &Item, run: Option<&Interpreted>) -> Vec<Drawn> {
    match item.kind {
        Kind::Picture => {
            let Some(shown) = &item.shown else { return Vec::new() };
            let mut drawn: Vec<Drawn> = shown.drawn(shown.view.spoken()).into_iter().collect();
            // What the eye cannot tell apart is told by the microscope, so it stands beside every
            // one of them and gives nothing away.
            if item.ask == Ask::Agglutination && shown.method != Method::Gel {
                let shown = shown.under_the_microscope();
                drawn.extend(shown.drawn(shown.view.spoken()));
            }
            drawn
        }
        Kind::Text => Vec::new(),
        Kind::Run => {
            let case = set.runs.iter().find(|run| Some(&run.id) == item.run.as_ref());
            let case = case.map_or(0, |run| run.case);
            run.map(|run| run_pictures(set, case, &run.worksheet)).unwrap_or_default()
        }
    }
}

fn run_pictures(set: &Set, case: u32, sheet: &Worksheet) -> Vec<Drawn> {
    // Far from the cases of pictures, so that no two drawings of a set share their chance.
    let first = case.saturating_mul(1000).saturating_add(1_000_000);
    let looks = (first..).zip(sheet.readings());
    looks.flat_map(|(case, reading)| look_pictures(set.seed, case, reading, sheet)).collect()
}

/// The drawings of one look of a run: by eye, and under the microscope if it was looked at there.
/// None if it has to be told in words.
fn look_pictures(seed: u64, case: u32, reading: &Reading, sheet: &Worksheet) -> Vec<Drawn> {
    let shown = Shown::of(reading, sheet.method(), cells_of(sheet, reading), seed, case);
    let name = caption(reading, &shown, sheet);
    let by_eye = shown.drawn(&name);
    if !was_under_the_microscope(reading) || sheet.method() == Method::Gel {
        return by_eye.into_iter().collect();
    }
    let shown = shown.under_the_microscope();
    let enlarged = shown.drawn(&format!("{name}; {}", shown.view.spoken()));
    match (by_eye, enlarged) {
        (Some(by_eye), Some(enlarged)) => vec![by_eye, enlarged],
        // Half of a look would be another look.
        (Some(_) | None, None) | (None, Some(_)) => Vec::new(),
    }
}

fn was_under_the_microscope(reading: &Reading) -> bool {
    let small = [Grade::Rough, Grade::Micro].map(Agglutination::Graded);
    reading.pattern.is_some() || small.contains(&reading.agglutination)
}

/// Whose cells are in a mixture.
fn cells_of(sheet: &Worksheet, reading: &Reading) -> Species {
    let donor = reading.donor.and_then(|donor| sheet.donors().get(donor));
    let of_donor = match reading.test {
        Test::Major | Test::DonorAuto | Test::DonorSaline => donor,
        Test::Minor | Test::RecipientAuto | Test::RecipientSaline => None,
    };
    of_donor.map_or_else(|| sheet.recipient().animal.species, |donor| donor.animal.species)
}

/// What stands under a drawing of a run: everything that was written of the look but for what is
/// to be seen.
fn caption(reading: &Reading, shown: &Shown, sheet: &Worksheet) -> String {
    let mut caption = facts::mixture(reading, sheet);
    caption.push_str(&format!("; {}", facts::beside(reading, sheet)));
    if reading.hemolysis.is_none() {
        caption.push_str("; hemolysis not read");
    }
    let drawn = shown.fault();
    let told = |artefact: &&Artefact| Some(**artefact) != drawn || is_told(**artefact);
    for artefact in reading.artefacts.iter().filter(told) {
        caption.push_str(&format!("; noted: {}", artefact.word().replace('_', " ")));
    }
    caption
}

/// Whether an artefact cannot be told from others by its look alone, and must be told in words.
fn is_told(artefact: Artefact) -> bool {
    match artefact.spoils() {
        Spoils::Negative => true,
        Spoils::Positive => false,
        Spoils::Both => matches!(artefact, Artefact::InterruptedSpin | Artefact::WrongOrder),
    }
}

fn prompt(exercise: &Exercise, item: &Item) -> String {
    let rules = format!("{} {}", item.rules.id, item.rules.version);
    let asked = item.ask.question();
    let Some(shown) = &item.shown else {
        let donor = item.donor.as_deref().unwrap_or_default();
        let about = match item.ask {
            Ask::Verdict | Ask::Finding => {
                format!("{asked} Donor {donor}, by the rules {rules}.")
            }
            Ask::Agglutination | Ask::Hemolysis | Ask::Pattern => asked.to_owned(),
        };
        return format!("{about}\n\n{}", in_words(exercise, item));
    };
    let how = match (shown.view, shown.method) {
        (View::Microscope, _) => "Under the microscope".to_owned(),
        (View::NakedEye, method) => format!("By eye, method {method}"),
    };
    let after = match shown.after {
        Some(Recheck::SalineReplacement) => ", after saline replacement",
        Some(Recheck::SalineDilution) => ", after dilution with saline",
        Some(Recheck::Wash) => ", after washing",
        None => "",
    };
    format!("{asked} {how}, cells of a {}{after}. By the rules {rules}.", shown.species)
}

/// An item's run in words: of a run without what was seen, of a text with it.
fn in_words(exercise: &Exercise, item: &Item) -> String {
    let named = exercise.run_of(item).zip(item.rules.among(exercise.protocols()));
    let Some((run, protocol)) = named else { return String::new() };
    let sheet = &run.worksheet;
    let mut lines = facts::written(sheet, protocol);
    if let Some(first) = sheet.readings().iter().map(|reading| reading.at.date()).min() {
        lines.push(format!("Read on {first}:"));
    }
    if item.kind == Kind::Text {
        lines.extend(sheet.readings().iter().map(|reading| facts::look(reading, sheet)));
    } else {
        lines.push("see the drawings".to_owned());
        // What no drawing can show.
        let readings = sheet.readings().iter();
        let undrawn = readings.filter(|reading| look_pictures(0, 0, reading, sheet).is_empty());
        lines.extend(undrawn.map(|reading| facts::look(reading, sheet)));
    }
    lines.join("\n")
}

/// The items whose drawings are no longer those that the set was made with, each with the hash in
/// the set and the one now.
///
/// ```
/// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
/// # use lesson::*;
/// # use crossread_teach::set::changed_drawings;
/// let exercise = drawings();
/// assert!(changed_drawings(&exercise).is_empty());
/// // A set that was made when a drawing looked otherwise.
/// let now = exercise.set().items[0].drawings[0].to_string();
/// let before = exercise.set().to_json().replace(&now, &"0".repeat(64));
/// let old = Exercise::from_json(before.as_bytes(), Protocols::shipped())?;
/// assert_eq!(changed_drawings(&old)[0].0, exercise.set().items[0].id);
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
pub fn changed_drawings(exercise: &Exercise) -> Vec<(String, Digest, Digest)> {
    let mut changed = Vec::new();
    for item in &exercise.set().items {
        let now = pictures(exercise.set(), item, exercise.run_of(item));
        if now.len() != item.drawings.len() {
            changed.push((item.id.clone(), Digest::NONE, Digest::NONE));
        }
        for (before, drawn) in item.drawings.iter().zip(now) {
            let now = Digest::of(drawn.svg.as_bytes());
            if now != *before {
                changed.push((item.id.clone(), *before, now));
            }
        }
    }
    changed
}
