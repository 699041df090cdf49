//! Titrations: titer, score, and whether two differ.

use schemars::JsonSchema;
use serde::Serialize;

use crate::words::Grade;

/// A doubling dilution series, read tube by tube.
///
/// ```
/// # use crossread_core::{prepare::{Titer, Titration}, words::Grade};
/// // Undiluted, 1 in 2, 1 in 4, 1 in 8, 1 in 16.
/// let grades = [Grade::G3, Grade::G2, Grade::G1, Grade::W, Grade::G0];
/// let series = Titration::new(1, grades.to_vec()).unwrap();
/// assert_eq!(series.titer(Grade::G1), Titer::Is(4));
/// assert_eq!(series.score(), 10 + 8 + 5 + 3);
/// assert!(!series.has_prozone());
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Titration {
    first: u32,
    grades: Vec<Grade>,
}

/// The titer of a series.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
#[expect(clippy::exhaustive_enums, reason = "an end point is not reached, reached, or passed")]
pub enum Titer {
    /// No tube reacts as strongly as the end point asks.
    NotReactive,
    /// The reciprocal of the highest dilution that does.
    Is(u64),
    /// The last tube still does: it may be higher.
    AtLeast(u64),
}

/// How two series differ.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct Change {
    /// By how many tubes the second reacts further than the first; negative if less far; left out
    /// if one of them does not react, or its end was not reached.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tubes: Option<i64>,
    /// By how much the score is higher.
    pub score: i64,
    /// Whether it counts by the rule "three tubes or more, or ten points of the score or more".
    pub by_three_tubes_or_ten_points: bool,
    /// Whether it counts by the rule "two tubes or more, and ten points of the score or more"; not
    /// known if the tubes are not.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub by_two_tubes_and_ten_points: Option<bool>,
}

impl Titration {
    /// Most tubes of a series.
    pub const MOST_TUBES: usize = 40;

    /// A series whose first tube is diluted 1 in `first` (1 is undiluted), each next one twice as
    /// much; `None` if `first` is 0, there is no tube, or there are more than 40.
    ///
    /// ```
    /// # use crossread_core::{prepare::Titration, words::Grade};
    /// assert!(Titration::new(2, vec![Grade::G2; 8]).is_some());
    /// assert!(Titration::new(0, vec![Grade::G2; 8]).is_none());
    /// assert!(Titration::new(2, vec![]).is_none());
    /// ```
    pub fn new(first: u32, grades: Vec<Grade>) -> Option<Self> {
        let good = first > 0 && (1..=Self::MOST_TUBES).contains(&grades.len());
        good.then_some(Self { first, grades })
    }

    fn dilution(&self, tube: usize) -> u64 {
        let tube = u32::try_from(tube).unwrap_or(u32::MAX);
        u64::from(self.first).saturating_mul(2_u64.saturating_pow(tube))
    }

    /// The sum of the scores of all tubes.
    ///
    /// # Source
    /// Antibody titration with score, a table of scores 12 to 0 as [`Grade::score`] has it. Tables
    /// differ below 1+ (some give 2 to a weak reaction, from memory of the AABB Technical Manual;
    /// the original scheme is Marsh WL, Transfusion 1972;12:352, from memory).
    pub fn score(&self) -> u32 {
        self.grades.iter().map(|grade| u32::from(grade.score())).sum()
    }

    /// The titer: the reciprocal of the highest dilution that reacts at least as strongly as
    /// `end_point`. With 1+, the usual end point; with the weakest visible grade, that of any
    /// reaction. The dilution of the first negative tube, which some texts call the titer, is the
    /// next one up and is not meant here.
    ///
    /// ```
    /// # use crossread_core::{prepare::{Titer, Titration}, words::Grade};
    /// let series = Titration::new(2, vec![Grade::G2, Grade::G1, Grade::W]).unwrap();
    /// assert_eq!(series.titer(Grade::G1), Titer::Is(4));
    /// assert_eq!(series.titer(Grade::W), Titer::AtLeast(8));
    /// assert_eq!(series.titer(Grade::G4), Titer::NotReactive);
    /// ```
    ///
    /// # Source
    /// As for [`Titration::score`], which names 1+ as the end point.
    pub fn titer(&self, end_point: Grade) -> Titer {
        match self.grades.iter().rposition(|grade| *grade >= end_point) {
            None => Titer::NotReactive,
            Some(tube) if tube.saturating_add(1) == self.grades.len() => {
                Titer::AtLeast(self.dilution(tube))
            }
            Some(tube) => Titer::Is(self.dilution(tube)),
        }
    }

