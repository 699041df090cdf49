//! Figures that other libraries give; which, stands in the files.

use crossread_teach::statistics::{
    Answers, Confidence, Metric, Panel, Share, Undefined, Weighting, alpha, fleiss, gwet,
    gwet_of_table, kappa, kappa_value,
};
use serde_json::Value as Json;

use super::{data, panel_of, same, same_ends, same_to, table_of};

const CONFIDENCE: Confidence = Confidence::P95;

const WEIGHTINGS: [(&str, Weighting); 3] = [
    ("none", Weighting::Unweighted),
    ("linear", Weighting::Linear),
    ("quadratic", Weighting::Quadratic),
];
const GWET: [(&str, Weighting); 3] = [
    ("AC1", Weighting::Unweighted),
    ("AC2_linear", Weighting::Linear),
    ("AC2_quadratic", Weighting::Quadratic),
];
const METRICS: [(&str, Metric); 3] =
    [("nominal", Metric::Nominal), ("ordinal", Metric::Ordinal), ("interval", Metric::Interval)];

fn list(json: &Json) -> &Vec<Json> {
    let list = json.as_array().unwrap();
    assert!(!list.is_empty());
    list
}

#[test]
fn kappa_and_its_errors() {
    for case in list(&data("two_readers.json")["tables"]) {
        let table = table_of(&case["table"]);
        assert_eq!(Json::from(table.cases().count()), case["n"]);
        for (name, weighting) in &WEIGHTINGS {
            let (what, expected) = (format!("{} {name}", case["id"]), &case["kappa"][name]);
            let kappa = kappa(&table, weighting, CONFIDENCE);
            same(kappa.observed, &expected["po"], &what);
            same(kappa.expected, &expected["pe"], &what);
            same(kappa.value, &expected["kappa"], &what);
            assert_eq!(kappa.value, kappa_value(&table, weighting));
            same(kappa.standard_error, &expected["ase"], &what);
            same(kappa.null_standard_error, &expected["ase_h0"], &what);
            if expected["ase"] == 0.0 {
                assert_eq!(kappa.interval, Err(Undefined::NoSpread), "{what}");
            } else {
                same_ends(kappa.interval.unwrap(), &expected["ci95_unclipped"], 1e-10, &what);
            }
            // The exact fraction, where there is one.
            if let Some((a, b)) = expected["fraction"].as_str().and_then(|f| f.split_once('/')) {
                let exact = a.parse::<f64>().unwrap() / b.parse::<f64>().unwrap();
                assert!((kappa.value.unwrap() - exact).abs() < 1e-14, "{what}");
            }
        }
    }
    for (id, case) in data("reference.json")["tables"].as_object().unwrap() {
        let table = table_of(&case["table"]);
        for (name, weighting) in &WEIGHTINGS {
            let (what, expected) = (format!("{id} {name}"), &case["kappa"][name]);
            let kappa = kappa(&table, weighting, CONFIDENCE);
            same(kappa.value, &expected["kappa"], &what);
            same(kappa.standard_error, &expected["ase"], &what);
            same(kappa.null_standard_error, &expected["ase_h0"], &what);
        }
    }
}

#[test]
fn agreement_bias_and_symmetry() {
    for case in list(&data("two_readers.json")["tables"]) {
        let (table, id) = (table_of(&case["table"]), case["id"].as_str().unwrap());
        assert_eq!(Json::from(table.exact(CONFIDENCE).hits), case["exact"], "{id}");
        assert_eq!(Json::from(table.within_one(CONFIDENCE).hits), case["within_one"], "{id}");
        let bias = table.bias(CONFIDENCE);
        same(bias.overall.value, &case["mean_difference"], id);
        for (grade, expected) in bias.by_grade.iter().zip(list(&case["bias_by_row"])) {
            same(grade.mean.value, expected, id);
        }
        let (symmetry, bowker) = (table.symmetry(), &case["bowker"]);
        same(Ok(symmetry.statistic), &bowker["statistic"], id);
        assert_eq!(Json::from(symmetry.degrees), bowker["df_nonempty_pairs"], "{id}");
        same(symmetry.p, &bowker["p_nonempty_pairs"], id);
    }
    for (id, case) in data("reference.json")["tables"].as_object().unwrap() {
        let bias = table_of(&case["table"]).bias(CONFIDENCE);
        let means = [bias.overall].into_iter().chain(bias.by_grade.iter().map(|grade| grade.mean));
        for (mean, expected) in means.zip(list(&case["bias"])) {
            assert_eq!(Json::from(mean.cases.count()), expected["n"]);
            same(mean.value, &expected["mean"], id);
            match mean.interval {
                Ok(interval) => same_ends(interval, &expected["interval"], 1e-10, id),
                Err(_) => assert!(expected["interval"].is_null(), "{id}"),
            }
        }
    }
}

