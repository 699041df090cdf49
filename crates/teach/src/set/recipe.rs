//! Runs with one thing that is there to be noticed: for each finding of the catalogue, how a
//! worksheet comes to it.
//!
//! A recipe starts from a run on which nothing is amiss. Whether the finding is there is never
//! taken from this list: the engine is asked.

use crossread_core::Protocol;
use crossread_core::document::{Hundredths, Id, Text, Whole};
use crossread_core::protocol::PhaseRole;
use crossread_core::words::{
    Agglutination, Answer, Anticoagulant, Artefact, Complement, Grade, Hemolysis, Inspection,
    Method, Pattern, Phase, Product, Recheck, Species, System, Test, TypeResult,
};
use crossread_core::worksheet::draft;

use crate::simulate::{Bench, clock, day};

/// How a worksheet comes to a finding.
#[derive(Clone, Copy, Debug)]
pub(super) struct Recipe {
    pub(super) slug: &'static str,
    pub(super) species: Species,
    pub(super) method: Method,
    pub(super) donors: u32,
    pub(super) product: Product,
    make: fn(&mut Bench),
}

impl Recipe {
    /// The run, with its number, under a protocol.
    pub(super) fn bench(&self, number: u32, protocol: &Protocol) -> Bench {
        let mut bench = Bench::new(number, self.species, self.method, self.donors, protocol);
        for donor in &mut bench.donors {
            donor.product = Some(self.product);
        }
        bench.all_negative(protocol);
        (self.make)(&mut bench);
        bench
    }
}

/// Findings that no set can hold, each with why.
pub(super) const UNREACHABLE: [(&str, &str); 1] = [(
    "protocol-differs",
    "a set interprets every run by the protocol that it was checked against, so the two never differ",
)];

impl Bench {
    /// Every test at one phase, all of them 0: what the protocol requires, and the phase that
    /// serves best where one of several is enough.
    fn all_negative(&mut self, protocol: &Protocol) {
        let rules = protocol.method(self.method);
        let role = |phase: Phase| rules.and_then(|rules| rules.role(phase));
        let mut phases: Vec<_> = Phase::ALL
            .iter()
            .copied()
            .filter(|phase| role(*phase) == Some(PhaseRole::Required))
            .collect();
        let mut one_of =
            Phase::ALL.iter().copied().filter(|phase| role(*phase) == Some(PhaseRole::OneOf));
        phases.extend(one_of.next_back());
        let hemolysis = (self.method != Method::Slide).then_some(0);
        for phase in phases {
            let auto = self.look(Test::RecipientAuto, None, phase, Grade::G0, hemolysis);
            self.readings.push(auto);
            for donor in 0..self.donors.len() {
                for test in [Test::DonorAuto, Test::Major, Test::Minor] {
                    let look = self.look(test, Some(donor), phase, Grade::G0, hemolysis);
                    self.readings.push(look);
                }
            }
        }
    }

    /// Changes every first look at a test that is there so far.
    fn each(&mut self, test: Test, change: impl Fn(&mut draft::Reading)) {
        let looks = self.readings.iter_mut().filter(|look| look.test == Some(test));
        looks.filter(|look| look.after.is_none()).for_each(change);
    }

    /// What was seen at every look at a test.
    fn sees(&mut self, test: Test, grade: Grade, pattern: Pattern) {
        self.each(test, |look| {
            look.agglutination = Some(Agglutination::Graded(grade));
            look.pattern = Some(pattern);
        });
    }

    fn clumps(&mut self, test: Test, grade: Grade) {
        self.sees(test, grade, Pattern::Clumps);
    }

    fn stacks(&mut self, test: Test, grade: Grade) {
        self.sees(test, grade, Pattern::Stacks);
    }

    fn unreadable(&mut self, test: Test) {
        self.each(test, |look| look.agglutination = Some(Agglutination::Unreadable));
    }

