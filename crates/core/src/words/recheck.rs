word! {
    /// What was done to a mixture before it was read again.
    Recheck is "a kind of recheck" {
        /// The plasma was taken off and replaced by the same volume of saline.
        SalineReplacement = "saline_replacement",
        /// Saline was added.
        SalineDilution = "saline_dilution",
        /// The cells were washed.
        Wash = "wash",
    }
}
