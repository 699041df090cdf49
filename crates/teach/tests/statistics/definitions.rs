//! Each coefficient against its definition, over every small set of readings.

use crossread_teach::statistics::{
    Confidence, Metric, Pairs, Panel, Undefined, Value, Weighting, alpha, fleiss, gwet,
    gwet_of_table, kappa, kappa_value,
};

use super::scale;

fn close(value: Value, expected: Option<f64>, what: &str) {
    match (value, expected) {
        (Ok(value), Some(expected)) => {
            assert!((value - expected).abs() < 1e-12, "{what}: {value}, expected {expected}");
        }
        (Err(_), None) => {}
        _ => panic!("{what}: {value:?}, expected {expected:?}"),
    }
}

/// Every list of so many entries from `choices`.
fn every<T: Copy>(choices: &[T], length: u32) -> impl Iterator<Item = Vec<T>> {
    let all = choices.len().pow(length);
    (0..all).map(move |mut code| {
        (0..length)
            .map(|_| {
                let choice = choices[code % choices.len()];
                code /= choices.len();
                choice
            })
            .collect()
    })
}

fn distance(weighting: &Weighting, a: u8, b: u8, grades: usize) -> f64 {
    let far = f64::from(a.abs_diff(b)) / (grades as f64 - 1.0);
    match weighting {
        Weighting::Unweighted => f64::from(u8::from(a != b)),
        Weighting::Linear => far,
        Weighting::Quadratic => far * far,
        Weighting::Given(_) => panic!("not here"),
    }
}

/// Kappa: 1 − the mean disagreement of pairs ÷ that of every first reading with every second.
#[test]
fn kappa_is_one_minus_observed_over_expected_disagreement() {
    let scale = scale(3);
    let (mut defined, mut undefined) = (0, 0);
    for readings in every(&[0_u8, 1, 2], 8) {
        let (first, second) = readings.split_at(4);
        let some = |readings: &[u8]| readings.iter().map(|g| Some(*g)).collect::<Vec<_>>();
        let table = Pairs::new(&scale, &some(first), &some(second)).unwrap().table();
        for weighting in [Weighting::Unweighted, Weighting::Linear, Weighting::Quadratic] {
            let apart = |a: u8, b: u8| distance(&weighting, a, b, 3);
            let observed: f64 =
                first.iter().zip(second).map(|(a, b)| apart(*a, *b)).sum::<f64>() / 4.0;
            let expected: f64 = first
                .iter()
                .flat_map(|a| second.iter().map(move |b| (a, b)))
                .map(|(a, b)| apart(*a, *b))
                .sum::<f64>()
                / 16.0;
            let by_definition = (expected > 0.0).then(|| 1.0 - observed / expected);
            let value = kappa_value(&table, &weighting);
            close(value, by_definition, &format!("{readings:?} {weighting:?}"));
            if value.is_ok() { defined += 1 } else { undefined += 1 }
        }
    }
    assert_eq!((defined, undefined), (3 * (6561 - 3), 9), "only where all eight are one grade");
}

/// Alpha: 1 − the mean squared distance within items ÷ that of all readings that have a partner.
#[test]
fn alpha_is_one_minus_distance_within_items_over_distance_of_all() {
    let scale = scale(3);
    let choices = [None, Some(0_u8), Some(1), Some(2)];
    let (mut defined, mut one_grade, mut no_pairs) = (0, 0, 0);
    for (readers, items) in [(3, 2), (2, 3)] {
        for readings in every(&choices, 6) {
            let rows: Vec<&[Option<u8>]> = readings.chunks(readers).collect();
            assert_eq!(rows.len(), items);
            let panel = Panel::by_item(&scale, &rows).unwrap();
            let paired: Vec<Vec<u8>> = rows
                .iter()
                .map(|row| row.iter().copied().flatten().collect::<Vec<u8>>())
                .filter(|row| row.len() > 1)
                .collect();
            let all: Vec<u8> = paired.concat();
            let n = all.len() as f64;
            for metric in [Metric::Nominal, Metric::Ordinal, Metric::Interval] {
                let apart = |a: u8, b: u8| match metric {
                    Metric::Nominal => f64::from(u8::from(a != b)),
                    Metric::Interval => (f64::from(a) - f64::from(b)).powi(2),
                    Metric::Ordinal => {
                        let of = |g: u8| all.iter().filter(|x| **x == g).count() as f64;
                        let between: f64 = (a.min(b)..=a.max(b)).map(of).sum();
                        (between - f64::midpoint(of(a), of(b))).powi(2)
                    }
                };
                let within: f64 = paired
                    .iter()
                    .map(|row| ordered_pairs(row, apart) / (row.len() as f64 - 1.0))
                    .sum::<f64>()
                    / n;
                let of_all = ordered_pairs(&all, apart) / (n * (n - 1.0));
                let figure = alpha(&panel, metric);
                assert_eq!(figure.cases.count() as usize, paired.len());
                let expected = (of_all > 0.0).then(|| 1.0 - within / of_all);
                close(figure.value, expected, &format!("{rows:?} {metric:?}"));
                match figure.value {
                    Ok(_) => defined += 1,
                    Err(Undefined::OneGrade) => one_grade += 1,
                    Err(Undefined::NoPairs) => {
                        no_pairs += 1;
                        assert!(all.is_empty());
                    }
                    Err(other) => panic!("{other}"),
                }
            }
        }
    }
    assert!(
        defined > 15_000 && one_grade > 500 && no_pairs > 500,
        "{defined} {one_grade} {no_pairs}"
    );
}

