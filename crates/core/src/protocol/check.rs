use std::fmt::Display;

use super::draft::{self, Range, Rule, Sources};
use super::{
    FORMAT, MethodRules, MinorEffects, PhaseRole, Protocol, Rules, StorageHours, TestRole,
};
use crate::document::{Digest, FaultCode, Faults, Finds, Id, List, Read, Whole};
use crate::words::{Grade, Species, Test};

/// Checks what a protocol says against itself.
pub(super) fn check(
    mut read: Read<'_, draft::Protocol>,
    digest: Digest,
) -> Result<Protocol, Faults> {
    let document = std::mem::take(&mut read.parts);
    let mut check = Check { finds: &mut read.finds, sources: document.sources.as_ref() };
    let checked = check.protocol(&document);
    match (read.into_faults(), checked) {
        (Some(faults), _) => Err(faults),
        (None, Some(Checked { id, version, species, methods, rules })) => Ok(Protocol {
            document,
            text: String::new(),
            digest,
            id,
            version,
            species,
            methods,
            rules,
        }),
        (None, None) => Err(Faults::unexplained()),
    }
}

/// All of a protocol but the document that it was taken from.
struct Checked {
    id: Id,
    version: Id,
    species: Vec<Species>,
    methods: [Option<MethodRules>; 3],
    rules: Rules,
}

struct Check<'c> {
    finds: &'c mut Finds,
    sources: Option<&'c Sources>,
}

