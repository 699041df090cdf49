word! {
    /// Something seen in the tube, slide or column that spoils the reading.
    Artefact is "an artefact" {
        /// An air bubble in the column, or between sample and gel.
        Bubble = "bubble",
        /// A dried or cracked column.
        DriedColumn = "dried_column",
        /// The spin was interrupted.
        InterruptedSpin = "interrupted_spin",
        /// A line of cells down one side of the column.
        Streak = "streak",
        /// The sample is smeared along the column.
        Spread = "spread",
        /// Steps were done in the wrong order.
        WrongOrder = "wrong_order",
        /// Strands of fibrin hold cells together.
        Fibrin = "fibrin",
        /// Too many cells in the column or tube.
        Overloaded = "overloaded",
        /// Spun too hard or too long.
        HardSpin = "hard_spin",
        /// Shaken too hard.
        ShakenHard = "shaken_hard",
    }
}

/// Which results an artefact takes away.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(clippy::exhaustive_enums, reason = "a result is positive or negative")]
pub enum Spoils {
    /// Neither a positive nor a negative can be trusted.
    Both,
    /// A positive cannot be trusted.
    Positive,
    /// A negative cannot be trusted.
    Negative,
}

impl Artefact {
    /// Which results this artefact takes away.
    ///
    /// ```
    /// # use crossread_core::words::{Artefact, Spoils};
    /// // Fibrin looks like clumps, so what reacts cannot be believed; a negative can.
    /// assert_eq!(Artefact::Fibrin.spoils(), Spoils::Positive);
    /// assert_eq!(Artefact::ShakenHard.spoils(), Spoils::Negative);
    /// ```
    pub fn spoils(self) -> Spoils {
        match self {
            Self::Bubble
            | Self::DriedColumn
            | Self::InterruptedSpin
            | Self::Streak
            | Self::Spread
            | Self::WrongOrder => Spoils::Both,
            Self::Fibrin => Spoils::Positive,
            Self::Overloaded | Self::HardSpin | Self::ShakenHard => Spoils::Negative,
        }
    }
}
