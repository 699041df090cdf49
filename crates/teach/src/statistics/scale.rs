//! The grades a reader chooses from, in order, and where positive begins.

use std::sync::Arc;

use super::fault::{Fault, Faults};

/// The most grades that a scale may have.
pub const MOST_GRADES: usize = 16;

/// The grades a reader chooses from, weakest first. Grades that nobody used stay in it: kappa
/// depends on how many there are to choose from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Scale(Arc<[String]>);

/// The weakest grade that counts as positive; all below it count as negative.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Cut(u8);

impl Scale {
    /// A scale of these grades, weakest first.
    ///
    /// ```
    /// # use crossread_teach::statistics::Scale;
    /// let scale = Scale::new(["0", "w", "1+", "2+", "3+", "4+"])?;
    /// assert_eq!((scale.grades(), scale.name(1)), (6, Some("w")));
    /// assert!(Scale::new(["0", "1+", "1+"]).is_err());
    /// # Ok::<_, crossread_teach::statistics::Faults>(())
    /// ```
    ///
    /// # Errors
    /// All of: under 2 or over 16 grades, a grade without a name, two of one name.
    pub fn new<N: Into<String>>(names: impl IntoIterator<Item = N>) -> Result<Self, Faults> {
        let names: Vec<String> = names.into_iter().map(Into::into).collect();
        let mut faults = Vec::new();
        if !(2..=MOST_GRADES).contains(&names.len()) {
            faults.push(Fault::Grades(names.len()));
        }
        for ((name, earlier), place) in names.iter().zip(0_usize..).zip(1_usize..) {
            if name.trim().is_empty() {
                faults.push(Fault::NoName { place });
            } else if names.iter().take(earlier).any(|other| other == name) {
                faults.push(Fault::SameName { place, name: name.clone() });
            }
        }
        Faults::unless(faults, || Self(names.into()))
    }

    /// The two sides of a cut.
    pub(super) fn sides() -> Self {
        Self(Arc::from(["negative".to_owned(), "positive".to_owned()]))
    }

    /// How many grades there are, 2 to 16.
    pub fn grades(&self) -> usize {
        self.0.len()
    }

    /// The names, weakest grade first.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.0.iter().map(String::as_str)
    }

    /// The name of a grade, if the scale has it.
    ///
    /// ```
    /// # use crossread_teach::statistics::Scale;
    /// let scale = Scale::new(["0", "1+"])?;
    /// assert_eq!((scale.name(1), scale.name(2)), (Some("1+"), None));
    /// # Ok::<_, crossread_teach::statistics::Faults>(())
    /// ```
    pub fn name(&self, grade: u8) -> Option<&str> {
        self.0.get(usize::from(grade)).map(String::as_str)
    }

    /// The cut at this grade, the first that counts as positive.
    ///
    /// ```
    /// # use crossread_teach::statistics::Scale;
    /// let scale = Scale::new(["0", "1+"])?;
    /// assert_eq!(scale.cut(1)?.first_positive(), 1);
    /// assert!(scale.cut(0).is_err() && scale.cut(2).is_err());
    /// # Ok::<_, crossread_teach::statistics::Faults>(())
    /// ```
    ///
    /// # Errors
    /// If it is 0, so that nothing would be negative, or not on the scale.
    pub fn cut(&self, first_positive: u8) -> Result<Cut, Faults> {
        let most = self.last();
        if (1..=most).contains(&first_positive) {
            Ok(Cut(first_positive))
        } else {
            Err(Fault::Cut { found: first_positive, most }.into())
        }
    }

    /// The last grade.
    pub(super) fn last(&self) -> u8 {
        u8::try_from(self.0.len().saturating_sub(1)).unwrap_or(u8::MAX)
    }
}

impl Cut {
    /// The weakest grade that counts as positive.
    pub fn first_positive(self) -> u8 {
        self.0
    }

    /// Whether a grade counts as positive.
    ///
    /// ```
    /// # use crossread_teach::statistics::Scale;
    /// let cut = Scale::new(["0", "w", "1+"])?.cut(1)?;
    /// assert_eq!((cut.positive(0), cut.positive(1)), (false, true));
    /// # Ok::<_, crossread_teach::statistics::Faults>(())
    /// ```
    pub fn positive(self, grade: u8) -> bool {
        grade >= self.0
    }
}
