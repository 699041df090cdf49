//! Marking in two layers: the decision by its consequence, the grade by its distance.
//!
//! | answer beside the key | class | scores |
//! |---|---|---|
//! | the same | `exact` | 1 |
//! | one step off, on the same side of the protocol's threshold | `near` | 0.5, or what the set says |
//! | more steps off, on the same side | `minor_error` | 0 |
//! | a negative called positive, rouleaux called agglutination | `false_positive` | 0 |
//! | a positive called negative, agglutination called rouleaux, hemolysis missed, a reactive autocontrol ignored | `critical` | 0, and the set is failed at any percentage |
//! | an answer to what cannot be read | `forced` | 0 |
//! | "cannot be read" of what can | `withheld` | 0, counted apart |
//!
//! The table is a choice. That there are two layers follows from readers who agree on compatible or
//! not (kappa 0.97) far better than on grades (0.77); that one dangerous error fails a set, from
//! proficiency testing, where compatibility must be right every time. See [`SOURCES`].
//!
//! What the table leaves open is taken so that no unit is freed wrongly. Stacks called grade 0 are
//! critical, because the recheck that the rules ask for would be left out. A reaction called
//! doubtful stays a reaction that stops the unit: no credit, and not critical. Of two verdicts on
//! the same side of a release, only a stricter neighbor is near.
//!
//! ```
//! # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
//! # use lesson::*;
//! use crossread_teach::marking::{Class, mark};
//!
//! let exercise = drawings();
//! let reactive = |item: &&crossread_teach::set::Item| {
//!     item.ask == Ask::Agglutination && ["2+", "3+", "4+"].contains(&item.key.as_str())
//! };
//! let item = exercise.set().items.iter().find(reactive).ok_or("none reacts")?;
//! // A reaction that is called negative fails the set.
//! let marked = mark(&exercise, item, &Answer::Grade(Grade::G0)).ok_or("no mark")?;
//! assert_eq!((marked.class, marked.score_hundredths), (Class::Critical, 0));
//! let right = item.ask.answer(&item.key, exercise.set().scale).ok_or("no key")?;
//! assert_eq!(mark(&exercise, item, &right).map(|mark| mark.class), Some(Class::Exact));
//! # Ok::<_, Box<dyn std::error::Error>>(())
//! ```

mod answers;
mod decide;
mod grade;
mod outcome;
mod result;
mod told;

use serde::Serialize;

pub use answers::{Response, Responses};
pub use outcome::{Layer, Options, Outcome, Tally, Withdrawn};
pub use result::{FORMAT, Marked, mark_all};
pub use told::{appeal, csv, text};

use crate::set::{Answer, Ask, Exercise, Item};
use crossread_core::Protocol;

/// What the marking rests on.
pub const SOURCES: [&str; 3] = [
    "The marking table: choice.",
    "Thomas-Hollands A, and others, on an antiglobulin-enhanced gel crossmatch in dogs. Journal of \
     Veterinary Diagnostic Investigation 2024;36:213. Abstract read: four observers, kappa 0.97 for \
     the decision and 0.77 for the grade.",
    "42 CFR 493.859 and 493.861, and a state program after them: compatibility testing must be \
     right in full. Human blood banking.",
];

/// The class of an answer beside its key.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Serialize,
    strum::Display,
    strum::VariantArray,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
#[expect(clippy::exhaustive_enums, reason = "the rows of the marking table")]
pub enum Class {
    /// A dangerous error.
    Critical,
    /// A negative called positive.
    FalsePositive,
    /// An answer to what cannot be read.
    Forced,
    /// "Cannot be read" of what can.
    Withheld,
    /// Off, on the same side.
    MinorError,
    /// One step off, on the same side.
    Near,
    /// The key.
    Exact,
}

impl Class {
    /// Every class, the gravest first.
    pub const ALL: &'static [Self] = <Self as strum::VariantArray>::VARIANTS;

    /// The name in a sentence.
    pub fn spoken(self) -> &'static str {
        match self {
            Self::Critical => "critical error",
            Self::FalsePositive => "false positive",
            Self::Forced => "forced answer",
            Self::Withheld => "withheld",
            Self::MinorError => "minor error",
            Self::Near => "near",
            Self::Exact => "exact",
        }
    }
}

/// A threshold of the protocol that an answer was marked by.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Threshold {
    /// Its key in the protocol.
    pub key: &'static str,
    /// Its value.
    pub value: String,
    /// Where the value comes from: a citation, or `choice`.
    pub source: String,
}

/// The mark of one answer, with everything that an appeal needs.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Mark {
    /// The item.
    pub item: String,
    /// What it asks.
    pub ask: Ask,
    /// What was answered.
    pub answer: String,
    /// What is right.
    pub key: String,
    /// The row of the marking table.
    pub class: Class,
    /// What it scores, 0 to 100.
    pub score_hundredths: u32,
    /// Why it is of this class.
    pub rule: &'static str,
    /// The protocol by which it was marked.
    pub protocol: String,
    /// The thresholds of the protocol that it was marked by.
    pub thresholds: Vec<Threshold>,
    /// The findings that the key rests on, by slug.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub because: Vec<&'static str>,
    /// What experts answered, if any were asked.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub experts: Vec<String>,
}

