//! A simulated case: animals, antibodies and mistakes drawn from a seed, and the worksheet that an
//! attentive technician would have written of them.

use crossread_core::document::{Text, Whole};
use crossread_core::protocol::PhaseRole;
use crossread_core::words::{
    Agglutination, Answer, Anticoagulant, Artefact, Complement, Condition, Grade, Hemolysis,
    Method, Pattern, Phase, Product, Recheck, Species, System, Test,
};
use crossread_core::worksheet::draft;
use crossread_core::{Protocol, Protocols, Worksheet};
use serde::{Deserialize, Serialize};

use super::antibody::{self, Antibody};
use super::assumptions::Values;
use super::bench::{Bench, clock, day};
use super::blood::Blood;
use super::mixture::{Cells, Place, Plasma, Seen, at_place, clumps, place, with_stacks};
use super::rouleaux;
use crate::chance::{Chance, Purpose};

/// How often technique goes wrong.
#[derive(
    Clone,
    Copy,
    Debug,
    Default,
    PartialEq,
    Eq,
    Serialize,
    Deserialize,
    strum::Display,
    strum::EnumString,
    strum::VariantNames,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
#[expect(clippy::exhaustive_enums, reason = "the three that the assumptions scale by")]
pub enum Difficulty {
    /// Never.
    Easy,
    /// As the assumptions say.
    #[default]
    Usual,
    /// Three times as often.
    Hard,
}

impl Difficulty {
    fn of(self, ppm: u32) -> u32 {
        match self {
            Self::Easy => 0,
            Self::Usual => ppm,
            Self::Hard => ppm.saturating_mul(3),
        }
    }
}

/// What kind of case is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(clippy::exhaustive_structs, reason = "written out by whoever asks for a case")]
pub struct Setting {
    /// Dog, cat or horse.
    pub species: Species,
    /// Tube, slide or gel column.
    pub method: Method,
    /// How many donors, 1 to 24.
    pub donors: u32,
    /// What would be given.
    pub product: Product,
    /// How often technique goes wrong.
    pub difficulty: Difficulty,
}

/// Why there is no case.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum CannotSimulate {
    /// There is no model of the species.
    #[error("there are simulated cases of dogs, cats and horses only, not of a {0}")]
    Species(Species),
    /// The protocol is for others.
    #[error("the protocol is not meant for a {0}")]
    ProtocolSpecies(Species),
    /// The protocol does not have the method.
    #[error("the protocol has no rules for the method {0}")]
    Method(Method),
    /// Too few or too many donors.
    #[error("a worksheet has 1 to 24 donors, not {0}")]
    Donors(u32),
    /// The worksheet that came of it was refused by the check: a fault of the program.
    #[error("case {0} came to a worksheet at fault; please report this with its seed")]
    Refused(u32),
}

/// A mistake that was made in the run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Mistake {
    /// The mixture was shaken too hard: clumps fell apart.
    ShakenHard,
    /// The button was not fully resuspended: cells looked clumped. Nobody can see this.
    NotResuspended,
    /// The cell suspension was too heavy.
    CellsHeavy,
    /// The cell suspension was too light.
    CellsLight,
    /// The spin was wrong.
    Spin,
    /// The sample was hemolyzed.
    SampleHemolyzed,
    /// Fibrin held cells together.
    Fibrin,
    /// Two mixtures of two donors were exchanged. Nobody can see this.
    Swapped,
    /// Stacks were seen and not rechecked.
    RecheckLeftOut,
}

/// A mistake with its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Made {
    /// What was done wrong.
    pub mistake: Mistake,
    /// In which mixture, if it was not the whole run.
    pub test: Option<Test>,
    /// Of which donor, counted from 0.
    pub donor: Option<usize>,
    /// At which step.
    pub phase: Option<Phase>,
}

