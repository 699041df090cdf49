//! All students' answers to a set, marked.

use std::collections::BTreeMap;

use crossread_core::document::Digest;
use serde::Serialize;

use super::SOURCES;
use super::answers::Responses;
use super::mark;
use super::outcome::{Options, Outcome, Withdrawn};
use crate::fault::{Fault, Faults, nearest};
use crate::set::{Exercise, WATERMARK};

/// The format of a result.
pub const FORMAT: &str = "crossread.marks/1";

/// The marks of a set.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Marked {
    /// Always `crossread.marks/1`.
    pub format: &'static str,
    /// Always `EXERCISE`.
    pub watermark: &'static str,
    /// The set's id.
    pub set: String,
    /// SHA-256 of its document.
    pub set_sha256: Digest,
    /// What a near miss scored, 0 to 100.
    pub near_hundredths: u32,
    /// The least share of the score that passes, in hundredths.
    pub pass_hundredths: u32,
    /// Items that did not count.
    pub withdrawn: Vec<Withdrawn>,
    /// What the marking rests on.
    pub sources: [&'static str; 3],
    /// Each student, by name.
    pub students: Vec<Outcome>,
}

impl Marked {
    /// The result as a document.
    ///
    /// ```
    /// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
    /// # use lesson::*;
    /// let exercise = drawings();
    /// let responses = Responses::new(all_right(&exercise, "anna"));
    /// let marked = mark_all(&exercise, &responses, &Options::default())?;
    /// let document: serde_json::Value = serde_json::from_str(&marked.to_json())?;
    /// assert_eq!(document["format"], crossread_teach::marking::FORMAT);
    /// assert_eq!(document["students"][0]["passed"], true);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn to_json(&self) -> String {
        // A result holds nothing that cannot be written.
        let mut text = serde_json::to_string_pretty(self).unwrap_or_default();
        text.push('\n');
        text
    }
}

/// Marks all answers to a set. A student who left an item out gets nothing for it.
///
/// ```
/// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
/// # use lesson::*;
/// # use crossread_teach::marking::Withdrawn;
/// let exercise = drawings();
/// let mut answers = all_right(&exercise, "anna");
/// answers.truncate(3);
/// let responses = Responses::new(answers);
/// let marked = mark_all(&exercise, &responses, &Options::default())?;
/// let anna = &marked.students[0];
/// assert_eq!((anna.score_hundredths, anna.items, anna.passed), (300, 6, false));
/// // An item is withdrawn with a reason, or not at all.
/// let mut options = Options::default();
/// options.withdrawn.push(Withdrawn::new(&exercise.set().items[0].id, " "));
/// assert!(mark_all(&exercise, &responses, &options).is_err());
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// If an item is withdrawn that is not in the set, or without a reason; all faults at once.
pub fn mark_all(
    exercise: &Exercise,
    responses: &Responses,
    options: &Options,
) -> Result<Marked, Faults> {
    let set = exercise.set();
    let mut faults = Vec::new();
    for withdrawn in &options.withdrawn {
        if exercise.item(&withdrawn.item).is_none() {
            let ids = set.items.iter().map(|item| item.id.as_str());
            faults.push(Fault {
                line: None,
                column: None,
                at: "withdrawn item".to_owned(),
                expected: "an item of the set".to_owned(),
                found: format!("`{}`", withdrawn.item),
                hint: nearest(&withdrawn.item, ids).map(|near| format!("did you mean `{near}`?")),
            });
        }
        if withdrawn.reason.trim().is_empty() {
            faults.push(Fault {
                line: None,
                column: None,
                at: format!("withdrawn item {}", withdrawn.item),
                expected: "a reason".to_owned(),
                found: "none".to_owned(),
                hint: Some("students see it beside their marks".to_owned()),
            });
        }
    }
    if options.pass_hundredths > 100 {
        faults.push(Fault {
            line: None,
            column: None,
            at: "share that passes".to_owned(),
            expected: "a whole number from 0 to 100".to_owned(),
            found: options.pass_hundredths.to_string(),
            hint: None,
        });
    }
    if let Some(faults) = Faults::any(faults) {
        return Err(faults);
    }
    let mut by_student: BTreeMap<&str, BTreeMap<&str, _>> = BTreeMap::new();
    for response in responses.as_slice() {
        let of_student = by_student.entry(&response.student).or_default();
        of_student.insert(&response.item, response.answer.as_ref());
    }
    let counts = |id: &str| options.withdrawn.iter().all(|withdrawn| withdrawn.item != id);
    let students = by_student.into_iter().map(|(student, answers)| {
        let (mut marks, mut unanswered) = (Vec::new(), Vec::new());
        for item in set.items.iter().filter(|item| counts(&item.id)) {
            let answer = answers.get(item.id.as_str()).copied().flatten();
            match answer.and_then(|answer| mark(exercise, item, answer)) {
                Some(mark) => marks.push(mark),
                None => unanswered.push(item.id.clone()),
            }
        }
        Outcome::of(student, marks, unanswered, options)
    });
    Ok(Marked {
        format: FORMAT,
        watermark: WATERMARK,
        set: set.id.clone(),
        set_sha256: exercise.digest(),
        near_hundredths: set.near_hundredths,
        pass_hundredths: options.pass_hundredths,
        withdrawn: options.withdrawn.clone(),
        sources: SOURCES,
        students: students.collect(),
    })
}
