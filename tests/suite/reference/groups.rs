//! The readings of one mixture at one phase become a state.
//!
//! All groups stand in one flat list; a group that is not in it is absent. They are worked out in
//! the order in which one asks about another: saline controls, autocontrols, majors and minors.

use super::rules::{MethodRules, Rules};
use super::sheet::{Animal, Reading, Sample, Sheet};
use super::words::{
    CheckCellsMissing, Grade, HemolysisRule, Method, Owner, Pattern, Phase, SPOILS_BOTH,
    SPOILS_NEGATIVE, SPOILS_POSITIVE, Shade, State, Summary, Test,
};

/// A worksheet and its rules, with the groups worked out so far.
#[derive(Debug)]
pub(crate) struct Bench<'a> {
    pub(crate) sheet: &'a Sheet,
    pub(crate) rules: &'a Rules,
    pub(crate) method: &'a MethodRules,
    pub(crate) groups: Vec<Group<'a>>,
    /// Whether the finding of that name is raised, which the trust of every other test asks for.
    pub(crate) saline_controls_reactive: bool,
}

/// The readings of one test, of one donor, at one phase.
#[derive(Debug)]
pub(crate) struct Group<'a> {
    pub(crate) test: Test,
    pub(crate) donor: Option<usize>,
    pub(crate) phase: Phase,
    pub(crate) first_looks: Vec<&'a Reading>,
    pub(crate) rechecks: Vec<&'a Reading>,
    /// F, the greatest readable grade of the first looks.
    pub(crate) first_grade: Option<Grade>,
    pub(crate) grade_of_record: Option<Grade>,
    /// What the agglutination alone says.
    pub(crate) agglutination: Shade,
    /// What the hemolysis alone says.
    pub(crate) lysis: Shade,
    pub(crate) state: State,
    pub(crate) reasons: Vec<&'static str>,
}

impl Group<'_> {
    /// h, the greatest hemolysis written in any reading of the group.
    pub(crate) fn hemolysis(&self) -> Option<i64> {
        self.all().filter_map(|reading| reading.hemolysis).max()
    }

    /// First looks and rechecks, what was set aside included.
    pub(crate) fn all(&self) -> impl Iterator<Item = &Reading> {
        self.first_looks.iter().chain(&self.rechecks).copied()
    }

    /// Whether this reason was raised here.
    pub(crate) fn raised(&self, reason: &str) -> bool {
        self.reasons.contains(&reason)
    }

    /// Whether any first look is like this.
    pub(crate) fn any_first_look(&self, like: impl Fn(&Reading) -> bool) -> bool {
        self.first_looks.iter().any(|look| like(look))
    }

    /// A first look shows stacks of coins.
    fn shown(&self) -> bool {
        self.any_first_look(|look| {
            look.pattern.is_some_and(|seen| [Pattern::Stacks, Pattern::Both].contains(&seen))
        })
    }

    /// The lowest grade of the check cells, where a first look has one.
    fn check_cells(&self) -> Option<Grade> {
        self.first_looks.iter().filter_map(|look| look.check_cells).min()
    }
}

impl<'a> Bench<'a> {
    /// Works out every group of the worksheet.
    pub(crate) fn lay_out(sheet: &'a Sheet, rules: &'a Rules) -> Self {
        let method = &rules.methods[&sheet.method];
        let mut bench =
            Self { sheet, rules, method, groups: Vec::new(), saline_controls_reactive: false };
        bench.add(Test::RecipientSaline);
        bench.add(Test::DonorSaline);
        bench.saline_controls_reactive = bench.both_saline_controls_react();
        bench.add(Test::RecipientAuto);
        bench.add(Test::DonorAuto);
        bench.add(Test::Major);
        bench.add(Test::Minor);
        bench
    }

    /// `saline-controls-reactive`: the recipient's reacts, and every one of the donors'
    /// that came to anything reacts.
    fn both_saline_controls_react(&self) -> bool {
        let of_donors: Vec<Summary> = (0..self.sheet.donors.len())
            .map(|donor| self.summary(Test::DonorSaline, donor))
            .filter(|summary| ![Summary::Void, Summary::NotRead].contains(summary))
            .collect();
        self.summary(Test::RecipientSaline, 0) == Summary::Reactive
            && !of_donors.is_empty()
            && of_donors.iter().all(|&summary| summary == Summary::Reactive)
    }