/// What is true of one animal.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct AnimalTruth {
    /// Its blood groups.
    pub blood: Blood,
    /// Its antibodies.
    pub antibodies: Vec<Antibody>,
    /// How strong the stacks look that its plasma makes, if it makes any.
    pub stacks: Option<Grade>,
    /// Whether it was transfused before.
    pub transfused: bool,
    /// Days since a recent transfusion, and the share of those cells in 1/65536.
    pub foreign: Option<(u32, u32)>,
    /// How red its plasma is of itself, 0 to 4.
    pub sample_hemolysis: u32,
    #[serde(skip)]
    foreign_blood: Option<Blood>,
    #[serde(skip)]
    high_globulin: bool,
    #[serde(skip)]
    anemic: bool,
}

/// What is true of a case.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Truth {
    /// The recipient.
    pub recipient: AnimalTruth,
    /// The donors, in the order of the worksheet.
    pub donors: Vec<AnimalTruth>,
    /// What went wrong.
    pub mistakes: Vec<Made>,
}

/// A simulated case.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Case {
    /// Its number, which is part of its chance.
    pub number: u32,
    /// What is true.
    pub truth: Truth,
    /// What was written down, and is there to be seen.
    pub worksheet: Worksheet,
    pub(crate) bench: Bench,
}

/// Simulates a case. The same seed, number, setting and protocol give the same case everywhere.
///
/// ```
/// # use crossread_core::Protocols;
/// # use crossread_core::words::{Method, Product, Species};
/// # use crossread_teach::simulate::{Assumptions, CannotSimulate, Difficulty, Setting, simulate};
/// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine");
/// # let dog = dog.ok_or("no such protocol")?;
/// # let values = &Assumptions::shipped().ok_or("no assumptions")?.values;
/// let setting = Setting {
///     species: Species::Dog,
///     method: Method::Tube,
///     donors: 3,
///     product: Product::PackedCells,
///     difficulty: Difficulty::Easy,
/// };
/// let case = simulate(42, 7, &setting, dog, values)?;
/// assert_eq!(case.truth.donors.len(), 3);
/// // Easy: technique never goes wrong.
/// assert!(case.truth.mistakes.is_empty());
/// let parrot = Setting { species: Species::Bird, ..setting };
/// let refused = simulate(42, 7, &parrot, dog, values).err();
/// assert_eq!(refused, Some(CannotSimulate::Species(Species::Bird)));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// If the setting asks for what the model or the protocol does not have.
pub fn simulate(
    seed: u64,
    number: u32,
    setting: &Setting,
    protocol: &Protocol,
    values: &Values,
) -> Result<Case, CannotSimulate> {
    let Setting { species, method, donors, .. } = *setting;
    if !matches!(species, Species::Dog | Species::Cat | Species::Horse) {
        return Err(CannotSimulate::Species(species));
    }
    if !protocol.species().contains(&species) {
        return Err(CannotSimulate::ProtocolSpecies(species));
    }
    if protocol.method(method).is_none() {
        return Err(CannotSimulate::Method(method));
    }
    if !(1..=24).contains(&donors) {
        return Err(CannotSimulate::Donors(donors));
    }
    let mut making = Making {
        setting,
        protocol,
        values,
        chance: Chance::new(seed, number, Purpose::Case),
        technique: Chance::new(seed, number, Purpose::Technique),
        bench: Bench::new(number, species, method, donors, protocol),
        mistakes: Vec::new(),
    };
    let recipient = making.animal(true);
    let all: Vec<_> = (0..donors).map(|_| making.animal(false)).collect();
    making.write_animals(&recipient, &all);
    making.write_setup();
    making.read(&recipient, &all);
    making.swap();
    let Making { bench, mistakes, .. } = making;
    let protocols = Protocols::new([protocol.clone()]);
    let worksheet = bench.checked(&protocols).ok_or(CannotSimulate::Refused(number))?;
    let truth = Truth { recipient, donors: all, mistakes };
    Ok(Case { number, truth, worksheet, bench })
}

struct Making<'a> {
    setting: &'a Setting,
    protocol: &'a Protocol,
    values: &'a Values,
    chance: Chance,
    technique: Chance,
    bench: Bench,
    mistakes: Vec<Made>,
}