impl Mark {
    /// The mark in a sentence or two.
    ///
    /// ```
    /// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
    /// # use lesson::*;
    /// # use crossread_teach::marking::mark;
    /// let exercise = drawings();
    /// let item = &exercise.set().items[0];
    /// let right = item.ask.answer(&item.key, exercise.set().scale).ok_or("no key")?;
    /// let mark = mark(&exercise, item, &right).ok_or("no mark")?;
    /// assert_eq!(mark.told(), format!("Right: {}. Score 1.00.", item.key));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn told(&self) -> String {
        let score = hundredths(self.score_hundredths);
        let told = match self.class {
            Class::Exact => return format!("Right: {}. Score {score}.", self.key),
            Class::Critical => "Critical error, which fails the set",
            Class::FalsePositive => "False positive",
            Class::Forced => "Forced answer",
            Class::Withheld => "Withheld",
            Class::MinorError => "Minor error",
            Class::Near => "Near",
        };
        format!("{told}: {}. The key is {}. Score {score}.", self.rule, self.key)
    }
}

/// A number of hundredths with two decimal places.
pub(crate) fn hundredths(number: u32) -> String {
    format!("{}.{:02}", number / 100, number % 100)
}

/// A class, and why.
pub(crate) type Verdict = (Class, &'static str);

/// Marks one answer to one item; `None` if the item is not of this set.
///
/// ```
/// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
/// # use lesson::*;
/// # use crossread_teach::marking::{Class, mark};
/// let exercise = drawings();
/// let item = exercise.set().items.iter().find(|item| item.ask == Ask::Agglutination);
/// let item = item.ok_or("no grade is asked for")?;
/// // Who says that it cannot be read frees nothing, and has not read it.
/// let marked = mark(&exercise, item, &Answer::Unreadable).ok_or("no mark")?;
/// assert_eq!(marked.class, Class::Withheld);
/// assert!(marked.thresholds.iter().any(|of| of.key == "reactive_from" && !of.source.is_empty()));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
pub fn mark(exercise: &Exercise, item: &Item, answer: &Answer) -> Option<Mark> {
    let set = exercise.set();
    let truth = exercise.truth(item)?;
    let protocol = item.rules.among(exercise.protocols())?;
    let (class, rule) = match item.ask {
        Ask::Agglutination => grade::agglutination(protocol, set.scale, &truth.key, answer),
        Ask::Hemolysis => grade::hemolysis(protocol, &truth.key, answer),
        Ask::Pattern => grade::pattern(&truth.key, answer),
        Ask::Verdict => decide::verdict(truth, answer),
        Ask::Finding => decide::finding(truth, answer),
    };
    let score_hundredths = match class {
        Class::Exact => 100,
        Class::Near => set.near_hundredths,
        Class::Critical
        | Class::FalsePositive
        | Class::Forced
        | Class::Withheld
        | Class::MinorError => 0,
    };
    Some(Mark {
        item: item.id.clone(),
        ask: item.ask,
        answer: answer.word(),
        key: item.key.clone(),
        class,
        score_hundredths,
        rule,
        protocol: format!("{} {}", item.rules.id, item.rules.version),
        thresholds: thresholds(protocol, item.ask),
        because: truth.because.clone(),
        experts: item.experts.clone(),
    })
}

/// The thresholds that answers of this kind are marked by.
fn thresholds(protocol: &Protocol, ask: Ask) -> Vec<Threshold> {
    let document = protocol.document();
    let cited = |source: Option<&crossread_core::document::Id>| {
        let key = source.map_or("", |source| source.as_str());
        let cited = document.sources.as_ref().and_then(|sources| sources.get(key));
        cited.unwrap_or(key).to_owned()
    };
    let grade = |key, rule: Option<&crossread_core::protocol::draft::Rule<_>>| {
        let rule = rule?;
        let value: crossread_core::words::Grade = rule.value?;
        Some(Threshold { key, value: value.to_string(), source: cited(rule.source.as_ref()) })
    };
    let hemolysis = || {
        let rule = document.hemolysis_from.as_ref()?;
        let value = rule.value?.to_string();
        Some(Threshold { key: "hemolysis_from", value, source: cited(rule.source.as_ref()) })
    };
    let found = match ask {
        Ask::Agglutination => vec![
            grade("doubtful_from", document.doubtful_from.as_ref()),
            grade("reactive_from", document.reactive_from.as_ref()),
        ],
        Ask::Hemolysis => vec![hemolysis()],
        Ask::Pattern | Ask::Verdict | Ask::Finding => Vec::new(),
    };
    found.into_iter().flatten().collect()
}
