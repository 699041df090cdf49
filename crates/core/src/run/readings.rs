use super::summary::{Summed, Sums, saline, summed};
use super::{Controls, controls};
use crate::protocol::{MethodRules, Rules};
use crate::reading::{Conditions, Mixture, Mixtures, Outcome, outcome};
use crate::words::{Phase, Test};
use crate::worksheet::{Reading, Worksheet};

/// All mixtures of a worksheet, read.
#[derive(Debug)]
pub(crate) struct Run<'w> {
    pub(crate) worksheet: &'w Worksheet,
    pub(crate) conditions: Conditions<'w>,
    recipient_auto: Summed,
    recipient_saline: Summed,
    /// The saline controls of both sides reacted, so the fault lies in what they share.
    pub(crate) saline_controls_reactive: bool,
    mixtures: Mixtures<Outcome>,
}

impl<'w> Run<'w> {
    /// Reads every mixture: the saline controls first, because they can spoil all others, then the
    /// autocontrols, because a major and a minor are read beside them.
    pub(crate) fn of(
        worksheet: &'w Worksheet,
        rules: &'w Rules,
        of_method: &'w MethodRules,
    ) -> Self {
        let mut run = Self {
            worksheet,
            conditions: Conditions::of(worksheet, rules, of_method),
            recipient_auto: Summed::default(),
            recipient_saline: Summed::default(),
            saline_controls_reactive: false,
            mixtures: Mixtures::of(worksheet),
        };
        run.read(Test::RecipientSaline, 0);
        for donor in run.donors() {
            run.read(Test::DonorSaline, donor);
        }
        run.recipient_saline = run.summed(Test::RecipientSaline, 0);
        run.saline_controls_reactive = controls::saline_controls_reactive(
            run.recipient_saline.summary,
            run.donors().map(|donor| run.summed(Test::DonorSaline, donor).summary),
        );
        run.read(Test::RecipientAuto, 0);
        for donor in run.donors() {
            run.read(Test::DonorAuto, donor);
            run.read(Test::Major, donor);
            run.read(Test::Minor, donor);
        }
        run.recipient_auto = run.summed(Test::RecipientAuto, 0);
        run
    }

    fn donors(&self) -> std::ops::Range<usize> {
        0..self.worksheet.donors().len()
    }

    fn read(&mut self, test: Test, donor: usize) {
        for phase in self.phases() {
            let mixture = Mixture { test, donor, phase };
            let readings = self.mixtures.readings(mixture);
            if readings.is_empty() {
                continue;
            }
            let all = self.worksheet.readings();
            let readings = readings.iter().filter_map(|index| all.get(*index));
            let auto = Controls::of(test).map(|controls| {
                self.mixtures.get(Mixture { test: controls.plasma_auto, donor, phase })
            });
            let read = outcome(
                mixture,
                &readings,
                auto.as_ref(),
                self.saline_controls_reactive,
                &self.conditions,
            );
            self.mixtures.set(mixture, read);
        }
    }

    /// The phases that the method uses, in the order in which they are read.
    pub(crate) fn phases(&self) -> impl Iterator<Item = Phase> + use<'w> {
        let of_method = self.conditions.of_method;
        Phase::ALL.iter().copied().filter(move |phase| of_method.role(*phase).is_some())
    }

    /// The phases of those that decide.
    pub(crate) fn deciding_phases(&self) -> impl Iterator<Item = Phase> + use<'w> {
        self.conditions.of_method.deciding_phases()
    }

    /// What a mixture came to.
    pub(crate) fn outcome(&self, test: Test, donor: usize, phase: Phase) -> Outcome {
        self.mixtures.get(Mixture { test, donor, phase })
    }

    /// The readings of a mixture that count, each with its number.
    pub(crate) fn readings(
        &self,
        test: Test,
        donor: usize,
        phase: Phase,
    ) -> impl Iterator<Item = (usize, &'w Reading)> + Clone {
        let all = self.worksheet.readings();
        let numbers = self.mixtures.readings(Mixture { test, donor, phase });
        numbers.iter().filter_map(move |index| Some((*index, all.get(*index)?)))
    }

    /// A test over its deciding phases.
    fn summed(&self, test: Test, donor: usize) -> Summed {
        let of_method = self.conditions.of_method;
        let each = self
            .deciding_phases()
            .filter_map(|phase| Some((phase, of_method.role(phase)?)))
            .map(|(phase, role)| (phase, role, self.outcome(test, donor, phase)));
        if test.is_saline_control() { saline(each) } else { summed(each) }
    }

    /// The six tests of a donor.
    pub(crate) fn sums(&self, donor: usize) -> Sums {
        Sums {
            major: self.summed(Test::Major, donor),
            minor: self.summed(Test::Minor, donor),
            recipient_auto: self.recipient_auto,
            donor_auto: self.summed(Test::DonorAuto, donor),
            recipient_saline: self.recipient_saline,
            donor_saline: self.summed(Test::DonorSaline, donor),
        }
    }
}
