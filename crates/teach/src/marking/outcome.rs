//! What a student's answers come to.

use std::collections::BTreeMap;

use serde::Serialize;

use super::{Class, Mark};
use crate::set::Ask;

/// How a set is marked.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Options {
    /// The least share of the score that passes, in hundredths; a choice of the teacher.
    pub pass_hundredths: u32,
    /// Items that do not count, each with why.
    pub withdrawn: Vec<Withdrawn>,
}

impl Default for Options {
    /// 80 in a hundred pass, and no item is withdrawn.
    fn default() -> Self {
        Self { pass_hundredths: 80, withdrawn: Vec::new() }
    }
}

/// An item that was taken out of a set after it was answered.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Withdrawn {
    /// The item.
    pub item: String,
    /// Why.
    pub reason: String,
}

impl Withdrawn {
    /// An item, and why it is withdrawn.
    ///
    /// ```
    /// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
    /// # use lesson::*;
    /// # use crossread_teach::marking::Withdrawn;
    /// let exercise = drawings();
    /// let first = &exercise.set().items[0].id;
    /// let mut options = Options::default();
    /// options.withdrawn.push(Withdrawn::new(first, "the print was too dark"));
    /// let responses = Responses::new(all_right(&exercise, "anna"));
    /// let marked = mark_all(&exercise, &responses, &options)?;
    /// assert_eq!(marked.students[0].items, 5);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn new(item: &str, reason: &str) -> Self {
        Self { item: item.to_owned(), reason: reason.to_owned() }
    }
}

/// How many answers there are of each class.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Tally {
    /// By class, the gravest first.
    pub classes: BTreeMap<Class, u32>,
    /// Items without an answer; they score nothing.
    pub unanswered: u32,
}

impl Tally {
    pub(crate) fn of<'m>(marks: impl IntoIterator<Item = &'m Mark>, unanswered: usize) -> Self {
        let mut classes: BTreeMap<_, u32> = Class::ALL.iter().map(|class| (*class, 0)).collect();
        for mark in marks {
            classes.entry(mark.class).and_modify(|count| *count = count.saturating_add(1));
        }
        Self { classes, unanswered: u32::try_from(unanswered).unwrap_or(u32::MAX) }
    }

    /// How many are of one class.
    ///
    /// ```
    /// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
    /// # use lesson::*;
    /// # use crossread_teach::marking::Class;
    /// let exercise = drawings();
    /// let responses = Responses::new(all_right(&exercise, "anna"));
    /// let marked = mark_all(&exercise, &responses, &Options::default())?;
    /// let tally = &marked.students[0].tally;
    /// assert_eq!((tally.count(Class::Exact), tally.count(Class::Critical)), (6, 0));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn count(&self, class: Class) -> u32 {
        self.classes.get(&class).copied().unwrap_or_default()
    }
}

/// One layer of the marking.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Layer {
    /// How many answers it looks at.
    pub of: u32,
    /// How many of them are right in it.
    pub right: u32,
}

impl Layer {
    fn count<'m>(marks: impl IntoIterator<Item = &'m Mark>, right: impl Fn(Class) -> bool) -> Self {
        let mut layer = Self::default();
        for mark in marks {
            layer.of = layer.of.saturating_add(1);
            layer.right = layer.right.saturating_add(u32::from(right(mark.class)));
        }
        layer
    }

    /// The decision layer: every answer, right if its consequence is the right one.
    pub(crate) fn decision(marks: &[Mark]) -> Self {
        Self::count(marks, |class| match class {
            Class::Exact | Class::Near | Class::MinorError => true,
            Class::Critical | Class::FalsePositive | Class::Forced | Class::Withheld => false,
        })
    }

    /// The grade layer: grades and hemolysis that were read, right if exact.
    pub(crate) fn grade(marks: &[Mark]) -> Self {
        let graded = marks.iter().filter(|mark| {
            let asks = match mark.ask {
                Ask::Agglutination | Ask::Hemolysis => true,
                Ask::Pattern | Ask::Verdict | Ask::Finding => false,
            };
            asks && !matches!(mark.class, Class::Forced | Class::Withheld)
        });
        Self::count(graded, |class| class == Class::Exact)
    }
}

/// What one student's answers come to.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Outcome {
    /// The student.
    pub student: String,
    /// Whether the set is passed.
    pub passed: bool,
    /// Why not; empty if it is.
    pub because: Vec<String>,
    /// The sum of the scores, in hundredths of an item.
    pub score_hundredths: u32,
    /// How many items counted.
    pub items: u32,
    /// The score in a hundred, in hundredths, rounded down.
    pub percent_hundredths: u32,
    /// By consequence.
    pub decision: Layer,
    /// By distance.
    pub grade: Layer,
    /// How many of each class.
    pub tally: Tally,
    /// The items that were not answered.
    pub unanswered: Vec<String>,
    /// Each answer with its mark, critical errors first, then in the order of the set.
    pub marks: Vec<Mark>,
}

impl Outcome {
    /// Sums up the marks of one student over the items that count.
    pub(crate) fn of(
        student: &str,
        mut marks: Vec<Mark>,
        unanswered: Vec<String>,
        options: &Options,
    ) -> Self {
        let items = u32::try_from(marks.len().saturating_add(unanswered.len())).unwrap_or(u32::MAX);
        let score = marks.iter().fold(0_u32, |sum, mark| sum.saturating_add(mark.score_hundredths));
        let percent = score.saturating_mul(100).checked_div(items).unwrap_or_default();
        let tally = Tally::of(&marks, unanswered.len());
        let mut because = Vec::new();
        let critical = tally.count(Class::Critical);
        if critical > 0 {
            let plural = if critical == 1 { "" } else { "s" };
            let of = marks.iter().filter(|mark| mark.class == Class::Critical);
            let told: Vec<_> = of
                .map(|mark| {
                    format!(
                        "{} ({}; key {}, answer {})",
                        mark.item, mark.rule, mark.key, mark.answer
                    )
                })
                .collect();
            because.push(format!(
                "{critical} critical error{plural}, which no score makes good: {}",
                told.join("; ")
            ));
        }
        if percent < options.pass_hundredths.saturating_mul(100) {
            because.push(format!(
                "{} % of the score, and {} % pass",
                super::hundredths(percent),
                options.pass_hundredths
            ));
        }
        if items == 0 {
            because.push("no item counted".to_owned());
        }
        let decision = Layer::decision(&marks);
        let grade = Layer::grade(&marks);
        marks.sort_by_key(|mark| mark.class != Class::Critical);
        Self {
            student: student.to_owned(),
            passed: because.is_empty(),
            because,
            score_hundredths: score,
            items,
            percent_hundredths: percent,
            decision,
            grade,
            tally,
            unanswered,
            marks,
        }
    }
}
