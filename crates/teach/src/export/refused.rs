//! Why a set cannot be exported.

use std::fmt;

use super::marks::decimal;
use super::shown::shown;

/// A set that cannot be exported, with everything that stands against it. Nothing was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CannotExport(Vec<Reason>);

impl CannotExport {
    /// The reasons, at least one, in the order of the questions.
    pub fn reasons(&self) -> &[Reason] {
        &self.0
    }

    /// `good` if there is no reason against it.
    pub(super) fn unless<T>(reasons: Vec<Reason>, good: T) -> Result<T, Self> {
        if reasons.is_empty() { Ok(good) } else { Err(Self(reasons)) }
    }

    /// What stands against it although the set is good: the file could not be put together.
    pub(super) fn not_written(error: &dyn fmt::Display) -> Self {
        Self(vec![Reason::NotWritten { error: error.to_string() }])
    }
}

impl fmt::Display for CannotExport {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (number, reason) in self.0.iter().enumerate() {
            if number > 0 {
                f.write_str("\n")?;
            }
            reason.fmt(f)?;
        }
        Ok(())
    }
}

impl std::error::Error for CannotExport {}

/// Which question is meant.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Which {
    /// Its place in the set, counted from 1.
    pub number: usize,
    /// Its id.
    pub id: String,
}

impl fmt::Display for Which {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "question {} ({})", self.number, shown(&self.id))
    }
}

/// Which text of a question is meant. Places are counted from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Part {
    /// The id of the question.
    Id,
    /// What is asked.
    Prompt,
    /// The name of a picture.
    PictureName(usize),
    /// The description of a picture.
    PictureAlt(usize),
    /// The id of a choice.
    ChoiceId(usize),
    /// The text of a choice.
    ChoiceText(usize),
    /// The feedback of a choice.
    Feedback(usize),
}

impl fmt::Display for Part {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Id => f.write_str("id"),
            Self::Prompt => f.write_str("prompt"),
            Self::PictureName(at) => write!(f, "name of picture {at}"),
            Self::PictureAlt(at) => write!(f, "description of picture {at}"),
            Self::ChoiceId(at) => write!(f, "id of choice {at}"),
            Self::ChoiceText(at) => write!(f, "text of choice {at}"),
            Self::Feedback(at) => write!(f, "feedback of choice {at}"),
        }
    }
}

/// What is wrong with a text.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum TextFault {
    /// Nothing is written there.
    Empty,
    /// There is too much, counted in characters.
    TooLong {
        /// As many are allowed.
        most: usize,
        /// As many are there.
        found: usize,
    },
    /// A character that cannot stand there.
    Character {
        /// That character.
        found: char,
    },
}

impl fmt::Display for TextFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => f.write_str("expected a text, found nothing"),
            Self::TooLong { most, found } => {
                write!(f, "expected at most {most} characters, found {found}")
            }
            Self::Character { found } => write!(
                f,
                "expected no control character, found U+{:04X}; take it out",
                u32::from(*found)
            ),
        }
    }
}