    /// Adds the groups of one test, for each donor where the test names one.
    fn add(&mut self, test: Test) {
        let donors: Vec<Option<usize>> = if test.names_donor() {
            (0..self.sheet.donors.len()).map(Some).collect()
        } else {
            vec![None]
        };
        for donor in donors {
            for &phase in Phase::ALL {
                let readings = self.sheet.readings.iter().filter(|reading| {
                    !reading.retracted
                        && (reading.test, reading.donor, reading.phase) == (test, donor, phase)
                });
                let (first_looks, rechecks): (Vec<_>, Vec<_>) =
                    readings.partition(|reading| reading.after.is_none());
                if !first_looks.is_empty() || !rechecks.is_empty() {
                    let group = self.work_out(test, donor, phase, first_looks, rechecks);
                    self.groups.push(group);
                }
            }
        }
    }

    /// The group of a test at a phase as one donor's pair sees it; none is absent.
    pub(crate) fn group(&self, test: Test, donor: usize, phase: Phase) -> Option<&Group<'a>> {
        self.groups_of(test, donor).find(|group| group.phase == phase)
    }

    /// The groups of a test that are not absent, as one donor's pair sees them.
    pub(crate) fn groups_of(
        &self,
        test: Test,
        donor: usize,
    ) -> impl Iterator<Item = &Group<'a>> + use<'_, 'a> {
        let named = test.names_donor().then_some(donor);
        self.groups.iter().filter(move |group| (group.test, group.donor) == (test, named))
    }

    /// The state of a test at a phase.
    pub(crate) fn state(&self, test: Test, donor: usize, phase: Phase) -> State {
        self.group(test, donor, phase).map_or(State::Absent, |group| group.state)
    }

    /// The class of a grade.
    pub(crate) fn class(&self, grade: Grade) -> Shade {
        if grade >= self.rules.reactive_from {
            Shade::Reactive
        } else if grade >= self.rules.doubtful_from && grade > Grade::ZERO {
            Shade::Doubtful
        } else {
            Shade::Negative
        }
    }

    /// On which side of the question a first look stands; none is unreadable.
    pub(crate) fn side(&self, look: &Reading) -> Option<Shade> {
        let lysed = look.hemolysis.is_some_and(|seen| seen >= self.rules.hemolysis_from);
        look.grade.map(|grade| if lysed { Shade::Reactive } else { self.class(grade) })
    }

    /// The animal behind one side of a pair.
    pub(crate) fn animal(&self, owner: Owner, donor: usize) -> &'a Animal {
        match owner {
            Owner::Recipient => &self.sheet.recipient,
            Owner::Donor => &self.sheet.donors[donor].animal,
        }
    }

    /// The samples of an animal.
    pub(crate) fn samples(&self, animal: &'a Animal) -> impl Iterator<Item = &'a Sample> {
        self.sheet.samples.iter().filter(|sample| sample.of == animal.id)
    }

    /// The plasma samples of the owner of the plasma in a group; none for a saline control.
    fn plasma_samples(&self, group: &Group<'_>) -> Vec<&'a Sample> {
        group.test.plasma().map_or_else(Vec::new, |owner| {
            self.samples(self.animal(owner, group.donor.unwrap_or(0)))
                .filter(|sample| sample.is_plasma())
                .collect()
        })
    }

    /// The group of PA at the same phase, for a major or minor.
    fn plasma_auto(&self, group: &Group<'_>) -> Option<&Group<'a>> {
        let auto = group.test.plasma_auto()?;
        self.group(auto, group.donor.unwrap_or(0), group.phase)
    }

    /// From first looks to hemolysis not looked for, for one group that is not absent.
    fn work_out(
        &self,
        test: Test,
        donor: Option<usize>,
        phase: Phase,
        first_looks: Vec<&'a Reading>,
        rechecks: Vec<&'a Reading>,
    ) -> Group<'a> {
        let first_grade = first_looks.iter().filter_map(|look| look.grade).max();
        let mut group = Group {
            test,
            donor,
            phase,
            first_looks,
            rechecks,
            first_grade,
            grade_of_record: None,
            agglutination: Shade::Negative,
            lysis: Shade::Negative,
            state: State::Void,
            reasons: Vec::new(),
        };

        let mut sides: Vec<Option<Shade>> =
            group.first_looks.iter().map(|look| self.side(look)).collect();
        sides.sort_unstable();
        sides.dedup();
        if sides.len() > 1 {
            group.reasons.push("readers-disagree");
        }

        self.read_lysis(&mut group);
        if let Some(first) = first_grade {
            self.read_agglutination(&mut group, first);
        } else if group.first_looks.is_empty() {
            group.reasons.push("recheck-not-counted");
        } else {
            group.reasons.push("reading-unreadable");
        }
        self.weigh_trust(&mut group);
        self.ask_for_hemolysis(&mut group);
        group
    }

    /// **Hemolysis**, against what the plasma brought with it.
    fn read_lysis(&self, group: &mut Group<'a>) {
        if self.method.hemolysis == HemolysisRule::NotReadable {
            return;
        }
        let of_samples = self.plasma_samples(group).into_iter().filter_map(|one| one.hemolysis);
        let of_auto = self.plasma_auto(group).and_then(Group::hemolysis);
        let baseline = of_samples.chain(of_auto).max().unwrap_or(0);
        if let Some(seen) = group.hemolysis()
            && seen >= self.rules.hemolysis_from
        {
            if seen > baseline {
                group.lysis = Shade::Reactive;
            } else {
                group.lysis = Shade::Doubtful;
                group.reasons.push("hemolysis-masked");
            }
        }
    }

    /// **Rechecks** and **Together**: the grade of record and the state before trust.
    fn read_agglutination(&self, group: &mut Group<'a>, first: Grade) {
        let mut recheck = Recheck::sort_out(self, group, first);
        let ending = ENDINGS
            .iter()
            .find(|ending| (ending.when)(self, group, &recheck))
            .expect("the last ending is always met");
        let record = match ending.record {
            Record::First => first,
            Record::Recheck => recheck.counts.expect("an ending with a recheck").grade,
        };
        group.grade_of_record = Some(record);
        group.agglutination = match ending.shade {
            Means::ItsClass => self.class(record),
            Means::Doubtful => Shade::Doubtful,
            Means::Negative => Shade::Negative,
        };
        recheck.reasons.extend(ending.reason);
        group.reasons.append(&mut recheck.reasons);
        if record > Grade::ZERO && self.class(record) == Shade::Negative {
            group.reasons.push("reaction-below-cut-off");
        }
        let objected = recheck.objection.is_some_and(|class| class > self.class(first));
        let objection = if objected { Shade::Doubtful } else { Shade::Negative };
        group.state = group.agglutination.max(group.lysis).max(objection).into();
    }

    /// **Trust**: raises each row of the table that applies, and voids what it takes away.
    fn weigh_trust(&self, group: &mut Group<'a>) {
        let mut negative_believed = true;
        let mut positive_believed = true;
        let applying: Vec<&TrustRow> = TRUST.iter().filter(|row| (row.when)(self, group)).collect();
        for row in applying {
            negative_believed &= !row.takes.contains(&Belief::Negative);
            positive_believed &= !row.takes.contains(&Belief::Positive);
            group.reasons.push(row.reason);
        }
        let first_reacted =
            group.first_grade.is_some_and(|first| self.class(first) != Shade::Negative);
        let positive = group.state != State::Negative || first_reacted;
        if (positive && !positive_believed)
            || (group.state != State::Reactive && !negative_believed)
        {
            group.state = State::Void;
        }
    }

    /// **Hemolysis not looked for**.
    fn ask_for_hemolysis(&self, group: &mut Group<'a>) {
        if self.method.hemolysis == HemolysisRule::Required
            && group.phase != Phase::Antiglobulin
            && !group.test.is_saline_control()
            && !group.any_first_look(|look| look.hemolysis.is_some())
            && group.state == State::Negative
        {
            group.state = State::Unread;
            group.reasons.push("hemolysis-not-read");
        }
    }
}

/// The recheck that counts, and what was set aside on the way to it.
struct Recheck {
    first: Grade,
    /// R.
    counts: Option<Counting>,
    /// The greatest class among the readable rechecks set aside in the first step that are not
    /// Negative.
    objection: Option<Shade>,
    reasons: Vec<&'static str>,
}

/// R: ordered by grade, and at equal grades by dilution.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Counting {
    grade: Grade,
    saline_parts: Option<i64>,
}

