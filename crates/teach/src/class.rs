//! What the answers of a class to a set come to: agreement with the keys and among each other, and
//! what each item is worth.
//!
//! ```
//! # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
//! # use lesson::*;
//! use crossread_teach::class::ClassStatistics;
//!
//! // Six drawings of tubes; two students have all of them right.
//! let exercise = drawings();
//! let students = ["anna", "ben"].iter();
//! let answers = students.flat_map(|student| all_right(&exercise, student)).collect();
//! let responses = Responses::new(answers);
//! let marked = mark_all(&exercise, &responses, &Options::default())?;
//! // On the main scale 1 is `w`: from there on a grade counts as a reaction.
//! let class = ClassStatistics::new(&exercise, &responses, &marked, 1, 42)?;
//! assert_eq!((class.students.len(), class.reactive_from.as_str()), (2, "w"));
//! let grades = class.grades.ok_or("no item asks for a grade")?;
//! assert_eq!(grades.readers[0].decisions.missed, 0);
//! # Ok::<_, Box<dyn std::error::Error>>(())
//! ```

use std::collections::BTreeSet;

use serde::Serialize;

use crate::marking::{Class, Marked, Responses};
use crate::set::{Answer, Ask, Exercise, NOT_A_RECORD};
use crate::statistics::plot::{self, Point};
use crate::statistics::{
    Answers, Bootstrap, ClassReport, Confidence, Cut, Faults, Interval, Items, Pairs, Panel,
    ReaderReport, Scale, Share, Table, Undefined, Value, Weighting,
};
use crate::wrap::paragraph;

/// How many resamples intervals rest on.
const RESAMPLES: u32 = 2000;

/// The statistics of one class on one set.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct ClassStatistics {
    /// The set.
    pub set: String,
    /// SHA-256 of the set.
    pub sha256: String,
    /// The students, in the order of the figures.
    pub students: Vec<String>,
    /// The items that ask for a grade and have one as their key: what the grades rest on.
    pub graded: Vec<String>,
    /// Of each student, how many of these were answered with something that is no grade, such as
    /// "cannot be read". They take no part in the figures of grades.
    pub not_graded: Vec<u32>,
    /// The weakest grade that counts as a reaction.
    pub reactive_from: String,
    /// Agreement of grades; left out if no item asks for one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub grades: Option<ClassReport>,
    /// The items that count, in the order of the figures.
    pub counted: Vec<String>,
    /// How hard they are, and how they tell students apart; no answer is a wrong one.
    pub items: Items,
    #[serde(skip)]
    panel: Panel,
    #[serde(skip)]
    keys: Vec<Option<u8>>,
    #[serde(skip)]
    cut: Cut,
}

