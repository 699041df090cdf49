//! The findings of a pair and their effects, one row each, in the page's order.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use jiff::civil::Date;
use jiff::{SignedDuration, Timestamp};

use super::groups::{Bench, Group, lacks_check_cells};
use super::rules::{MinorWithPackedCells, Rules};
use super::sheet::{Animal, Donor, Moment, Reading, Sample};
use super::words::{
    CheckCellsMissing, Complement, Conclusion, Effect, Grade, Inspection, Method, Phase, PhaseRole,
    Product, Said, SampleTube, Shade, State, Stored, Summary, Test, TypeRules,
};

use Effect::{Caveat, Incompatible, Incomplete, Indeterminate, Invalid, Note};
use Test::{DonorAuto, DonorSaline, Major, Minor, RecipientAuto, RecipientSaline};

/// What a product makes of the tests.
struct ProductRow {
    product: Product,
    red_cells: bool,
    deciding: &'static [Test],
    /// Whether the tests that the protocol requires are needed too, but for those left out.
    as_protocol: bool,
    leaves_out: &'static [Test],
    needs_anyway: &'static [Test],
}

/// The table of products.
const PRODUCTS: &[ProductRow] = &[
    ProductRow {
        product: Product::PackedCells,
        red_cells: true,
        deciding: &[Major],
        as_protocol: true,
        leaves_out: &[],
        needs_anyway: &[Major],
    },
    ProductRow {
        product: Product::WashedCells,
        red_cells: true,
        deciding: &[Major],
        as_protocol: true,
        leaves_out: &[Minor, DonorAuto],
        needs_anyway: &[Major],
    },
    ProductRow {
        product: Product::WholeBlood,
        red_cells: true,
        deciding: &[Major, Minor],
        as_protocol: true,
        leaves_out: &[],
        needs_anyway: &[Major, Minor, DonorAuto],
    },
    ProductRow {
        product: Product::Plasma,
        red_cells: false,
        deciding: &[Minor],
        as_protocol: false,
        leaves_out: &[],
        needs_anyway: &[Minor, DonorAuto],
    },
];

/// One donor beside the recipient: everything the findings ask about.
pub(crate) struct Pair<'a> {
    pub(crate) bench: &'a Bench<'a>,
    /// The donor's place on the worksheet.
    pub(crate) place: usize,
    pub(crate) donor: &'a Donor,
    product: &'static ProductRow,
    pub(crate) major: Conclusion,
    pub(crate) minor: Conclusion,
    /// In the order of [`Test::ALL`].
    pub(crate) summaries: [Summary; 6],
    /// T.
    earliest: Option<Moment>,
    /// L.
    latest: Option<Moment>,
    /// The reasons of the two conclusions.
    reasons: Vec<&'static str>,
}

impl<'a> Pair<'a> {
    /// Sums the tests up for one donor.
    pub(crate) fn of(bench: &'a Bench<'a>, place: usize) -> Self {
        let donor = &bench.sheet.donors[place];
        let product = PRODUCTS
            .iter()
            .find(|row| row.product == donor.product)
            .expect("every product stands in PRODUCTS");
        let (major, major_reason) = bench.conclusion(Major, place);
        let (minor, minor_reason) = bench.conclusion(Minor, place);
        let moments = || {
            bench
                .sheet
                .readings
                .iter()
                .filter(|one| {
                    !one.retracted
                        && one.donor == Some(place)
                        && product.deciding.contains(&one.test)
                })
                .map(|one| one.at)
        };
        let summary = |test| bench.summary(test, place);
        Self {
            bench,
            place,
            donor,
            product,
            major,
            minor,
            summaries: [
                summary(Major),
                summary(Minor),
                summary(RecipientAuto),
                summary(DonorAuto),
                summary(RecipientSaline),
                summary(DonorSaline),
            ],
            // Moments are ordered by instant and then by written date, which settles ties.
            earliest: moments().min(),
            latest: moments().max(),
            reasons: major_reason.into_iter().chain(minor_reason).collect(),
        }
    }

