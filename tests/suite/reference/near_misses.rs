//! Rows that no worked vector raises: each once with its effect, and once just missed.
//!
//! An oracle is only worth as much as it has itself been tried.

use serde_json::{Value, json};

use super::reference;
use crate::vectors::{
    Base, Drawn, Species, base, donor_auto, donor_saline, major, minor, protocol, recipient_auto,
    recipient_saline,
};

/// A worksheet that raises a finding, and one that just does not.
pub(crate) struct Case {
    slug: &'static str,
    effect: &'static str,
    pub(crate) protocol: Value,
    pub(crate) hit: Value,
    pub(crate) miss: Value,
}

/// Every case.
pub(crate) fn all() -> Vec<Case> {
    readings().into_iter().chain(run()).chain(animals()).collect()
}

/// Sets values at JSON Pointers, making objects on the way; null takes the field away.
fn patched(mut document: Value, patches: &[(&str, Value)]) -> Value {
    for (pointer, value) in patches {
        let (parent, field) = pointer.rsplit_once('/').expect("a pointer");
        let parent = document.pointer_mut(parent).expect("a place in the document");
        if value.is_null() {
            parent.as_object_mut().expect("an object").remove(field);
        } else {
            parent[field] = value.clone();
        }
    }
    document
}

/// Two ways to go on from one base.
fn two(
    slug: &'static str,
    effect: &'static str,
    species: Species,
    hit: impl Fn(Base) -> Base,
    miss: impl Fn(Base) -> Base,
) -> Case {
    Case {
        slug,
        effect,
        protocol: protocol(species.protocol_id()),
        hit: hit(base(species)).worksheet(),
        miss: miss(base(species)).worksheet(),
    }
}

/// One field with two values; null leaves it out.
fn field(
    slug: &'static str,
    effect: &'static str,
    base: &Base,
    pointer: &str,
    hit: Value,
    miss: Value,
) -> Case {
    Case {
        slug,
        effect,
        protocol: protocol(base.protocol_id()),
        hit: patched(base.worksheet(), &[(pointer, hit)]),
        miss: patched(base.worksheet(), &[(pointer, miss)]),
    }
}

/// Somebody's decision to go on with an animal or a sample, and none.
fn decided(base: &Base, pointer: &str) -> Case {
    let decision = json!({ "by": "Dr Vane", "reason": "no time to draw again" });
    field("accepted-by-decision", "caveat", base, pointer, decision, Value::Null)
}

/// A transfused recipient whose sample was so many minutes old at the last reading.
fn exposed(base: Base, minutes: i64) -> Base {
    base.transfused_days_ago(40).recipient_sample_drawn(Drawn::BeforeLastMajor(minutes))
}

fn same(base: Base) -> Base {
    base
}

