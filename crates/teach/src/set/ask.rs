//! What an item asks, and the words that it can be answered with.

use crossread_core::findings;
use crossread_core::words::{Grade, Verdict};
use serde::{Deserialize, Serialize};

use crate::simulate::MAIN;

/// What an item asks.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, strum::Display,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
#[expect(clippy::exhaustive_enums, reason = "each must be marked in its own way")]
pub enum Ask {
    /// How strongly the cells clump.
    Agglutination,
    /// How red the fluid is.
    Hemolysis,
    /// What is seen under the microscope.
    Pattern,
    /// The verdict of a run for one donor.
    Verdict,
    /// What was there to be noticed on a run.
    Finding,
}

/// The grades that are told apart.
#[derive(
    Clone,
    Copy,
    Debug,
    Default,
    PartialEq,
    Eq,
    Serialize,
    Deserialize,
    strum::Display,
    strum::EnumString,
    strum::VariantNames,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
#[expect(clippy::exhaustive_enums, reason = "coarse or fine")]
pub enum Scale {
    /// The six main grades: 0, w, 1+, 2+, 3+, 4+.
    #[default]
    Main,
    /// All thirteen.
    Full,
}

impl Scale {
    /// The grades, weakest first.
    pub fn grades(self) -> &'static [Grade] {
        match self {
            Self::Main => &MAIN,
            Self::Full => Grade::ALL,
        }
    }

    /// The place of a grade among them.
    pub(crate) fn place(self, grade: Grade) -> Option<usize> {
        self.grades().iter().position(|one| *one == grade)
    }
}

/// An answer, or a key.
#[derive(Clone, Debug, PartialEq, Eq)]
#[expect(clippy::exhaustive_enums, reason = "each must be marked in its own way")]
pub enum Answer {
    /// A grade.
    Grade(Grade),
    /// Clumped and free cells side by side.
    MixedField,
    /// Stacks and no clumps.
    Rouleaux,
    /// How red the fluid is, 0 to 4.
    Hemolysis(u32),
    /// Single cells.
    FreeCells,
    /// Stacks and clumps.
    StacksAndClumps,
    /// Clumps and no stacks.
    Clumps,
    /// No answer can be given.
    Unreadable,
    /// A verdict.
    Verdict(Verdict),
    /// A finding, by its slug.
    Finding(&'static str),
    /// Nothing was there to be noticed.
    Nothing,
}

/// The spelling of an answer that gives none.
pub const UNREADABLE: &str = "unreadable";

impl Answer {
    /// The spelling in a set and in a file of answers.
    ///
    /// ```
    /// # use crossread_core::words::Grade;
    /// # use crossread_teach::set::Answer;
    /// let answers = [Answer::Grade(Grade::W), Answer::MixedField, Answer::Hemolysis(4)];
    /// assert_eq!(answers.map(|answer| answer.word()), ["w", "mixed_field", "4"]);
    /// ```
    pub fn word(&self) -> String {
        match self {
            Self::Grade(grade) => grade.word().to_owned(),
            Self::MixedField => "mixed_field".to_owned(),
            Self::Rouleaux => "rouleaux".to_owned(),
            Self::Hemolysis(grade) => grade.to_string(),
            Self::FreeCells => "free_cells".to_owned(),
            Self::StacksAndClumps => "stacks_and_clumps".to_owned(),
            Self::Clumps => "clumps".to_owned(),
            Self::Unreadable => UNREADABLE.to_owned(),
            Self::Verdict(verdict) => verdict.word().to_owned(),
            Self::Finding(slug) => (*slug).to_owned(),
            Self::Nothing => "nothing".to_owned(),
        }
    }

