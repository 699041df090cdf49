//! Bench arithmetic: suspensions, spin, ratios, tubes and volumes, donors to test, titration.
//!
//! All of it is exact: whole numbers and fractions, no floats. A result is a fraction; where it is
//! shown, it is rounded half up to the decimals that its unit has. Quantities of different units
//! are different types, so that microliters cannot be taken for percent.
//!
//! ```
//! use crossread_core::prepare::{Exact, donors_to_test, suspension, times_g};
//!
//! // 500 µL of a 4 % suspension, from packed cells that are 80 % of their volume.
//! let made = suspension(&"80".parse()?, &"4".parse()?, &"500".parse()?)?;
//! assert_eq!(made.cells_ul.to_string(), "25 µL");
//! // 3400 rpm at a radius of 8.5 cm.
//! assert_eq!(times_g(&"3400".parse()?, &"8.5".parse()?)?.to_string(), "1099 × g");
//! // One donor in four is compatible, and one is to be found with 95 %.
//! let (quarter, surely): (Exact, Exact) = ("1/4".parse()?, "0.95".parse()?);
//! assert_eq!(donors_to_test(1, &quarter, &surely)?, 11);
//! # Ok::<_, Box<dyn std::error::Error>>(())
//! ```

#![expect(
    clippy::arithmetic_side_effects,
    reason = "fractions of any size cannot overflow, and no divisor is 0: quantities are over 0"
)]

mod dilution;
mod exact;
mod plan;
mod quantity;
mod screen;
mod spin;
mod suspension;
mod titer;

pub use dilution::{Dilution, dilution, percent_of_drops, plasma_to_cells, residual_plasma};
pub use exact::Exact;
pub use plan::{Available, CannotPlan, FromAnimal, Mixture, Plan, plan, rack};
pub use quantity::{
    Celsius, Centimeter, Centimeters, DegreeCelsius, DropOfMilliliter, DropsPerMilliliter, Gravity,
    Kilogram, Kilograms, Microliter, Microliters, Milliliter, Milliliters, OfHundred,
    OfHundredOrNone, OutOfRange, PackedCellVolume, Pcv, PerMinute, Percent, Quantity,
    RevolutionsPerMinute, Share, TimesG, Unit,
};
pub use screen::{
    CannotScreen, MOST_DONORS, MOST_IN_STOCK, Stock, donors_from_stock, donors_to_test,
};
pub use spin::{revolutions_per_minute, times_g};
pub use suspension::{CannotPrepare, Suspension, suspension};
pub use titer::{Change, Titer, Titration, change};
