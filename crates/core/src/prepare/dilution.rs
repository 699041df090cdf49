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
/// ```
/// # use crossread_core::prepare::dilution;
/// // 150 µL of a mixture that is two thirds plasma, with 3 parts of saline.
/// let made = dilution(&"150".parse()?, &"66.67".parse()?, 3)?;
/// assert_eq!(made.saline_ul.to_string(), "450 µL");
/// assert_eq!(made.plasma_percent.to_string(), "16.67 %");
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
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
/// ```
/// # use crossread_core::prepare::percent_of_drops;
/// let percent = percent_of_drops(1, 20, &"100".parse()?)?;
/// assert_eq!(percent.to_string(), "4.76 %");
/// assert!(percent_of_drops(0, 20, &"100".parse()?).is_err());
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
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
/// ```
/// # use crossread_core::prepare::plasma_to_cells;
/// // 100 µL of plasma and 50 µL of a 4 % suspension, which holds 2 µL of cells.
/// let parts = plasma_to_cells(&"100".parse()?, &"50".parse()?, &"4".parse()?);
/// assert_eq!(parts.to_string(), "50");
/// # Ok::<_, String>(())
/// ```
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
/// ```
/// # use crossread_core::prepare::residual_plasma;
/// // 50 µL stay on the cells, and 950 µL of saline are added, twice.
/// let left = residual_plasma(&"50".parse()?, &"950".parse()?, 2)?;
/// assert_eq!(left.to_string(), "0.25 %");
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
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
