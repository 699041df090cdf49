word! {
    /// What one test came to over its deciding phases.
    Summary is "a summary" {
        /// A required phase was not read.
        NotRead = "not_read",
        /// A phase was read and cannot be used, and nothing else was seen.
        Void = "void",
        /// No reaction.
        Negative = "negative",
        /// A doubtful reaction.
        Doubtful = "doubtful",
        /// A reaction.
        Reactive = "reactive",
    }
}

impl Summary {
    /// Whether a reaction was seen that may be real.
    ///
    /// ```
    /// # use crossread_core::words::Summary;
    /// assert!(Summary::Reactive.is_reactive_or_doubtful());
    /// assert!(!Summary::NotRead.is_reactive_or_doubtful());
    /// ```
    pub fn is_reactive_or_doubtful(self) -> bool {
        match self {
            Self::Reactive | Self::Doubtful => true,
            Self::NotRead | Self::Void | Self::Negative => false,
        }
    }
}