impl Recheck {
    /// Sets rechecks aside in the page's three steps and picks the one that speaks for the rest.
    fn sort_out(bench: &Bench<'_>, group: &Group<'_>, first: Grade) -> Self {
        let mut reasons = Vec::new();
        let latest = group.first_looks.iter().map(|look| look.at.instant).max();
        let hurried = |look: &Reading| {
            bench.sheet.method == Method::Slide
                && bench
                    .method
                    .seconds
                    .zip(look.seconds)
                    .is_some_and(|(range, seconds)| range.excludes(seconds))
        };

        let (set_aside, rest): (Vec<&Reading>, Vec<&Reading>) =
            group.rechecks.iter().partition(|look| {
                look.grade.is_none()
                    || !look.artefacts.is_empty()
                    || look.dried
                    || Some(look.at.instant) <= latest
                    || hurried(look)
            });
        if !set_aside.is_empty() {
            reasons.push("recheck-not-counted");
        }
        let objection = set_aside
            .iter()
            .filter_map(|look| look.grade)
            .map(|grade| bench.class(grade))
            .filter(|&class| class != Shade::Negative)
            .max();

        let readable = rest.iter().filter_map(|look| {
            Some(Counting { grade: look.grade?, saline_parts: look.saline_parts })
        });
        let (too_low, rest): (Vec<Counting>, Vec<Counting>) = readable.partition(|look| {
            look.saline_parts.is_some_and(|parts| bench.rules.saline_parts.starts_after(parts))
                && bench.class(look.grade) != Shade::Negative
                && look.grade <= first
        });
        if !too_low.is_empty() {
            reasons.push("dilution-too-low");
        }

        let someone_did_better = rest.iter().any(|look| !too_much_saline(bench, *look));
        let counts = rest
            .into_iter()
            .filter(|&look| {
                !(someone_did_better
                    && bench.class(look.grade) == Shade::Negative
                    && too_much_saline(bench, look))
            })
            .max();
        Self { first, counts, objection, reasons }
    }