/// Findings of readings and controls.
fn readings() -> Vec<Case> {
    let dog = Species::Dog;
    let mut low_cut_off = two(
        "reaction-below-cut-off",
        "caveat",
        dog,
        |base| base.read(major("rough")),
        |base| base.read(major("micro")),
    );
    low_cut_off.protocol =
        patched(low_cut_off.protocol, &[("/doubtful_from/value", json!("micro"))]);
    let mut void_without_check_cells = two(
        "check-cells-missing",
        "note",
        dog,
        |base| base.read(major("0").antiglobulin()),
        |base| base.read(minor("0").antiglobulin()),
    );
    void_without_check_cells.protocol = patched(
        void_without_check_cells.protocol,
        &[("/check_cells_missing/value", json!("void"))],
    );
    vec![
        low_cut_off,
        void_without_check_cells,
        two(
            "donor-autocontrol-doubtful",
            "caveat",
            dog,
            |base| base.read(donor_auto("micro")),
            |base| base.read(donor_auto("w")),
        ),
        two(
            "inconsistent-controls",
            "indeterminate",
            dog,
            |base| base.read(donor_saline("w")),
            |base| base.read(donor_saline("w")).read(major("2+")),
        ),
        two(
            "saline-control-void",
            "caveat",
            dog,
            |base| base.read(recipient_saline("0").artefact("bubble")),
            |base| base.read(recipient_saline("0").artefact("fibrin")),
        ),
        two(
            "saline-control-void",
            "indeterminate",
            dog,
            |base| base.read(recipient_saline("2+").artefact("bubble")),
            |base| base.read(recipient_saline("2+").artefact("hard_spin")),
        ),
        two(
            "check-cells-missing",
            "caveat",
            dog,
            |base| base.read(major("micro").antiglobulin()),
            |base| base.read(major("w").antiglobulin()),
        ),
        two(
            "reading-delayed",
            "caveat",
            dog,
            |base| base.read(major("0").seconds(301)),
            |base| base.read(major("0").seconds(300)),
        ),
        two(
            "reading-late",
            "caveat",
            dog,
            |base| base.slide().read(recipient_auto("0").seconds(301)),
            |base| base.slide().read(recipient_auto("0").seconds(300)),
        ),
        two(
            "reading-late",
            "note",
            dog,
            |base| base.slide().read(minor("0").seconds(301)),
            |base| base.read(minor("0").seconds(301)),
        ),
        two(
            "reading-early",
            "note",
            dog,
            |base| base.slide().read(minor("0").seconds(59)),
            |base| base.slide().read(minor("0").seconds(60)),
        ),
        field(
            "reading-time-unknown",
            "caveat",
            &base(dog).slide(),
            "/readings/0/seconds",
            Value::Null,
            json!(60),
        ),
        field(
            "negative-control-reactive",
            "caveat",
            &base(dog),
            "/reagent_controls",
            json!({ "negative": { "read": "rough" } }),
            json!({ "negative": { "read": "0" } }),
        ),
        two(
            "readers-disagree",
            "caveat",
            dog,
            |base| base.then(minor("w").second_reader()),
            |base| base.then(minor("0").second_reader()),
        ),
        two(
            "rouleaux-partial",
            "note",
            dog,
            |base| base.read(major("2+")).then(major("2+w").after_replacement()),
            |base| base.read(major("2+")).then(major("2+").after_replacement()),
        ),
        two(
            "dilution-too-low",
            "note",
            dog,
            |base| base.read(major("2+")).then(major("2+").after_dilution(3)),
            |base| base.read(major("2+")).then(major("2+").after_dilution(4)),
        ),
        two(
            "dilution-too-high",
            "note",
            dog,
            |base| base.read(major("2+").stacks()).then(major("0").after_dilution(10)),
            |base| base.read(major("2+").stacks()).then(major("0").after_dilution(9)),
        ),
        // One within the range is enough; the one beyond it then does not count.
        two(
            "dilution-too-high",
            "note",
            dog,
            |base| base.read(major("2+").stacks()).then(major("0").after_dilution(10)),
            |base| {
                base.read(major("2+").stacks())
                    .then(major("0").after_dilution(4))
                    .then(major("0").after_dilution(10))
            },
        ),
        two(
            "recheck-not-valid",
            "note",
            dog,
            |base| {
                let look = major("2+").antiglobulin();
                base.read(look).then(major("0").antiglobulin().after_replacement())
            },
            |base| base.read(major("2+")).then(major("0").after_replacement()),
        ),
        two(
            "autocontrol-reactive-test-negative",
            "note",
            dog,
            |base| base.read(donor_auto("micro")),
            |base| base.read(donor_auto("micro")).read(minor("micro")),
        ),
        two(
            "incubation-long",
            "note",
            dog,
            |base| base.incubated(61).read(major("1+s")),
            |base| base.incubated(60).read(major("1+s")),
        ),
    ]
}

/// Findings of samples and of how the run was set up.
fn run() -> Vec<Case> {
    let dog = base(Species::Dog);
    let ratio = |plasma: i64| {
        json!({
            "complement": "fresh_serum", "plasma_ul": plasma, "cells_ul": 50, "cells_percent": 4.0
        })
    };
    let lot = |day: &str| json!([{ "what": "saline", "expires_on": day }]);
    vec![
        field("sample-hemolysis", "caveat", &dog, "/samples/0/hemolysis", json!(2), json!(3)),
        decided(&dog, "/recipient/decision"),
        decided(&dog, "/donors/0/decision"),
        decided(&dog, "/samples/0/decision"),
        decided(&dog, "/samples/1/decision"),
        field("sample-lipemic", "caveat", &dog, "/samples/0/lipemia", json!(2), json!(1)),
        field("sample-icteric", "caveat", &dog, "/samples/0/icterus", json!(2), json!(1)),
        field("sample-clotted", "caveat", &dog, "/samples/0/clots", json!(true), json!(false)),
        // Clots in the donor's plasma matter only where that plasma decides.
        field(
            "sample-clotted",
            "caveat",
            &dog.clone().product("whole_blood"),
            "/samples/1/clots",
            json!(true),
            json!(false),
        ),
        field(
            "sample-agglutinated",
            "caveat",
            &dog,
            "/samples/1/agglutinated",
            json!(true),
            json!(false),
        ),
        field("sample-look-unknown", "caveat", &dog, "/samples/0/hemolysis", Value::Null, json!(0)),
        field(
            "sample-not-recorded",
            "incomplete",
            &dog,
            "/samples/0/role",
            json!("cells"),
            json!("both"),
        ),
        // Both to the minute: drawn as the first tube was read, and read as the time ran out.
        two(
            "sample-drawn-after-reading",
            "indeterminate",
            Species::Dog,
            |base| base.recipient_sample_drawn(Drawn::BeforeFirst(-1)),
            |base| base.recipient_sample_drawn(Drawn::BeforeFirst(0)),
        ),
        two(
            "sample-too-old",
            "invalid",
            Species::Dog,
            |base| exposed(base, 72 * 60 + 1),
            |base| exposed(base, 72 * 60),
        ),
        field("label-mismatch", "note", &dog, "/samples/0/label_id", json!("R-2"), json!("R-1")),
        field(
            "suspension-too-light",
            "caveat",
            &dog,
            "/setup/cells_percent",
            json!(1.99),
            json!(2),
        ),
        field(
            "suspension-too-heavy",
            "note",
            &dog,
            "/setup/cells_percent",
            json!(5.01),
            json!(5.0),
        ),
        field("washes-few", "caveat", &dog, "/setup/washes", json!(2), json!(3)),
        field("plasma-ratio-low", "caveat", &dog, "/setup", ratio(49), ratio(50)),
        field("lot-expired", "caveat", &dog, "/setup/lots", lot("2026-02-28"), lot("2026-03-01")),
    ]
}

