//! The words that only a protocol uses.

use crate::words::{Effect, word};

word! {
    /// What a phase is for.
    PhaseRole is "a role of a phase" {
        /// A required test must be read there; it decides.
        Required = "required",
        /// A required test must be read in at least one phase of this role; it decides.
        OneOf = "one_of",
        /// It decides if it is read.
        Optional = "optional",
        /// It is recorded and never decides.
        Informative = "informative",
    }
}

impl PhaseRole {
    /// Whether a reading at this phase can decide.
    ///
    /// ```
    /// # use crossread_core::protocol::PhaseRole;
    /// assert!(PhaseRole::OneOf.is_deciding());
    /// assert!(!PhaseRole::Informative.is_deciding());
    /// ```
    pub fn is_deciding(self) -> bool {
        match self {
            Self::Required | Self::OneOf | Self::Optional => true,
            Self::Informative => false,
        }
    }
}

word! {
    /// Whether something is advised.
    Advice is "advised or not" {
        /// It is advised.
        Advised = "advised",
        /// It is not.
        NotAdvised = "not_advised",
    }
}

word! {
    /// Whether a test must be read.
    TestRole is "a role of a test" {
        /// It must be read.
        Required = "required",
        /// It may be read.
        Optional = "optional",
    }
}

word! {
    /// Whether hemolysis must be looked for with a method.
    HemolysisRule is "a rule for hemolysis" {
        /// A negative reading without a look for hemolysis does not count.
        Required = "required",
        /// It is recorded if it was looked for.
        Optional = "optional",
        /// It cannot be read with this method.
        NotReadable = "not_readable",
    }
}

word! {
    /// What a negative test is worth beside a reactive autocontrol of its plasma.
    NegativeTestRule is "a rule for a negative test" {
        /// It stands.
        Caveat = "caveat",
        /// It does not stand.
        Unresolved = "unresolved",
        /// It stands if the saline control shows that the fault lies in the cells.
        CaveatIfSalineControlReactive = "caveat_if_saline_control_reactive",
    }
}

word! {
    /// What a negative antiglobulin reading without check cells is worth.
    CheckCellsMissing is "a rule for missing check cells" {
        /// It stands, with a caveat.
        Caveat = "caveat",
        /// It is void.
        Void = "void",
    }
}

word! {
    /// How much is made of something that does not forbid a unit.
    Remark is "`note` or `caveat`" {
        /// Worth knowing.
        Note = "note",
        /// To be known before use.
        Caveat = "caveat",
    }
}

impl From<Remark> for Effect {
    fn from(remark: Remark) -> Self {
        match remark {
            Remark::Note => Self::Note,
            Remark::Caveat => Self::Caveat,
        }
    }
}

word! {
    /// Whose blood types are compared.
    TypeRules is "a set of type rules" {
        /// DEA 1.
        Dog = "dog",
        /// The AB system.
        Cat = "cat",
        /// Aa, Ca and Qa.
        Horse = "horse",
        /// None.
        None = "none",
    }
}
