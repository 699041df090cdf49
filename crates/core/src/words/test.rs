word! {
    /// One kind of mixture of plasma (or saline) and washed red cells.
    Test is "a test" {
        /// Recipient plasma with donor cells.
        Major = "major",
        /// Donor plasma with recipient cells.
        Minor = "minor",
        /// Recipient plasma with recipient cells.
        RecipientAuto = "recipient_auto",
        /// Donor plasma with donor cells.
        DonorAuto = "donor_auto",
        /// Saline with recipient cells.
        RecipientSaline = "recipient_saline",
        /// Saline with donor cells.
        DonorSaline = "donor_saline",
    }
}

impl Test {
    /// The four tests that hold plasma; the other two are saline controls.
    pub const FOUR: [Self; 4] = [Self::Major, Self::Minor, Self::RecipientAuto, Self::DonorAuto];

    /// Whether a reading of this test must name a donor.
    ///
    /// ```
    /// # use crossread_core::words::Test;
    /// assert!(Test::DonorSaline.needs_donor() && Test::DonorSaline.is_saline_control());
    /// assert!(!Test::RecipientAuto.needs_donor() && Test::RecipientAuto.is_autocontrol());
    /// ```
    pub fn needs_donor(self) -> bool {
        match self {
            Self::Major | Self::Minor | Self::DonorAuto | Self::DonorSaline => true,
            Self::RecipientAuto | Self::RecipientSaline => false,
        }
    }

    /// Whether the mixture holds saline instead of plasma.
    ///
    /// ```
    /// # use crossread_core::words::Test;
    /// assert!(Test::RecipientSaline.is_saline_control());
    /// assert!(Test::FOUR.iter().all(|test| !test.is_saline_control()));
    /// ```
    pub fn is_saline_control(self) -> bool {
        match self {
            Self::RecipientSaline | Self::DonorSaline => true,
            Self::Major | Self::Minor | Self::RecipientAuto | Self::DonorAuto => false,
        }
    }

    /// Whether one animal gave both the plasma and the cells.
    ///
    /// ```
    /// # use crossread_core::words::Test;
    /// assert!(Test::DonorAuto.is_autocontrol());
    /// assert!(!Test::DonorSaline.is_autocontrol());
    /// ```
    pub fn is_autocontrol(self) -> bool {
        match self {
            Self::RecipientAuto | Self::DonorAuto => true,
            Self::Major | Self::Minor | Self::RecipientSaline | Self::DonorSaline => false,
        }
    }

    /// The name in a sentence.
    pub fn spoken(self) -> &'static str {
        match self {
            Self::Major => "major",
            Self::Minor => "minor",
            Self::RecipientAuto => "recipient autocontrol",
            Self::DonorAuto => "donor autocontrol",
            Self::RecipientSaline => "recipient saline control",
            Self::DonorSaline => "donor saline control",
        }
    }
}