/// Findings of animals, units and types.
fn animals() -> Vec<Case> {
    let dog = base(Species::Dog);
    let types = |pairs: &[(&str, &str)]| -> Value {
        pairs.iter().map(|(system, result)| json!({ "system": system, "result": result })).collect()
    };
    let unit = |field: &str, value: &str| json!({ "number": "U-1", field: value });
    let transfused = |day: &str| {
        json!({
            "transfused": "yes", "last_transfused_on": day, "pregnant": "never", "reaction": "never"
        })
    };
    vec![
        field(
            "history-unknown",
            "caveat",
            &dog,
            "/recipient/history/transfused",
            Value::Null,
            json!("never"),
        ),
        field(
            "history-unknown",
            "note",
            &dog.clone().product("plasma"),
            "/recipient/history/transfused",
            json!("unknown"),
            json!("yes"),
        ),
        field(
            "transfused-recently",
            "caveat",
            &dog,
            "/recipient/history",
            transfused("2026-02-15"),
            transfused("2026-02-14"),
        ),
        field(
            "earlier-reaction",
            "caveat",
            &dog,
            "/recipient/history/reaction",
            json!("yes"),
            json!("unknown"),
        ),
        field(
            "pregnancy-exposed",
            "caveat",
            &base(Species::Horse),
            "/recipient/history/pregnant",
            json!("yes"),
            json!("never"),
        ),
        field(
            "pregnancy-exposed",
            "note",
            &base(Species::Horse),
            "/recipient/history/pregnant",
            Value::Null,
            json!("never"),
        ),
        field(
            "donor-exposed",
            "note",
            &dog,
            "/donors/0/history/transfused",
            json!("yes"),
            json!("unknown"),
        ),
        field(
            "donor-exposed",
            "caveat",
            &base(Species::Horse).product("whole_blood"),
            "/donors/0/history/pregnant",
            json!("yes"),
            json!("unknown"),
        ),
        field(
            "species-differ",
            "incompatible",
            &dog,
            "/donors/0/species",
            json!("cat"),
            json!("dog"),
        ),
        field(
            "type-discrepant",
            "indeterminate",
            &dog,
            "/donors/0/types",
            types(&[("DEA 4", "weak"), ("DEA 4", "negative")]),
            types(&[("DEA 4", "weak"), ("DEA 4", "positive")]),
        ),
        field(
            "type-impossible",
            "indeterminate",
            &dog,
            "/recipient/types",
            types(&[("Kai 1", "positive"), ("Kai 2", "weak")]),
            types(&[("Kai 1", "positive"), ("Kai 2", "negative")]),
        ),
        field(
            "unit-expired",
            "incompatible",
            &dog,
            "/donors/0/unit",
            unit("expires_on", "2026-02-28"),
            unit("expires_on", "2026-03-01"),
        ),
        field(
            "unit-not-inspected",
            "caveat",
            &dog,
            "/donors/0/unit",
            unit("expires_on", "2026-03-31"),
            unit("inspection", "normal"),
        ),
        two(
            "cat-type-second-choice",
            "caveat",
            Species::Cat,
            |base| base.typed("AB", "A", "AB"),
            |base| base.typed("AB", "A", "AB").product("plasma"),
        ),
        two(
            "cat-type-second-choice",
            "caveat",
            Species::Cat,
            |base| base.typed("AB", "AB", "A").product("plasma"),
            |base| base.typed("AB", "AB", "AB").product("plasma"),
        ),
        two("dog-type-unknown", "caveat", Species::Dog, Base::untyped, same),
        two(
            "horse-type-mismatch",
            "caveat",
            Species::Horse,
            |base| base.typed("Qa", "negative", "weak"),
            |base| base.typed("Qa", "weak", "negative"),
        ),
    ]
}

#[test]
fn each_row_is_raised_by_its_own_worksheet_and_just_missed_by_another() {
    for case in all() {
        let effect = |worksheet: &Value| {
            let pair = reference(worksheet, &case.protocol).pairs.remove(0);
            pair.findings.get(case.slug).cloned()
        };
        assert_eq!(effect(&case.hit).as_deref(), Some(case.effect), "{} is to be there", case.slug);
        let missed = effect(&case.miss);
        assert_eq!(missed, None, "{} is not to be there: {}", case.slug, case.miss);
    }
}
