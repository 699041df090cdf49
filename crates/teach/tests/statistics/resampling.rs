//! Resampling: the same draws as elsewhere, the same intervals as elsewhere.

use crossread_teach::statistics::{
    Bootstrap, Confidence, Metric, Pairs, Panel, Resampled, Table, Undefined, Value, Weighting,
    alpha, kappa_value,
};

use super::{data, same, same_ends, same_to, scale};

const CONFIDENCE: Confidence = Confidence::P95;

fn quadratic(table: &Table) -> Value {
    kappa_value(table, &Weighting::Quadratic)
}

fn pairs(rows: &[u8], columns: &[u8], grades: usize) -> Pairs {
    let some = |list: &[u8]| list.iter().map(|grade| Some(*grade)).collect::<Vec<_>>();
    Pairs::new(&scale(grades), &some(rows), &some(columns)).unwrap()
}

/// The draws come from a generator in Python, the intervals from scipy with these draws.
#[test]
fn intervals_are_those_of_scipy_on_the_same_draws() {
    let json = data("reference.json");
    let cases = json["resampled"].as_array().unwrap();
    assert_eq!(cases.len(), 2);
    for case in cases {
        let list = |name: &str| serde_json::from_value::<Vec<u8>>(case[name].clone()).unwrap();
        let pairs = pairs(&list("rows"), &list("cols"), 6);
        let whole = |name: &str| case[name].as_u64().unwrap();
        let bootstrap = Bootstrap::new(
            whole("resamples").try_into().unwrap(),
            whole("seed"),
            whole("series").try_into().unwrap(),
        )
        .unwrap();
        let n = pairs.table().cases().count();
        let first: Vec<u32> = serde_json::from_value(case["first_places"].clone()).unwrap();
        assert_eq!(bootstrap.places(n).take(20).collect::<Vec<_>>(), first);
        let resampled = bootstrap.pairs(&pairs, quadratic);
        assert_eq!(resampled.empty(), 0);
        same_to(Ok(resampled.values().iter().sum()), &case["values_sum"], 1e-9, "all resamples");
        let percentile = resampled.percentile(CONFIDENCE).unwrap();
        same_ends(percentile, &case["percentile95"], 1e-12, "percentile");
        let corrected = resampled.bias_corrected(CONFIDENCE).unwrap();
        same_ends(corrected, &case["bca95"], 1e-9, "bias-corrected");
    }
}

/// The fast way through cells of a table gives what drawing pairs one by one gives.
#[test]
fn resamples_are_of_the_pairs_at_the_places_drawn() {
    let (rows, columns) = ([0, 0, 1, 2, 3, 1, 2], [0, 1, 1, 2, 3, 0, 3]);
    let bootstrap = Bootstrap::new(300, 9, 4).unwrap();
    let places: Vec<u32> = bootstrap.places(7).collect();
    assert_eq!(places.len(), 2100);
    let mut by_hand: Vec<f64> = places
        .chunks(7)
        .filter_map(|drawn| {
            let at = |list: &[u8; 7]| drawn.iter().map(|p| list[*p as usize]).collect::<Vec<_>>();
            quadratic(&pairs(&at(&rows), &at(&columns), 4).table()).ok()
        })
        .collect();
    by_hand.sort_by(f64::total_cmp);
    let resampled = bootstrap.pairs(&pairs(&rows, &columns, 4), quadratic);
    assert_eq!(resampled.values(), by_hand);
    assert_eq!(resampled.values().len() + resampled.empty() as usize, 300);
}

#[test]
fn items_of_a_class_are_drawn_whole() {
    let items =
        [[Some(0), Some(0), Some(1)], [Some(2), None, Some(2)], [Some(1), Some(2), Some(1)]];
    let panel = Panel::by_item(&scale(3), &items).unwrap();
    let ordinal = |panel: &Panel| alpha(panel, Metric::Ordinal).value;
    let bootstrap = Bootstrap::new(200, 5, 0).unwrap();
    let places: Vec<u32> = bootstrap.places(3).collect();
    let by_hand: Vec<Value> = places
        .chunks(3)
        .map(|drawn| {
            let items: Vec<_> = drawn.iter().map(|place| items[*place as usize]).collect();
            ordinal(&Panel::by_item(&scale(3), &items).unwrap())
        })
        .collect();
    let resampled = bootstrap.items(&panel, ordinal);
    assert_eq!(resampled.estimate(), ordinal(&panel));
    let mut values: Vec<f64> = by_hand.iter().copied().flatten().collect();
    values.sort_by(f64::total_cmp);
    assert_eq!(resampled.values(), values);
    assert!(resampled.empty() > 0, "three times the second item is one grade");
}

