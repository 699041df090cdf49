use crate::words::{Phase, Test};
use crate::worksheet::{Owner, Reading, Worksheet};

/// One mixture at one phase.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Mixture {
    pub(crate) test: Test,
    /// The donor in it; also of the recipient's own tests it does not matter which.
    pub(crate) donor: usize,
    pub(crate) phase: Phase,
}

/// How many groups the recipient's own two tests have, and those of one donor.
const PHASES: usize = Phase::ALL.len();
const OWN: usize = 2 * PHASES;
const PER_DONOR: usize = 4 * PHASES;

impl Mixture {
    /// Its number among the groups of a worksheet.
    fn number(self) -> usize {
        let (first, test) = match self.test {
            Test::RecipientAuto => (0, 0),
            Test::RecipientSaline => (0, 1),
            Test::Major => (self.donors(), 0),
            Test::Minor => (self.donors(), 1),
            Test::DonorAuto => (self.donors(), 2),
            Test::DonorSaline => (self.donors(), 3),
        };
        let phase = match self.phase {
            Phase::Room => 0,
            Phase::Warm37c => 1,
            Phase::Antiglobulin => 2,
            Phase::Cold4c => 3,
        };
        PHASES.saturating_mul(test).saturating_add(first).saturating_add(phase)
    }

    fn donors(self) -> usize {
        PER_DONOR.saturating_mul(self.donor).saturating_add(OWN)
    }

    /// The animal that gave the plasma; `None` for a saline control.
    pub(crate) fn plasma_of(self) -> Option<Owner> {
        match self.test {
            Test::Major | Test::RecipientAuto => Some(Owner::Recipient),
            Test::Minor | Test::DonorAuto => Some(Owner::Donor(self.donor)),
            Test::RecipientSaline | Test::DonorSaline => None,
        }
    }

    /// The animal that gave the cells.
    pub(crate) fn cells_of(self) -> Owner {
        match self.test {
            Test::Major | Test::DonorAuto | Test::DonorSaline => Owner::Donor(self.donor),
            Test::Minor | Test::RecipientAuto | Test::RecipientSaline => Owner::Recipient,
        }
    }
}

/// The readings of a worksheet that count, by mixture, and one thing kept for each mixture.
#[derive(Debug)]
pub(crate) struct Mixtures<T> {
    /// Numbers of readings, those of one mixture together, in the order of the document.
    readings: Vec<usize>,
    /// For each mixture where its readings end; they start where the one before ends.
    ends: Vec<usize>,
    each: Vec<T>,
}

impl<T: Copy + Default> Mixtures<T> {
    /// Sorts the readings by mixture, in one pass. Retracted ones do not count.
    pub(crate) fn of(worksheet: &Worksheet) -> Self {
        let groups = PER_DONOR.saturating_mul(worksheet.donors().len()).saturating_add(OWN);
        let mut ends = vec![0_usize; groups];
        let counting = || worksheet.readings().iter().enumerate().filter(|(_, r)| counts(r));
        for (_, reading) in counting() {
            if let Some(end) = ends.get_mut(mixture_of(reading).number()) {
                *end = end.saturating_add(1);
            }
        }
        let mut total = 0_usize;
        for end in &mut ends {
            // First each holds where its readings start; filling moves it to where they end.
            total = total.saturating_add(std::mem::replace(end, total));
        }
        let mut readings = vec![0_usize; total];
        for (index, reading) in counting() {
            if let Some(end) = ends.get_mut(mixture_of(reading).number())
                && let Some(place) = readings.get_mut(*end)
            {
                *place = index;
                *end = end.saturating_add(1);
            }
        }
        Self { readings, ends, each: vec![T::default(); groups] }
    }

    /// The numbers of the readings of a mixture that count.
    pub(crate) fn readings(&self, mixture: Mixture) -> &[usize] {
        let number = mixture.number();
        let start = number.checked_sub(1).and_then(|before| self.ends.get(before)).copied();
        let end = self.ends.get(number).copied().unwrap_or_default();
        self.readings.get(start.unwrap_or_default()..end).unwrap_or_default()
    }

    /// What is kept for a mixture.
    pub(crate) fn get(&self, mixture: Mixture) -> T {
        self.each.get(mixture.number()).copied().unwrap_or_default()
    }

    pub(crate) fn set(&mut self, mixture: Mixture, value: T) {
        if let Some(place) = self.each.get_mut(mixture.number()) {
            *place = value;
        }
    }
}

fn counts(reading: &Reading) -> bool {
    reading.retracted.is_none()
}

fn mixture_of(reading: &Reading) -> Mixture {
    Mixture { test: reading.test, donor: reading.donor.unwrap_or_default(), phase: reading.phase }
}
