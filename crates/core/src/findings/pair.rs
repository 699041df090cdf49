use std::cell::OnceCell;

use crate::document::{Pointer, Time};
use crate::protocol::{Remark, Rules};
use crate::reading::{Outcome, Reason, Reasons};
use crate::run::{Concluded, Run, Summed, Sums, inconsistent};
use crate::words::{
    Answer, Anticoagulant, Effect, Phase, Product, State, Summary, System, Test, TypeResult,
};
use crate::worksheet::{Animal, Donor, Owner, Reading, Recipient, Sample};

/// One recipient with one donor: all that a finding of the pair may ask.
#[derive(Debug)]
pub(crate) struct Pair<'r> {
    pub(crate) run: &'r Run<'r>,
    /// The donor's number.
    pub(crate) number: usize,
    donor: &'r Donor,
    pub(crate) major: Concluded,
    pub(crate) minor: Concluded,
    /// The worksheet was checked against another protocol.
    pub(crate) protocol_differs: bool,
    sums: Sums,
    reasons: Reasons,
    times: OnceCell<Option<(Time, Time)>>,
}

/// Of which phases something is asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Phases {
    All,
    Deciding,
}

/// When the recipient was transfused, as far as it matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Transfusion {
    NotKnown,
    Recent,
    LongAgo,
}

impl<'r> Pair<'r> {
    pub(crate) fn of(
        run: &'r Run<'r>,
        number: usize,
        donor: &'r Donor,
        protocol_differs: bool,
    ) -> Self {
        let mut reasons = Reasons::default();
        for test in Test::ALL {
            for phase in run.phases() {
                reasons = reasons.and(run.outcome(*test, number, phase).reasons);
            }
        }
        let sums = run.sums(number);
        let major = run.conclude(Test::Major, number, &sums);
        let minor = run.conclude(Test::Minor, number, &sums);
        Self {
            run,
            number,
            donor,
            major,
            minor,
            protocol_differs,
            sums,
            reasons: reasons.and(major.reasons).and(minor.reasons),
            times: OnceCell::new(),
        }
    }

