word! {
    /// What the unit looked like before use.
    Inspection is "an inspection result" {
        /// As it should.
        Normal = "normal",
        /// The fluid is red.
        Hemolyzed = "hemolyzed",
        /// The color is wrong.
        Discolored = "discolored",
        /// There are clots.
        Clotted = "clotted",
        /// Nobody looked.
        NotInspected = "not_inspected",
    }
}

impl Inspection {
    /// Whether the look alone forbids the unit.
    ///
    /// ```
    /// # use crossread_core::words::Inspection;
    /// assert!(Inspection::Clotted.is_unfit());
    /// // Nobody looked: that is told, and does not forbid the unit by itself.
    /// assert!(!Inspection::NotInspected.is_unfit());
    /// ```
    pub fn is_unfit(self) -> bool {
        match self {
            Self::Hemolyzed | Self::Discolored | Self::Clotted => true,
            Self::Normal | Self::NotInspected => false,
        }
    }
}