    /// What is shown of it, as one chooses it.
    ///
    /// ```
    /// # use crossread_teach::set::Answer;
    /// assert_eq!(Answer::Rouleaux.spoken(), "rouleaux: stacks, and no clumps");
    /// assert_eq!(Answer::Finding("slide-dried").spoken(), "slide dried (slide-dried)");
    /// ```
    pub fn spoken(&self) -> String {
        match self {
            Self::Grade(grade) => grade.word().to_owned(),
            Self::MixedField => "mixed field: clumped and free cells side by side".to_owned(),
            Self::Rouleaux => "rouleaux: stacks, and no clumps".to_owned(),
            Self::Hemolysis(0) => "0, none".to_owned(),
            Self::Hemolysis(4) => "4, severe".to_owned(),
            Self::Hemolysis(grade) => grade.to_string(),
            Self::FreeCells => "free cells".to_owned(),
            Self::StacksAndClumps => "stacks and clumps".to_owned(),
            Self::Clumps => "clumps, and no stacks".to_owned(),
            Self::Unreadable => "cannot be read".to_owned(),
            Self::Verdict(verdict) => verdict.spoken().to_owned(),
            Self::Finding(slug) => {
                let title = findings::find(slug).map_or("", |meta| meta.title);
                format!("{title} ({slug})")
            }
            Self::Nothing => "nothing of these".to_owned(),
        }
    }
}

impl Ask {
    /// Every answer that can be given, in its order; of findings every one of the catalogue.
    ///
    /// ```
    /// # use crossread_teach::set::{Answer, Ask, Scale};
    /// let words: Vec<_> = Ask::Pattern.answers(Scale::Main).iter().map(Answer::word).collect();
    /// assert_eq!(words, ["free_cells", "rouleaux", "stacks_and_clumps", "clumps", "unreadable"]);
    /// ```
    pub fn answers(self, scale: Scale) -> Vec<Answer> {
        match self {
            Self::Agglutination => {
                let grades = scale.grades().iter().map(|grade| Answer::Grade(*grade));
                let others = [Answer::MixedField, Answer::Rouleaux, Answer::Unreadable];
                grades.chain(others).collect()
            }
            Self::Hemolysis => (0..=4).map(Answer::Hemolysis).chain([Answer::Unreadable]).collect(),
            Self::Pattern => vec![
                Answer::FreeCells,
                Answer::Rouleaux,
                Answer::StacksAndClumps,
                Answer::Clumps,
                Answer::Unreadable,
            ],
            Self::Verdict => Verdict::ALL.iter().map(|verdict| Answer::Verdict(*verdict)).collect(),
            Self::Finding => {
                let all = findings::CATALOGUE.iter().map(|meta| Answer::Finding(meta.slug));
                all.chain([Answer::Nothing]).collect()
            }
        }
    }

    /// The answer that a word stands for.
    ///
    /// ```
    /// # use crossread_core::words::Grade;
    /// # use crossread_teach::set::{Answer, Ask, Scale};
    /// assert_eq!(Ask::Agglutination.answer("1+s", Scale::Full), Some(Answer::Grade(Grade::G1s)));
    /// // Not told apart on the main scale.
    /// assert_eq!(Ask::Agglutination.answer("1+s", Scale::Main), None);
    /// ```
    pub fn answer(self, word: &str, scale: Scale) -> Option<Answer> {
        self.answers(scale).into_iter().find(|answer| answer.word() == word)
    }

    /// The question in a sentence.
    pub(crate) fn question(self) -> &'static str {
        match self {
            Self::Agglutination => "How strongly do the cells clump?",
            Self::Hemolysis => "How red is the fluid, from 0 (none) to 4 (severe)?",
            Self::Pattern => "What do you see of the cells?",
            Self::Verdict => "What is the verdict?",
            Self::Finding => "Which of these was there to be noticed?",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Ask, Scale};

    #[test]
    fn every_answer_has_a_word_of_its_own_and_is_found_by_it() {
        for ask in [Ask::Agglutination, Ask::Hemolysis, Ask::Pattern, Ask::Verdict, Ask::Finding] {
            for scale in [Scale::Main, Scale::Full] {
                for answer in ask.answers(scale) {
                    assert_eq!(ask.answer(&answer.word(), scale), Some(answer));
                }
            }
        }
    }
}
