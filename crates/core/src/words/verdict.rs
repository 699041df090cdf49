use super::Effect;

word! {
    /// The answer for one donor, from free to use to not.
    Verdict is "a verdict" {
        /// No reaction was found and nothing stands against it.
        Compatible = "compatible",
        /// No reaction was found, and something must be known before use.
        CompatibleWithCaveats = "compatible_with_caveats",
        /// Finish reading.
        Incomplete = "incomplete",
        /// The readings are good but cannot be told apart: work it up.
        Indeterminate = "indeterminate",
        /// The reading or the run cannot be used: repeat.
        Invalid = "invalid",
        /// Do not give this unit.
        Incompatible = "incompatible",
    }
}

impl Verdict {
    /// Whether a unit with this verdict may be released at all.
    ///
    /// ```
    /// # use crossread_core::words::Verdict;
    /// let free: Vec<_> = Verdict::ALL.iter().filter(|verdict| verdict.is_releasable()).collect();
    /// assert_eq!(free, [&Verdict::Compatible, &Verdict::CompatibleWithCaveats]);
    /// ```
    pub fn is_releasable(self) -> bool {
        match self {
            Self::Compatible | Self::CompatibleWithCaveats => true,
            Self::Incomplete | Self::Indeterminate | Self::Invalid | Self::Incompatible => false,
        }
    }

    /// The word as people say it.
    pub fn spoken(self) -> &'static str {
        match self {
            Self::Compatible => "compatible",
            Self::CompatibleWithCaveats => "compatible with caveats",
            Self::Incomplete => "incomplete",
            Self::Indeterminate => "indeterminate",
            Self::Invalid => "invalid",
            Self::Incompatible => "incompatible",
        }
    }
}

impl From<Effect> for Verdict {
    /// The verdict of a pair is the greatest effect among its findings.
    fn from(greatest: Effect) -> Self {
        match greatest {
            Effect::Note => Self::Compatible,
            Effect::Caveat => Self::CompatibleWithCaveats,
            Effect::Incomplete => Self::Incomplete,
            Effect::Indeterminate => Self::Indeterminate,
            Effect::Invalid => Self::Invalid,
            Effect::Incompatible => Self::Incompatible,
        }
    }
}