    /// R's class, where there is an R.
    fn class(&self, bench: &Bench<'_>) -> Option<Shade> {
        self.counts.map(|counts| bench.class(counts.grade))
    }

    /// A reaction that a recheck made go away.
    fn dispersed(&self, bench: &Bench<'_>) -> bool {
        self.class(bench) == Some(Shade::Negative) && bench.class(self.first) != Shade::Negative
    }

    /// A reaction that is still there on recheck.
    fn stayed(&self, bench: &Bench<'_>) -> bool {
        self.class(bench).is_some_and(|class| class != Shade::Negative)
    }
}

/// Diluted further than the protocol's range goes.
fn too_much_saline(bench: &Bench<'_>, look: Counting) -> bool {
    look.saline_parts.is_some_and(|parts| bench.rules.saline_parts.ends_before(parts))
}

/// *suspected*: there is reason to think of rouleaux.
fn suspected(bench: &Bench<'_>, group: &Group<'_>, first: Grade) -> bool {
    let auto_dispersed_too = bench.plasma_auto(group).is_some_and(|auto| {
        auto.state == State::Negative
            && auto.first_grade.is_some_and(|seen| {
                bench.class(seen) != Shade::Negative
                    && first.half_steps() - seen.half_steps()
                        <= bench.rules.control_tolerance_half_steps
            })
    });
    group.shown() || group.test.is_autocontrol() || auto_dispersed_too
}

/// Which grade is put on record.
enum Record {
    First,
    Recheck,
}

/// What the agglutination then means.
enum Means {
    ItsClass,
    Doubtful,
    Negative,
}

/// One way in which first looks and rechecks end.
struct Ending {
    when: fn(&Bench<'_>, &Group<'_>, &Recheck) -> bool,
    record: Record,
    shade: Means,
    reason: Option<&'static str>,
}

