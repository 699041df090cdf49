//! Bench arithmetic: suspensions, spin, ratios, tubes and volumes, donors to test, titration.
//!
//! All of it is exact: whole numbers and fractions, no floats. A result is a fraction; where it is
//! shown, it is rounded half up to the decimals that its unit has. Quantities of different units
//! are different types, so that microliters cannot be taken for percent.

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