impl ClassStatistics {
    /// The statistics of marked answers. `reactive_from` is the place on the set's scale, from 0,
    /// of the weakest grade that counts as a reaction; with another `seed` the intervals that rest
    /// on resampling differ a little.
    ///
    /// ```
    /// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
    /// # use lesson::*;
    /// # use crossread_teach::class::ClassStatistics;
    /// let exercise = drawings();
    /// let responses = Responses::new(all_right(&exercise, "anna"));
    /// let marked = mark_all(&exercise, &responses, &Options::default())?;
    /// // From 0 on nothing would be negative.
    /// assert!(ClassStatistics::new(&exercise, &responses, &marked, 0, 42).is_err());
    /// let class = ClassStatistics::new(&exercise, &responses, &marked, 1, 42)?;
    /// assert_eq!(class.students, ["anna"]);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// If `reactive_from` is 0 or beyond the scale.
    pub fn new(
        exercise: &Exercise,
        responses: &Responses,
        marked: &Marked,
        reactive_from: u8,
        seed: u64,
    ) -> Result<Self, Faults> {
        let set = exercise.set();
        let scale = Scale::new(set.scale.grades().iter().map(|grade| grade.word()))?;
        let cut = scale.cut(reactive_from)?;
        let position = |answer: &Answer| match answer {
            Answer::Grade(grade) => set.scale.place(*grade).and_then(|at| u8::try_from(at).ok()),
            Answer::MixedField
            | Answer::Rouleaux
            | Answer::Hemolysis(_)
            | Answer::FreeCells
            | Answer::StacksAndClumps
            | Answer::Clumps
            | Answer::Unreadable
            | Answer::Verdict(_)
            | Answer::Finding(_)
            | Answer::Nothing => None,
        };
        let withdrawn: BTreeSet<&str> =
            marked.withdrawn.iter().map(|withdrawn| withdrawn.item.as_str()).collect();
        let counted: Vec<_> =
            set.items.iter().filter(|item| !withdrawn.contains(item.id.as_str())).collect();
        let (mut graded, mut keys) = (Vec::new(), Vec::new());
        for item in counted.iter().filter(|item| item.ask == Ask::Agglutination) {
            let key = exercise.truth(item).and_then(|truth| position(&truth.key));
            if key.is_some() {
                graded.push(item.id.clone());
                keys.push(key);
            }
        }
        let students: Vec<String> =
            marked.students.iter().map(|student| student.student.clone()).collect();
        let (mut readings, mut not_graded) = (Vec::new(), Vec::new());
        for student in &students {
            let mut others = 0_u32;
            let answers = graded.iter().map(|item| {
                let mut of = responses.as_slice().iter();
                let given = of.find(|one| one.item == *item && one.student == *student);
                let answer = given.and_then(|one| one.answer.as_ref());
                let grade = answer.and_then(position);
                if answer.is_some() && grade.is_none() {
                    others = others.saturating_add(1);
                }
                grade
            });
            readings.push(answers.collect::<Vec<_>>());
            not_graded.push(others);
        }
        let right: Vec<Vec<Option<bool>>> = marked
            .students
            .iter()
            .map(|student| {
                let exact = |id: &str| {
                    let mut marks = student.marks.iter();
                    marks.any(|mark| mark.item == id && mark.class == Class::Exact)
                };
                counted.iter().map(|item| Some(exact(&item.id))).collect()
            })
            .collect();
        let panel = Panel::by_reader(&scale, &readings)?;
        let bootstrap = Bootstrap::new(RESAMPLES, seed, 0)?;
        let agreement = ClassReport::new(&panel, &keys, cut, Confidence::P95, &bootstrap);
        Ok(Self {
            set: set.id.clone(),
            sha256: exercise.digest().to_string(),
            reactive_from: scale.name(reactive_from).unwrap_or_default().to_owned(),
            grades: if graded.is_empty() { None } else { Some(agreement?) },
            graded,
            not_graded,
            counted: counted.iter().map(|item| item.id.clone()).collect(),
            items: Answers::new(&right)?.items(),
            students,
            panel,
            keys,
            cut,
        })
    }

