//! Sets of exercises: drawings and whole runs with what is right about each.
//!
//! A [`Set`] is a document of its own kind, `crossread.exercise/1`. It is no worksheet: no record
//! takes it, nothing in it can be released, and whatever is printed of it says EXERCISE. An
//! [`Exercise`] is a set that was checked: every key was computed anew, from what the drawing shows
//! or by [`crossread_core::interpret`].
//!
//! ```
//! # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
//! # use lesson::*;
//! use crossread_teach::set::{changed_drawings, booklet};
//!
//! // Four items about runs of dogs in tubes.
//! let exercise = runs();
//! let item = &exercise.set().items[0];
//! let truth = exercise.truth(item).ok_or("no key")?;
//! assert_eq!(truth.key.word(), item.key);
//! // What is kept is read back as the very same set, its keys computed anew.
//! let again = Exercise::from_json(exercise.set().to_json().as_bytes(), Protocols::shipped())?;
//! assert_eq!(again.digest(), exercise.digest());
//! assert!(changed_drawings(&again).is_empty());
//! assert!(booklet(&exercise).title.starts_with("EXERCISE: booklet."));
//! # Ok::<_, Box<dyn std::error::Error>>(())
//! ```

mod ask;
mod check;
mod cover;
mod deidentify;
mod drawn;
mod facts;
mod item;
mod key;
mod make;
mod page;
mod paper;
mod questions;
mod recipe;
mod seed;
mod shown;

use crossread_core::document::Digest;
use serde::{Deserialize, Serialize};

pub use ask::{Answer, Ask, Scale, UNREADABLE};
pub use check::Exercise;
pub use cover::{Coverage, Covered, How};
pub use deidentify::{CannotHide, deidentified};
pub use item::{Item, Kind, Rules, Run};
pub use key::{Interpreted, Truth};
pub use make::{CannotMake, Made, Wanted, make};
pub use page::page;
pub use paper::{answer_sheet, booklet, key_sheet};
pub use questions::{changed_drawings, question, questions};
pub use shown::{Shown, View};

/// The format of a set.
pub const FORMAT: &str = "crossread.exercise/1";

/// The word that stands on everything that is printed of a set.
pub const WATERMARK: &str = "EXERCISE";

/// What is said with the watermark.
pub const NOT_A_RECORD: &str =
    "EXERCISE. No patient, no record: nothing is released on anything that stands here.";

/// A set of exercises.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Set {
    /// Always `crossread.exercise/1`.
    pub format: String,
    /// Always `EXERCISE`.
    pub watermark: String,
    /// The set's id.
    pub id: String,
    /// Its title.
    pub title: String,
    /// The seed that it was made from.
    #[serde(with = "seed")]
    pub seed: u64,
    /// The scheme by which chance is drawn from the seed.
    pub scheme: String,
    /// The version of the program that made it.
    pub generator: String,
    /// SHA-256 of the assumptions that simulated cases rest on.
    pub assumptions: Digest,
    /// The grades that are told apart.
    pub scale: Scale,
    /// What a near miss scores, 0 to 100.
    pub near_hundredths: u32,
    /// The runs that items ask about.
    pub runs: Vec<Run>,
    /// The items, in the order in which they are shown.
    pub items: Vec<Item>,
}

impl Set {
    /// The document: the same bytes for the same set.
    ///
    /// ```
    /// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
    /// # use lesson::*;
    /// let exercise = drawings();
    /// let document: serde_json::Value = serde_json::from_str(&exercise.set().to_json())?;
    /// assert_eq!(document["format"], "crossread.exercise/1");
    /// assert_eq!(document["watermark"], "EXERCISE");
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn to_json(&self) -> String {
        // A set holds nothing that cannot be written.
        let mut text = serde_json::to_string_pretty(self).unwrap_or_default();
        text.push('\n');
        text
    }
}
