//! A protocol as plain structs, read from JSON once.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;

use super::sheet::hundredths;
use super::words::{
    CheckCellsMissing, Effect, Grade, HemolysisRule, Method, NegativeWithAuto, Phase, PhaseRole,
    Test, TypeRules,
};

/// The local rules.
#[derive(Debug, Clone)]
pub(crate) struct Rules {
    pub(crate) methods: BTreeMap<Method, MethodRules>,
    pub(crate) reactive_from: Grade,
    pub(crate) doubtful_from: Grade,
    pub(crate) hemolysis_from: i64,
    pub(crate) hemolysis_reject_from: i64,
    pub(crate) auto_margin_half_steps: i64,
    pub(crate) negative_test_with_reactive_auto: NegativeWithAuto,
    pub(crate) dispersal_up_to: Grade,
    pub(crate) saline_parts: Span,
    pub(crate) check_cells_min: Grade,
    pub(crate) check_cells_missing: CheckCellsMissing,
    pub(crate) control_tolerance_half_steps: i64,
    pub(crate) weak_up_to: Grade,
    pub(crate) exposed_max_hours: MaxHours,
    pub(crate) naive_max_hours: MaxHours,
    pub(crate) run_max_hours: i64,
    pub(crate) recent_transfusion_days: i64,
    pub(crate) lipemia_from: i64,
    pub(crate) icterus_from: i64,
    pub(crate) plasma_ratio_min: i64,
    pub(crate) panel_min_donors: usize,
    pub(crate) pregnancy_sensitises: bool,
    pub(crate) anticoagulant_lysis: Effect,
    pub(crate) lysis_must_be_testable: bool,
    /// `type_rules`.
    pub(crate) types: TypeRules,
    pub(crate) minor_with_packed_cells: MinorWithPackedCells,
}

/// What the protocol says about one method.
#[derive(Debug, Clone)]
pub(crate) struct MethodRules {
    /// A phase that is not here is not used.
    pub(crate) phases: BTreeMap<Phase, PhaseRole>,
    pub(crate) required_tests: BTreeSet<Test>,
    pub(crate) hemolysis: HemolysisRule,
    pub(crate) seconds: Option<Span>,
    pub(crate) late_after_seconds: Option<i64>,
    /// In hundredths of a percent.
    pub(crate) cells_percent: Option<Span>,
    pub(crate) washes_min: Option<i64>,
    pub(crate) incubation_min: BTreeMap<Phase, Span>,
}

/// From `lo` to `hi`, both within.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Span {
    pub(crate) lo: i64,
    pub(crate) hi: i64,
}

/// How long a sample keeps.
#[derive(Debug, Clone, Copy)]
pub(crate) struct MaxHours {
    pub(crate) room: i64,
    pub(crate) fridge: i64,
}

/// What the minor does to packed cells where it does not decide.
#[derive(Debug, Clone, Copy)]
pub(crate) struct MinorWithPackedCells {
    pub(crate) reactive: Effect,
    pub(crate) unresolved: Effect,
    pub(crate) void: Effect,
    pub(crate) not_read: Effect,
}

impl Span {
    /// Whether the value is under the range.
    pub(crate) fn starts_after(self, value: i64) -> bool {
        value < self.lo
    }

    /// Whether the value is over the range.
    pub(crate) fn ends_before(self, value: i64) -> bool {
        value > self.hi
    }

    /// Whether the value is outside the range.
    pub(crate) fn excludes(self, value: i64) -> bool {
        self.starts_after(value) || self.ends_before(value)
    }
}

/// What stands in `value` at a key: the source and the note beside it decide nothing.
fn rule<'a>(of: &'a Value, key: &str) -> Option<&'a Value> {
    of.get(key).map(|rule| rule.get("value").unwrap_or_else(|| panic!("`{key}` has no value")))
}

fn needed<'a>(of: &'a Value, key: &str) -> &'a Value {
    rule(of, key).unwrap_or_else(|| panic!("the protocol has no `{key}`"))
}

fn whole(value: &Value) -> i64 {
    value.as_i64().expect("a whole number")
}

fn word(value: &Value) -> &str {
    value.as_str().expect("a word")
}

fn grade(value: &Value) -> Grade {
    Grade::read(word(value)).expect("a grade")
}

fn span(value: &Value, number: fn(&Value) -> i64) -> Span {
    Span { lo: number(&value["lo"]), hi: number(&value["hi"]) }
}

