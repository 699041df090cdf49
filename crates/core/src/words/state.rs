word! {
    /// What one mixture at one phase came to.
    State is "a state" {
        /// Nobody looked.
        Absent = "absent",
        /// Looked at, but the hemolysis that the method asks for was not.
        Unread = "unread",
        /// Looked at, but the result cannot be used.
        Void = "void",
        /// No reaction.
        Negative = "negative",
        /// A reaction too weak or too doubtful to call.
        Doubtful = "doubtful",
        /// A reaction.
        Reactive = "reactive",
    }
}

impl State {
    /// Whether a reaction was seen that may be real.
    ///
    /// ```
    /// # use crossread_core::words::State;
    /// assert!(State::Doubtful.is_reactive_or_doubtful());
    /// // What cannot be used says neither yes nor no.
    /// assert!(!State::Void.is_reactive_or_doubtful());
    /// ```
    pub fn is_reactive_or_doubtful(self) -> bool {
        match self {
            Self::Reactive | Self::Doubtful => true,
            Self::Absent | Self::Unread | Self::Void | Self::Negative => false,
        }
    }
}