/// The endings in order: the first that is met holds.
const ENDINGS: &[Ending] = &[
    Ending {
        when: |bench, group, recheck| {
            group.phase == Phase::Antiglobulin
                && recheck.class(bench) > Some(bench.class(recheck.first))
        },
        record: Record::Recheck,
        shade: Means::ItsClass,
        reason: Some("recheck-stronger"),
    },
    Ending {
        when: |_, group, recheck| group.phase == Phase::Antiglobulin && recheck.counts.is_some(),
        record: Record::First,
        shade: Means::ItsClass,
        reason: Some("recheck-not-valid"),
    },
    Ending {
        when: |bench, _, recheck| {
            recheck.stayed(bench) && recheck.counts.is_some_and(|one| one.grade > recheck.first)
        },
        record: Record::Recheck,
        shade: Means::ItsClass,
        reason: Some("recheck-stronger"),
    },
    Ending {
        when: |bench, _, recheck| {
            recheck.stayed(bench) && recheck.counts.is_some_and(|one| one.grade < recheck.first)
        },
        record: Record::Recheck,
        shade: Means::ItsClass,
        reason: Some("rouleaux-partial"),
    },
    Ending {
        when: |bench, _, recheck| recheck.stayed(bench),
        record: Record::Recheck,
        shade: Means::ItsClass,
        reason: None,
    },
    Ending {
        when: |bench, _, recheck| {
            recheck.dispersed(bench)
                && (recheck.objection.is_some() || recheck.first > bench.rules.dispersal_up_to)
        },
        record: Record::First,
        shade: Means::Doubtful,
        reason: Some("dispersal-implausible"),
    },
    Ending {
        when: |bench, group, recheck| {
            recheck.dispersed(bench) && !suspected(bench, group, recheck.first)
        },
        record: Record::First,
        shade: Means::Doubtful,
        reason: Some("dispersal-unexplained"),
    },
    Ending {
        when: |bench, _, recheck| {
            recheck.dispersed(bench)
                && recheck.counts.is_some_and(|one| too_much_saline(bench, one))
        },
        record: Record::First,
        shade: Means::Doubtful,
        reason: Some("dilution-too-high"),
    },
    Ending {
        when: |bench, _, recheck| recheck.dispersed(bench),
        record: Record::Recheck,
        shade: Means::Negative,
        reason: Some("rouleaux-dispersed"),
    },
    Ending {
        when: |bench, group, recheck| {
            recheck.counts.is_none()
                && bench.class(recheck.first) != Shade::Negative
                && group.shown()
                && group.phase != Phase::Antiglobulin
                && !group.test.is_saline_control()
        },
        record: Record::First,
        shade: Means::Doubtful,
        reason: Some("rouleaux-not-rechecked"),
    },
    Ending { when: |_, _, _| true, record: Record::First, shade: Means::ItsClass, reason: None },
];

/// What a row of the trust table takes away.
#[derive(PartialEq, Eq)]
enum Belief {
    Negative,
    Positive,
}

/// One row of the trust table.
struct TrustRow {
    when: fn(&Bench<'_>, &Group<'_>) -> bool,
    takes: &'static [Belief],
    reason: &'static str,
}

const BOTH: &[Belief] = &[Belief::Negative, Belief::Positive];
const NEGATIVE: &[Belief] = &[Belief::Negative];
const POSITIVE: &[Belief] = &[Belief::Positive];

