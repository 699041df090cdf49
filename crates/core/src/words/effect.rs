word! {
    /// What a finding does to the verdict, from nothing to the most.
    ///
    /// The verdict of a pair is the greatest effect among its findings, so the order in which
    /// rules run can never matter.
    Effect is "an effect" {
        /// Worth knowing; the verdict does not change.
        Note = "note",
        /// The unit may be used if this is known.
        Caveat = "caveat",
        /// Something needed was not read.
        Incomplete = "incomplete",
        /// The readings cannot be told apart.
        Indeterminate = "indeterminate",
        /// The reading or the run cannot be used.
        Invalid = "invalid",
        /// The unit must not be given.
        Incompatible = "incompatible",
    }
}