    /// Every finding of the pair, once each, with its greatest effect.
    pub(crate) fn findings(&self) -> BTreeMap<&'static str, Effect> {
        let mut found = BTreeMap::new();
        let mut add = |slug: &'static str, effect: Effect| {
            let so_far = found.entry(slug).or_insert(effect);
            *so_far = effect.max(*so_far);
        };
        for &(slug, effect) in FINDINGS {
            if let Some(effect) = effect(self) {
                add(slug, effect);
            }
        }
        // Reasons are notes, but for those that have rows of their own.
        let of_groups = Test::ALL
            .iter()
            .flat_map(|&test| self.groups(test))
            .flat_map(|group| group.reasons.iter());
        for reason in of_groups.chain(&self.reasons) {
            if !LISTED.contains(reason) {
                add(reason, Note);
            }
        }
        found
    }

    fn recipient(&self) -> &'a Animal {
        &self.bench.sheet.recipient
    }

    fn rules(&self) -> &'a Rules {
        self.bench.rules
    }

    fn is(&self, method: Method) -> bool {
        self.bench.sheet.method == method
    }

    pub(crate) fn red_cells(&self) -> bool {
        self.product.red_cells
    }

    pub(crate) fn summary(&self, test: Test) -> Summary {
        let place = Test::ALL.iter().position(|&one| one == test).expect("one of the six");
        self.summaries[place]
    }

    fn decides(&self, test: Test) -> bool {
        self.product.deciding.contains(&test)
    }

    fn needs(&self, test: Test) -> bool {
        let required = self.bench.method.required_tests.contains(&test);
        self.product.needs_anyway.contains(&test)
            || (self.product.as_protocol && required && !self.product.leaves_out.contains(&test))
    }

    /// Whether a test is PA of a deciding test.
    fn stands_behind_deciding(&self, test: Test) -> bool {
        self.product.deciding.iter().any(|one| one.plasma_auto() == Some(test))
    }

    /// Whether the verdict rests on this test in any of the three ways.
    fn rests_on(&self, test: Test) -> bool {
        self.decides(test) || self.needs(test) || self.stands_behind_deciding(test)
    }

    fn gap(&self, test: Test) -> bool {
        self.bench.gap(test, self.place)
    }

    fn spoiled(&self, test: Test) -> bool {
        self.bench.spoiled(test, self.place)
    }

    /// The groups of a test that are not absent, at any phase.
    fn groups(&self, test: Test) -> impl Iterator<Item = &'a Group<'a>> {
        self.bench.groups_of(test, self.place)
    }

    /// The groups of a test at phases with one of these roles.
    fn groups_at(
        &self,
        test: Test,
        roles: &'static [PhaseRole],
    ) -> impl Iterator<Item = &'a Group<'a>> {
        let phases = &self.bench.method.phases;
        self.groups(test)
            .filter(|group| phases.get(&group.phase).is_some_and(|role| roles.contains(role)))
    }

    /// The groups of a test at deciding phases.
    fn deciding_groups(&self, test: Test) -> impl Iterator<Item = &'a Group<'a>> {
        self.groups_at(test, &[PhaseRole::Required, PhaseRole::OneOf, PhaseRole::Optional])
    }

    /// Whether one of the four tests has such a group at a deciding phase.
    fn any_of_four(&self, like: impl Fn(&Group<'_>) -> bool) -> bool {
        Test::FOUR.iter().any(|&test| self.deciding_groups(test).any(&like))
    }

    /// Whether a deciding test has such a group at any phase.
    fn any_deciding_test(&self, like: impl Fn(&Group<'_>) -> bool) -> bool {
        self.product.deciding.iter().any(|&test| self.groups(test).any(&like))
    }

    /// Whether a deciding test, or PA of one, has such a group at any phase.
    fn any_deciding_or_auto(&self, like: impl Fn(&Group<'_>) -> bool) -> bool {
        Test::FOUR
            .iter()
            .filter(|&&test| self.decides(test) || self.stands_behind_deciding(test))
            .any(|&test| self.groups(test).any(&like))
    }

    /// Whether any of the six tests raised this reason at any phase.
    fn raised(&self, reason: &str) -> bool {
        Test::ALL.iter().any(|&test| self.groups(test).any(|group| group.raised(reason)))
    }

    /// A finding of the major: only a note where the major does not decide.
    fn of_major(&self, holds: bool, effect: Effect) -> Option<Effect> {
        holds.then_some(if self.decides(Major) { effect } else { Note })
    }

    /// A finding of the minor: `heavy` or, where that does not apply, what the product makes of it.
    fn of_minor(
        &self,
        holds: bool,
        heavy: Option<Effect>,
        packed: fn(&MinorWithPackedCells) -> Effect,
    ) -> Option<Effect> {
        let light = if self.donor.product == Product::PackedCells {
            packed(&self.rules().minor_with_packed_cells)
        } else {
            Note
        };
        holds.then_some(heavy.unwrap_or(light))
    }

    fn auto_not_read(&self, test: Test) -> Option<Effect> {
        self.gap(test).then_some(if self.needs(test) {
            Incomplete
        } else if self.stands_behind_deciding(test) {
            Caveat
        } else {
            Note
        })
    }

    fn auto_void(&self, test: Test) -> Option<Effect> {
        let heavy = self.needs(test) || self.stands_behind_deciding(test);
        self.spoiled(test).then_some(if heavy { Invalid } else { Note })
    }

    /// The animals whose plasma is in a deciding test.
    fn deciding_plasma_owners(&self) -> impl Iterator<Item = &'a Animal> {
        self.product
            .deciding
            .iter()
            .filter_map(|test| test.plasma())
            .map(|owner| self.bench.animal(owner, self.place))
    }

    fn plasma_samples_of(&self, animal: &'a Animal) -> impl Iterator<Item = &'a Sample> {
        self.bench.samples(animal).filter(|sample| sample.is_plasma())
    }

    /// Whether some plasma sample of a deciding plasma owner is like this.
    fn any_plasma_sample(&self, like: impl Fn(&Sample) -> bool) -> bool {
        self.deciding_plasma_owners().any(|animal| self.plasma_samples_of(animal).any(&like))
    }

    /// Whether some deciding plasma owner has no sample of serum.
    fn some_owner_without_serum(&self) -> bool {
        self.deciding_plasma_owners().any(|animal| !self.has_serum(animal))
    }

    fn has_serum(&self, animal: &'a Animal) -> bool {
        self.plasma_samples_of(animal).any(|sample| sample.tube == Some(SampleTube::Serum))
    }

    /// When each dated plasma sample of a deciding plasma owner stops being fresh enough.
    fn keeps_until(&self) -> impl Iterator<Item = Timestamp> {
        self.deciding_plasma_owners().flat_map(move |animal| {
            let rules = self.rules();
            let hours = if exposed(rules, animal) {
                rules.exposed_max_hours
            } else {
                rules.naive_max_hours
            };
            self.plasma_samples_of(animal).filter_map(move |sample| {
                let hours = match sample.stored {
                    Some(Stored::Room) => hours.room,
                    Some(Stored::Fridge) => hours.fridge,
                    None => hours.room.min(hours.fridge),
                };
                let drawn = sample.drawn_at?.instant;
                let until = drawn.checked_add(SignedDuration::from_hours(hours));
                Some(until.unwrap_or(Timestamp::MAX))
            })
        })
    }

    /// Until when the verdict holds.
    pub(crate) fn valid_until(&self) -> Option<String> {
        self.keeps_until().min().map(|until| until.to_string())
    }

    /// Whether a day lies before the date of L.
    fn is_past(&self, day: Date) -> bool {
        self.latest.is_some_and(|latest| day < latest.date)
    }

    /// Whether the recipient's transfusion is, or may be, recent.
    fn transfused_recently(&self) -> bool {
        let days = self.earliest.zip(self.recipient().last_transfused_on).map(|(first, last)| {
            let hours = first.date.duration_since(last).as_hours();
            hours.div_euclid(24)
        });
        self.recipient().transfused == Said::Yes
            && days.is_none_or(|days| days <= self.rules().recent_transfusion_days)
    }

    /// A caveat where red cells are given, else a note.
    fn caveat_with_red_cells(&self, holds: bool) -> Option<Effect> {
        holds.then_some(if self.red_cells() { Caveat } else { Note })
    }

    /// The first looks of deciding tests and their PA in deciding phases.
    fn run(&self) -> impl Iterator<Item = Timestamp> {
        Test::FOUR
            .into_iter()
            .filter(|&test| self.decides(test) || self.stands_behind_deciding(test))
            .flat_map(|test| self.deciding_groups(test))
            .flat_map(|group| group.first_looks.iter().map(|look| look.at.instant))
    }

    /// Whether a retracted reading showed something that no longer stands.
    fn took_back(&self, reading: &Reading) -> bool {
        let ours = reading.donor.is_none_or(|place| place == self.place);
        let weighty = self.rests_on(reading.test) || reading.test.is_saline_control();
        let class = reading.grade.map(|grade| self.bench.class(grade));
        let showed = class.is_some_and(|class| class != Shade::Negative)
            || reading.hemolysis.is_some_and(|seen| seen >= self.rules().hemolysis_from);
        let now = self.bench.state(reading.test, self.place, reading.phase);
        reading.retracted
            && ours
            && weighty
            && showed
            && [State::Negative, State::Unread, State::Absent].contains(&now)
    }

    /// Whether the protocol's types are these.
    fn typed_as(&self, rules: TypeRules) -> bool {
        self.rules().types == rules
    }

    /// Whether a system is negative in the recipient while the donor has the antigen.
    fn lacks_what_donor_has(&self, system: &str) -> bool {
        self.recipient().results(system).any(|result| result == "negative")
            && self.donor.animal.results(system).any(has_antigen)
    }

    fn some_type_missing(&self, system: &str) -> bool {
        [self.recipient(), &self.donor.animal]
            .iter()
            .any(|animal| animal.results(system).next().is_none())
    }

    /// Whether the table of AB types names this finding for the pair.
    fn ab_types_raise(&self, finding: &str) -> bool {
        self.typed_as(TypeRules::Cat)
            && AB_TYPES.iter().any(|row| {
                let &(recipient, donor, with_red_cells, with_plasma) = row;
                let raised = if self.red_cells() { with_red_cells } else { with_plasma };
                raised == finding && self.recipient_is(recipient) && self.donor_is(donor)
            })
    }

    fn recipient_is(&self, ab: &str) -> bool {
        self.recipient().results("AB").any(|result| result == ab)
    }

    fn donor_is(&self, ab: &str) -> bool {
        self.donor.animal.results("AB").any(|result| result == ab)
    }

    /// A crossmatch that shows the opposite of what the AB types foretell.
    fn ab_types_contradicted(&self) -> Option<Effect> {
        let shows = |test| [Summary::Reactive, Summary::Doubtful].contains(&self.summary(test));
        let b_meets_a = self.recipient_is("B") && (self.donor_is("A") || self.donor_is("AB"));
        let a_meets_b = self.donor_is("B") && (self.recipient_is("A") || self.recipient_is("AB"));
        let lines = [
            (self.red_cells() && b_meets_a && self.major == Conclusion::Nonreactive, Indeterminate),
            (self.red_cells() && self.recipient_is("AB") && shows(Major), Indeterminate),
            (a_meets_b && self.minor == Conclusion::Nonreactive, Indeterminate),
            (
                self.donor_is("AB") && shows(Minor),
                if self.needs(Minor) { Indeterminate } else { Caveat },
            ),
        ];
        let holding = lines.into_iter().filter(|line| self.typed_as(TypeRules::Cat) && line.0);
        holding.map(|line| line.1).max()
    }
}

/// Whether an animal may carry antibodies from its past: *exposed*, as against naive.
fn exposed(rules: &Rules, animal: &Animal) -> bool {
    let maybe = [Said::Yes, Said::Unknown];
    maybe.contains(&animal.transfused)
        || animal.reaction == Said::Yes
        || !animal.incompatible_with.is_empty()
        || (rules.pregnancy_sensitises && maybe.contains(&animal.pregnant))
}

/// Weak and positive agree.
fn has_antigen(result: &str) -> bool {
    ["positive", "weak"].contains(&result)
}

/// A result with weak and positive taken together.
fn merged(result: &str) -> &str {
    if has_antigen(result) { "positive" } else { result }
}

/// Two results of one system on one animal that do not agree.
fn discrepant(animal: &Animal) -> bool {
    animal
        .types
        .iter()
        .any(|(system, result)| animal.results(system).any(|other| merged(other) != merged(result)))
}

const MISMATCH: &str = "cat-type-mismatch";
const SECOND_CHOICE: &str = "cat-type-second-choice";
const FINE: &str = "";

/// AB of recipient and donor, and what that raises with red cells and with plasma.
const AB_TYPES: &[(&str, &str, &str, &str)] = &[
    ("A", "A", FINE, FINE),
    ("A", "B", MISMATCH, MISMATCH),
    ("A", "AB", SECOND_CHOICE, FINE),
    ("B", "A", MISMATCH, MISMATCH),
    ("B", "B", FINE, FINE),
    ("B", "AB", MISMATCH, FINE),
    ("AB", "A", SECOND_CHOICE, SECOND_CHOICE),
    ("AB", "B", MISMATCH, MISMATCH),
    ("AB", "AB", FINE, FINE),
];

/// The slugs with a row of their own, which says all there is to say about them.
static LISTED: LazyLock<Vec<&str>> =
    LazyLock::new(|| FINDINGS.iter().map(|&(slug, _)| slug).collect());

/// A slug, and the effect it has on a pair if it is raised.
type Row = (&'static str, fn(&Pair<'_>) -> Option<Effect>);

/// The table of findings, then the type rules.
pub(crate) const FINDINGS: &[Row] = &[
    ("major-reactive", |p| p.of_major(p.major == Conclusion::Reactive, Incompatible)),
    ("donor-cells-reactive", |p| p.of_major(p.major == Conclusion::ReactiveCells, Incompatible)),
    ("major-unresolved", |p| p.of_major(p.major == Conclusion::Unresolved, Indeterminate)),
    ("major-void", |p| p.of_major(p.spoiled(Major), Invalid)),
    ("major-not-read", |p| p.of_major(p.gap(Major), Incomplete)),
    ("minor-reactive", |p| {
        let heavy = p.decides(Minor).then_some(Incompatible);
        p.of_minor(p.minor == Conclusion::Reactive, heavy, |packed| packed.reactive)
    }),
    ("minor-unresolved", |p| {
        let open = [Conclusion::Unresolved, Conclusion::ReactiveCells].contains(&p.minor);
        let heavy = p.decides(Minor).then_some(Indeterminate);
        p.of_minor(open, heavy, |packed| packed.unresolved)
    }),
    ("minor-void", |p| {
        let heavy = p.needs(Minor).then_some(Invalid);
        p.of_minor(p.spoiled(Minor), heavy, |packed| packed.void)
    }),
    ("minor-not-read", |p| {
        let heavy = p.needs(Minor).then_some(Incomplete);
        p.of_minor(p.gap(Minor), heavy, |packed| packed.not_read)
    }),
    ("recipient-autocontrol-not-read", |p| p.auto_not_read(RecipientAuto)),
    ("donor-autocontrol-not-read", |p| p.auto_not_read(DonorAuto)),
    ("recipient-autocontrol-void", |p| p.auto_void(RecipientAuto)),
    ("donor-autocontrol-void", |p| p.auto_void(DonorAuto)),
    ("recipient-autocontrol-reactive", |p| {
        (p.summary(RecipientAuto) == Summary::Reactive).then_some(Caveat)
    }),
    ("donor-autocontrol-reactive", |p| {
        (p.summary(DonorAuto) == Summary::Reactive).then_some(Caveat)
    }),
    ("recipient-autocontrol-doubtful", |p| {
        (p.summary(RecipientAuto) == Summary::Doubtful).then_some(Caveat)
    }),
    ("donor-autocontrol-doubtful", |p| {
        (p.summary(DonorAuto) == Summary::Doubtful).then_some(Caveat)
    }),
    ("saline-controls-reactive", |p| p.bench.saline_controls_reactive.then_some(Invalid)),
    ("inconsistent-controls", |p| {
        p.bench.inconsistent_controls(p.place, p.product.deciding).then_some(Indeterminate)
    }),
    ("readers-disagree", |p| {
        Test::FOUR
            .into_iter()
            .filter(|&test| p.deciding_groups(test).any(|group| group.raised("readers-disagree")))
            .map(|test| if p.rests_on(test) { Indeterminate } else { Caveat })
            .max()
    }),
    ("rouleaux-dispersed", |p| {
        Test::FOUR
            .iter()
            .any(|&test| p.groups(test).any(|group| group.raised("rouleaux-dispersed")))
            .then_some(Caveat)
    }),
    ("reaction-below-cut-off", |p| {
        p.any_of_four(|group| group.raised("reaction-below-cut-off")).then_some(Caveat)
    }),
    ("reading-retracted", |p| {
        p.bench.sheet.readings.iter().any(|reading| p.took_back(reading)).then_some(Caveat)
    }),
    ("saline-control-void", |p| {
        [RecipientSaline, DonorSaline]
            .into_iter()
            .flat_map(|test| p.deciding_groups(test))
            .filter(|group| group.state == State::Void)
            .map(|group| {
                let reacted =
                    group.any_first_look(|look| p.bench.side(look) > Some(Shade::Negative));
                if reacted { Indeterminate } else { Caveat }
            })
            .max()
    }),
    ("readings-far-apart", |p| {
        let allowed = SignedDuration::from_hours(p.rules().run_max_hours);
        let span = p.run().min().zip(p.run().max()).map(|(first, last)| last.duration_since(first));
        span.is_some_and(|span| span > allowed).then_some(Indeterminate)
    }),
    ("reading-late", |p| {
        let heavy = p.any_deciding_or_auto(|group| group.raised("reading-late"));
        p.raised("reading-late").then_some(if heavy { Caveat } else { Note })
    }),
    ("negative-control-reactive", |p| p.raised("negative-control-reactive").then_some(Caveat)),
    ("only-room-read", |p| {
        let looked_at = |test: Test, phase: Phase| {
            p.bench.group(test, p.place, phase).is_some_and(|group| !group.first_looks.is_empty())
        };
        let elsewhere = |test: Test| {
            p.bench.method.deciding().any(|phase| phase != Phase::Room && looked_at(test, phase))
        };
        p.product
            .deciding
            .iter()
            .any(|&test| looked_at(test, Phase::Room) && !elsewhere(test))
            .then_some(Caveat)
    }),
    ("hemolysis-not-assessed", |p| {
        p.product
            .deciding
            .iter()
            .any(|&test| {
                let mut looks =
                    p.deciding_groups(test).flat_map(|group| &group.first_looks).peekable();
                looks.peek().is_some() && looks.all(|look| look.hemolysis.is_none())
            })
            .then_some(Caveat)
    }),
    ("informative-phase-reactive", |p| {
        Test::FOUR
            .iter()
            .flat_map(|&test| p.groups_at(test, &[PhaseRole::Informative]))
            .any(|group| [State::Reactive, State::Doubtful].contains(&group.state))
            .then_some(Caveat)
    }),
    ("check-cells-missing", |p| {
        let effect = match p.rules().check_cells_missing {
            CheckCellsMissing::Caveat => Caveat,
            CheckCellsMissing::Void => Note,
        };
        p.any_deciding_or_auto(|group| lacks_check_cells(p.bench, group)).then_some(effect)
    }),
    ("reading-delayed", |p| {
        p.bench
            .method
            .late_after_seconds
            .is_some_and(|limit| {
                p.any_deciding_test(|group| {
                    group.any_first_look(|look| look.seconds.is_some_and(|seen| seen > limit))
                })
            })
            .then_some(Caveat)
    }),
    ("reading-time-unknown", |p| {
        let unknown =
            p.any_deciding_test(|group| group.any_first_look(|look| look.seconds.is_none()));
        (p.is(Method::Slide) && unknown).then_some(Caveat)
    }),
    ("mixed-field-autocontrol", |p| {
        p.groups(RecipientAuto)
            .any(|group| group.any_first_look(|look| look.mixed_field))
            .then_some(Caveat)
    }),
    ("mixed-field-major", |p| {
        p.groups(Major).any(|group| group.any_first_look(|look| look.mixed_field)).then_some(Note)
    }),
    ("sample-hemolysis", |p| {
        let range = p.rules().hemolysis_from..p.rules().hemolysis_reject_from;
        p.any_plasma_sample(|sample| sample.hemolysis.is_some_and(|seen| range.contains(&seen)))
            .then_some(Caveat)
    }),
    ("sample-lipemic", |p| {
        p.any_plasma_sample(|sample| {
            sample.lipemia.is_some_and(|seen| seen >= p.rules().lipemia_from)
        })
        .then_some(Caveat)
    }),
    ("sample-icteric", |p| {
        p.any_plasma_sample(|sample| {
            sample.icterus.is_some_and(|seen| seen >= p.rules().icterus_from)
        })
        .then_some(Caveat)
    }),
    ("sample-clotted", |p| p.any_plasma_sample(|sample| sample.clots).then_some(Caveat)),
    ("sample-agglutinated", |p| {
        [p.recipient(), &p.donor.animal]
            .into_iter()
            .any(|animal| p.bench.samples(animal).any(|sample| sample.agglutinated))
            .then_some(Caveat)
    }),
    ("sample-too-old", |p| {
        p.keeps_until()
            .any(|until| p.latest.is_some_and(|latest| latest.instant > until))
            .then_some(Invalid)
    }),
    ("sample-drawn-after-reading", |p| {
        p.any_plasma_sample(|sample| {
            sample
                .drawn_at
                .zip(p.earliest)
                .is_some_and(|(drawn, earliest)| drawn.instant > earliest.instant)
        })
        .then_some(Indeterminate)
    }),
    ("sample-before-transfusion", |p| {
        let last = p.recipient().last_transfused_on;
        let before = p
            .plasma_samples_of(p.recipient())
            .any(|sample| sample.drawn_at.zip(last).is_some_and(|(drawn, last)| drawn.date < last));
        (p.red_cells() && before).then_some(Invalid)
    }),
    ("sample-age-unknown", |p| {
        p.any_plasma_sample(|sample| sample.drawn_at.is_none()).then_some(Incomplete)
    }),
    ("sample-look-unknown", |p| {
        p.any_plasma_sample(|sample| sample.hemolysis.is_none()).then_some(Caveat)
    }),
    ("sample-not-recorded", |p| {
        p.deciding_plasma_owners()
            .any(|animal| p.plasma_samples_of(animal).next().is_none())
            .then_some(Incomplete)
    }),
    ("plasma-anticoagulated", |p| {
        let anticoagulated = p
            .deciding_plasma_owners()
            .any(|animal| p.plasma_samples_of(animal).next().is_some() && !p.has_serum(animal));
        (anticoagulated && p.bench.sheet.setup.complement != Complement::Added)
            .then_some(p.rules().anticoagulant_lysis)
    }),
    ("lysis-not-testable", |p| {
        let not_looked_for = p.product.deciding.iter().any(|&test| {
            p.bench.method.with_role(&[PhaseRole::Required]).any(|phase| {
                !p.bench
                    .group(test, p.place, phase)
                    .is_some_and(|group| group.any_first_look(|look| look.hemolysis.is_some()))
            })
        });
        let no_complement = match p.bench.sheet.setup.complement {
            Complement::None => true,
            Complement::FreshSerum => p.some_owner_without_serum(),
            Complement::Added => false,
        };
        (p.rules().lysis_must_be_testable
            && (!p.is(Method::Tube) || not_looked_for || no_complement))
            .then_some(Caveat)
    }),
    ("no-antiglobulin-phase", |p| {
        p.product
            .deciding
            .iter()
            .any(|&test| p.bench.state(test, p.place, Phase::Antiglobulin) == State::Absent)
            .then_some(Note)
    }),
    ("suspension-too-light", |p| {
        p.bench
            .method
            .cells_percent
            .zip(p.bench.sheet.setup.cells_percent)
            .is_some_and(|(range, percent)| range.starts_after(percent))
            .then_some(Caveat)
    }),
    ("washes-few", |p| {
        p.bench
            .method
            .washes_min
            .zip(p.bench.sheet.setup.washes)
            .is_some_and(|(least, washes)| washes < least)
            .then_some(Caveat)
    }),
    ("plasma-ratio-low", |p| {
        let setup = &p.bench.sheet.setup;
        let low = setup.plasma_ul.zip(setup.cells_ul).zip(setup.cells_percent).is_some_and(
            // The percentage is in hundredths, so the other side takes another factor of 100.
            |((plasma, cells), percent)| {
                plasma * 100 * 100 < p.rules().plasma_ratio_min * cells * percent
            },
        );
        (!p.is(Method::Slide) && low).then_some(Caveat)
    }),
    ("lot-expired", |p| {
        p.bench.sheet.setup.lots_expire_on.iter().any(|&day| p.is_past(day)).then_some(Caveat)
    }),
    ("history-unknown", |p| p.caveat_with_red_cells(p.recipient().transfused == Said::Unknown)),
    ("transfused-recently", |p| p.caveat_with_red_cells(p.transfused_recently())),
    ("earlier-transfusion", |p| {
        (p.recipient().transfused == Said::Yes && !p.transfused_recently()).then_some(Note)
    }),
    ("earlier-incompatible", |p| {
        p.recipient().incompatible_with.contains(&p.donor.animal.id).then_some(Indeterminate)
    }),
    ("earlier-reaction", |p| (p.recipient().reaction == Said::Yes).then_some(Caveat)),
    ("pregnancy-exposed", |p| {
        let effect = match p.recipient().pregnant {
            Said::Yes => Some(Caveat),
            Said::Unknown => Some(Note),
            Said::Never => None,
        };
        effect.filter(|_| p.rules().pregnancy_sensitises && p.red_cells())
    }),
    ("donor-exposed", |p| {
        let donor = &p.donor.animal;
        (donor.transfused == Said::Yes
            || (p.rules().pregnancy_sensitises && donor.pregnant == Said::Yes))
            .then_some(if p.decides(Minor) { Caveat } else { Note })
    }),
    ("species-differ", |p| {
        (p.donor.animal.species != p.recipient().species).then_some(Incompatible)
    }),
    ("type-discrepant", |p| {
        (discrepant(p.recipient()) || discrepant(&p.donor.animal)).then_some(Indeterminate)
    }),
    ("type-impossible", |p| {
        let both = |animal: &Animal| {
            animal.species == "dog"
                && animal.results("Kai 1").any(has_antigen)
                && animal.results("Kai 2").any(has_antigen)
        };
        (both(p.recipient()) || both(&p.donor.animal)).then_some(Indeterminate)
    }),
    ("unit-expired", |p| {
        let expires_on = p.donor.unit.as_ref().and_then(|unit| unit.expires_on);
        expires_on.is_some_and(|day| p.is_past(day)).then_some(Incompatible)
    }),
    ("unit-unfit", |p| {
        let unfit = [Inspection::Hemolyzed, Inspection::Discolored, Inspection::Clotted];
        let seen = p.donor.unit.as_ref().and_then(|unit| unit.inspection);
        seen.is_some_and(|seen| unfit.contains(&seen)).then_some(Incompatible)
    }),
    ("accepted-by-decision", |p| {
        [p.recipient(), &p.donor.animal]
            .into_iter()
            .any(|animal| animal.decided || p.bench.samples(animal).any(|sample| sample.decided))
            .then_some(Caveat)
    }),
    ("unit-not-inspected", |p| {
        p.donor
            .unit
            .as_ref()
            .is_some_and(|unit| unit.inspection.is_none_or(|seen| seen == Inspection::NotInspected))
            .then_some(Caveat)
    }),
    ("serology-only", |_| Some(Note)),
    (MISMATCH, |p| p.ab_types_raise(MISMATCH).then_some(Incompatible)),
    (SECOND_CHOICE, |p| p.ab_types_raise(SECOND_CHOICE).then_some(Caveat)),
    ("cat-type-unknown", |p| {
        (p.typed_as(TypeRules::Cat) && p.some_type_missing("AB")).then_some(Incomplete)
    }),
    ("cat-type-contradiction", |p| p.ab_types_contradicted()),
    ("dog-dea1-mismatch", |p| {
        (p.typed_as(TypeRules::Dog) && p.red_cells() && p.lacks_what_donor_has("DEA 1"))
            .then_some(Caveat)
    }),
    ("dog-type-unknown", |p| {
        (p.typed_as(TypeRules::Dog) && p.red_cells() && p.some_type_missing("DEA 1"))
            .then_some(Caveat)
    }),
    ("horse-type-mismatch", |p| {
        let any = ["Aa", "Ca", "Qa"].into_iter().any(|system| p.lacks_what_donor_has(system));
        (p.typed_as(TypeRules::Horse) && p.red_cells() && any).then_some(Caveat)
    }),
];

/// The panel findings: a slug, and whether it holds over the pairs that count.
type PanelRow = (&'static str, fn(&[&Pair<'_>]) -> bool);

