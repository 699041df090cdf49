//! Opening a worksheet: identity, and what is known of the recipient from before.

use crossread_core::document::{Date, Text};
use crossread_core::words::{Product, System, TypeResult, Verdict};
use crossread_core::worksheet::draft;
use crossread_journal::{
    Event, JournalError, Opening, Reacted, Refusal, Transfused, Typed, Warning, Writer,
};
use rstest::rstest;

use crate::bench::{
    Bench, Kind, dog, dog_but, dog_donor, id, kt, refused, release_of, serum_of, time,
};

#[rstest]
fn identity_two_identifiers_one_a_number(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    let no_name = dog_but("WS-1", "R-3107", r#""name": "Juniper", "#, "");
    refused!(bench, bench.open(&no_name), Refusal::OneIdentifier(_));
    refused!(bench, bench.open(&dog("WS-1", "Juniper")), Refusal::IdWithoutDigit(_));
    let forced = no_name.replace(
        r#""method""#,
        r#""override": { "by": "Dr Vane", "reason": "found on the road" }, "method""#,
    );
    bench.open(&forced).unwrap();
    refused!(bench, bench.open(&dog("WS-1", "R-3108")), Refusal::WorksheetExists(_));
    let nobody = forced.replace("WS-1", "WS-2").replace("Dr Vane", " ");
    refused!(bench, bench.open(&nobody), Refusal::NameMissing(_));
}

#[rstest]
fn an_opening_at_fault_says_where(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    let head = bench.journal.head().unwrap();
    let wrong = dog_but(
        "WS-1",
        "R-3107",
        r#""transfused": "never""#,
        r#""last_transfused_on": "2026-01-01""#,
    );
    let Err(JournalError::Faults(faults)) = bench.open(&wrong) else { panic!("no fault") };
    assert_eq!(faults.as_slice()[0].pointer, "/recipient/history/last_transfused_on");
    let cat = dog_but("WS-1", "R-3107", r#""species": "dog""#, r#""species": "cat""#);
    let Err(JournalError::Faults(faults)) = bench.open(&cat) else { panic!("no fault") };
    assert_eq!(faults.as_slice()[0].pointer, "/recipient/species");
    let unknown = dog_but("WS-1", "R-3107", "dog-routine", "dog-routin");
    assert!(matches!(bench.open(&unknown), Err(JournalError::Faults(_))));
    assert_eq!(bench.journal.head().unwrap(), head);
}

/// F54: all four kinds of warning, before anything is planned, taken note of by name.
#[rstest]
fn f54_history_warnings(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.open_dog("WS-1", "R-3107");
    bench.donor("WS-1", &dog_donor("D-091", "U-5512")).unwrap();
    bench.sample("WS-1", &serum_of("R-3107")).unwrap();
    bench.read("WS-1", "03:28:10", "recipient_auto - warm_37c 1+ 0").unwrap();
    bench.read("WS-1", "03:29:40", "major D-091 warm_37c 4+ 0").unwrap();
    let transfused = Transfused {
        animal: id("R-3107"),
        at: time("03:50:00"),
        product: Product::PackedCells,
        donor: Some(id("D-080")),
        unit: None,
        text: Some(Text::from("elsewhere")),
    };
    bench.journal.transfused(&kt("03:55:00"), &transfused).unwrap();
    let reacted = Reacted {
        animal: id("R-3107"),
        at: time("04:10:00"),
        text: Text::from("fever"),
        donor: None,
        unit: None,
    };
    bench.journal.reacted(&kt("04:11:00"), &reacted).unwrap();
    let opening: Opening = serde_json::from_str(&dog("WS-2", "R-3107")).unwrap();
    let warnings = bench.journal.warnings(&opening.recipient).unwrap();
    let kinds: Vec<&str> = warnings
        .iter()
        .map(|warning| match warning {
            Warning::Incompatible(pair) => {
                assert_eq!(pair.donor, id("D-091"));
                "incompatible"
            }
            Warning::Reaction(_) => "reaction",
            Warning::AutocontrolReactive { .. } => "autocontrol",
            Warning::Transfused(_) => "transfused",
            Warning::Contradicted { .. } => "contradicted",
            other => panic!("{other:?}"),
        })
        .collect();
    assert_eq!(
        kinds,
        ["incompatible", "reaction", "autocontrol", "transfused", "contradicted", "contradicted"]
    );
    refused!(bench, bench.open(&dog("WS-2", "R-3107")), Refusal::Warnings(_));
    let mut some = opening.clone();
    some.acknowledged =
        warnings.iter().skip(1).map(|w| Text::from(w.to_string().as_str())).collect();
    let shipped = crossread_core::Protocols::shipped();
    let call = bench.journal.open_worksheet(&kt("05:00:00"), &some, shipped);
    refused!(bench, call, Refusal::Warnings(_));
    let mut all = opening;
    all.acknowledged = warnings.iter().map(|w| Text::from(w.to_string().as_str())).collect();
    let written = bench.journal.open_worksheet(&Writer::new("LM", time("05:00:00")), &all, shipped);
    let entry = bench.journal.entry(written.unwrap().seq).unwrap();
    assert_eq!(entry.by.as_str(), "LM");
    let Event::WorksheetOpened(opened) = entry.event else { panic!("not opened") };
    assert_eq!(opened.acknowledged.len(), 6);
    // What the journal knows is laid over what was told, marked with its entries.
    assert!(!opened.known.from.is_empty());
    bench.donor("WS-2", &dog_donor("D-091", "U-5513")).unwrap();
    let view = bench.journal.view(&id("WS-2")).unwrap();
    let recipient = view.worksheet.recipient();
    assert_eq!(recipient.animal.transfused.word(), "yes");
    assert_eq!(recipient.animal.last_transfused_on, Date::new("2026-03-01"));
    assert_eq!(recipient.animal.reaction.word(), "yes");
    assert_eq!(recipient.incompatible_with, [id("D-091")]);
    assert!(bench.verdict("WS-2", "D-091") >= Verdict::Indeterminate);
}

/// F55: a type that disagrees with an earlier one stops every release until a new typing settles it.
#[rstest]
fn f55_type_discrepancy_stops(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.open_dog("WS-1", "R-3107");
    let positive = dog_but("WS-2", "R-3107", r#""result": "negative""#, r#""result": "weak""#);
    let opening: Opening = serde_json::from_str(&positive).unwrap();
    let warnings = bench.journal.warnings(&opening.recipient).unwrap();
    let [Warning::TypesDisagree { system: System::Dea1, earlier, now, .. }] = warnings.as_slice()
    else {
        panic!("{warnings:?}")
    };
    assert_eq!((*earlier, *now), (TypeResult::Negative, TypeResult::Weak));
    assert!(warnings[0].to_string().starts_with("STOP"));
    let mut opening = opening;
    opening.acknowledged = vec![Text::from(warnings[0].to_string().as_str())];
    let shipped = crossread_core::Protocols::shipped();
    let written = bench.journal.open_worksheet(&kt("02:41:00"), &opening, shipped).unwrap();
    assert_eq!(written.raised.len(), 1);
    bench.donor("WS-2", &dog_donor("D-091", "U-5512")).unwrap();
    bench.sample("WS-2", &serum_of("R-3107")).unwrap();
    bench.read("WS-2", "03:28:10", "recipient_auto - warm_37c 0 0").unwrap();
    bench.read("WS-2", "03:29:40", "major D-091 warm_37c 0 0").unwrap();
    // The core sees both results.
    assert_eq!(bench.verdict("WS-2", "D-091"), Verdict::Indeterminate);
    bench.journal.check_segment(&kt("03:30:00"), &id("WS-2"), &id("D-091"), "5512").unwrap();
    bench.journal.issue(&kt("03:31:00"), &id("WS-2"), "Dr Vane").unwrap();
    let release = release_of("WS-2", "D-091", "3107", "5512");
    let call = bench.journal.release(&kt("03:32:00"), &release);
    refused!(bench, call, Refusal::NotReleasable { .. });

    // The other way round: the earlier worksheet is clean by itself, and is stopped too.
    bench.clean_but_open("WS-1", "D-092", "U-5513");
    bench.journal.issue(&kt("03:34:00"), &id("WS-1"), "Dr Vane").unwrap();
    let release = release_of("WS-1", "D-092", "3107", "5513");
    let call = bench.journal.release(&kt("03:35:00"), &release);
    refused!(bench, call, Refusal::TypesDisagree { .. } | Refusal::NotReleasable { .. });
    // A new sample, typed again, settles it.
    let typed = Typed {
        animal: id("R-3107"),
        result: draft::BloodType {
            system: Some(System::Dea1),
            result: Some(TypeResult::Negative),
            on: None,
        },
        settled_by: Some(Text::from("S-9")),
    };
    assert_eq!(bench.journal.open_tasks().unwrap().len(), 1);
    bench.journal.typed(&kt("03:36:00"), &typed).unwrap();
    assert_eq!(bench.journal.open_tasks().unwrap(), []);
    bench.journal.release(&kt("03:37:00"), &release).unwrap();
    // Both results are still there.
    let (past, _) = bench.journal.animal(&id("R-3107")).unwrap();
    let results: Vec<_> = past.types.iter().map(|typed| typed.result).collect();
    assert_eq!(results, [TypeResult::Negative, TypeResult::Weak, TypeResult::Negative]);
}

#[rstest]
fn a_typing_result_is_one_of_its_system(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    let typed = |system, result| Typed {
        animal: id("R-3107"),
        result: draft::BloodType { system: Some(system), result: Some(result), on: None },
        settled_by: None,
    };
    assert!(bench.journal.typed(&kt("03:00:00"), &typed(System::Ab, TypeResult::Weak)).is_err());
    bench.journal.typed(&kt("03:00:00"), &typed(System::Ab, TypeResult::A)).unwrap();
}

/// F56: the same unit on another worksheet.
#[rstest]
fn f56_unit_open_for_another_animal(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.open_dog("WS-1", "R-3107");
    bench.open_dog("WS-2", "R-3108");
    bench.donor("WS-1", &dog_donor("D-091", "U-5512")).unwrap();
    let written = bench.donor("WS-2", &dog_donor("D-091", "U-5512")).unwrap();
    assert_eq!(written.notices[0].as_str(), "unit U-5512 stands on worksheet WS-1 too");
}

/// F04: the sample's label, and its hemolysis.
#[rstest]
fn f04_sample_acceptance(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.open_dog("WS-1", "R-3107");
    let serum = serum_of("R-3107");
    let unread = serum.replace(
        r#", "agglutinated": false,
             "label_id": "R-3107""#,
        "",
    );
    refused!(bench, bench.sample("WS-1", &unread), Refusal::LabelNotRead(_));
    let other = serum.replace(r#""label_id": "R-3107""#, r#""label_id": "R-3170""#);
    refused!(bench, bench.sample("WS-1", &other), Refusal::LabelDisagrees { .. });
    let red = serum.replace(r#""hemolysis": 0"#, r#""hemolysis": 3"#);
    refused!(bench, bench.sample("WS-1", &red), Refusal::SampleRejected(_));
    bench.sample("WS-1", &serum.replace(r#""hemolysis": 0"#, r#""hemolysis": 2"#)).unwrap();
    let Err(JournalError::Faults(faults)) = bench.sample("WS-1", &serum) else {
        panic!("no fault")
    };
    assert_eq!(faults.as_slice()[0].pointer, "/id");
}

/// F05: a rejected sample is used by a named decision, which stays on the record and frees nothing.
#[rstest]
fn f05_override_needs_a_name_and_a_reason(#[values(Kind::File, Kind::Server)] kind: Kind) {
    let Some(mut bench) = Bench::new(kind) else { return };
    bench.open_dog("WS-1", "R-3107");
    bench.donor("WS-1", &dog_donor("D-091", "U-5512")).unwrap();
    let red = serum_of("R-3107").replace(r#""hemolysis": 0"#, r#""hemolysis": 4"#);
    let sample = draft::Sample::from_json(red.as_bytes()).unwrap();
    let forced = |by: &str, reason: &str| crossread_journal::SampleAdded {
        sample: sample.clone(),
        overridden: Some(crossread_journal::Override {
            by: Text::from(by),
            reason: Text::from(reason),
        }),
    };
    for (by, reason) in [("", "no second sample"), ("Dr Vane", " ")] {
        let call = bench.journal.enter(&kt("02:50:00"), &id("WS-1"), forced(by, reason));
        refused!(bench, call, Refusal::NameMissing(_));
    }
    let used = forced("Dr Vane", "no second sample");
    bench.journal.enter(&kt("02:50:00"), &id("WS-1"), used).unwrap();
    bench.read("WS-1", "03:28:10", "recipient_auto - warm_37c 0 0").unwrap();
    bench.read("WS-1", "03:29:40", "major D-091 warm_37c 0 0").unwrap();
    let sheet = bench.journal.sheet(&id("WS-1")).unwrap();
    let decided = sheet.samples[0].value.overridden.as_ref().unwrap();
    assert_eq!((decided.by.as_str(), decided.reason.as_str()), ("Dr Vane", "no second sample"));
    assert!(bench.verdict("WS-1", "D-091") > Verdict::CompatibleWithCaveats);
}

/// F05: whatever rule was set aside, the verdict is not plain `compatible`, and says so.
#[rstest]
#[case::unread_label("label")]
#[case::one_identifier("recipient")]
#[case::id_without_digit("donor")]
fn f05_what_was_accepted_by_decision_is_never_plainly_compatible(
    #[case] what: &str,
    #[values(Kind::File, Kind::Server)] kind: Kind,
) {
    let Some(mut bench) = Bench::new(kind) else { return };
    let overridden = || {
        let (by, reason) = (Text::from("Dr Vane"), Text::from("bleeding, nobody else here"));
        Some(crossread_journal::Override { by, reason })
    };
    let said = r#", "override": { "by": "Dr Vane", "reason": "bleeding, nobody else here" } }"#;
    let mut opening = dog("WS-1", "R-3107");
    if what == "recipient" {
        let nameless = opening.replace(r#""name": "Juniper", "#, "");
        refused!(bench, bench.open(&nameless), Refusal::OneIdentifier(_));
        opening = nameless.trim_end().strip_suffix('}').unwrap().to_owned() + said;
    }
    bench.open(&opening).unwrap();
    let number = if what == "donor" { "Bramble" } else { "D-091" };
    let donor = draft::Donor::from_json(dog_donor(number, "U-5512").as_bytes()).unwrap();
    let mut added = crossread_journal::DonorAdded {
        donor,
        known: crossread_journal::Known::default(),
        overridden: None,
    };
    if what == "donor" {
        let call = bench.journal.enter(&kt("02:46:00"), &id("WS-1"), added.clone());
        refused!(bench, call, Refusal::IdWithoutDigit(_));
        added.overridden = overridden();
    }
    bench.journal.enter(&kt("02:46:00"), &id("WS-1"), added).unwrap();
    let mut sample = draft::Sample::from_json(serum_of("R-3107").as_bytes()).unwrap();
    if what == "label" {
        sample.label_id = None;
    }
    let mut added = crossread_journal::SampleAdded { sample, overridden: None };
    if what == "label" {
        let call = bench.journal.enter(&kt("02:50:00"), &id("WS-1"), added.clone());
        refused!(bench, call, Refusal::LabelNotRead(_));
        added.overridden = overridden();
    }
    bench.journal.enter(&kt("02:50:00"), &id("WS-1"), added).unwrap();
    bench.read("WS-1", "03:28:10", "recipient_auto - warm_37c 0 0").unwrap();
    bench.read("WS-1", "03:29:40", &format!("major {number} warm_37c 0 0")).unwrap();
    let interpretation = bench.journal.interpretation(&id("WS-1")).unwrap();
    let pair = &interpretation.pairs[0];
    assert_eq!(pair.verdict, Verdict::CompatibleWithCaveats);
    let found = pair.findings.iter().find(|found| found.slug == "accepted-by-decision");
    assert_eq!(found.unwrap().effect, crossread_core::words::Effect::Caveat);
    let document = bench.journal.view(&id("WS-1")).unwrap().document;
    let document = String::from_utf8(document).unwrap();
    assert!(document.contains("Dr Vane") && document.contains("nobody else here"), "{document}");
}
