//! A whole run: each test over its phases, each major and minor beside its controls, the controls
//! beside each other, and the pattern of four.

mod conclusion;
mod controls;
mod pattern;
mod readings;
mod summary;

pub(crate) use conclusion::Concluded;
pub use conclusion::{Controlled, Standing};
pub(crate) use controls::inconsistent;
pub use pattern::{Cause, Rows};
pub(crate) use readings::Run;
pub(crate) use summary::{Summed, Sums};

use crate::words::Test;

/// The controls of a test: of its plasma's animal and of its cells' animal.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Controls {
    /// The autocontrol of the animal that gave the plasma.
    pub(crate) plasma_auto: Test,
    /// The autocontrol of the animal that gave the cells.
    pub(crate) cell_auto: Test,
    /// The saline control of the animal that gave the plasma.
    pub(crate) plasma_saline: Test,
    /// The saline control of the animal that gave the cells.
    pub(crate) cell_saline: Test,
}

impl Controls {
    /// The controls of a major or minor; no other test has any.
    pub(crate) fn of(test: Test) -> Option<Self> {
        match test {
            Test::Major => Some(Self {
                plasma_auto: Test::RecipientAuto,
                cell_auto: Test::DonorAuto,
                plasma_saline: Test::RecipientSaline,
                cell_saline: Test::DonorSaline,
            }),
            Test::Minor => Some(Self {
                plasma_auto: Test::DonorAuto,
                cell_auto: Test::RecipientAuto,
                plasma_saline: Test::DonorSaline,
                cell_saline: Test::RecipientSaline,
            }),
            Test::RecipientAuto | Test::DonorAuto | Test::RecipientSaline | Test::DonorSaline => {
                None
            }
        }
    }
}