impl Check<'_> {
    fn contradiction(&mut self, pointer: String, expected: impl Into<String>) {
        self.finds.content(FaultCode::ProtocolContradiction, pointer, expected, None);
    }

    /// The value of a rule, after a look at its source.
    fn value<'r, T>(&mut self, at: &str, rule: Option<&'r Rule<T>>) -> Option<&'r T> {
        let rule = rule?;
        if let (Some(key), Some(sources)) = (&rule.source, self.sources)
            && key.as_str() != "choice"
            && sources.get(key.as_str()).is_none()
        {
            let keys: Vec<_> = sources.iter().map(|(key, _)| format!("`{key}`")).collect();
            self.finds.content(
                FaultCode::UnknownSource,
                format!("{at}/source"),
                format!("`choice` or a key of `sources`: {}", keys.join(", ")),
                None,
            );
        }
        rule.value.as_ref()
    }

    fn whole<const LO: u32, const HI: u32>(
        &mut self,
        at: &str,
        rule: Option<&Rule<Whole<LO, HI>>>,
    ) -> Option<u32> {
        self.value(at, rule).map(|value| value.get())
    }

    fn copied<T: Copy>(&mut self, at: &str, rule: Option<&Rule<T>>) -> Option<T> {
        self.value(at, rule).copied()
    }

    /// The ends of a range, after a look at their order.
    fn ends<T: Copy + Ord + Display>(&mut self, at: &str, range: &Range<T>) -> Option<(T, T)> {
        let (lo, hi) = (range.lo?, range.hi?);
        if lo > hi {
            self.contradiction(format!("{at}/lo"), format!("at most `hi`, which is {hi}"));
        }
        Some((lo, hi))
    }

    fn range<T: Copy + Ord + Display>(
        &mut self,
        at: &str,
        rule: Option<&Rule<Range<T>>>,
    ) -> Option<(T, T)> {
        let range = self.value(at, rule)?;
        self.ends(&format!("{at}/value"), range)
    }

    fn protocol(&mut self, document: &draft::Protocol) -> Option<Checked> {
        if document.format.as_ref().is_some_and(|format| format.as_str() != FORMAT) {
            let expected = format!("`{FORMAT}`");
            self.finds.content(FaultCode::UnknownFormat, "/format".to_owned(), expected, None);
        }
        if document.species.as_ref().is_some_and(List::is_empty) {
            self.contradiction("/species".to_owned(), "at least one species");
        }
        let methods = document.methods.as_ref();
        let tube = methods.and_then(|methods| methods.tube.as_ref());
        let slide = methods.and_then(|methods| methods.slide.as_ref());
        let gel = methods.and_then(|methods| methods.gel.as_ref());
        let tube = tube.map(|method| self.method("/methods/tube", method));
        let slide = slide.map(|method| self.method("/methods/slide", method));
        let gel = gel.map(|method| self.method("/methods/gel", method));
        let rules = self.rules(document);
        // A method that is written but could not be read must not count as one left out.
        let read = |method: Option<Option<MethodRules>>| method.map_or(Some(None), |m| m.map(Some));
        Some(Checked {
            id: document.id.clone()?,
            version: document.version.clone()?,
            species: document.species.as_ref()?.iter().map(|(_, species)| *species).collect(),
            methods: [read(tube)?, read(slide)?, read(gel)?],
            rules: rules?,
        })
    }

    fn method(&mut self, at: &str, method: &draft::Method) -> Option<MethodRules> {
        let phases = self.phases(&format!("{at}/phases"), method.phases.as_ref());
        let required = self.tests(&format!("{at}/tests"), method.tests.as_ref());
        let hemolysis = self.copied(&format!("{at}/hemolysis"), method.hemolysis.as_ref());
        let seconds = self.range(&format!("{at}/seconds"), method.seconds.as_ref());
        let late =
            self.whole(&format!("{at}/late_after_seconds"), method.late_after_seconds.as_ref());
        let cells = self.range(&format!("{at}/cells_percent"), method.cells_percent.as_ref());
        let washes = self.whole(&format!("{at}/washes_min"), method.washes_min.as_ref());
        let incubation = self.incubation(&format!("{at}/incubation_min"), method);
        Some(MethodRules {
            phases: phases?,
            required: required?,
            hemolysis: hemolysis?,
            seconds: seconds.map(|(lo, hi)| (lo.get(), hi.get())),
            late_after_seconds: late,
            cells_percent: cells,
            washes_min: washes,
            incubation_min: incubation,
        })
    }

    fn phases(
        &mut self,
        at: &str,
        rule: Option<&Rule<draft::PhaseRoles>>,
    ) -> Option<[Option<PhaseRole>; 4]> {
        let roles = self.value(at, rule)?;
        let phases = [roles.room, roles.warm_37c, roles.antiglobulin, roles.cold_4c];
        let deciding = [Some(PhaseRole::Required), Some(PhaseRole::OneOf)];
        if !phases.iter().any(|role| deciding.contains(role)) {
            self.contradiction(
                format!("{at}/value"),
                "at least one phase that is `required` or `one_of`",
            );
        }
        Some(phases)
    }

    fn tests(&mut self, at: &str, rule: Option<&Rule<draft::TestRoles>>) -> Option<Vec<Test>> {
        let roles = self.value(at, rule)?;
        if roles.major == Some(TestRole::Optional) {
            self.contradiction(format!("{at}/value/major"), "`required`: the major always is");
        }
        for (field, role) in
            [("recipient_saline", roles.recipient_saline), ("donor_saline", roles.donor_saline)]
        {
            if role == Some(TestRole::Required) {
                self.contradiction(
                    format!("{at}/value/{field}"),
                    "`optional`: a saline control always is",
                );
            }
        }
        let each = [
            (Test::Major, roles.major?),
            (Test::Minor, roles.minor?),
            (Test::RecipientAuto, roles.recipient_auto?),
            (Test::DonorAuto, roles.donor_auto?),
        ];
        let required = each.iter().filter(|(_, role)| *role == TestRole::Required);
        Some(required.map(|(test, _)| *test).collect())
    }

    fn incubation(&mut self, at: &str, method: &draft::Method) -> [Option<(u32, u32)>; 4] {
        let Some(ranges) = self.value(at, method.incubation_min.as_ref()) else {
            return [None; 4];
        };
        [
            ("room", &ranges.room),
            ("warm_37c", &ranges.warm_37c),
            ("antiglobulin", &ranges.antiglobulin),
            ("cold_4c", &ranges.cold_4c),
        ]
        .map(|(phase, range)| {
            let (lo, hi) = self.ends(&format!("{at}/value/{phase}"), range.as_ref()?)?;
            Some((lo.get(), hi.get()))
        })
    }

    fn rules(&mut self, document: &draft::Protocol) -> Option<Rules> {
        macro_rules! copied {
            ($field:ident) => {
                self.copied(concat!("/", stringify!($field)), document.$field.as_ref())
            };
        }
        macro_rules! whole {
            ($field:ident) => {
                self.whole(concat!("/", stringify!($field)), document.$field.as_ref())
            };
        }
        let reactive_from: Option<Grade> = copied!(reactive_from);
        let doubtful_from: Option<Grade> = copied!(doubtful_from);
        if doubtful_from == Some(Grade::G0) {
            self.contradiction("/doubtful_from/value".to_owned(), "a grade above `0`");
        }
        if let (Some(reactive), Some(doubtful)) = (reactive_from, doubtful_from)
            && reactive < doubtful
        {
            self.contradiction(
                "/reactive_from/value".to_owned(),
                format!("at least `doubtful_from`, which is `{doubtful}`"),
            );
        }
        let hemolysis_from = whole!(hemolysis_from);
        let hemolysis_reject_from = whole!(hemolysis_reject_from);
        if let (Some(from), Some(reject)) = (hemolysis_from, hemolysis_reject_from)
            && reject < from
        {
            self.contradiction(
                "/hemolysis_reject_from/value".to_owned(),
                format!("at least `hemolysis_from`, which is {from}"),
            );
        }
        let saline_parts = self.range("/saline_parts", document.saline_parts.as_ref());
        let hours = document.sample_max_hours.as_ref();
        let exposed = hours.and_then(|hours| hours.exposed.as_ref());
        let naive = hours.and_then(|hours| hours.naive.as_ref());
        let exposed_hours = self.hours("/sample_max_hours/exposed", exposed);
        let naive_hours = self.hours("/sample_max_hours/naive", naive);
        let minor = self
            .value("/minor_with_packed_cells", document.minor_with_packed_cells.as_ref())
            .and_then(minor_effects);
        // Each is looked at before the first that is missing ends this, so that all faults come.
        let auto_margin_half_steps = whole!(auto_margin_half_steps);
        let negative_test_with_reactive_auto = copied!(negative_test_with_reactive_auto);
        let dispersal_up_to = copied!(dispersal_up_to);
        let check_cells_min = copied!(check_cells_min);
        let check_cells_missing = copied!(check_cells_missing);
        let control_tolerance_half_steps = whole!(control_tolerance_half_steps);
        let weak_up_to = copied!(weak_up_to);
        let run_max_hours = whole!(run_max_hours);
        let recent_transfusion_days = whole!(recent_transfusion_days);
        let _for_need = whole!(sensitised_after_days);
        if let Some(need) = &document.need {
            self.value("/need/first_transfusion", need.first_transfusion.as_ref());
            let later = need.before_every_later_transfusion.as_ref();
            self.value("/need/before_every_later_transfusion", later);
            self.value("/need/minor_with", need.minor_with.as_ref());
            self.value("/need/type_in", need.type_in.as_ref());
        }
        if let Some(care) = &document.care {
            self.care(care);
        }
        let lipemia_from = whole!(lipemia_from);
        let icterus_from = whole!(icterus_from);
        let plasma_ratio_min = whole!(plasma_ratio_min);
        let panel_min_donors = whole!(panel_min_donors);
        let pregnancy_sensitises = copied!(pregnancy_sensitises);
        let anticoagulant_lysis = copied!(anticoagulant_lysis);
        let lysis_must_be_testable = copied!(lysis_must_be_testable);
        let type_rules = copied!(type_rules);
        Some(Rules {
            reactive_from: reactive_from?,
            doubtful_from: doubtful_from?,
            hemolysis_from: hemolysis_from?,
            hemolysis_reject_from: hemolysis_reject_from?,
            auto_margin_half_steps: auto_margin_half_steps?,
            negative_test_with_reactive_auto: negative_test_with_reactive_auto?,
            dispersal_up_to: dispersal_up_to?,
            saline_parts: saline_parts.map(|(lo, hi)| (lo.get(), hi.get()))?,
            check_cells_min: check_cells_min?,
            check_cells_missing: check_cells_missing?,
            control_tolerance_half_steps: control_tolerance_half_steps?,
            weak_up_to: weak_up_to?,
            exposed_hours: exposed_hours?,
            naive_hours: naive_hours?,
            run_max_hours: run_max_hours?,
            recent_transfusion_days: recent_transfusion_days?,
            lipemia_from: lipemia_from?,
            icterus_from: icterus_from?,
            plasma_ratio_min: plasma_ratio_min?,
            panel_min_donors: panel_min_donors?,
            pregnancy_sensitises: pregnancy_sensitises?,
            anticoagulant_lysis: anticoagulant_lysis?,
            lysis_must_be_testable: lysis_must_be_testable?,
            type_rules: type_rules?,
            minor_with_packed_cells: minor?,
        })
    }

    fn care(&mut self, care: &draft::CareRules) {
        self.range("/care/blood_volume_ml_per_kg", care.blood_volume_ml_per_kg.as_ref());
        self.range(
            "/care/whole_blood_ml_per_kg_per_percent",
            care.whole_blood_ml_per_kg_per_percent.as_ref(),
        );
        self.range(
            "/care/packed_cells_ml_per_kg_per_percent",
            care.packed_cells_ml_per_kg_per_percent.as_ref(),
        );
        self.whole("/care/formula_apart_percent", care.formula_apart_percent.as_ref());
        self.value("/care/start_ml_per_kg", care.start_ml_per_kg.as_ref());
        let start = self.whole("/care/start_min", care.start_min.as_ref());
        self.range("/care/rate_ml_per_kg_h", care.rate_ml_per_kg_h.as_ref());
        self.range("/care/slow_rate_ml_per_kg_h", care.slow_rate_ml_per_kg_h.as_ref());
        let most = self.whole("/care/max_min", care.max_min.as_ref());
        if let (Some(start), Some(most)) = (start, most)
            && start >= most
        {
            let expected = format!("below `max_min`, which is {most}");
            self.contradiction("/care/start_min/value".to_owned(), expected);
        }
        self.whole("/care/opened_hours", care.opened_hours.as_ref());
        self.value("/care/warm_max_c", care.warm_max_c.as_ref());
        self.range("/care/filter_um", care.filter_um.as_ref());
        self.range("/care/fine_filter_um", care.fine_filter_um.as_ref());
        self.whole("/care/fine_filter_ml", care.fine_filter_ml.as_ref());
        self.whole("/care/fine_filters_max", care.fine_filters_max.as_ref());
        if let Some(steps) = self.value("/care/watch", care.watch.as_ref()) {
            let until: Vec<_> = steps.iter().filter_map(|(_, step)| step.until_min).collect();
            if steps.is_empty() || !until.is_sorted() {
                let expected = "at least one step, each later than the one before";
                self.contradiction("/care/watch/value".to_owned(), expected);
            }
        }
        self.value("/care/fever_from_c", care.fever_from_c.as_ref());
        self.value("/care/fever_rise_c", care.fever_rise_c.as_ref());
        self.value("/care/outcome_h", care.outcome_h.as_ref());
        self.whole("/care/keep_days", care.keep_days.as_ref());
    }

    fn hours(
        &mut self,
        at: &str,
        rule: Option<&Rule<draft::StorageHours>>,
    ) -> Option<StorageHours> {
        let hours = self.value(at, rule)?;
        Some(StorageHours { room: hours.room?.get(), fridge: hours.fridge?.get() })
    }
}

fn minor_effects(effects: &draft::MinorEffects) -> Option<MinorEffects> {
    Some(MinorEffects {
        reactive: effects.reactive?,
        unresolved: effects.unresolved?,
        void: effects.void?,
        not_read: effects.not_read?,
    })
}
