word! {
    /// A blood group system of dogs, cats or horses.
    System is "a blood group system" {
        /// The cat's AB system; results `A`, `B`, `AB`.
        Ab = "AB",
        /// Dog erythrocyte antigen 1.
        Dea1 = "DEA 1",
        /// Dog erythrocyte antigen 3.
        Dea3 = "DEA 3",
        /// Dog erythrocyte antigen 4.
        Dea4 = "DEA 4",
        /// Dog erythrocyte antigen 5.
        Dea5 = "DEA 5",
        /// Dog erythrocyte antigen 7.
        Dea7 = "DEA 7",
        /// The dog's Dal antigen.
        Dal = "Dal",
        /// The dog's Kai 1 antigen.
        Kai1 = "Kai 1",
        /// The dog's Kai 2 antigen.
        Kai2 = "Kai 2",
        /// The cat's Mik antigen.
        Mik = "Mik",
        /// Feline erythrocyte antigen 1.
        Fea1 = "FEA 1",
        /// The horse's Aa factor.
        Aa = "Aa",
        /// The horse's Ca factor.
        Ca = "Ca",
        /// The horse's Qa factor.
        Qa = "Qa",
        /// The horse's Ua factor.
        Ua = "Ua",
    }
}

impl System {
    /// The results that this system knows.
    ///
    /// ```
    /// # use crossread_core::words::{System, TypeResult};
    /// assert!(System::Ab.results().contains(&TypeResult::B));
    /// assert!(!System::Dea1.results().contains(&TypeResult::B));
    /// ```
    pub fn results(self) -> &'static [TypeResult] {
        match self {
            Self::Ab => &[TypeResult::A, TypeResult::B, TypeResult::Ab],
            Self::Dea1
            | Self::Dea3
            | Self::Dea4
            | Self::Dea5
            | Self::Dea7
            | Self::Dal
            | Self::Kai1
            | Self::Kai2
            | Self::Mik
            | Self::Fea1
            | Self::Aa
            | Self::Ca
            | Self::Qa
            | Self::Ua => &[TypeResult::Positive, TypeResult::Weak, TypeResult::Negative],
        }
    }
}

word! {
    /// The result of a blood typing.
    TypeResult is "a typing result" {
        /// Type A.
        A = "A",
        /// Type B.
        B = "B",
        /// Type AB.
        Ab = "AB",
        /// The antigen is there.
        Positive = "positive",
        /// The antigen is there, weakly.
        Weak = "weak",
        /// The antigen is not there.
        Negative = "negative",
    }
}

impl TypeResult {
    /// Whether the antigen is there, however weakly.
    ///
    /// ```
    /// # use crossread_core::words::TypeResult;
    /// assert!(TypeResult::Weak.is_present());
    /// // Results of the AB system name a type, and no antigen that is there or not.
    /// assert!(!TypeResult::A.is_present() && !TypeResult::Negative.is_present());
    /// ```
    pub fn is_present(self) -> bool {
        match self {
            Self::Positive | Self::Weak => true,
            Self::A | Self::B | Self::Ab | Self::Negative => false,
        }
    }

    /// Whether two results in one system can both be right. A weak and a positive result say the
    /// same: the antigen is there.
    ///
    /// ```
    /// # use crossread_core::words::TypeResult;
    /// assert!(TypeResult::Weak.agrees_with(TypeResult::Positive));
    /// assert!(!TypeResult::Weak.agrees_with(TypeResult::Negative));
    /// assert!(!TypeResult::Ab.agrees_with(TypeResult::A));
    /// ```
    pub fn agrees_with(self, other: Self) -> bool {
        self == other || (self.is_present() && other.is_present())
    }
}
