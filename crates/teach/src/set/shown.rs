//! What one drawing shows, as plain data: whoever draws needs nothing else.

use crossread_core::words::{Agglutination, Artefact, Grade, Method, Pattern, Recheck, Species};
use crossread_core::worksheet::Reading;
use serde::{Deserialize, Serialize};

/// How it is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[expect(clippy::exhaustive_enums, reason = "the two ways of looking")]
pub enum View {
    /// By the naked eye.
    NakedEye,
    /// Under the microscope.
    Microscope,
}

impl View {
    /// How it is said.
    pub(crate) fn spoken(self) -> &'static str {
        match self {
            Self::NakedEye => "by eye",
            Self::Microscope => "under the microscope",
        }
    }
}

/// What one drawing shows.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "whoever draws must know of every field")]
pub struct Shown {
    /// Tube, slide or gel column.
    pub method: Method,
    /// Whose cells.
    pub species: Species,
    /// By eye or under the microscope.
    pub view: View,
    /// The grade, or that none can be given.
    pub seen: Agglutination,
    /// How red the fluid is, 0 to 4; left out where it is not to be told.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hemolysis: Option<u32>,
    /// The shape of what is clumped.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pattern: Option<Pattern>,
    /// Two populations of cells, one clumped and one free.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub mixed_field: bool,
    /// What spoils it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub artefacts: Vec<Artefact>,
    /// Whether the edge of a slide has dried.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub dried: bool,
    /// Whether a tube is looked at before its button is moved, when only lysis is to be seen.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub settled: bool,
    /// What was done to the mixture before this look; left out for a first look.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub after: Option<Recheck>,
    /// The seed of the drawing.
    #[serde(with = "super::seed")]
    pub seed: u64,
    /// The case of the seed.
    pub case: u32,
}

impl Shown {
    /// A look by eye at a mixture on which nothing is to be seen.
    ///
    /// ```
    /// # use crossread_core::words::{Agglutination, Grade, Method, Species};
    /// # use crossread_teach::set::{Shown, View};
    /// let shown = Shown::plain(Method::Gel, Species::Horse, 42, 1);
    /// assert_eq!(shown.seen, Agglutination::Graded(Grade::G0));
    /// assert_eq!((shown.view, shown.hemolysis), (View::NakedEye, None));
    /// ```
    pub fn plain(method: Method, species: Species, seed: u64, case: u32) -> Self {
        Self {
            method,
            species,
            view: View::NakedEye,
            seen: Agglutination::Graded(Grade::G0),
            hemolysis: None,
            pattern: None,
            mixed_field: false,
            artefacts: Vec::new(),
            dried: false,
            settled: false,
            after: None,
            seed,
            case,
        }
    }

    /// What a reading saw.
    pub(crate) fn of(
        reading: &Reading,
        method: Method,
        species: Species,
        seed: u64,
        case: u32,
    ) -> Self {
        Self {
            seen: reading.agglutination,
            hemolysis: reading.hemolysis,
            pattern: reading.pattern,
            mixed_field: reading.mixed_field,
            artefacts: reading.artefacts.clone(),
            dried: reading.dried,
            after: reading.after,
            ..Self::plain(method, species, seed, case)
        }
    }

    /// The same look under the microscope.
    pub(crate) fn under_the_microscope(&self) -> Self {
        Self { view: View::Microscope, ..self.clone() }
    }
}