#[test]
fn sensitivity_and_specificity() {
    let mut seen = 0;
    for case in list(&data("two_readers.json")["tables"]) {
        let expected = &case["cut_at_2"];
        if expected.is_null() {
            continue;
        }
        seen += 1;
        let table = table_of(&case["table"]);
        let decisions = table.decisions(table.scale().cut(2).unwrap(), CONFIDENCE);
        assert_eq!(Json::from(decisions.missed), expected["fn_missed_incompatibility"]);
        assert_eq!(Json::from(decisions.false_alarms), expected["fp"]);
        assert_eq!(Json::from(decisions.found), expected["tp"]);
        assert_eq!(Json::from(decisions.cleared), expected["tn"]);
        for (share, expected) in [
            (decisions.sensitivity, &expected["sensitivity"]),
            (decisions.specificity, &expected["specificity"]),
        ] {
            same(share.value, &expected["value"], "share");
            same_ends(share.wilson.unwrap(), &expected["wilson95"], 1e-10, "Wilson");
            same_ends(share.clopper_pearson.unwrap(), &expected["clopper_pearson95"], 1e-10, "C-P");
        }
    }
    assert!(seen >= 2);
}

#[test]
fn intervals_of_shares() {
    for case in list(&data("reference.json")["shares"]) {
        let count = |name: &str| u32::try_from(case[name].as_u64().unwrap()).unwrap();
        let (hits, cases) = (count("hits"), count("cases"));
        for percent in [90.0, 95.0] {
            let share = Share::of(hits, cases, Confidence::percent(percent).unwrap());
            let what = format!("{hits} of {cases}, {percent} %");
            let expected = |kind: &str| &case[format!("{kind}{percent}")];
            same_ends(share.wilson.unwrap(), expected("wilson"), 1e-10, &what);
            same_ends(share.clopper_pearson.unwrap(), expected("clopper_pearson"), 1e-10, &what);
        }
    }
}

#[test]
fn gwet_of_two_readers() {
    for case in list(&data("two_readers.json")["tables"]) {
        let table = table_of(&case["table"]);
        for (name, weighting) in &GWET {
            let (what, expected) = (format!("{} {name}", case["id"]), &case["gwet"][name]);
            let got = gwet_of_table(&table, weighting, CONFIDENCE);
            same(got.value, &expected["value"], &what);
            if table.cases().count() > 1 {
                // The library takes n² for n(n − 1) here, but not for panels, and rounds.
                let n = f64::from(table.cases().count());
                let error = got.standard_error.map(|error| error * ((n - 1.0) / n).sqrt());
                same_to(error, &expected["se"], 5.01e-6, &what);
            } else {
                assert_eq!(got.standard_error, Err(Undefined::OneCase), "the library says 0");
            }
        }
    }
}

#[test]
fn panels() {
    for case in list(&data("panels.json")["panels"]) {
        let panel = panel_of(&case["items"], &case["categories"]);
        let id = case["id"].as_str().unwrap();
        for (name, metric) in METRICS {
            same(alpha(&panel, metric).value, &case["alpha"][name], id);
        }
        // A library without an answer for gaps is no reference there.
        if case.get("fleiss").is_some() {
            same(fleiss(&panel).value, &case["fleiss"], id);
        } else {
            assert!(fleiss(&panel).value.is_err(), "{id}");
        }
        for (name, weighting) in &GWET {
            let (what, expected) = (format!("{id} {name}"), &case["gwet"][name]);
            let got = gwet(&panel, weighting, CONFIDENCE);
            same(got.observed, &expected["pa"], &what);
            same(got.value, &expected["value"], &what);
            same(got.standard_error, &expected["se"], &what);
            if let Ok(interval) = got.interval {
                let cut = interval.clipped(f64::NEG_INFINITY, 1.0);
                same_ends(cut, &expected["ci95"], 1e-10, &what);
            }
            if got.value.is_ok() {
                same(got.expected, &expected["pe"], &what);
            }
        }
    }
}

#[test]
fn a_class_with_gaps() {
    let case = &data("reference.json")["panel"];
    let readers: Vec<Vec<Option<u8>>> = serde_json::from_value(case["readers"].clone()).unwrap();
    let scale = super::grades();
    let panel = Panel::by_reader(&scale, &readers).unwrap();
    for (name, metric) in METRICS {
        same_to(alpha(&panel, metric).value, &case[name], 1e-12, name);
    }
    assert_eq!(fleiss(&panel).value, Err(Undefined::UnequalReaders));
    let full: Vec<Vec<Option<u8>>> = readers
        .iter()
        .map(|reader| reader.iter().map(|g| Some(g.unwrap_or(0))).collect())
        .collect();
    let full = Panel::by_reader(&scale, &full).unwrap();
    same(fleiss(&full).value, &case["missing_as_0_fleiss"], "Fleiss");
}

#[test]
fn f68_items_of_an_exercise() {
    let json = data("items.json");
    let readers: Vec<Vec<u8>> = serde_json::from_value(json["readers"].clone()).unwrap();
    let readers: Vec<Vec<Option<bool>>> =
        readers.iter().map(|r| r.iter().map(|right| Some(*right == 1)).collect()).collect();
    let items = Answers::new(&readers).unwrap().items();
    assert_eq!(Json::from(items.group), json["group"]);
    same(items.kr20, &json["kr20"], "KR-20");
    assert_eq!(items.items.len(), 10);
    for (item, expected) in items.items.iter().zip(list(&json["items"])) {
        same(item.difficulty, &expected["p"], "difficulty");
        same(item.point_biserial, &expected["point_biserial"], "point-biserial");
        same(item.item_rest, &expected["corrected_item_rest"], "item-rest");
        same(item.upper_lower, &expected["upper_lower_27"], "upper-lower");
    }
}
