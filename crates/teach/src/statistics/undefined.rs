//! Why a figure has no value.

use serde::Serialize;
use serde::ser::{SerializeMap as _, Serializer};
use thiserror::Error;

/// Why a figure has no value. It is an answer, not a mistake: the readings do not hold the figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Error)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Undefined {
    /// No case was counted.
    #[error("there was nothing to count")]
    NoCases,
    /// One case where two are needed.
    #[error("it takes at least two")]
    OneCase,
    /// No item was read by two readers.
    #[error("no item has two readings")]
    NoPairs,
    /// Every reading is the same grade, so that agreement by chance is complete.
    #[error("every reading is the same grade, so that chance alone would agree as well")]
    OneGrade,
    /// The items were not all read by the same number of readers.
    #[error("not every item was read by every reader")]
    UnequalReaders,
    /// All values that were to be compared are equal.
    #[error("there is no variation to compare")]
    NoVariation,
    /// The standard error is 0 or all resamples are alike: an interval would claim certainty.
    #[error("nothing varies, and an interval of no width would claim too much")]
    NoSpread,
    /// The two readings never differ.
    #[error("no reading differs from the other")]
    NoDifference,
    /// The weights were given for a scale with another number of grades.
    #[error("the weights belong to another scale")]
    OtherScale,
    /// Too few resamples lie beyond the end of the interval.
    #[error("there are too few resamples for this confidence")]
    FewResamples,
    /// So many resamples have no value that an end of the interval cannot be told.
    #[error("too many resamples have no value")]
    EmptyResamples,
    /// All resamples lie on one side of the figure, or the correction leaves the scale.
    #[error("the resamples cannot be corrected for bias")]
    Uncorrectable,
}

/// A figure, or why it has none.
pub type Value = Result<f64, Undefined>;

/// Writes a figure as itself, or as an object with the reason.
pub(super) fn written<T: Serialize, S: Serializer>(
    value: &Result<T, Undefined>,
    serializer: S,
) -> Result<S::Ok, S::Error> {
    match value {
        Ok(value) => value.serialize(serializer),
        Err(reason) => {
            let mut map = serializer.serialize_map(Some(2))?;
            map.serialize_entry("undefined", reason)?;
            map.serialize_entry("because", &reason.to_string())?;
            map.end()
        }
    }
}
