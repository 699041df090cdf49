//! What is wrong with readings, weights or settings that were handed in.

use std::fmt;

use thiserror::Error;

/// One mistake in what was handed in. Readers, items and rows are counted from 1.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum Fault {
    /// A scale needs from 2 to 16 grades.
    #[error("expected from 2 to 16 grades, found `{0}`; leave out grades that cannot be read")]
    Grades(usize),
    /// A grade without a name.
    #[error("grade {place}: expected a name; every grade needs one")]
    NoName {
        /// Which grade.
        place: usize,
    },
    /// Two grades with one name.
    #[error("grade {place}: `{name}` is named twice; every grade needs a name of its own")]
    SameName {
        /// Which grade, the second of the two.
        place: usize,
        /// The name.
        name: String,
    },
    /// A cut that leaves no grade on one side.
    #[error("expected the first positive grade from 1 to {most}, found `{found}`; 0 is negative")]
    Cut {
        /// What was given.
        found: u8,
        /// The last grade of the scale.
        most: u8,
    },
    /// A reading that is no grade of the scale.
    #[error(
        "reader {reader}, item {item}: expected a grade from 0 to {most}, found `{found}`; \
         hand in a reading off the scale as missing"
    )]
    Grade {
        /// Which reader.
        reader: usize,
        /// Which item.
        item: usize,
        /// What was given.
        found: u8,
        /// The last grade of the scale.
        most: u8,
    },
    /// A key that is no grade of the scale.
    #[error(
        "key, item {item}: expected a grade from 0 to {most}, found `{found}`; \
         hand in a key off the scale as missing"
    )]
    Key {
        /// Which item.
        item: usize,
        /// What was given.
        found: u8,
        /// The last grade of the scale.
        most: u8,
    },
    /// Lists that must be of one length and are not.
    #[error("{what} {place}: expected {expected} entries, found `{found}`; give missing ones too")]
    Length {
        /// What the list is of: a reader, an item or a row.
        what: &'static str,
        /// Which one.
        place: usize,
        /// The length of the first, or the number of grades.
        expected: usize,
        /// The length of this one.
        found: usize,
    },
    /// More cases than can be counted.
    #[error("expected at most 4294967295 cases; count fewer")]
    Many,
    /// A weight that is none.
    #[error(
        "row {row}, column {column}: expected a disagreement of 0 or more, and 0 for the same \
         grade, found `{found}`; agreement has to be turned around"
    )]
    Weight {
        /// Which row.
        row: usize,
        /// Which column.
        column: usize,
        /// What was given.
        found: String,
    },
    /// Weights that are all 0.
    #[error("expected a disagreement above 0 somewhere; the weights count nothing")]
    Weightless,
    /// A confidence that is none.
    #[error("expected a confidence between 50 and 100 percent, found `{0}`; 95 is usual")]
    Confidence(String),
    /// A number of resamples that is none.
    #[error("expected from 1 to 1000000 resamples, found `{0}`; 2000 are usual")]
    Resamples(u32),
}

/// All mistakes in what was handed in, in the order of their places.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Faults(Vec<Fault>);

impl Faults {
    /// The mistakes.
    pub fn iter(&self) -> impl Iterator<Item = &Fault> {
        self.0.iter()
    }

    /// The value, if nothing was wrong with it.
    pub(super) fn unless<T>(faults: Vec<Fault>, value: impl FnOnce() -> T) -> Result<T, Self> {
        if faults.is_empty() { Ok(value()) } else { Err(Self(faults)) }
    }
}

impl From<Fault> for Faults {
    fn from(fault: Fault) -> Self {
        Self(vec![fault])
    }
}

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (place, fault) in self.0.iter().enumerate() {
            if place > 0 {
                f.write_str("\n")?;
            }
            fault.fmt(f)?;
        }
        Ok(())
    }
}

impl std::error::Error for Faults {}