/// One thing that stands against an export.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum Reason {
    /// The set has no question.
    #[error("the set has no question")]
    NoQuestions,
    /// The title of the set cannot be used.
    #[error("title of the set: {fault}")]
    Title {
        /// What is wrong with it.
        fault: TextFault,
    },
    /// The id of the set cannot be used.
    #[error("id of the set: {fault}")]
    SetId {
        /// What is wrong with it.
        fault: TextFault,
    },
    /// A text of a question cannot be used.
    #[error("{question}, {part}: {fault}")]
    Text {
        /// The question.
        question: Which,
        /// The text.
        part: Part,
        /// What is wrong with it.
        fault: TextFault,
    },
    /// Two questions have the same id.
    #[error("{question}: question {first} has the same id; give each its own")]
    SameId {
        /// The later one.
        question: Which,
        /// Place of the earlier one in the set, counted from 1.
        first: usize,
    },
    /// Fewer than two choices.
    #[error("{question}: expected at least 2 choices, found {found}")]
    Choices {
        /// The question.
        question: Which,
        /// As many are there.
        found: usize,
    },
    /// Two choices have the same id.
    #[error("{question}: choices {first} and {again} have the same id; give each its own")]
    SameChoiceId {
        /// The question.
        question: Which,
        /// Place of the earlier one, counted from 1.
        first: usize,
        /// Place of the later one.
        again: usize,
    },
    /// Two choices read alike, so that a student cannot tell them apart.
    #[error("{question}: choices {first} and {again} have the same text; say how they differ")]
    SameChoiceText {
        /// The question.
        question: Which,
        /// Place of the earlier one, counted from 1.
        first: usize,
        /// Place of the later one.
        again: usize,
    },
    /// Not one right answer.
    #[error("{question}: expected 1 choice that is the key, found {found}")]
    Keys {
        /// The question.
        question: Which,
        /// As many are there.
        found: usize,
    },
    /// The right answer earns nothing.
    #[error("{question}: expected a key that earns something, found a score of 0")]
    KeyEarnsNothing {
        /// The question.
        question: Which,
    },
    /// The right answer is called a critical error.
    #[error("{question}: expected a key that is no critical error, found one that is")]
    KeyIsCritical {
        /// The question.
        question: Which,
    },
    /// Another answer earns as much as the right one, or more.
    #[error(
        "{question}, choice {choice}: expected a score below the key's {}, found {}",
        decimal(*.key), decimal(*.score)
    )]
    OutscoresKey {
        /// The question.
        question: Which,
        /// Place of the choice, counted from 1.
        choice: usize,
        /// What it earns, in hundredths of a mark.
        score: u32,
        /// What the key earns, in hundredths of a mark.
        key: u32,
    },
    /// A critical error earns something.
    #[error(
        "{question}, choice {choice}: expected a score of 0 for a critical error, found {}",
        decimal(*.score)
    )]
    CriticalEarns {
        /// The question.
        question: Which,
        /// Place of the choice, counted from 1.
        choice: usize,
        /// What it earns, in hundredths of a mark.
        score: u32,
    },
    /// Two pictures of a question have the same name.
    #[error("{question}: pictures {first} and {again} have the same name; give each its own")]
    SamePictureName {
        /// The question.
        question: Which,
        /// Place of the earlier one, counted from 1.
        first: usize,
        /// Place of the later one.
        again: usize,
    },
    /// A picture cannot be shown to students.
    #[error("{question}, picture {picture}: {fault}")]
    Picture {
        /// The question.
        question: Which,
        /// Place of the picture, counted from 1.
        picture: usize,
        /// What was expected and found.
        fault: String,
    },
    /// The format holds PNG, and this build cannot make it.
    #[error(
        "{question} has a picture, and this build cannot make PNG; build with the feature `png`, \
         or export QTI 3.0, which holds SVG"
    )]
    NoPng {
        /// The question.
        question: Which,
    },
    /// GIFT holds no pictures.
    #[error(
        "{question} has {found} picture(s), and GIFT holds text only; export Moodle XML or QTI, or \
         leave the question out"
    )]
    GiftHoldsNoPicture {
        /// The question.
        question: Which,
        /// As many pictures it has.
        found: usize,
    },
    /// GIFT cannot say what a question is worth.
    #[error(
        "{question} is worth {}, and in GIFT every question is worth 1; export Moodle XML or QTI",
        decimal(*.score)
    )]
    GiftHoldsNoMark {
        /// The question.
        question: Which,
        /// What its key earns, in hundredths of a mark.
        score: u32,
    },
    /// A text holds a group of characters that Moodle replaces when it reads GIFT.
    #[error(
        "{question}, {part}: GIFT cannot hold `{found}`, Moodle would read another character; \
         export Moodle XML or QTI"
    )]
    GiftReplaces {
        /// The question.
        question: Which,
        /// The text.
        part: Part,
        /// The characters that would be replaced.
        found: &'static str,
    },
    /// Moodle does not know this part of a mark.
    #[error(
        "{question}, choice {choice}: {} of {} is no part that Moodle knows; it knows tenths, p/q \
         up to 6, 1/7, 1/8, 1/9 and 1/20 of the full mark",
        decimal(*.score), decimal(*.full)
    )]
    MoodleKnowsNoSuchPart {
        /// The question.
        question: Which,
        /// Place of the choice, counted from 1.
        choice: usize,
        /// What it earns, in hundredths of a mark.
        score: u32,
        /// What the key earns, in hundredths of a mark.
        full: u32,
    },
    /// The file could not be put together.
    #[error("the file could not be put together: {error}")]
    NotWritten {
        /// What was said.
        error: String,
    },
}