fn entries(value: &Value) -> impl Iterator<Item = (&String, &Value)> {
    value.as_object().expect("an object").iter()
}

impl Rules {
    /// Reads a well-formed protocol.
    pub(crate) fn from_json(json: &Value) -> Self {
        let hours = |key: &str| {
            let value = needed(&json["sample_max_hours"], key);
            MaxHours { room: whole(&value["room"]), fridge: whole(&value["fridge"]) }
        };
        let packed = needed(json, "minor_with_packed_cells");
        let packed = |key: &str| Effect::read(word(&packed[key]));
        Self {
            methods: entries(&json["methods"])
                .map(|(method, rules)| (Method::read(method), MethodRules::from_json(rules)))
                .collect(),
            reactive_from: grade(needed(json, "reactive_from")),
            doubtful_from: grade(needed(json, "doubtful_from")),
            hemolysis_from: whole(needed(json, "hemolysis_from")),
            hemolysis_reject_from: whole(needed(json, "hemolysis_reject_from")),
            auto_margin_half_steps: whole(needed(json, "auto_margin_half_steps")),
            negative_test_with_reactive_auto: NegativeWithAuto::read(word(needed(
                json,
                "negative_test_with_reactive_auto",
            ))),
            dispersal_up_to: grade(needed(json, "dispersal_up_to")),
            saline_parts: span(needed(json, "saline_parts"), whole),
            check_cells_min: grade(needed(json, "check_cells_min")),
            check_cells_missing: CheckCellsMissing::read(word(needed(json, "check_cells_missing"))),
            control_tolerance_half_steps: whole(needed(json, "control_tolerance_half_steps")),
            weak_up_to: grade(needed(json, "weak_up_to")),
            exposed_max_hours: hours("exposed"),
            naive_max_hours: hours("naive"),
            run_max_hours: whole(needed(json, "run_max_hours")),
            recent_transfusion_days: whole(needed(json, "recent_transfusion_days")),
            lipemia_from: whole(needed(json, "lipemia_from")),
            icterus_from: whole(needed(json, "icterus_from")),
            plasma_ratio_min: whole(needed(json, "plasma_ratio_min")),
            panel_min_donors: usize::try_from(whole(needed(json, "panel_min_donors")))
                .expect("a count"),
            pregnancy_sensitises: needed(json, "pregnancy_sensitises") == true,
            anticoagulant_lysis: Effect::read(word(needed(json, "anticoagulant_lysis"))),
            lysis_must_be_testable: needed(json, "lysis_must_be_testable") == true,
            types: TypeRules::read(word(needed(json, "type_rules"))),
            minor_with_packed_cells: MinorWithPackedCells {
                reactive: packed("reactive"),
                unresolved: packed("unresolved"),
                void: packed("void"),
                not_read: packed("not_read"),
            },
        }
    }
}

impl MethodRules {
    fn from_json(json: &Value) -> Self {
        Self {
            phases: entries(needed(json, "phases"))
                .map(|(phase, role)| (Phase::read(phase), PhaseRole::read(word(role))))
                .collect(),
            required_tests: entries(needed(json, "tests"))
                .filter(|(_, role)| word(role) == "required")
                .map(|(test, _)| Test::read(test))
                .collect(),
            hemolysis: HemolysisRule::read(word(needed(json, "hemolysis"))),
            seconds: rule(json, "seconds").map(|value| span(value, whole)),
            late_after_seconds: rule(json, "late_after_seconds").map(whole),
            cells_percent: rule(json, "cells_percent").map(|value| span(value, hundredths)),
            washes_min: rule(json, "washes_min").map(whole),
            incubation_min: rule(json, "incubation_min")
                .map(|value| {
                    entries(value)
                        .map(|(phase, minutes)| (Phase::read(phase), span(minutes, whole)))
                        .collect()
                })
                .unwrap_or_default(),
        }
    }

    /// The phases with one of these roles.
    pub(crate) fn with_role(&self, roles: &'static [PhaseRole]) -> impl Iterator<Item = Phase> {
        self.phases.iter().filter(|(_, role)| roles.contains(role)).map(|(&phase, _)| phase)
    }

    /// The phases that decide, in order.
    pub(crate) fn deciding(&self) -> impl Iterator<Item = Phase> {
        self.with_role(&[PhaseRole::Required, PhaseRole::OneOf, PhaseRole::Optional])
    }
}
