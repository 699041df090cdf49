//! What was drawn, in numbers: for checks, and for the words that describe a picture.

use super::clumps::Clump;
use super::paint::{cloud, icterus, lysis};
use super::scene::{Mixture, Plasma};

/// What was drawn: the mixture to be read, and the control beside it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Measure {
    /// The mixture to be read.
    pub test: Drawn,
    /// The control, if there is one.
    pub control: Option<Drawn>,
}

/// What was drawn of one mixture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(clippy::exhaustive_enums, reason = "one variant for each kind of scene")]
pub enum Drawn {
    /// In a tube.
    Tube(Pieces),
    /// In a gel column.
    Gel(Bands),
    /// On a slide.
    Slide(Pieces),
    /// In a microscope field.
    Field(Cells),
}

/// What is seen in a tube or on a slide.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[non_exhaustive]
pub struct Pieces {
    /// Pieces apart from each other.
    pub number: u32,
    /// The part of all cells that is in the largest, in thousandths.
    pub largest: u32,
    /// Width of the largest, or depth of a button, in thousandths of the tube's or drop's width.
    pub width: u32,
    /// Free cells, in thousandths of all cells.
    pub free: u32,
    /// The part of what lies behind that free cells hide, in thousandths.
    pub hidden: u32,
    /// Redness of the clear fluid, 0 to 1000.
    pub red: u32,
    /// Yellow of the clear fluid, 0 to 1000.
    pub yellow: u32,
    /// Cells in a button at the bottom, in thousandths of all cells.
    pub buttoned: u32,
}

impl Pieces {
    /// Measures clumps. `area` is what all cells cover, in square pixels; `width` the whole width,
    /// in hundredths of a pixel.
    pub(super) fn new(clumps: &[Clump], free: i64, area: i64, width: i64) -> Self {
        let largest = clumps.iter().map(|clump| clump.radius).max().unwrap_or(0);
        Self {
            number: u32::try_from(clumps.len()).unwrap_or(u32::MAX),
            largest: number(largest * largest * 22 / 7 / area.max(1) / 10),
            width: number(largest * 2000 / width.max(1)),
            free: number(free),
            hidden: number(cloud(free)),
            ..Self::default()
        }
    }

    /// The same in a fluid of some color.
    pub(super) fn colored(self, mixture: Mixture, plasma: Plasma) -> Self {
        Self {
            red: number(red(mixture, plasma)),
            yellow: number(icterus(plasma.icterus.get())),
            ..self
        }
    }
}

/// What is seen in a gel column.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[non_exhaustive]
pub struct Bands {
    /// Cells held on top of the gel, in thousandths of all cells before lysis.
    pub band: u32,
    /// Cells held inside the gel.
    pub scattered: u32,
    /// Cells at the bottom.
    pub pellet: u32,
    /// Mean depth of all cells, in thousandths of the gel's height; those at the bottom count as
    /// 1000. 0 if there are no cells.
    pub depth: u32,
    /// Mean depth of the cells held inside the gel, in thousandths of its height.
    pub scattered_depth: u32,
    /// Unevenness of the pellet's top, in hundredths of a pixel.
    pub rough: u32,
    /// Redness of the clear fluid, 0 to 1000.
    pub red: u32,
    /// Yellow of the clear fluid, 0 to 1000.
    pub yellow: u32,
}

/// What is seen in a microscope field.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[non_exhaustive]
pub struct Cells {
    /// Cells by themselves.
    pub single: u32,
    /// Irregular groups.
    pub heaps: u32,
    /// Cells in irregular groups.
    pub in_heaps: u32,
    /// Cells in the largest irregular group.
    pub largest_heap: u32,
    /// Stacks.
    pub stacks: u32,
    /// Cells in stacks.
    pub in_stacks: u32,
    /// Cells in the longest stack.
    pub longest_stack: u32,
    /// Empty outlines of lysed cells.
    pub outlines: u32,
    /// Shrunken cells crowded at a dried edge.
    pub crowded: u32,
}

/// How red the clear fluid is: the plasma's own color, and what the mixture added.
pub(super) fn red(mixture: Mixture, plasma: Plasma) -> i64 {
    let (own, added) = (lysis(plasma.hemolysis.get()), lysis(mixture.hemolysis.get()));
    1000 - (1000 - own) * (1000 - added) / 1000
}

/// A count or share that cannot be negative.
pub(super) fn number(value: i64) -> u32 {
    u32::try_from(value.max(0)).unwrap_or(u32::MAX)
}
