word! {
    /// The shape of what is clumped.
    Pattern is "a pattern" {
        /// Three-dimensional clumps, like grapes.
        Clumps = "clumps",
        /// Cells stacked on their flat faces, like coins: rouleaux.
        Stacks = "stacks",
        /// Clumps and stacks together.
        Both = "both",
        /// Not to be told.
        Unsure = "unsure",
    }
}

impl Pattern {
    /// Whether stacks were seen.
    ///
    /// ```
    /// # use crossread_core::words::Pattern;
    /// assert!(Pattern::Stacks.has_stacks() && Pattern::Both.has_stacks());
    /// assert!(!Pattern::Unsure.has_stacks());
    /// ```
    pub fn has_stacks(self) -> bool {
        match self {
            Self::Stacks | Self::Both => true,
            Self::Clumps | Self::Unsure => false,
        }
    }
}