    /// The titer up to the first tube that does not react as strongly as `end_point`.
    ///
    /// ```
    /// # use crossread_core::{prepare::{Titer, Titration}, words::Grade};
    /// // The second tube was forgotten, or filled twice with saline.
    /// let series = Titration::new(1, vec![Grade::G2, Grade::G0, Grade::G1, Grade::G0]).unwrap();
    /// assert_eq!(series.titer_without_gap(Grade::G1), Titer::Is(1));
    /// assert_eq!(series.titer(Grade::G1), Titer::Is(4));
    /// assert!(series.has_gap(Grade::G1));
    /// ```
    pub fn titer_without_gap(&self, end_point: Grade) -> Titer {
        let reacting = self.grades.iter().take_while(|grade| **grade >= end_point).count();
        match reacting.checked_sub(1) {
            None => Titer::NotReactive,
            Some(tube) if reacting == self.grades.len() => Titer::AtLeast(self.dilution(tube)),
            Some(tube) => Titer::Is(self.dilution(tube)),
        }
    }

    /// Whether a tube that does not react stands before one that does: look at that tube again.
    ///
    /// ```
    /// # use crossread_core::{prepare::Titration, words::Grade};
    /// let series = Titration::new(1, vec![Grade::G2, Grade::W, Grade::G1]).unwrap();
    /// assert!(series.has_gap(Grade::G1));
    /// // To any visible reaction, every tube reacts.
    /// assert!(!series.has_gap(Grade::W));
    /// ```
    pub fn has_gap(&self, end_point: Grade) -> bool {
        self.titer(end_point) != self.titer_without_gap(end_point)
    }

    /// Whether a later tube scores at least 2 above the first: the first may be weak for too much
    /// antibody.
    ///
    /// ```
    /// # use crossread_core::{prepare::Titration, words::Grade};
    /// let series = Titration::new(1, vec![Grade::G1, Grade::G3, Grade::G2, Grade::G0]).unwrap();
    /// assert!(series.has_prozone());
    /// ```
    pub fn has_prozone(&self) -> bool {
        let first = self.grades.first().map_or(0, |grade| grade.score());
        self.grades.iter().any(|grade| grade.score() >= first.saturating_add(2))
    }

    /// The tube of the titer, from 0, if its end was reached.
    fn end(&self, end_point: Grade) -> Option<i64> {
        match self.titer(end_point) {
            Titer::Is(_) => {
                let tube = self.grades.iter().rposition(|grade| *grade >= end_point)?;
                i64::try_from(tube).ok()
            }
            Titer::NotReactive | Titer::AtLeast(_) => None,
        }
    }
}

/// Whether two series of the same first dilution differ, under both published rules; `None` if
/// their first dilutions differ.
///
/// ```
/// # use crossread_core::{prepare::{Titration, change}, words::Grade};
/// # use Grade::{G0, G1, G2, G3};
/// let before = Titration::new(1, vec![G2, G1, G0, G0, G0, G0]).unwrap();
/// let after = Titration::new(1, vec![G3, G3, G2, G2, G1, G0]).unwrap();
/// let change = change(&before, &after, G1).unwrap();
/// assert_eq!((change.tubes, change.score), (Some(3), 28));
/// assert!(change.by_three_tubes_or_ten_points);
/// assert_eq!(change.by_two_tubes_and_ten_points, Some(true));
/// ```
///
/// # Source
/// "3 tubes or more, or 10 points or more": antibody titration with score, a medical reference
/// page. "2 tubes or more, and 10 points or more": a titration technologist's page, weak; from
/// memory also the AABB Technical Manual. A difference of one tube is within the error of the method
/// in all sources.
pub fn change(first: &Titration, second: &Titration, end_point: Grade) -> Option<Change> {
    if first.first != second.first {
        return None;
    }
    let score = i64::from(second.score()).saturating_sub(i64::from(first.score()));
    let ends = first.end(end_point).zip(second.end(end_point));
    let tubes = ends.map(|(first, second)| second.saturating_sub(first));
    let by = |least: u64| tubes.map(|tubes| tubes.unsigned_abs() >= least);
    let ten = score.unsigned_abs() >= 10;
    Some(Change {
        tubes,
        score,
        by_three_tubes_or_ten_points: ten || by(3) == Some(true),
        by_two_tubes_and_ten_points: by(2)
            .map(|tubes| tubes && ten)
            .or_else(|| (!ten).then_some(false)),
    })
}
