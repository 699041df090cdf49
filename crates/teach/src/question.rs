//! A question of an exercise, as every part of this crate passes it on.
//!
//! ```
//! # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
//! # use lesson::*;
//! // The question "May the unit be given?", of which a wrong answer would harm.
//! let question = question();
//! let key = question.choices.iter().find(|choice| choice.is_key).ok_or("no key")?;
//! assert_eq!((key.id.as_str(), key.score_hundredths), ("no", 100));
//! assert!(question.choices.iter().all(|choice| choice.is_key != choice.is_critical));
//! # Ok::<_, Box<dyn std::error::Error>>(())
//! ```

/// A question with one right answer.
#[derive(Clone, Debug, PartialEq, Eq)]
#[expect(clippy::exhaustive_structs, reason = "plain data, made by whoever has a question")]
pub struct Question {
    /// Which question of its set, the same in every export and in the answers that come back.
    pub id: String,
    /// What is asked. Lines may be ended by `\n`.
    pub prompt: String,
    /// What is looked at, in this order.
    pub pictures: Vec<Drawn>,
    /// What can be answered, in this order: grades are never shuffled.
    pub choices: Vec<Choice>,
}

/// A picture of a question.
#[derive(Clone, Debug, PartialEq, Eq)]
#[expect(clippy::exhaustive_structs, reason = "plain data, made by whoever has a question")]
pub struct Drawn {
    /// Its name, one of its own within the question.
    pub name: String,
    /// The picture as SVG.
    pub svg: String,
    /// What is visible, for those who cannot see it, without the answer.
    pub alt: String,
}

/// One answer that can be given to a question.
#[derive(Clone, Debug, PartialEq, Eq)]
#[expect(clippy::exhaustive_structs, reason = "plain data, made by whoever has a question")]
pub struct Choice {
    /// Which choice of its question.
    pub id: String,
    /// What the student reads.
    pub text: String,
    /// Whether this is the right answer.
    pub is_key: bool,
    /// What it earns, in hundredths of a mark: 100 is one mark.
    pub score_hundredths: u32,
    /// Whether it is a critical error: one that would let a wrong unit be given.
    pub is_critical: bool,
    /// What the student is told after this answer. Empty: nothing.
    pub feedback: String,
}
