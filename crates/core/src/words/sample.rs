word! {
    /// What of a sample goes into the mixtures.
    SampleRole is "a role of a sample" {
        /// Its plasma or serum.
        Plasma = "plasma",
        /// Its cells.
        Cells = "cells",
        /// Its plasma and its cells.
        Both = "both",
    }
}

impl SampleRole {
    /// Whether the plasma or serum of the sample is used.
    ///
    /// ```
    /// # use crossread_core::words::SampleRole;
    /// assert!(SampleRole::Both.gives_plasma() && !SampleRole::Cells.gives_plasma());
    /// ```
    pub fn gives_plasma(self) -> bool {
        match self {
            Self::Plasma | Self::Both => true,
            Self::Cells => false,
        }
    }
}

word! {
    /// The tube a sample was drawn into, by what keeps it from clotting.
    Anticoagulant is "a kind of tube" {
        /// No anticoagulant: serum.
        Serum = "serum",
        /// EDTA.
        Edta = "edta",
        /// Citrate.
        Citrate = "citrate",
        /// Heparin.
        Heparin = "heparin",
        /// Citrate phosphate dextrose adenine, as in a unit's segment.
        Cpda = "cpda",
    }
}

word! {
    /// Where a sample was kept.
    Storage is "a place of storage" {
        /// At room temperature.
        Room = "room",
        /// In the refrigerator.
        Fridge = "fridge",
    }
}