    pub(crate) fn rules(&self) -> &'r Rules {
        self.run.conditions.rules
    }

    pub(crate) fn recipient(&self) -> &'r Recipient {
        self.run.worksheet.recipient()
    }

    pub(crate) fn donor(&self) -> &'r Donor {
        self.donor
    }

    pub(crate) fn product(&self) -> Product {
        self.donor().product
    }

    // Tests.

    pub(crate) fn summed(&self, test: Test) -> Summed {
        self.sums.of(test)
    }

    pub(crate) fn deciding_tests(&self) -> impl Iterator<Item = Test> + use<> {
        self.product().deciding_tests().iter().copied()
    }

    pub(crate) fn is_deciding(&self, test: Test) -> bool {
        self.product().deciding_tests().contains(&test)
    }

    pub(crate) fn is_needed(&self, test: Test) -> bool {
        self.run.conditions.of_method.needs(test, self.product())
    }

    /// Whether the test is the autocontrol of an animal whose plasma is in a deciding test.
    pub(crate) fn is_plasma_auto_of_deciding(&self, test: Test) -> bool {
        match test {
            Test::RecipientAuto => self.is_deciding(Test::Major),
            Test::DonorAuto => self.is_deciding(Test::Minor),
            Test::Major | Test::Minor | Test::RecipientSaline | Test::DonorSaline => false,
        }
    }

    pub(crate) fn if_deciding(&self, test: Test, deciding: Effect, otherwise: Effect) -> Effect {
        if self.is_deciding(test) { deciding } else { otherwise }
    }

    pub(crate) fn if_red_cells(&self, red_cells: Effect, otherwise: Effect) -> Effect {
        if self.product().has_red_cells() { red_cells } else { otherwise }
    }

    /// The effect of a finding on the minor: its full one, or what is left of it for cells with a
    /// little plasma (the protocol says) or next to none.
    pub(crate) fn effect_of_minor(&self, in_full: bool, full: Effect, packed: Remark) -> Effect {
        if in_full {
            return full;
        }
        match self.product() {
            Product::PackedCells => packed.into(),
            Product::WashedCells | Product::WholeBlood | Product::Plasma => Effect::Note,
        }
    }

    pub(crate) fn controls_inconsistent(&self) -> bool {
        inconsistent(|test| self.summed(test).summary, self.product())
    }

    // Mixtures and readings.

    pub(crate) fn outcome(&self, test: Test, phase: Phase) -> Outcome {
        self.run.outcome(test, self.number, phase)
    }

    /// What a test came to at each phase that decides.
    pub(crate) fn deciding(&self, test: Test) -> impl Iterator<Item = (Phase, Outcome)> {
        self.run.deciding_phases().map(move |phase| (phase, self.outcome(test, phase)))
    }

    /// What a test came to at each phase that is only recorded.
    pub(crate) fn informative(&self, test: Test) -> impl Iterator<Item = (Phase, Outcome)> {
        let of_method = self.run.conditions.of_method;
        self.run
            .phases()
            .filter(|phase| of_method.role(*phase).is_some_and(|role| !role.is_deciding()))
            .map(move |phase| (phase, self.outcome(test, phase)))
    }

    pub(crate) fn readings(
        &self,
        test: Test,
        phase: Phase,
    ) -> impl Iterator<Item = (Pointer, &'r Reading)> + Clone + use<'r> {
        let readings = self.run.readings(test, self.number, phase);
        readings.map(|(index, reading)| (Pointer::Reading(index), reading))
    }

    pub(crate) fn first_looks(
        &self,
        test: Test,
        phase: Phase,
    ) -> impl Iterator<Item = (Pointer, &'r Reading)> + Clone + use<'r> {
        self.readings(test, phase).filter(|(_, reading)| reading.after.is_none())
    }

    /// The first looks at a test in every phase.
    pub(crate) fn all_first_looks(
        &self,
        test: Test,
    ) -> impl Iterator<Item = (Pointer, &'r Reading)> {
        self.run.phases().flat_map(move |phase| self.first_looks(test, phase))
    }

    pub(crate) fn first_looks_of_deciding(&self) -> impl Iterator<Item = (Pointer, &'r Reading)> {
        self.deciding_tests().flat_map(|test| self.all_first_looks(test))
    }

    /// The retracted readings of this pair's tests.
    pub(crate) fn retracted(&self) -> impl Iterator<Item = (Pointer, &'r Reading)> {
        let all = self.run.worksheet.readings().iter().enumerate();
        all.filter(|(_, reading)| reading.retracted.is_some())
            .filter(|(_, reading)| reading.donor.is_none_or(|donor| donor == self.number))
            .map(|(index, reading)| (Pointer::Reading(index), reading))
    }

    /// The first looks at the deciding phases in which a test reacted or was doubtful.
    pub(crate) fn reacting(&self, test: Test) -> Vec<Pointer> {
        self.shown_in(test, State::is_reactive_or_doubtful)
    }

    /// The first looks at the deciding phases in which a test is void, and rechecks without one.
    pub(crate) fn void(&self, test: Test) -> Vec<Pointer> {
        self.shown_in(test, |state| state == State::Void)
    }

    fn shown_in(&self, test: Test, wanted: impl Fn(State) -> bool) -> Vec<Pointer> {
        let phases = self.deciding(test).filter(|(_, outcome)| wanted(outcome.state));
        phases.flat_map(|(phase, _)| self.pointers(test, phase)).collect()
    }

    /// The first looks at a mixture, or its rechecks if there is no first look left.
    fn pointers(&self, test: Test, phase: Phase) -> Vec<Pointer> {
        let looks: Vec<_> = self.first_looks(test, phase).map(|(at, _)| at).collect();
        if looks.is_empty() {
            return self.readings(test, phase).map(|(at, _)| at).collect();
        }
        looks
    }

    // Reasons.

    /// Holds if a mixture of the pair, or a conclusion, has this reason.
    pub(crate) fn because(&self, reason: Reason, effect: Effect) -> Option<super::Raised> {
        self.because_in(Test::ALL.iter().copied(), reason, effect, Phases::All)
    }

    /// Holds if a mixture of these tests has this reason, or a conclusion if all tests are asked.
    pub(crate) fn because_in(
        &self,
        tests: impl IntoIterator<Item = Test>,
        reason: Reason,
        effect: Effect,
        phases: Phases,
    ) -> Option<super::Raised> {
        if !self.reasons.has(reason) {
            return None;
        }
        let decides = |phase: &Phase| {
            let role = self.run.conditions.of_method.role(*phase);
            phases == Phases::All || role.is_some_and(crate::protocol::PhaseRole::is_deciding)
        };
        let mut rests_on = Vec::new();
        for test in tests {
            for phase in self.run.phases().filter(decides) {
                if self.outcome(test, phase).reasons.has(reason) {
                    rests_on.extend(self.readings(test, phase).map(|(at, _)| at));
                }
            }
        }
        for (test, concluded) in [(Test::Major, self.major), (Test::Minor, self.minor)] {
            if concluded.reasons.has(reason) {
                rests_on.extend(self.shown_in(test, |state| match state {
                    State::Negative | State::Doubtful | State::Reactive => true,
                    State::Absent | State::Unread | State::Void => false,
                }));
            }
        }
        super::Raised::if_any(effect, rests_on)
    }

    // Times.

    /// The earliest reading of the deciding tests; at equal moments the earliest date as written.
    pub(crate) fn earliest(&self) -> Option<Time> {
        self.times().map(|(earliest, _)| earliest)
    }

    /// The latest reading of the deciding tests; at equal moments the latest date as written.
    pub(crate) fn latest(&self) -> Option<Time> {
        self.times().map(|(_, latest)| latest)
    }

    fn times(&self) -> Option<(Time, Time)> {
        *self.times.get_or_init(|| {
            let of_test =
                |test| self.run.phases().flat_map(move |phase| self.readings(test, phase));
            let times = || self.deciding_tests().flat_map(of_test).map(|(_, reading)| reading.at);
            let order = |time: &Time| (time.instant(), time.date());
            Some((times().min_by_key(order)?, times().max_by_key(order)?))
        })
    }

    pub(crate) fn transfusion(&self) -> Transfusion {
        let recipient = &self.recipient().animal;
        if recipient.transfused != Answer::Yes {
            return Transfusion::NotKnown;
        }
        let days = self
            .earliest()
            .zip(recipient.last_transfused_on)
            .map(|(first_read, transfused_on)| first_read.date().days_since(transfused_on));
        let recent = i64::from(self.rules().recent_transfusion_days);
        if days.is_none_or(|days| days <= recent) {
            Transfusion::Recent
        } else {
            Transfusion::LongAgo
        }
    }

    // Samples.

    /// The animals whose plasma is in a deciding test.
    pub(crate) fn deciding_plasma_owners(&self) -> impl Iterator<Item = Owner> + use<'r> {
        let donor = Owner::Donor(self.number);
        self.deciding_tests().filter_map(move |test| match test {
            Test::Major => Some(Owner::Recipient),
            Test::Minor => Some(donor),
            Test::RecipientAuto | Test::DonorAuto | Test::RecipientSaline | Test::DonorSaline => {
                None
            }
        })
    }

    /// The samples of the recipient and the donor.
    pub(crate) fn samples(&self) -> impl Iterator<Item = (Pointer, &'r Sample)> + use<'r> {
        let both = self.both_animals();
        let all = self.run.worksheet.samples().iter().enumerate();
        all.filter(move |(_, sample)| both.contains(&sample.of))
            .map(|(index, sample)| (Pointer::Sample(index), sample))
    }

    /// The plasma samples of the animals whose plasma is in a deciding test.
    pub(crate) fn deciding_plasma(&self) -> impl Iterator<Item = (Pointer, &'r Sample)> + use<'r> {
        let recipient = self.is_deciding(Test::Major);
        let donor = self.is_deciding(Test::Minor);
        self.samples().filter(move |(_, sample)| {
            sample.role.gives_plasma()
                && match sample.of {
                    Owner::Recipient => recipient,
                    Owner::Donor(_) => donor,
                }
        })
    }

    pub(crate) fn has_serum(&self, owner: Owner) -> bool {
        self.deciding_plasma()
            .any(|(_, sample)| sample.of == owner && sample.tube == Some(Anticoagulant::Serum))
    }

    /// The last moment at which a sample may be read; `None` if nobody wrote when it was drawn.
    pub(crate) fn usable_until(&self, sample: &Sample) -> Option<jiff::Timestamp> {
        let hours = if self.is_exposed(sample.of) {
            self.rules().exposed_hours
        } else {
            self.rules().naive_hours
        };
        Some(sample.drawn_at?.plus_hours(hours.at(sample.stored)))
    }

    /// Whether an animal may have been sensitized. What is not known counts as if it had been.
    fn is_exposed(&self, owner: Owner) -> bool {
        let animal = self.animal(owner);
        let incompatible_before =
            owner == Owner::Recipient && !self.recipient().incompatible_with.is_empty();
        animal.transfused != Answer::Never
            || animal.reaction == Answer::Yes
            || incompatible_before
            || (self.rules().pregnancy_sensitises && animal.pregnant != Answer::Never)
    }

    // Animals and their types.

    pub(crate) fn both_animals(&self) -> [Owner; 2] {
        [Owner::Recipient, Owner::Donor(self.number)]
    }

    pub(crate) fn animal(&self, owner: Owner) -> &'r Animal {
        match owner {
            Owner::Recipient => &self.recipient().animal,
            Owner::Donor(_) => &self.donor().animal,
        }
    }

    /// Where the results of both animals in one system stand.
    pub(crate) fn types_at(&self, system: System) -> Vec<Pointer> {
        let of_owner = |owner| {
            let types = self.animal(owner).types.iter().enumerate();
            types
                .filter(move |(_, of)| of.system == system)
                .map(move |(index, _)| type_at(owner, index))
        };
        self.both_animals().into_iter().flat_map(of_owner).collect()
    }

    /// Whether the donor has an antigen that the recipient lacks.
    pub(crate) fn brings_antigen(&self, system: System) -> bool {
        let lacks = |result| result == TypeResult::Negative;
        self.recipient().animal.results(system).any(lacks)
            && self.donor().animal.results(system).any(TypeResult::is_present)
    }

    /// Whether the cats' types are one of these pairs of recipient and donor; any of several
    /// results counts.
    pub(crate) fn cat_types(&self, pairs: &[(TypeResult, TypeResult)]) -> bool {
        let has = |animal: &Animal, wanted| animal.results(System::Ab).any(|has| has == wanted);
        self.rules().type_rules == crate::protocol::TypeRules::Cat
            && pairs.iter().any(|(recipient, donor)| {
                has(&self.recipient().animal, *recipient) && has(&self.donor().animal, *donor)
            })
    }

    /// The pointer to the donor, for what rests on nothing that was written.
    pub(crate) fn donor_itself(&self) -> [Pointer; 1] {
        [Pointer::Donor(self.number)]
    }

    /// The summaries of the four tests.
    pub(crate) fn four(&self) -> [Summary; 4] {
        Test::FOUR.map(|test| self.summed(test).summary)
    }
}

/// Where an animal stands on the worksheet.
pub(crate) fn animal_at(owner: Owner) -> Pointer {
    match owner {
        Owner::Recipient => Pointer::Recipient,
        Owner::Donor(donor) => Pointer::Donor(donor),
    }
}

/// Where a typing result of an animal stands on the worksheet.
pub(crate) fn type_at(owner: Owner, index: usize) -> Pointer {
    match owner {
        Owner::Recipient => Pointer::RecipientType(index),
        Owner::Donor(donor) => Pointer::DonorType(donor, index),
    }
}