impl Making<'_> {
    fn animal(&mut self, is_recipient: bool) -> AnimalTruth {
        let (species, values) = (self.setting.species, self.values);
        let blood = Blood::draw(species, values, &mut self.chance);
        let transfused = is_recipient && self.chance.happens(values.recipient_transfused.ppm());
        let mut antibodies = antibody::draw(species, &blood, transfused, values, &mut self.chance);
        let recently = transfused && self.chance.happens(values.recently_transfused.ppm());
        let foreign = recently.then(|| (self.chance.between(1, 14), self.chance.beta(3, 3)));
        let foreign_blood = recently.then(|| Blood::draw(species, values, &mut self.chance));
        let anemic = is_recipient && self.chance.happens(values.recipient_anemic.ppm());
        let auto = if anemic { &values.autoantibody_anemic } else { &values.autoantibody_other };
        if is_recipient && self.chance.happens(auto.ppm()) {
            antibodies.push(antibody::auto(values, &mut self.chance));
        }
        let high_globulin = is_recipient && self.chance.happens(values.high_globulin.ppm());
        let stacks = rouleaux::stacks(species, high_globulin, values, &mut self.chance);
        let hemolyzed = self.goes_wrong(values.fault_sample_hemolyzed.ppm());
        let sample_hemolysis = if hemolyzed { self.technique.between(1, 3) } else { 0 };
        if hemolyzed {
            self.wrong(Mistake::SampleHemolyzed, None, None, None);
        }
        AnimalTruth {
            blood,
            antibodies,
            stacks,
            transfused,
            foreign,
            sample_hemolysis,
            foreign_blood,
            high_globulin,
            anemic,
        }
    }

    /// Whether technique goes wrong here; the draw is made whatever the difficulty, so that a
    /// harder exercise shows the same animals.
    fn goes_wrong(&mut self, ppm: u32) -> bool {
        self.technique.happens(self.setting.difficulty.of(ppm))
    }

    fn wrong(
        &mut self,
        mistake: Mistake,
        test: Option<Test>,
        donor: Option<usize>,
        phase: Option<Phase>,
    ) {
        self.mistakes.push(Made { mistake, test, donor, phase });
    }

    /// What is known of the animals, as it stands on the worksheet.
    fn write_animals(&mut self, recipient: &AnimalTruth, donors: &[AnimalTruth]) {
        let product = self.setting.product;
        let species = self.setting.species;
        let types = |truth: &AnimalTruth| {
            let systems: &[System] = match species {
                Species::Dog => &[System::Dea1],
                Species::Cat => &[System::Ab],
                Species::Horse => &[System::Aa, System::Ca, System::Qa],
                Species::Donkey
                | Species::Cattle
                | Species::Sheep
                | Species::Goat
                | Species::Camelid
                | Species::Pig
                | Species::Ferret
                | Species::Rabbit
                | Species::Bird => &[],
            };
            let typed = systems.iter().filter_map(|system| {
                Some(draft::BloodType {
                    system: Some(*system),
                    result: Some(truth.blood.typed(*system)?),
                    ..draft::BloodType::default()
                })
            });
            Some(typed.collect())
        };
        self.bench.recipient.types = types(recipient);
        if let Some(history) = &mut self.bench.recipient.history
            && recipient.transfused
        {
            history.transfused = Some(Answer::Yes);
            let ago = recipient.foreign.map_or(40, |(days, _)| i64::from(days));
            history.last_transfused_on = day(ago.saturating_neg());
        }
        let ill = [
            (recipient.anemic, Condition::ImmuneHemolysis),
            (recipient.high_globulin, Condition::HighGlobulin),
        ];
        let ill: Vec<_> = ill.into_iter().filter(|(is, _)| *is).map(|(_, what)| what).collect();
        self.bench.recipient.conditions = (!ill.is_empty()).then(|| ill.into_iter().collect());
        for (donor, truth) in self.bench.donors.iter_mut().zip(donors) {
            donor.product = Some(product);
            donor.types = types(truth);
        }
        let all = std::iter::once(recipient).chain(donors);
        for (samples, truth) in self.bench.samples.chunks_mut(2).zip(all) {
            for sample in samples {
                sample.hemolysis = Hemolysis::new(truth.sample_hemolysis);
            }
        }
    }

    fn write_setup(&mut self) {
        if !self.chance.happens(self.values.serum_used.ppm()) {
            self.bench.setup.complement = Some(Complement::None);
            for sample in &mut self.bench.samples {
                sample.tube = Some(Anticoagulant::Edta);
            }
        }
        let heavy = self.goes_wrong(self.values.fault_cells_heavy.ppm());
        let light = self.goes_wrong(self.values.fault_cells_light.ppm());
        let cells = self.bench.setup.cells_percent;
        let scaled = |hundredths: u32| crossread_core::document::Hundredths::new(hundredths);
        if let Some(cells) = cells {
            if heavy {
                self.bench.setup.cells_percent = scaled(cells.hundredths().saturating_mul(3));
                self.wrong(Mistake::CellsHeavy, None, None, None);
            } else if light {
                self.bench.setup.cells_percent = scaled((cells.hundredths() / 4).max(1));
                self.wrong(Mistake::CellsLight, None, None, None);
            }
        }
    }

    fn is_heavy(&self) -> bool {
        self.mistakes.iter().any(|made| made.mistake == Mistake::CellsHeavy)
    }

    /// The phases that are read, in their order.
    fn phases(&mut self) -> Vec<Phase> {
        let rules = self.protocol.method(self.setting.method);
        let role = |phase: Phase| rules.and_then(|rules| rules.role(phase));
        let with = |wanted| {
            let all = Phase::ALL.iter().copied();
            all.filter(|phase| role(*phase) == Some(wanted)).collect::<Vec<_>>()
        };
        let mut phases = with(PhaseRole::Required);
        phases.extend(self.chance.one_of(&with(PhaseRole::OneOf)));
        for phase in with(PhaseRole::Optional) {
            if self.chance.happens(self.values.optional_read.ppm()) {
                phases.push(phase);
            }
        }
        phases.sort_unstable();
        phases
    }

    /// The tests that are read, in rack order, each with its donor.
    fn tests(&mut self, donors: usize, coated: bool) -> Vec<(Test, Option<usize>)> {
        let rules = self.protocol.method(self.setting.method);
        let product = self.setting.product;
        let mut chosen = |test: Test| {
            let needed = rules.is_some_and(|rules| rules.needs(test, product));
            let drawn = self.chance.happens(self.values.optional_read.ppm());
            needed || drawn || (coated && test == Test::RecipientSaline)
        };
        let recipient: Vec<_> = [Test::RecipientAuto, Test::RecipientSaline]
            .into_iter()
            .filter(|test| chosen(*test))
            .collect();
        let of_donor: Vec<_> = [Test::DonorAuto, Test::DonorSaline, Test::Major, Test::Minor]
            .into_iter()
            .filter(|test| chosen(*test))
            .collect();
        let mut tests: Vec<_> = recipient.into_iter().map(|test| (test, None)).collect();
        for donor in 0..donors {
            tests.extend(of_donor.iter().map(|test| (*test, Some(donor))));
        }
        tests
    }

    fn read(&mut self, recipient: &AnimalTruth, donors: &[AnimalTruth]) {
        let coat = recipient.antibodies.iter().find(|one| one.against.is_none()).copied();
        let tests = self.tests(donors.len(), coat.is_some());
        let phases = self.phases();
        let mut rechecks = Vec::new();
        for phase in phases {
            for (test, donor) in &tests {
                rechecks.extend(self.look(*test, *donor, phase, recipient, donors));
            }
        }
        for recheck in rechecks {
            let looks = i64::try_from(self.bench.readings.len()).unwrap_or_default();
            // A quarter of an hour after the last first look.
            let at = clock(looks.saturating_mul(60).saturating_add(900));
            self.bench.readings.push(draft::Reading { at, ..recheck });
        }
    }

    /// Looks at one mixture and writes it down; gives the recheck that stacks ask for.
    fn look(
        &mut self,
        test: Test,
        donor: Option<usize>,
        phase: Phase,
        recipient: &AnimalTruth,
        donors: &[AnimalTruth],
    ) -> Option<draft::Reading> {
        let of_donor = donor.and_then(|donor| donors.get(donor));
        let (plasma_of, cells_of) = match test {
            Test::Major => (Some(recipient), of_donor?),
            Test::Minor => (Some(of_donor?), recipient),
            Test::RecipientAuto => (Some(recipient), recipient),
            Test::DonorAuto => (Some(of_donor?), of_donor?),
            Test::RecipientSaline => (None, recipient),
            Test::DonorSaline => (None, of_donor?),
        };
        let at = Place {
            phase,
            method: self.setting.method,
            complement: self.bench.setup.complement == Some(Complement::FreshSerum),
        };
        let plasma = plasma_of.map(|truth| Plasma {
            antibodies: &truth.antibodies,
            stacks: truth.stacks,
            hemolysis: truth.sample_hemolysis,
        });
        let cells = Cells {
            own: &cells_of.blood,
            foreign: cells_of
                .foreign_blood
                .as_ref()
                .zip(cells_of.foreign)
                .map(|(blood, (_, share))| (blood, share)),
            coat: cells_of.antibodies.iter().find(|one| one.against.is_none()),
        };
        let bare = clumps(plasma.as_ref(), &cells, at, self.values, &mut self.chance);
        let seen = plasma.as_ref().map_or(bare, |plasma| with_stacks(bare, plasma, at));
        let (seen, artefact) = self.handled(seen, test, donor, phase);
        let reading = self.written(seen, artefact, test, donor, phase);
        self.bench.readings.push(reading.clone());
        let stacked = matches!(seen.pattern, Some(Pattern::Stacks | Pattern::Both));
        if !stacked || phase == Phase::Antiglobulin {
            return None;
        }
        if self.setting.difficulty == Difficulty::Hard
            && self.technique.happens(self.values.recheck_left_out.ppm())
        {
            self.wrong(Mistake::RecheckLeftOut, Some(test), donor, Some(phase));
            return None;
        }
        Some(self.recheck(reading, bare, seen))
    }

    /// What technique does to what is there to be seen.
    fn handled(
        &mut self,
        seen: Seen,
        test: Test,
        donor: Option<usize>,
        phase: Phase,
    ) -> (Seen, Option<Artefact>) {
        let values = self.values;
        let shaken = self.goes_wrong(values.fault_shaken_hard.ppm());
        let two = self.technique.happens(values.fault_shaken_two_grades.ppm());
        let stuck = self.goes_wrong(values.fault_not_resuspended.ppm());
        let spin = self.goes_wrong(values.fault_spin.ppm());
        let fibrin = self.goes_wrong(values.fault_fibrin.ppm());
        let weak = i32::try_from(self.technique.between(1, 2)).unwrap_or(1);
        let method = self.setting.method;
        let has_serum = self.bench.setup.complement == Some(Complement::FreshSerum);
        let lowered = |seen: Seen, by: i32| {
            let grade = at_place(place(seen.grade).saturating_sub(by));
            let gone = grade == Grade::G0;
            Seen {
                grade,
                pattern: seen.pattern.filter(|_| !gone),
                mixed_field: seen.mixed_field && !gone,
                ..seen
            }
        };
        let false_clump =
            |seen: Seen| Seen { grade: at_place(weak), pattern: Some(Pattern::Clumps), ..seen };
        let mut seen = seen;
        if self.is_heavy() {
            seen = lowered(seen, 1);
        }
        if shaken && method == Method::Tube && seen.grade > Grade::G0 {
            self.wrong(Mistake::ShakenHard, Some(test), donor, Some(phase));
            let by = if two { 2 } else { 1 };
            return (lowered(seen, by), Some(Artefact::ShakenHard));
        }
        if spin && method == Method::Gel {
            self.wrong(Mistake::Spin, Some(test), donor, Some(phase));
            return (seen, Some(Artefact::InterruptedSpin));
        }
        if fibrin && has_serum && !test.is_saline_control() && seen.grade == Grade::G0 {
            self.wrong(Mistake::Fibrin, Some(test), donor, Some(phase));
            return (false_clump(seen), Some(Artefact::Fibrin));
        }
        if stuck && method == Method::Tube && seen.grade == Grade::G0 {
            self.wrong(Mistake::NotResuspended, Some(test), donor, Some(phase));
            return (false_clump(seen), None);
        }
        (seen, None)
    }

    /// The reading as it is written down.
    fn written(
        &self,
        seen: Seen,
        artefact: Option<Artefact>,
        test: Test,
        donor: Option<usize>,
        phase: Phase,
    ) -> draft::Reading {
        // Washing before antiglobulin takes the red fluid away; on a slide it cannot be seen.
        let shows = match self.setting.method {
            Method::Tube => phase != Phase::Antiglobulin,
            Method::Gel => true,
            Method::Slide => false,
        };
        let mut reading =
            self.bench.look(test, donor, phase, seen.grade, shows.then_some(seen.hemolysis));
        reading.pattern = seen.pattern;
        reading.mixed_field = seen.mixed_field.then_some(true);
        reading.artefacts = artefact.map(|artefact| [artefact].into_iter().collect());
        let tube = self.setting.method == Method::Tube;
        if tube && phase == Phase::Antiglobulin && seen.grade == Grade::G0 {
            reading.check_cells = Some(Grade::G3);
        }
        reading
    }

    /// The same mixture in saline: stacks fall apart, clumps mostly stay.
    fn recheck(&mut self, first: draft::Reading, bare: Seen, seen: Seen) -> draft::Reading {
        let values = self.values;
        let diluted = self.technique.happens(values.dilution_used.ppm());
        let (stacks_left, clumps_left) = if diluted {
            (values.stacks_left_at_9.ppm(), values.clumps_left_at_9.ppm())
        } else {
            (values.stacks_left_at_49.ppm(), values.clumps_left_replaced.ppm())
        };
        let stacks_stay = self.technique.happens(stacks_left);
        let clumps_stay = self.technique.happens(clumps_left) && bare.grade > Grade::G0;
        let (grade, pattern) = match (clumps_stay, stacks_stay) {
            (true, true) => (seen.grade, seen.pattern),
            (true, false) => (bare.grade, Some(Pattern::Clumps)),
            (false, true) => (seen.grade, Some(Pattern::Stacks)),
            (false, false) => (Grade::G0, None),
        };
        draft::Reading {
            after: Some(if diluted { Recheck::SalineDilution } else { Recheck::SalineReplacement }),
            saline_parts: diluted.then(|| Whole::new(9)).flatten(),
            agglutination: Some(Agglutination::Graded(grade)),
            pattern,
            mixed_field: (bare.mixed_field && clumps_stay).then_some(true),
            artefacts: None,
            check_cells: None,
            by: Some(Text::from("reader A")),
            ..first
        }
    }

    /// Exchanges what two donors' majors came to, which nobody can see.
    fn swap(&mut self) {
        let swapped = self.goes_wrong(self.values.fault_swapped.ppm());
        if !swapped || self.setting.donors < 2 {
            return;
        }
        let id = |place: usize| self.bench.donors.get(place).and_then(|donor| donor.id.clone());
        let (one, other) = (id(0), id(1));
        for reading in &mut self.bench.readings {
            if reading.test == Some(Test::Major) {
                if reading.donor == one {
                    reading.donor.clone_from(&other);
                } else if reading.donor == other {
                    reading.donor.clone_from(&one);
                }
            }
        }
        self.wrong(Mistake::Swapped, Some(Test::Major), None, None);
    }
}
