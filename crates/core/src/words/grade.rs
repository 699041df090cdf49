use std::borrow::Cow;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Serialize, Serializer};

use crate::document::{Leaf, Wrong, text_leaf};

word! {
    /// How strongly the cells of one mixture clump, in 13 ordered levels.
    ///
    /// `3+w` is written `2+s`, and `4+w` is written `3+s`.
    ///
    /// # Source
    /// The 13 levels and their scores 0 to 12 follow the strong-and-weak table of AABB type, as
    /// restated in "Antibody titration with score" (medicalalgorithms.com, opening of the page
    /// read); the pictures of each level are those of tube serology courses.
    Grade is "a grade" {
        /// Even suspension, no aggregates.
        G0 = "0",
        /// No clump by eye; rare agglutinates under the microscope.
        Rough = "rough",
        /// No clump by eye; few agglutinates under the microscope.
        Micro = "micro",
        /// Weak: tiny aggregates just visible, turbid background.
        W = "w",
        /// Very small clumps, turbid background.
        G1w = "1+w",
        /// Small clumps, free cells, turbid background.
        G1 = "1+",
        /// Medium and small clumps, free cells.
        G1s = "1+s",
        /// Medium and small clumps.
        G2w = "2+w",
        /// Medium and some large clumps.
        G2 = "2+",
        /// Medium clumps, hardly any free cell.
        G2s = "2+s",
        /// Several large clumps, clear background.
        G3 = "3+",
        /// Few very large clumps.
        G3s = "3+s",
        /// One solid clump, no free cell.
        G4 = "4+",
    }
}

impl Grade {
    /// Score for a titration, 0 to 12.
    ///
    /// ```
    /// # use crossread_core::words::Grade;
    /// assert_eq!((Grade::G0.score(), Grade::G1.score(), Grade::G4.score()), (0, 5, 12));
    /// ```
    ///
    /// # Source
    /// See [`Grade`]: the scores are the positions of the levels in that table.
    pub fn score(self) -> u8 {
        match self {
            Self::G0 => 0,
            Self::Rough => 1,
            Self::Micro => 2,
            Self::W => 3,
            Self::G1w => 4,
            Self::G1 => 5,
            Self::G1s => 6,
            Self::G2w => 7,
            Self::G2 => 8,
            Self::G2s => 9,
            Self::G3 => 10,
            Self::G3s => 11,
            Self::G4 => 12,
        }
    }

    /// Main grade in half steps, 0 to 8, for comparing two tubes.
    ///
    /// `w`, `micro` and `rough` are half a grade; strong and weak variants count as their grade.
    ///
    /// ```
    /// # use crossread_core::words::Grade;
    /// // From 1+ to 3+ are two grades.
    /// assert_eq!(Grade::G3.half_steps() - Grade::G1.half_steps(), 4);
    /// assert_eq!(Grade::G2w.half_steps(), Grade::G2.half_steps());
    /// ```
    pub fn half_steps(self) -> u8 {
        match self {
            Self::G0 => 0,
            Self::Rough | Self::Micro | Self::W => 1,
            Self::G1w | Self::G1 | Self::G1s => 2,
            Self::G2w | Self::G2 | Self::G2s => 4,
            Self::G3 | Self::G3s => 6,
            Self::G4 => 8,
        }
    }
}

/// What was seen of the clumping: a grade, or a mixture that cannot be graded.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[expect(clippy::exhaustive_enums, reason = "a look either gives a grade or it does not")]
pub enum Agglutination {
    /// The mixture was graded.
    Graded(Grade),
    /// Somebody looked, and no grade can be given.
    Unreadable,
}

impl Agglutination {
    /// The spelling of a look without a grade.
    pub const UNREADABLE: &'static str = "unreadable";

    /// The grade, if there is one.
    ///
    /// ```
    /// # use crossread_core::words::{Agglutination, Grade};
    /// assert_eq!(Agglutination::Graded(Grade::W).grade(), Some(Grade::W));
    /// // Unreadable is not negative.
    /// assert_eq!(Agglutination::Unreadable.grade(), None);
    /// ```
    pub fn grade(self) -> Option<Grade> {
        match self {
            Self::Graded(grade) => Some(grade),
            Self::Unreadable => None,
        }
    }

    /// The spelling in a document.
    pub fn word(self) -> &'static str {
        match self {
            Self::Graded(grade) => grade.word(),
            Self::Unreadable => Self::UNREADABLE,
        }
    }
}

impl Leaf for Agglutination {
    const EXPECTED: &'static str = "a grade or `unreadable`";
    const WORDS: &'static [&'static str] = &[
        "0",
        "rough",
        "micro",
        "w",
        "1+w",
        "1+",
        "1+s",
        "2+w",
        "2+",
        "2+s",
        "3+",
        "3+s",
        "4+",
        Self::UNREADABLE,
    ];

    fn from_text(text: &str) -> Result<Self, Wrong> {
        if text == Self::UNREADABLE {
            return Ok(Self::Unreadable);
        }
        let grade = Grade::from_text(text)
            .map_err(|_grade: Wrong| Wrong::unknown_word(text, Self::WORDS))?;
        Ok(Self::Graded(grade))
    }
}

text_leaf!(Agglutination);

impl Serialize for Agglutination {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.word())
    }
}

impl JsonSchema for Agglutination {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        Cow::Borrowed("Agglutination")
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let grade = generator.subschema_for::<Grade>();
        json_schema!({
            "anyOf": [
                grade,
                { "const": Self::UNREADABLE, "description": "Seen, but no grade can be given." }
            ]
        })
    }
}

#[cfg(test)]
mod tests {
    use super::{Agglutination, Grade};
    use crate::document::Leaf as _;

    #[test]
    fn scores_are_the_positions_of_the_levels() {
        for (position, grade) in Grade::ALL.iter().enumerate() {
            assert_eq!(usize::from(grade.score()), position, "{grade}");
        }
    }

    #[test]
    fn half_steps_never_fall_as_the_grade_rises() {
        for pair in Grade::ALL.windows(2) {
            assert!(pair[0].half_steps() <= pair[1].half_steps(), "{pair:?}");
        }
    }

    #[test]
    fn the_words_of_a_look_are_the_grades_and_unreadable() {
        let grades = Grade::ALL.iter().map(|grade| grade.word());
        let all: Vec<_> = grades.chain([Agglutination::UNREADABLE]).collect();
        assert_eq!(Agglutination::WORDS, all);
    }
}
