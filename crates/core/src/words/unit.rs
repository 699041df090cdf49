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
    pub fn is_unfit(self) -> bool {
        match self {
            Self::Hemolyzed | Self::Discolored | Self::Clotted => true,
            Self::Normal | Self::NotInspected => false,
        }
    }
}