fn ordered_pairs(list: &[u8], apart: impl Fn(u8, u8) -> f64) -> f64 {
    let mut sum = 0.0;
    for (i, a) in list.iter().enumerate() {
        for (j, b) in list.iter().enumerate() {
            if i != j {
                sum += apart(*a, *b);
            }
        }
    }
    sum
}

/// Fleiss: chance is two draws, with replacement, from all readings. Gwet: chance is
/// Σ w ÷ k(k − 1) × Σ π(1 − π).
#[test]
fn fleiss_and_gwet_by_their_chance() {
    let scale = scale(3);
    for readings in every(&[0_u8, 1, 2], 9) {
        let rows: Vec<Vec<Option<u8>>> =
            readings.chunks(3).map(|row| row.iter().map(|g| Some(*g)).collect()).collect();
        let panel = Panel::by_item(&scale, &rows).unwrap();
        let agree = |list: &[u8]| {
            let n = list.len() as f64;
            ordered_pairs(list, |a, b| f64::from(u8::from(a == b))) / (n * (n - 1.0))
        };
        let observed = readings.chunks(3).map(agree).sum::<f64>() / 3.0;
        let shares = [0, 1, 2].map(|g| readings.iter().filter(|x| **x == g).count() as f64 / 9.0);
        let chance: f64 = shares.iter().map(|share| share * share).sum();
        let expected = (chance < 1.0 - 1e-9).then(|| (observed - chance) / (1.0 - chance));
        close(fleiss(&panel).value, expected, &format!("Fleiss {readings:?}"));
        let chance = 3.0 / 6.0 * shares.iter().map(|share| share * (1.0 - share)).sum::<f64>();
        let got = gwet(&panel, &Weighting::Unweighted, Confidence::P95);
        close(got.value, Some((observed - chance) / (1.0 - chance)), &format!("AC1 {readings:?}"));
        assert_eq!(got.one_grade, readings.iter().all(|g| *g == readings[0]));
    }
}

/// Two ways to hand in the same readings, and what must not matter.
#[test]
fn order_and_direction_do_not_matter() {
    let scale = scale(4);
    let p95 = Confidence::P95;
    for readings in every(&[0_u8, 1, 3], 8) {
        let (first, second): (Vec<_>, Vec<_>) =
            readings.chunks(2).map(|pair| (Some(pair[0]), Some(pair[1]))).unzip();
        let flip = |list: &[Option<u8>]| list.iter().map(|g| g.map(|g| 3 - g)).collect::<Vec<_>>();
        let pairs = |a: &[_], b: &[_]| Pairs::new(&scale, a, b).unwrap();
        let table = pairs(&first, &second).table();
        let panel = Panel::by_reader(&scale, &[&first, &second]).unwrap();
        assert_eq!(panel.pairs(0, 1), pairs(&first, &second));
        for weighting in [Weighting::Linear, Weighting::Quadratic] {
            let own = kappa(&table, &weighting, p95);
            for other in [pairs(&second, &first), pairs(&flip(&first), &flip(&second))] {
                let other = kappa(&other.table(), &weighting, p95);
                close(other.value, own.value.ok(), "kappa turned around");
                close(other.standard_error, own.standard_error.ok(), "its error");
                close(other.null_standard_error, own.null_standard_error.ok(), "its null error");
            }
            let (by_table, by_panel) =
                (gwet_of_table(&table, &weighting, p95), gwet(&panel, &weighting, p95));
            close(by_table.value, by_panel.value.ok(), "Gwet of a table and of a panel");
            close(by_table.standard_error, by_panel.standard_error.ok(), "its error");
        }
        for metric in [Metric::Nominal, Metric::Ordinal, Metric::Interval] {
            let flipped = Panel::by_reader(&scale, &[flip(&second), flip(&first)]).unwrap();
            close(alpha(&flipped, metric).value, alpha(&panel, metric).value.ok(), "alpha");
        }
    }
}
