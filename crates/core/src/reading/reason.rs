/// Why a reading was taken as it was. Each is a finding of the pair.
#[derive(Clone, Copy, Debug, PartialEq, Eq, strum::VariantArray)]
pub(crate) enum Reason {
    ReadingUnreadable,
    RecheckNotCounted,
    ReadersDisagree,
    ReactionBelowCutOff,
    DilutionTooLow,
    DilutionTooHigh,
    RecheckStronger,
    RecheckNotValid,
    RouleauxPartial,
    RouleauxDispersed,
    RouleauxNotRechecked,
    DispersalImplausible,
    DispersalUnexplained,
    HemolysisMasked,
    HemolysisNotRead,
    ArtefactSpoilsReading,
    ArtefactFalsePositive,
    ArtefactFalseNegative,
    ReadingEarly,
    ReadingLate,
    SlideDried,
    CheckCellsFailed,
    CheckCellsMissing,
    PositiveControlFailed,
    NegativeControlReactive,
    SampleRejected,
    LabelMismatch,
    SuspensionTooHeavy,
    IncubationShort,
    IncubationLong,
    SalineControlsReactive,
    AutocontrolReactiveTestNegative,
    AutocontrolMissing,
    AutocontrolExplains,
}

impl Reason {
    fn bit(self) -> u64 {
        // There are fewer than 64 reasons; a test counts them.
        #[expect(clippy::as_conversions, reason = "the number of a variant, below 64")]
        1_u64.wrapping_shl(self as u32)
    }
}

/// A set of reasons.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Reasons(u64);

impl Reasons {
    pub(crate) fn add(&mut self, reason: Reason) {
        self.0 |= reason.bit();
    }

    pub(crate) fn add_if(&mut self, holds: bool, reason: Reason) {
        if holds {
            self.add(reason);
        }
    }

    pub(crate) fn has(self, reason: Reason) -> bool {
        self.0 & reason.bit() != 0
    }

    pub(crate) fn and(self, others: Self) -> Self {
        Self(self.0 | others.0)
    }
}

#[cfg(test)]
mod tests {
    use super::Reason;
    use strum::VariantArray as _;

    #[test]
    fn every_reason_has_a_bit_of_its_own() {
        let all = Reason::VARIANTS.iter().fold(0_u64, |bits, reason| bits | reason.bit());
        assert_eq!(usize::try_from(all.count_ones()).unwrap(), Reason::VARIANTS.len());
    }
}