const PANEL: &[PanelRow] = &[
    ("every-donor-reactive", |pairs| pairs.iter().all(|pair| pair.major == Conclusion::Reactive)),
    ("every-donor-with-autocontrol", |pairs| {
        let reacting = [Conclusion::Reactive, Conclusion::ReactiveCells, Conclusion::Unresolved];
        pairs.iter().all(|pair| {
            reacting.contains(&pair.major) && pair.summary(RecipientAuto) == Summary::Reactive
        })
    }),
    ("one-donor-reactive", |pairs| {
        let reacting = [Conclusion::Reactive, Conclusion::ReactiveCells];
        let (reactive, others): (Vec<&Pair<'_>>, Vec<&Pair<'_>>) =
            pairs.iter().copied().partition(|pair| reacting.contains(&pair.major));
        reactive.len() == 1 && others.iter().all(|pair| pair.major == Conclusion::Nonreactive)
    }),
    ("every-reaction-weak", |pairs| {
        pairs.iter().all(|pair| {
            let strongest = pair.bench.strongest(Major, pair.place).map(|(grade, _)| grade);
            pair.summary(Major) == Summary::Reactive
                && strongest.is_some_and(|grade| grade <= pair.rules().weak_up_to)
        })
    }),
];

/// What the donors together say.
pub(crate) fn panel(rules: &Rules, pairs: &[Pair<'_>]) -> Vec<&'static str> {
    let silent = [Conclusion::NotRead, Conclusion::Void];
    let counted: Vec<&Pair<'_>> =
        pairs.iter().filter(|pair| pair.red_cells() && !silent.contains(&pair.major)).collect();
    // A protocol that asks for no donors at all still says nothing about none.
    if counted.is_empty() || counted.len() < rules.panel_min_donors {
        return Vec::new();
    }
    PANEL.iter().filter(|row| (row.1)(&counted)).map(|row| row.0).collect()
}

/// What donors are ordered by, after the verdict.
pub(crate) fn rank<'a>(pair: &Pair<'a>) -> (bool, Grade, Grade, &'a [u8]) {
    let lysed = pair.deciding_groups(Major).any(|group| group.lysis != Shade::Negative);
    let strongest =
        |test| pair.bench.strongest(test, pair.place).map_or(Grade::ZERO, |(grade, _)| grade);
    (lysed, strongest(Major), strongest(Minor), pair.donor.animal.id.as_bytes())
}

#[cfg(test)]
mod tests {
    use super::{AB_TYPES, FINDINGS, PRODUCTS};
    use crate::reference::words::Product;
    use std::collections::BTreeSet;

    #[test]
    fn every_slug_has_one_row() {
        let slugs: BTreeSet<&str> = FINDINGS.iter().map(|row| row.0).collect();
        assert_eq!(slugs.len(), FINDINGS.len());
    }

    #[test]
    fn every_product_and_every_pair_of_types_has_one_row() {
        for &product in Product::ALL {
            let rows = PRODUCTS.iter().filter(|row| row.product == product).count();
            assert_eq!(rows, 1, "{}", product.word());
        }
        let types: BTreeSet<(&str, &str)> = AB_TYPES.iter().map(|row| (row.0, row.1)).collect();
        assert_eq!(types.len(), 9);
    }
}
