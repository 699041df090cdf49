//! Red cell suspensions.

use num_bigint::BigInt;
use num_rational::BigRational;
use serde::Serialize;
use thiserror::Error;

use super::{Exact, Microliters, OutOfRange, Percent};

/// What goes into a suspension.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Suspension {
    /// Packed cells, or whole blood before it is washed, in µL.
    pub cells_ul: Microliters,
    /// Saline, in µL; `None` if the cells alone make it.
    pub saline_ul: Option<Microliters>,
}

/// Why a suspension cannot be made.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum CannotPrepare {
    /// The cells are thinner than what is wanted.
    #[error("cells of {have} cannot make a suspension of {wanted}: pack them first")]
    TooThin {
        /// The cells' share of their volume.
        have: String,
        /// What is wanted.
        wanted: String,
    },
    /// A value outside its range.
    #[error(transparent)]
    OutOfRange(#[from] OutOfRange),
}

/// What goes into a suspension of `wanted` percent and `volume`, from cells that are `hematocrit`
/// percent of their volume: packed washed cells about 80 to 100, whole blood its PCV. From whole
/// blood, the volume is that of blood before washing.
///
/// cells = wanted × volume / hematocrit; saline is the rest.
///
/// # Errors
/// If the cells are thinner than the suspension that is wanted.
///
/// # Source
/// Arithmetic. Recipes with the same result are published, such as 10 µL of cells and 490 µL of
/// saline for 2 %: see the tests.
///
/// ```
/// # use crossread_core::prepare::suspension;
/// let made = suspension(&"100".parse()?, &"2".parse()?, &"500".parse()?).map_err(|e| e.to_string())?;
/// assert_eq!(made.cells_ul.to_string(), "10 µL");
/// # Ok::<_, String>(())
/// ```
pub fn suspension(
    hematocrit: &Percent,
    wanted: &Percent,
    volume: &Microliters,
) -> Result<Suspension, CannotPrepare> {
    if wanted.ratio() > hematocrit.ratio() {
        return Err(CannotPrepare::TooThin {
            have: hematocrit.to_string(),
            wanted: wanted.to_string(),
        });
    }
    let cells: BigRational = wanted.ratio() * volume.ratio() / hematocrit.ratio();
    let saline: BigRational = volume.ratio() - &cells;
    let none = saline == BigRational::from(BigInt::from(0));
    Ok(Suspension {
        cells_ul: Microliters::new(Exact(cells))?,
        saline_ul: if none { None } else { Some(Microliters::new(Exact(saline))?) },
    })
}