    fn artefact(&mut self, test: Test, artefact: Artefact) {
        self.each(test, |look| look.artefacts = Some([artefact].into_iter().collect()));
    }

    fn not_read(&mut self, test: Test) {
        self.readings.retain(|look| look.test != Some(test));
    }

    /// One more look at every mixture of a test, half an hour after the run, made from the first.
    fn again(&mut self, test: Test, change: impl Fn(&mut draft::Reading)) {
        let firsts = self.readings.iter().filter(|look| look.test == Some(test));
        let mut more: Vec<_> = firsts.cloned().collect();
        for (number, look) in (0_i64..).zip(&mut more) {
            look.at = clock(number.saturating_mul(60).saturating_add(3600));
            look.pattern = None;
            look.artefacts = None;
            look.mixed_field = None;
            change(look);
        }
        self.readings.extend(more);
    }

    /// A recheck of every mixture of a test in fresh saline.
    fn replaced(&mut self, test: Test, grade: Grade) {
        self.again(test, |look| {
            look.after = Some(Recheck::SalineReplacement);
            look.agglutination = Some(Agglutination::Graded(grade));
        });
    }

    /// A recheck of every mixture of a test in so many parts of saline.
    fn diluted(&mut self, test: Test, parts: u32, grade: Grade) {
        self.again(test, |look| {
            look.after = Some(Recheck::SalineDilution);
            look.saline_parts = Whole::new(parts);
            look.agglutination = Some(Agglutination::Graded(grade));
        });
    }

    /// A first look at a mixture that has none yet.
    fn also(&mut self, test: Test, phase: Phase, grade: Grade) {
        let donor = test.needs_donor().then_some(0);
        let hemolysis = (phase != Phase::Antiglobulin).then_some(0);
        let mut look = self.look(test, donor, phase, grade, hemolysis);
        look.pattern = (grade > Grade::G0).then_some(Pattern::Clumps);
        self.readings.push(look);
    }

    fn recipient_history(&mut self) -> &mut draft::RecipientHistory {
        self.recipient.history.get_or_insert_default()
    }

    fn transfused(&mut self, days_ago: i64) {
        let history = self.recipient_history();
        history.transfused = Some(Answer::Yes);
        history.last_transfused_on = day(days_ago.saturating_neg());
    }

    fn each_donor(&mut self, change: impl Fn(&mut draft::Donor)) {
        self.donors.iter_mut().for_each(change);
    }

    fn each_unit(&mut self, change: impl Fn(&mut draft::Unit)) {
        self.each_donor(|donor| change(donor.unit.get_or_insert_default()));
    }

    fn each_sample(&mut self, change: impl Fn(&mut draft::Sample)) {
        self.samples.iter_mut().for_each(change);
    }

    /// The samples of the recipient.
    fn own_samples(&mut self, change: impl Fn(&mut draft::Sample)) {
        let id = self.recipient.id.clone();
        self.samples.iter_mut().filter(|sample| sample.of == id).for_each(change);
    }

    fn typed(&mut self, recipient: &[(System, TypeResult)], donor: &[(System, TypeResult)]) {
        let list = |pairs: &[(System, TypeResult)]| {
            let typed = pairs.iter().map(|(system, result)| draft::BloodType {
                system: Some(*system),
                result: Some(*result),
                on: None,
            });
            Some(typed.collect())
        };
        self.recipient.types = list(recipient);
        self.each_donor(|one| one.types = list(donor));
    }
}

/// Anticoagulated plasma in place of serum.
fn plasma(bench: &mut Bench) {
    bench.setup.complement = Some(Complement::None);
    bench.each_sample(|sample| sample.tube = Some(Anticoagulant::Edta));
}

fn controls(expected: Grade, positive: Grade, negative: Grade) -> draft::ReagentControls {
    draft::ReagentControls {
        positive: Some(draft::PositiveControl {
            expected: Some(expected),
            read: Some(Agglutination::Graded(positive)),
        }),
        negative: Some(draft::NegativeControl { read: Some(Agglutination::Graded(negative)) }),
    }
}

