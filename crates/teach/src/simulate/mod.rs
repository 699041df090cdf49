//! Simulated cases with a known truth.
//!
//! A case is drawn from a seed: genotypes at published frequencies, antibodies with titer and
//! class, rouleaux, autoantibody, and mistakes of technique. What an attentive technician would
//! see is written on a worksheet like any other, and the key of the case is what
//! [`crossread_core::interpret`] makes of it. What the numbers rest on stands in one data file, see
//! [`Assumptions`].
//!
//! Everything is whole numbers, so that a seed gives the same case on every platform.
//!
//! ```
//! use crossread_core::Protocols;
//! use crossread_core::words::{Method, Product, Species};
//! use crossread_teach::simulate::{Assumptions, Difficulty, Setting, simulate};
//!
//! let mut shipped = Protocols::shipped().iter();
//! let dogs = shipped.find(|one| one.species().contains(&Species::Dog)).ok_or("no protocol")?;
//! let values = &Assumptions::shipped().ok_or("no assumptions")?.values;
//! let setting = Setting {
//!     species: Species::Dog,
//!     method: Method::Tube,
//!     donors: 2,
//!     product: Product::PackedCells,
//!     difficulty: Difficulty::Usual,
//! };
//! let case = simulate(42, 0, &setting, dogs, values)?;
//! let answer = crossread_core::interpret(&case.worksheet, dogs);
//! assert_eq!(answer.pairs.len(), 2);
//! # Ok::<_, Box<dyn std::error::Error>>(())
//! ```

mod antibody;
mod assumptions;
mod bench;
mod blood;
mod case;
mod mixture;
mod reader;
mod rouleaux;

pub use antibody::{Antibody, Class, Origin};
pub use assumptions::{Assumptions, DOCUMENT, Mark, Stated, Unit, Values};
pub use blood::{Antigen, Blood};
pub use case::{
    AnimalTruth, CannotSimulate, Case, Difficulty, Made, Mistake, Setting, Truth, simulate,
};
pub use mixture::{MAIN, at_place, place};
pub use reader::{Practice, Reader};

pub(crate) use bench::{Bench, clock, day};
