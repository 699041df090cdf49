word! {
    /// At which step a mixture is read.
    Phase is "a phase" {
        /// At room temperature.
        Room = "room",
        /// After incubation at 37 °C.
        Warm37c = "warm_37c",
        /// After antiglobulin.
        Antiglobulin = "antiglobulin",
        /// At 4 °C.
        Cold4c = "cold_4c",
    }
}

impl Phase {
    /// The name in a sentence, with its preposition.
    pub fn spoken(self) -> &'static str {
        match self {
            Self::Room => "at room temperature",
            Self::Warm37c => "at 37 °C",
            Self::Antiglobulin => "at antiglobulin",
            Self::Cold4c => "at 4 °C",
        }
    }
}
