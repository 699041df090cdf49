//! Drops, ratios and dilutions.

use num_bigint::BigInt;
use num_rational::BigRational;
use serde::Serialize;

use super::{Exact, Microliters, OutOfRange, Percent, Share};

/// What is added to a mixture for a dilution, and what is left of the plasma.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Dilution {
    /// Parts of saline to 1 part of the mixture.
    pub saline_parts: u32,
    /// Saline, in µL.
    pub saline_ul: Microliters,
    /// Plasma in the fluid afterwards, in percent of its volume.
    pub plasma_percent: Share,
}

/// The saline for a dilution of `mixture` with so many parts of saline to 1 part, and the plasma
/// that is left if `plasma` percent of the mixture's volume was plasma.
///
/// # Errors
/// If there are no parts, or the saline is over 10 L.
///
/// # Source
/// Arithmetic.
pub fn dilution(
    mixture: &Microliters,
    plasma: &Percent,
    saline_parts: u32,
) -> Result<Dilution, OutOfRange> {
    let parts = BigRational::from(BigInt::from(saline_parts));
    let one = BigRational::from(BigInt::from(1));
    Ok(Dilution {
        saline_parts,
        saline_ul: Microliters::new(Exact(mixture.ratio() * &parts))?,
        plasma_percent: Share::new(Exact(plasma.ratio() / (parts + one)))?,
    })
}

/// The percent of cells in a mixture of drops of one size: `cells` drops that are `hematocrit`
/// percent cells, and `saline` drops.
///
/// # Errors
/// If there are no drops of cells.
///
/// # Source
/// Arithmetic. 1 drop of packed cells and 20 of saline are 4.76 %, though pages call it 3 to 5 %.
pub fn percent_of_drops(
    cells: u32,
    saline: u32,
    hematocrit: &Percent,
) -> Result<Percent, OutOfRange> {
    let (cells, saline) = (u64::from(cells), u64::from(saline));
    Percent::new(Exact(Exact::of(cells, cells.saturating_add(saline)).0 * hematocrit.ratio()))
}

/// Parts of plasma to 1 part of packed cells in a mixture of plasma and a suspension.
///
/// # Source
/// Arithmetic: plasma / (suspension × percent / 100).
pub fn plasma_to_cells(plasma: &Microliters, suspension: &Microliters, cells: &Percent) -> Exact {
    let hundred = BigRational::from(BigInt::from(100));
    Exact(plasma.ratio() * hundred / (suspension.ratio() * cells.ratio()))
}

/// The share of the plasma that is left after saline replacements: of the fluid, `left` stays in
/// the tube each time and `saline` is added.
///
/// (left / (left + saline)) to the power of `times`.
///
/// # Errors
/// None within the ranges of the values; the result is a share.
///
/// # Source
/// Arithmetic.
pub fn residual_plasma(
    left: &Microliters,
    saline: &Microliters,
    times: u8,
) -> Result<Share, OutOfRange> {
    let once = left.ratio() / (left.ratio() + saline.ratio());
    let hundred = BigRational::from(BigInt::from(100));
    Share::new(Exact(num_traits::pow(once, usize::from(times)) * hundred))
}
