//! What a picture can show, in the words of a crossmatch.

use crossread_core::document::Whole;
use crossread_core::words::{Artefact, Grade, Hemolysis};

/// Yellow of a plasma, 0 (none) to 3.
pub type Icterus = Whole<0, 3>;

/// What has become of the cells of one mixture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Mixture {
    /// How strongly they clump; in a mixed field, how strongly those do that react.
    pub grade: Grade,
    /// Whether clumps lie among cells that take no part.
    pub mixed_field: bool,
    /// How many of them have lysed in the mixture; 4 is drawn as all of them or nearly all.
    pub hemolysis: Hemolysis,
}

impl Mixture {
    /// A mixture of one kind of cells, none of them lysed.
    ///
    /// ```
    /// # use crossread_core::words::{Grade, Hemolysis};
    /// # use crossread_teach::picture::Mixture;
    /// let mixture = Mixture::of(Grade::G2);
    /// assert_eq!(mixture.hemolysis.get(), 0);
    /// assert!(!mixture.mixed_field && mixture.in_mixed_field().mixed_field);
    /// ```
    pub fn of(grade: Grade) -> Self {
        Self { grade, mixed_field: false, hemolysis: none() }
    }

    /// The same, with lysis.
    ///
    /// ```
    /// # use crossread_core::words::{Grade, Hemolysis};
    /// # use crossread_teach::picture::Mixture;
    /// let severe = Hemolysis::new(4).unwrap();
    /// assert_eq!(Mixture::of(Grade::G0).lysed(severe).hemolysis, severe);
    /// ```
    #[must_use]
    pub fn lysed(self, hemolysis: Hemolysis) -> Self {
        Self { hemolysis, ..self }
    }

    /// The same as a mixed field.
    #[must_use]
    pub fn in_mixed_field(self) -> Self {
        Self { mixed_field: true, ..self }
    }

    /// What lysis has left of the cells, in thousandths. The numbers are a choice.
    pub(super) fn left(self) -> i64 {
        match (self.hemolysis.get(), self.grade) {
            (0, _) => 1000,
            (1, _) => 900,
            (2, _) => 700,
            (3, _) => 400,
            (_, Grade::G0 | Grade::Rough | Grade::Micro) => 0,
            (_, _) => 120,
        }
    }
}

/// What the plasma looked like before it was mixed: its color is that of every mixture with it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Plasma {
    /// Hemolysis of the sample.
    pub hemolysis: Hemolysis,
    /// Icterus of the sample.
    pub icterus: Icterus,
}

impl Plasma {
    /// Plasma of the usual pale straw.
    ///
    /// ```
    /// # use crossread_teach::picture::Plasma;
    /// let pale = Plasma::pale();
    /// assert_eq!((pale.hemolysis.get(), pale.icterus.get()), (0, 0));
    /// ```
    pub fn pale() -> Self {
        Self { hemolysis: none(), icterus: none() }
    }
}

fn none<const HI: u32>() -> Whole<0, HI> {
    // 0 is in every range from 0.
    Whole::new(0).unwrap_or_else(none)
}

/// A tube, or two with the same plasma side by side.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Tube {
    /// The mixture to be read.
    pub test: Mixture,
    /// The control beside it.
    pub control: Option<Mixture>,
    /// The plasma of both.
    pub plasma: Plasma,
    /// When it is looked at.
    pub moment: Moment,
}

/// When a tube is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(clippy::exhaustive_enums, reason = "a button is whole or it has been moved")]
pub enum Moment {
    /// After the spin, before the tube is moved: a button below, fluid above. Only lysis can be
    /// seen now; the clumping cannot.
    Settled,
    /// After gentle tilting, the button being off.
    Tilted,
}

/// One gel column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Column {
    /// What the cells did.
    pub mixture: Mixture,
    /// What went wrong with the column.
    pub fault: Option<Artefact>,
}

impl Column {
    /// A column in which nothing went wrong.
    ///
    /// ```
    /// # use crossread_core::words::{Artefact, Grade};
    /// # use crossread_teach::picture::{Column, Mixture};
    /// let column = Column::of(Mixture::of(Grade::G3));
    /// assert_eq!(column.fault, None);
    /// let spoiled = Column { fault: Some(Artefact::Bubble), ..column };
    /// assert_eq!(spoiled.mixture, column.mixture);
    /// ```
    pub fn of(mixture: Mixture) -> Self {
        Self { mixture, fault: None }
    }
}

/// A gel column, or two with the same plasma side by side.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Gel {
    /// The column to be read.
    pub test: Column,
    /// The control beside it.
    pub control: Option<Column>,
    /// The plasma of both.
    pub plasma: Plasma,
}

/// A slide as the eye sees it. Lysis cannot be read on a slide, so none is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Slide {
    /// How strongly the cells clump.
    pub grade: Grade,
    /// Whether clumps lie among cells that take no part.
    pub mixed_field: bool,
    /// Parts of saline to one part of the mixture, 0 to 99; 0 is undiluted. High dilutions are
    /// drawn with more cells than they have, so that something is left to look at.
    pub saline_parts: Whole<0, 99>,
    /// Whether the rim of the drop has dried.
    pub dried: bool,
}

/// Stacks of cells on their flat faces.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[expect(clippy::exhaustive_enums, reason = "a drawing needs no more than none, few, many")]
pub enum Stacks {
    /// None.
    None,
    /// Short stacks among free cells.
    Few,
    /// Long stacks, and hardly a free cell.
    Many,
}

/// A microscope field of an unstained wet mount.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Field {
    /// What the cells did. Lysed cells are drawn as ghosts.
    pub mixture: Mixture,
    /// Stacks formed by the plasma.
    pub stacks: Stacks,
    /// Whether the plasma has been replaced by saline: stacks go, clumps stay.
    pub saline_replaced: bool,
    /// Whether the drop has dried at one side of the field.
    pub dried: bool,
}

/// What a picture shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(clippy::exhaustive_enums, reason = "these are what is looked at in a crossmatch")]
pub enum Scene {
    /// Tubes.
    Tube(Tube),
    /// Gel columns.
    Gel(Gel),
    /// A slide.
    Slide(Slide),
    /// A microscope field.
    Field(Field),
}