#[test]
fn a_seed_and_a_series_give_the_same_always() {
    let pairs = pairs(&[0, 1, 2, 3, 4, 5, 0, 2], &[0, 1, 1, 3, 5, 5, 1, 2], 6);
    let run = |seed, series| Bootstrap::new(100, seed, series).unwrap().pairs(&pairs, quadratic);
    assert_eq!(run(1, 0), run(1, 0));
    assert_ne!(run(1, 0).values(), run(2, 0).values());
    assert_ne!(run(1, 0).values(), run(1, 1).values());
}

/// A resample without value widens the interval, and too many leave it without an end.
#[test]
fn resamples_without_value_never_narrow_an_interval() {
    let empty_in = |cases: usize| -> Resampled {
        // One pair that differs: a resample without it, or of it alone, has one grade in a column.
        let mut rows = vec![0; cases];
        rows[0] = 1;
        Bootstrap::new(2000, 3, 0).unwrap().pairs(&pairs(&rows, &rows, 2), quadratic)
    };
    let few = empty_in(3);
    assert!(few.empty() > 500, "{}", few.empty());
    assert_eq!(few.percentile(CONFIDENCE), Err(Undefined::EmptyResamples));
    assert_eq!(few.bias_corrected(CONFIDENCE), Err(Undefined::EmptyResamples));

    // Some, but fewer than lie beyond an end: they lie below all others for one end and above all
    // for the other.
    let (rows, columns) = ([0, 0, 0, 0, 0, 0, 1, 2], [0, 0, 0, 0, 0, 1, 1, 3]);
    let some = Bootstrap::new(2000, 3, 0).unwrap().pairs(&pairs(&rows, &columns, 4), quadratic);
    let empty = some.empty() as usize;
    assert!((20..380).contains(&empty), "{empty}");
    let interval = some.percentile(Confidence::percent(60.0).unwrap()).unwrap();
    let end = |below: usize, p: f64| {
        let mut all = vec![f64::NEG_INFINITY; below];
        all.extend(some.values());
        let at = p * 1999.0;
        let (lower, upper) = (all[at as usize], all[at as usize + 1]);
        lower + (upper - lower) * at.fract()
    };
    same(Ok(interval.low), &end(empty, 0.2).into(), "lower end");
    same(Ok(interval.high), &end(0, 0.8).into(), "upper end");
    assert!(interval.low < end(0, 0.2), "wider than without them");
}

#[test]
fn too_few_resamples_have_no_ends() {
    let pairs = pairs(&[0, 1, 2, 3, 4, 5, 0, 2], &[0, 1, 1, 3, 5, 5, 1, 2], 6);
    let run = |resamples| Bootstrap::new(resamples, 1, 0).unwrap().pairs(&pairs, quadratic);
    assert_eq!(run(39).percentile(CONFIDENCE), Err(Undefined::FewResamples));
    assert!(run(40).percentile(CONFIDENCE).is_ok());
    let sure = Confidence::percent(99.9).unwrap();
    assert_eq!(run(1000).percentile(sure), Err(Undefined::FewResamples));
}

#[test]
fn a_figure_without_value_has_no_interval() {
    let one_grade =
        Bootstrap::new(100, 1, 0).unwrap().pairs(&pairs(&[0; 9], &[0; 9], 2), quadratic);
    assert_eq!(one_grade.percentile(CONFIDENCE), Err(Undefined::OneGrade));
    assert_eq!(one_grade.bias_corrected(CONFIDENCE), Err(Undefined::OneGrade));
    let nothing = Bootstrap::new(100, 1, 0).unwrap().pairs(&pairs(&[], &[], 2), quadratic);
    assert_eq!(nothing.percentile(CONFIDENCE), Err(Undefined::NoCases));
    let perfect = Bootstrap::new(100, 1, 0).unwrap();
    let perfect = perfect.pairs(&pairs(&[0, 1, 2, 3, 0, 1], &[0, 1, 2, 3, 0, 1], 4), quadratic);
    same(perfect.estimate(), &1.0.into(), "perfect");
    assert_eq!(perfect.percentile(CONFIDENCE), Err(Undefined::NoSpread));
    assert_eq!(perfect.bias_corrected(CONFIDENCE), Err(Undefined::Uncorrectable));
}