    /// The figures as SVG, each with the name of a file: the confusion matrix and the bias of every
    /// student against the keys, and the students against each other.
    ///
    /// ```
    /// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
    /// # use lesson::*;
    /// # use crossread_teach::class::ClassStatistics;
    /// let exercise = drawings();
    /// let responses = Responses::new(all_right(&exercise, "anna"));
    /// let marked = mark_all(&exercise, &responses, &Options::default())?;
    /// let class = ClassStatistics::new(&exercise, &responses, &marked, 1, 42)?;
    /// let plots = class.plots();
    /// let names: Vec<_> = plots.iter().map(|(name, _)| name.as_str()).collect();
    /// assert_eq!(names, ["confusion-01.svg", "bias-01.svg"]);
    /// assert!(plots[0].1.starts_with("<svg "));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn plots(&self) -> Vec<(String, String)> {
        let Some(grades) = &self.grades else { return Vec::new() };
        let mut plots = Vec::new();
        for (number, (student, report)) in self.students.iter().zip(&grades.readers).enumerate() {
            let place = number.saturating_add(1);
            let title = format!("{student}, set {}", self.set);
            let matrix =
                plot::confusion(&self.against_key(number), &title, "key", "answer", Some(self.cut));
            plots.push((format!("confusion-{place:02}.svg"), matrix));
            plots.push((format!("bias-{place:02}.svg"), plot::bias(&report.bias, &title)));
        }
        if self.students.len() > 1 {
            let names: Vec<&str> = self.students.iter().map(String::as_str).collect();
            let title = format!("Students against each other, set {}", self.set);
            let drawn = plot::readers(&self.panel, &names, &Weighting::Quadratic, &title);
            plots.push(("students.svg".to_owned(), drawn));
        }
        plots
    }

    fn against_key(&self, student: usize) -> Table {
        let pairs = self.keys.iter().copied().zip(self.panel.reader(student));
        Pairs::of(self.panel.scale(), pairs).table()
    }

    /// The class as one point in time: ordinal alpha of its grades, with the interval from
    /// resampling. None if no item asks for a grade.
    ///
    /// ```
    /// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
    /// # use lesson::*;
    /// # use crossread_teach::class::ClassStatistics;
    /// let exercise = make(&wanted(Kind::Picture, 20), Protocols::shipped())?.exercise;
    /// let students = ["anna", "ben"].iter();
    /// let answers = students.flat_map(|student| all_right(&exercise, student)).collect();
    /// let responses = Responses::new(answers);
    /// let marked = mark_all(&exercise, &responses, &Options::default())?;
    /// let class = ClassStatistics::new(&exercise, &responses, &marked, 1, 42)?;
    /// let spring = class.at("spring").ok_or("no grades")?;
    /// assert_eq!((spring.when.as_str(), spring.figure.value), ("spring", Ok(1.0)));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn at(&self, when: &str) -> Option<Point> {
        let grades = self.grades.as_ref()?;
        let (figure, interval) = (grades.alpha, grades.alpha_resampled);
        Some(Point { when: when.to_owned(), figure, interval })
    }

    /// The statistics as text, 80 columns wide.
    ///
    /// ```
    /// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
    /// # use lesson::*;
    /// # use crossread_teach::class::ClassStatistics;
    /// let exercise = drawings();
    /// let responses = Responses::new(all_right(&exercise, "anna"));
    /// let marked = mark_all(&exercise, &responses, &Options::default())?;
    /// let text = ClassStatistics::new(&exercise, &responses, &marked, 1, 42)?.text();
    /// assert!(text.starts_with("EXERCISE."));
    /// assert!(text.lines().all(|line| line.chars().count() <= 80));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn text(&self) -> String {
        let mut out = String::new();
        paragraph(&mut out, "", "", NOT_A_RECORD);
        let head = format!(
            "Set {}: {} students, {} items that count, {} of them with a grade as the key. From {} \
             on a grade counts as a reaction. Intervals of 95 %.",
            self.set,
            self.students.len(),
            self.counted.len(),
            self.graded.len(),
            self.reactive_from
        );
        paragraph(&mut out, "", "", &head);
        if let Some(grades) = &self.grades {
            out.push_str("\nAgainst the keys, grades only:\n");
            let others = self.students.iter().zip(&self.not_graded);
            for ((student, others), report) in others.zip(&grades.readers) {
                paragraph(&mut out, "  ", "      ", &against_keys(student, *others, report));
            }
            out.push_str("\nAmong each other:\n");
            let alpha = figure(grades.alpha.value, grades.alpha_resampled);
            let told = format!("Krippendorff's alpha, ordinal: {alpha}; {}", grades.alpha.cases);
            paragraph(&mut out, "  ", "      ", &told);
            // No coefficient is over 1, whatever its standard error.
            let interval = grades.ac2.interval.map(|interval| interval.clipped(-1.0, 1.0));
            let ac2 = figure(grades.ac2.value, interval);
            paragraph(&mut out, "  ", "      ", &format!("Gwet's AC2, quadratic weights: {ac2}"));
            let fleiss = figure(grades.fleiss.value, Err(Undefined::NoSpread));
            let told = format!("Fleiss' kappa, without the order of grades: {fleiss}");
            paragraph(&mut out, "  ", "      ", &told);
        }
        out.push_str("\nItems, by how many had them right:\n");
        for (id, item) in self.counted.iter().zip(&self.items.items) {
            let rest = figure(item.item_rest, Err(Undefined::NoSpread));
            let look = if item.suspect { "; look at its key and its drawing" } else { "" };
            let told = format!(
                "{id}: {} of {}; correlation with the rest {rest}{look}",
                item.right,
                self.items.readers.count()
            );
            paragraph(&mut out, "  ", "      ", &told);
        }
        let kr20 = figure(self.items.kr20, Err(Undefined::NoSpread));
        paragraph(&mut out, "", "    ", &format!("Reliability of the set, KR-20: {kr20}"));
        out
    }
}

fn against_keys(student: &str, others: u32, report: &ReaderReport) -> String {
    let share = |share: &Share| format!("{} of {}", share.hits, share.cases.count());
    let kappa = figure(report.quadratic.value, report.quadratic_resampled);
    let bias = figure(report.bias.overall.value, report.bias.overall.interval);
    let mut told = format!(
        "{student}: reactions missed {}, false alarms {}; exact {}, within one {}; kappa with \
         quadratic weights {kappa}; grades higher than the key by {bias}",
        report.decisions.missed,
        report.decisions.false_alarms,
        share(&report.exact),
        share(&report.within_one),
    );
    if others > 0 {
        told.push_str(&format!("; {others} answered without a grade"));
    }
    told
}

/// A figure to two places with its interval, or why it has none.
fn figure(value: Value, interval: Result<Interval, Undefined>) -> String {
    match (value, interval) {
        (Ok(value), Ok(interval)) => {
            format!("{value:.2} ({:.2} to {:.2})", interval.low, interval.high)
        }
        (Ok(value), Err(_)) => format!("{value:.2}"),
        (Err(why), _) => format!("no value: {why}"),
    }
}