/// Rouleaux as they should be dealt with: stacks in every mixture with the plasma, all gone in
/// saline.
fn dispersed(bench: &mut Bench) {
    for test in [Test::Major, Test::RecipientAuto] {
        bench.stacks(test, Grade::G1);
        bench.replaced(test, Grade::G0);
    }
}

macro_rules! recipes {
    ($($slug:literal: $species:ident $method:ident $([$donors:literal])? $($product:ident)?, $make:expr;)+) => {
        /// Every recipe, one a finding.
        pub(super) const RECIPES: &[Recipe] = &[$(
            Recipe {
                slug: $slug,
                species: Species::$species,
                method: Method::$method,
                donors: recipes!(@donors $($donors)?),
                product: recipes!(@product $($product)?),
                make: $make,
            },
        )+];
    };
    (@donors) => { 1 };
    (@donors $donors:literal) => { $donors };
    (@product) => { Product::PackedCells };
    (@product $product:ident) => { Product::$product };
}

recipes! {
    "artefact-false-negative": Dog Tube, |b| b.artefact(Test::Major, Artefact::ShakenHard);
    "artefact-false-positive": Dog Tube, |b| {
        b.clumps(Test::Major, Grade::G1);
        b.artefact(Test::Major, Artefact::Fibrin);
    };
    "artefact-spoils-reading": Dog Gel, |b| b.artefact(Test::Major, Artefact::Bubble);
    "autocontrol-explains": Dog Tube, |b| {
        b.clumps(Test::Major, Grade::G3);
        b.clumps(Test::RecipientAuto, Grade::G3);
    };
    "autocontrol-missing": Dog Tube, |b| {
        b.clumps(Test::Major, Grade::G2);
        b.not_read(Test::RecipientAuto);
    };
    "autocontrol-reactive-test-negative": Dog Tube, |b| b.clumps(Test::RecipientAuto, Grade::G2);
    "cat-type-contradiction": Cat Tube, |b| {
        b.typed(&[(System::Ab, TypeResult::B)], &[(System::Ab, TypeResult::A)]);
    };
    "cat-type-mismatch": Cat Tube, |b| {
        b.typed(&[(System::Ab, TypeResult::B)], &[(System::Ab, TypeResult::A)]);
        b.clumps(Test::Major, Grade::G3);
        b.each(Test::Major, |look| look.hemolysis = Hemolysis::new(2));
    };
    "cat-type-second-choice": Cat Tube, |b| {
        b.typed(&[(System::Ab, TypeResult::A)], &[(System::Ab, TypeResult::Ab)]);
    };
    "cat-type-unknown": Cat Tube, |b| b.typed(&[], &[]);
    "check-cells-failed": Dog Tube, |b| {
        b.also(Test::RecipientAuto, Phase::Antiglobulin, Grade::G0);
        b.also(Test::Major, Phase::Antiglobulin, Grade::G0);
        for look in &mut b.readings {
            if look.phase == Some(Phase::Antiglobulin) {
                look.check_cells = Some(Grade::G0);
            }
        }
    };
    "check-cells-missing": Dog Tube, |b| {
        b.also(Test::RecipientAuto, Phase::Antiglobulin, Grade::G0);
        b.also(Test::Major, Phase::Antiglobulin, Grade::G0);
    };
    "dilution-too-high": Dog Tube, |b| {
        b.stacks(Test::Major, Grade::G2);
        b.diluted(Test::Major, 49, Grade::G0);
    };
    "dilution-too-low": Dog Tube, |b| {
        b.clumps(Test::Major, Grade::G2);
        b.diluted(Test::Major, 1, Grade::G2);
    };
    "dispersal-implausible": Dog Tube, |b| {
        b.stacks(Test::Major, Grade::G4);
        b.replaced(Test::Major, Grade::G0);
    };
    "dispersal-unexplained": Dog Tube, |b| {
        b.clumps(Test::Major, Grade::G2);
        b.replaced(Test::Major, Grade::G0);
    };
    "dog-dea1-mismatch": Dog Tube, |b| {
        b.typed(&[(System::Dea1, TypeResult::Negative)], &[(System::Dea1, TypeResult::Positive)]);
    };
    "dog-type-unknown": Dog Tube, |b| b.typed(&[], &[]);
    "donor-autocontrol-doubtful": Dog Tube, |b| b.clumps(Test::DonorAuto, Grade::Micro);
    "donor-autocontrol-not-read": Dog Tube WholeBlood, |b| b.not_read(Test::DonorAuto);
    "donor-autocontrol-reactive": Dog Tube, |b| b.clumps(Test::DonorAuto, Grade::G2);
    "donor-autocontrol-void": Dog Tube WholeBlood, |b| b.unreadable(Test::DonorAuto);
    "donor-cells-reactive": Dog Tube, |b| {
        b.clumps(Test::Major, Grade::G2);
        b.clumps(Test::DonorAuto, Grade::G2);
    };
    "donor-exposed": Dog Tube WholeBlood, |b| b.each_donor(|donor| {
        donor.history.get_or_insert_default().transfused = Some(Answer::Yes);
    });
    "earlier-incompatible": Dog Tube, |b| {
        let donors: Vec<_> = b.donors.iter().filter_map(|donor| donor.id.clone()).collect();
        b.recipient_history().incompatible_with = Some(donors.into_iter().collect());
    };
    "earlier-reaction": Dog Tube, |b| b.recipient_history().reaction = Some(Answer::Yes);
    "earlier-transfusion": Dog Tube, |b| b.transfused(60);
    "hemolysis-masked": Dog Tube, |b| {
        b.own_samples(|sample| sample.hemolysis = Hemolysis::new(2));
        for test in [Test::Major, Test::RecipientAuto] {
            b.each(test, |look| look.hemolysis = Hemolysis::new(2));
        }
    };
    "hemolysis-not-assessed": Dog Gel, |b| b.each(Test::Major, |look| look.hemolysis = None);
    "hemolysis-not-read": Dog Tube, |b| b.each(Test::Major, |look| look.hemolysis = None);
    "history-unknown": Dog Tube, |b| b.recipient_history().transfused = Some(Answer::Unknown);
    "horse-type-mismatch": Horse Tube, |b| {
        b.typed(&[(System::Aa, TypeResult::Negative)], &[(System::Aa, TypeResult::Positive)]);
    };
    "inconsistent-controls": Dog Tube, |b| b.also(Test::DonorSaline, Phase::Warm37c, Grade::G1);
    "incubation-long": Dog Tube, |b| {
        b.setup.incubation_min.get_or_insert_default().warm_37c = Whole::new(120);
        b.clumps(Test::Major, Grade::W);
    };
    "incubation-short": Dog Tube, |b| {
        b.setup.incubation_min.get_or_insert_default().warm_37c = Whole::new(5);
    };
    "informative-phase-reactive": Dog Tube, |b| {
        b.also(Test::RecipientAuto, Phase::Cold4c, Grade::G2);
        b.also(Test::Major, Phase::Cold4c, Grade::G2);
    };
    "accepted-by-decision": Dog Tube, |b| b.own_samples(|sample| {
        sample.label_id = None;
        sample.decision = Some(draft::Decision {
            by: Some(Text::from("EX-P1")),
            reason: Some(Text::from("the label was wet, and the animal was bleeding")),
        });
    });
    "label-mismatch": Dog Tube, |b| b.own_samples(|sample| sample.label_id = Id::new("EX-R-OTHER"));
    "lot-expired": Dog Tube, |b| {
        let lot = draft::Lot {
            what: Some(Text::from("saline")),
            number: Some(Text::from("EX-L-1")),
            expires_on: day(-3),
        };
        b.setup.lots = Some([lot].into_iter().collect());
    };
    "lysis-not-testable": Horse Tube, plasma;
    "major-not-read": Dog Tube, |b| b.not_read(Test::Major);
    "major-reactive": Dog Tube, |b| b.clumps(Test::Major, Grade::G2);
    "major-unresolved": Cat Tube, |b| b.clumps(Test::Major, Grade::Micro);
    "major-void": Dog Gel, |b| b.artefact(Test::Major, Artefact::Spread);
    "minor-not-read": Cat Tube, |b| b.not_read(Test::Minor);
    "minor-reactive": Dog Tube WholeBlood, |b| b.clumps(Test::Minor, Grade::G2);
    "minor-unresolved": Dog Tube WholeBlood, |b| b.clumps(Test::Minor, Grade::Micro);
    "minor-void": Cat Slide, |b| b.unreadable(Test::Minor);
    "mixed-field-autocontrol": Dog Tube, |b| {
        b.transfused(10);
        b.clumps(Test::RecipientAuto, Grade::G2);
        b.each(Test::RecipientAuto, |look| look.mixed_field = Some(true));
    };
    "mixed-field-major": Dog Gel, |b| {
        b.clumps(Test::Major, Grade::G4);
        b.each(Test::Major, |look| look.mixed_field = Some(true));
    };
    "negative-control-reactive": Dog Tube, |b| b.controls = Some(controls(Grade::G2, Grade::G2, Grade::W));
    "no-antiglobulin-phase": Dog Tube, |_| {};
    "only-room-read": Dog Slide, |_| {};
    "plasma-anticoagulated": Dog Tube, plasma;
    "plasma-ratio-low": Dog Tube, |b| {
        b.setup.plasma_ul = Whole::new(20);
        b.setup.cells_ul = Whole::new(100);
        b.setup.cells_percent = Hundredths::new(500);
    };
    "positive-control-failed": Dog Tube, |b| b.controls = Some(controls(Grade::G2, Grade::G0, Grade::G0));
    "pregnancy-exposed": Horse Tube, |b| b.recipient_history().pregnant = Some(Answer::Yes);
    "reaction-below-cut-off": Dog Tube, |b| b.clumps(Test::Major, Grade::Rough);
    "readers-disagree": Dog Tube, |b| b.again(Test::Major, |look| {
        look.by = Some(Text::from("reader B"));
        look.agglutination = Some(Agglutination::Graded(Grade::G1));
        look.pattern = Some(Pattern::Clumps);
    });
    "reading-delayed": Dog Tube, |b| b.each(Test::Major, |look| look.seconds = Whole::new(900));
    "reading-early": Dog Slide, |b| b.each(Test::Major, |look| look.seconds = Whole::new(20));
    "reading-late": Dog Slide, |b| b.each(Test::RecipientAuto, |look| look.seconds = Whole::new(600));
    "reading-retracted": Dog Tube, |b| {
        b.again(Test::Major, |_| {});
        let at = clock(7200);
        if let Some(first) = b.readings.iter_mut().find(|look| look.test == Some(Test::Major)) {
            first.agglutination = Some(Agglutination::Graded(Grade::G3));
            first.pattern = Some(Pattern::Clumps);
            first.retracted = Some(draft::Retracted {
                at,
                by: Some(Text::from("reader A")),
                reason: Some(Text::from("wrong tube")),
            });
        }
    };
    "reading-time-unknown": Dog Slide, |b| b.each(Test::Major, |look| look.seconds = None);
    "reading-unreadable": Dog Gel, |b| b.unreadable(Test::Major);
    "readings-far-apart": Dog Tube, |b| b.each(Test::RecipientAuto, |look| look.at = clock(-36_000));
    "recheck-not-counted": Dog Tube, |b| {
        b.again(Test::Major, |look| {
            look.after = Some(Recheck::SalineReplacement);
            look.agglutination = Some(Agglutination::Graded(Grade::G2));
            look.artefacts = Some([Artefact::Bubble].into_iter().collect());
        });
    };
    "recheck-not-valid": Dog Tube, |b| {
        b.also(Test::RecipientAuto, Phase::Antiglobulin, Grade::G0);
        b.also(Test::Major, Phase::Antiglobulin, Grade::G2);
        let last = b.readings.last().cloned().unwrap_or_default();
        b.readings.push(draft::Reading {
            after: Some(Recheck::SalineReplacement),
            agglutination: Some(Agglutination::Graded(Grade::G0)),
            pattern: None,
            at: clock(3600),
            ..last
        });
    };
    "recheck-stronger": Dog Tube, |b| b.replaced(Test::Major, Grade::G2);
    "recipient-autocontrol-doubtful": Dog Tube, |b| b.clumps(Test::RecipientAuto, Grade::Micro);
    "recipient-autocontrol-not-read": Dog Tube, |b| b.not_read(Test::RecipientAuto);
    "recipient-autocontrol-reactive": Dog Tube, |b| {
        b.clumps(Test::RecipientAuto, Grade::G3);
        b.clumps(Test::Minor, Grade::G3);
        b.also(Test::RecipientSaline, Phase::Warm37c, Grade::G3);
    };
    "recipient-autocontrol-void": Dog Gel, |b| b.unreadable(Test::RecipientAuto);
    "rouleaux-dispersed": Horse Tube, dispersed;
    "rouleaux-not-rechecked": Horse Tube, |b| {
        for test in [Test::Major, Test::RecipientAuto] {
            b.stacks(test, Grade::G1);
        }
    };
    "rouleaux-partial": Horse Tube, |b| {
        b.sees(Test::Major, Grade::G3, Pattern::Both);
        b.replaced(Test::Major, Grade::G1);
    };
    "saline-control-void": Dog Tube, |b| {
        b.also(Test::RecipientSaline, Phase::Warm37c, Grade::G0);
        b.artefact(Test::RecipientSaline, Artefact::Bubble);
    };
    "saline-controls-reactive": Dog Tube, |b| {
        b.also(Test::RecipientSaline, Phase::Warm37c, Grade::G1);
        b.also(Test::DonorSaline, Phase::Warm37c, Grade::G1);
    };
    "sample-age-unknown": Dog Tube, |b| b.own_samples(|sample| sample.drawn_at = None);
    "sample-agglutinated": Dog Tube, |b| b.own_samples(|sample| sample.agglutinated = Some(true));
    "sample-before-transfusion": Dog Tube, |b| {
        b.transfused(1);
        b.own_samples(|sample| sample.drawn_at = clock(-172_800));
    };
    "sample-clotted": Dog Tube, |b| {
        plasma(b);
        b.own_samples(|sample| sample.clots = Some(true));
    };
    "sample-drawn-after-reading": Dog Tube, |b| b.own_samples(|sample| {
        sample.drawn_at = clock(1800);
    });
    "sample-hemolysis": Dog Tube, |b| b.own_samples(|sample| sample.hemolysis = Hemolysis::new(2));
    "sample-icteric": Dog Tube, |b| b.own_samples(|sample| sample.icterus = Whole::new(3));
    "sample-lipemic": Dog Tube, |b| b.own_samples(|sample| sample.lipemia = Whole::new(3));
    "sample-look-unknown": Dog Tube, |b| b.own_samples(|sample| sample.hemolysis = None);
    "sample-not-recorded": Dog Tube, |b| {
        let recipient = b.recipient.id.clone();
        b.samples.retain(|sample| sample.of != recipient);
    };
    "sample-rejected": Dog Tube, |b| b.own_samples(|sample| sample.hemolysis = Hemolysis::new(4));
    "sample-too-old": Dog Tube, |b| b.own_samples(|sample| sample.drawn_at = clock(-864_000));
    "serology-only": Dog Tube, |_| {};
    "slide-dried": Cat Slide, |b| {
        b.clumps(Test::Major, Grade::G1);
        b.each(Test::Major, |look| look.dried = Some(true));
    };
    "species-differ": Dog Tube, |b| b.each_donor(|donor| donor.species = Some(Species::Cat));
    "suspension-too-heavy": Dog Tube, |b| b.setup.cells_percent = Hundredths::new(1200);
    "suspension-too-light": Dog Tube, |b| b.setup.cells_percent = Hundredths::new(50);
    "transfused-recently": Dog Tube, |b| b.transfused(10);
    "type-discrepant": Dog Tube, |b| {
        let both =
            [(System::Dea1, TypeResult::Positive), (System::Dea1, TypeResult::Negative)];
        b.typed(&both, &[(System::Dea1, TypeResult::Negative)]);
    };
    "type-impossible": Dog Tube, |b| {
        let both = [
            (System::Dea1, TypeResult::Positive),
            (System::Kai1, TypeResult::Positive),
            (System::Kai2, TypeResult::Positive),
        ];
        b.typed(&both, &[(System::Dea1, TypeResult::Negative)]);
    };
    "unit-expired": Dog Tube, |b| b.each_unit(|unit| unit.expires_on = day(-2));
    "unit-not-inspected": Dog Tube, |b| b.each_unit(|unit| {
        unit.inspection = Some(Inspection::NotInspected);
    });
    "unit-unfit": Dog Tube, |b| b.each_unit(|unit| unit.inspection = Some(Inspection::Clotted));
    "washes-few": Dog Tube, |b| b.setup.washes = Whole::new(1);
    "every-donor-reactive": Dog Tube [3], |b| b.clumps(Test::Major, Grade::G3);
    "every-donor-with-autocontrol": Dog Tube [3], |b| {
        b.clumps(Test::Major, Grade::G2);
        b.clumps(Test::RecipientAuto, Grade::G2);
    };
    "every-reaction-weak": Dog Tube [3], |b| b.clumps(Test::Major, Grade::W);
    "one-donor-reactive": Dog Tube [3], |b| {
        if let Some(first) = b.readings.iter_mut().find(|look| look.test == Some(Test::Major)) {
            first.agglutination = Some(Agglutination::Graded(Grade::G4));
            first.pattern = Some(Pattern::Clumps);
        }
    };
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use crossread_core::findings::CATALOGUE;
    use crossread_core::{Protocols, interpret};

    use super::{RECIPES, UNREACHABLE};

    #[test]
    fn every_finding_has_a_recipe_or_a_reason() {
        let mut named: Vec<_> = RECIPES.iter().map(|recipe| recipe.slug).collect();
        named.extend(UNREACHABLE.map(|(slug, _)| slug));
        let count = named.len();
        let named: BTreeSet<_> = named.into_iter().collect();
        assert_eq!(named.len(), count, "a finding twice");
        assert_eq!(named, CATALOGUE.iter().map(|meta| meta.slug).collect());
    }

    #[test]
    fn every_recipe_raises_its_finding_under_the_rules_that_ship() {
        let shipped = Protocols::shipped();
        let mut missed = Vec::new();
        for recipe in RECIPES {
            let meant =
                |protocol: &&crossread_core::Protocol| protocol.species().contains(&recipe.species);
            let protocol = shipped.iter().find(meant).expect("a protocol");
            let bench = recipe.bench(1, protocol);
            let worksheet = bench.checked(shipped);
            let Some(worksheet) = worksheet else {
                missed.push(format!("{} is refused", recipe.slug));
                continue;
            };
            let answer = interpret(&worksheet, protocol);
            let there = answer.pairs.iter().flat_map(|pair| &pair.findings).chain(&answer.panel);
            if !there.into_iter().any(|finding| finding.slug == recipe.slug) {
                missed.push(recipe.slug.to_owned());
            }
        }
        // Its cut-offs leave no grade between 0 and doubtful.
        assert_eq!(missed, ["reaction-below-cut-off"]);
    }
}