/// The trust table, row by row as on the page.
const TRUST: &[TrustRow] = &[
    TrustRow {
        when: |_, group| group.any_first_look(|look| look.has_any(SPOILS_BOTH)),
        takes: BOTH,
        reason: "artefact-spoils-reading",
    },
    TrustRow {
        when: |_, group| group.any_first_look(|look| look.has_any(SPOILS_POSITIVE)),
        takes: POSITIVE,
        reason: "artefact-false-positive",
    },
    TrustRow {
        when: |_, group| group.any_first_look(|look| look.has_any(SPOILS_NEGATIVE)),
        takes: NEGATIVE,
        reason: "artefact-false-negative",
    },
    TrustRow {
        when: |bench, group| {
            bench.sheet.method == Method::Slide
                && bench.method.seconds.is_some_and(|range| {
                    group.any_first_look(|look| {
                        look.seconds.is_some_and(|seconds| range.starts_after(seconds))
                    })
                })
        },
        takes: NEGATIVE,
        reason: "reading-early",
    },
    TrustRow {
        when: |bench, group| {
            bench.sheet.method == Method::Slide
                && bench.method.seconds.is_some_and(|range| {
                    group.any_first_look(|look| {
                        look.seconds.is_some_and(|seconds| range.ends_before(seconds))
                    })
                })
        },
        takes: POSITIVE,
        reason: "reading-late",
    },
    TrustRow {
        when: |bench, group| {
            bench.sheet.method == Method::Slide && group.any_first_look(|look| look.dried)
        },
        takes: BOTH,
        reason: "slide-dried",
    },
    TrustRow {
        when: |bench, group| {
            wants_check_cells(bench, group)
                && group.check_cells().is_some_and(|seen| seen < bench.rules.check_cells_min)
        },
        takes: NEGATIVE,
        reason: "check-cells-failed",
    },
    TrustRow {
        when: |bench, group| {
            wants_check_cells(bench, group)
                && group.check_cells().is_none()
                && bench.rules.check_cells_missing == CheckCellsMissing::Void
        },
        takes: NEGATIVE,
        reason: "check-cells-missing",
    },
    TrustRow {
        when: |bench, _| {
            bench.sheet.positive_control.as_ref().is_some_and(|control| {
                control.read.is_none_or(|read| {
                    bench.class(read) != Shade::Reactive
                        || control.expected.half_steps() - read.half_steps()
                            > bench.rules.control_tolerance_half_steps
                })
            })
        },
        takes: NEGATIVE,
        reason: "positive-control-failed",
    },
    TrustRow {
        when: |bench, _| {
            bench.sheet.negative_control.as_ref().is_some_and(|control| {
                control.read.is_none_or(|read| bench.class(read) != Shade::Negative)
            })
        },
        takes: POSITIVE,
        reason: "negative-control-reactive",
    },
    TrustRow {
        when: |bench, group| {
            !group.test.is_saline_control()
                && bench.plasma_samples(group).iter().any(|sample| {
                    sample.hemolysis.is_some_and(|seen| seen >= bench.rules.hemolysis_reject_from)
                })
        },
        takes: NEGATIVE,
        reason: "sample-rejected",
    },
    TrustRow {
        when: |bench, group| {
            group.test.plasma().into_iter().chain([group.test.cells()]).any(|owner| {
                let animal = bench.animal(owner, group.donor.unwrap_or(0));
                bench
                    .samples(animal)
                    .any(|sample| sample.label_id.as_ref().is_some_and(|id| *id != animal.id))
            })
        },
        takes: BOTH,
        reason: "label-mismatch",
    },
    TrustRow {
        when: |bench, _| {
            bench
                .method
                .cells_percent
                .zip(bench.sheet.setup.cells_percent)
                .is_some_and(|(range, percent)| range.ends_before(percent))
        },
        takes: NEGATIVE,
        reason: "suspension-too-heavy",
    },
    TrustRow {
        when: |bench, group| {
            incubation(bench, group.phase)
                .is_some_and(|(range, minutes)| range.starts_after(minutes))
        },
        takes: NEGATIVE,
        reason: "incubation-short",
    },
    TrustRow {
        when: |bench, group| {
            incubation(bench, group.phase)
                .is_some_and(|(range, minutes)| range.ends_before(minutes))
                && group.grade_of_record.is_some_and(|grade| grade <= bench.rules.weak_up_to)
                && group.lysis != Shade::Reactive
        },
        takes: POSITIVE,
        reason: "incubation-long",
    },
    TrustRow {
        when: |bench, group| bench.saline_controls_reactive && !group.test.is_saline_control(),
        takes: BOTH,
        reason: "saline-controls-reactive",
    },
];

/// A tube at antiglobulin that has been read and did not react: only check cells can tell a
/// negative from a failed test.
pub(crate) fn wants_check_cells(bench: &Bench<'_>, group: &Group<'_>) -> bool {
    bench.sheet.method == Method::Tube
        && group.phase == Phase::Antiglobulin
        && group.first_grade.is_some_and(|first| bench.class(first) != Shade::Reactive)
}

/// A tube at antiglobulin that has no check cells though it should.
pub(crate) fn lacks_check_cells(bench: &Bench<'_>, group: &Group<'_>) -> bool {
    wants_check_cells(bench, group) && group.check_cells().is_none()
}

/// The protocol's range and the minutes written for a phase; antiglobulin falls back on the warm
/// phase for either, since the same tubes have been through it.
fn incubation(bench: &Bench<'_>, phase: Phase) -> Option<(super::rules::Span, i64)> {
    let candidates: &[Phase] =
        if phase == Phase::Antiglobulin { &[phase, Phase::Warm37c] } else { &[phase] };
    let range = candidates.iter().find_map(|one| bench.method.incubation_min.get(one))?;
    let minutes = candidates.iter().find_map(|one| bench.sheet.setup.incubation_min.get(one))?;
    Some((*range, *minutes))
}
