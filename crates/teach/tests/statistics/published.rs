//! Figures that papers and manuals print.

use crossread_teach::statistics::{
    Confidence, Disagreements, Metric, Panel, Share, Table, Weighting, alpha, fleiss, gwet,
    gwet_of_table, kappa, kappa_value,
};
use rstest::rstest;

use super::{prints, scale, table};

const CONFIDENCE: Confidence = Confidence::P95;

/// Rows of papers are the reference, positive first.
fn two_by_two(rows: [[u32; 2]; 2]) -> Table {
    let [[a, b], [c, d]] = rows;
    table(&[&[d, c], &[b, a]])
}

/// What is checked of a share: the percent, and its interval after Clopper and Pearson.
type Printed<'p> = (&'p str, [&'p str; 2]);

fn share_prints(share: Share, (value, [low, high]): Printed<'_>) {
    let interval = share.clopper_pearson.unwrap();
    prints(share.value.unwrap() * 100.0, value);
    prints(interval.low * 100.0, low);
    prints(interval.high * 100.0, high);
}

/// Luethy D and others 2016, J Vet Intern Med 30:1864–1871, Table 1: crossmatch methods in horses.
/// Counts calculated from its percentages.
#[rstest]
#[case::tube_microscopic([[48, 8], [3, 87]], ("85.71", ["73.78", "93.62"]), ("96.67", ["90.57", "99.31"]),
    ("94.12", ["83.76", "98.77"]))]
#[case::gel_hemolysis([[8, 20], [1, 117]], ("28.57", ["13.22", "48.67"]), ("99.15", ["95.37", "99.98"]),
    ("88.89", ["51.75", "99.72"]))]
#[case::from_types([[39, 17], [1, 89]], ("69.64", ["55.90", "81.22"]), ("98.89", ["93.96", "99.97"]),
    ("97.50", ["86.84", "99.94"]))]
fn horses_crossmatched_by_several_methods(
    #[case] rows: [[u32; 2]; 2],
    #[case] sensitivity: Printed<'_>,
    #[case] specificity: Printed<'_>,
    #[case] positive: Printed<'_>,
) {
    let table = two_by_two(rows);
    let decisions = table.decisions(table.scale().cut(1).unwrap(), CONFIDENCE);
    share_prints(decisions.sensitivity, sensitivity);
    share_prints(decisions.specificity, specificity);
    share_prints(decisions.positive_predictive, positive);
}

/// The same table: predictive value of a negative. Of the first row only the lower end, as the
/// paper's upper end, 96.26, is not what its counts give (96.29).
#[test]
fn horses_predictive_value_of_a_negative() {
    let negative = |rows| {
        let table = two_by_two(rows);
        table.decisions(table.scale().cut(1).unwrap(), CONFIDENCE).negative_predictive
    };
    let first = negative([[48, 8], [3, 87]]);
    prints(first.value.unwrap() * 100.0, "91.58");
    prints(first.clopper_pearson.unwrap().low * 100.0, "84.08");
    share_prints(negative([[8, 20], [1, 117]]), ("85.4", ["78.36", "90.85"]));
    share_prints(negative([[39, 17], [1, 89]]), ("83.96", ["75.57", "90.37"]));
}

/// Fenn MS and others 2020, J Vet Intern Med 34:941–948: crossmatches in horses against what was
/// expected. Counts calculated from its percentages. Three ends that it prints, 90.0, 60.9 and 0.36, are
/// not what these counts give (89.6, 60.8 and 0.355), and are left out.
#[test]
fn horses_laboratory_crossmatch() {
    let table = two_by_two([[27, 8], [8, 28]]);
    let decisions = table.decisions(table.scale().cut(1).unwrap(), CONFIDENCE);
    prints(decisions.sensitivity.value.unwrap() * 100.0, "77.1");
    prints(decisions.sensitivity.clopper_pearson.unwrap().low * 100.0, "59.9");
    prints(decisions.specificity.value.unwrap() * 100.0, "77.8");
    prints(decisions.specificity.clopper_pearson.unwrap().high * 100.0, "89.9");
    prints(decisions.kappa.value.unwrap(), "0.55");
    prints(decisions.kappa.interval.unwrap().high, "0.74");
}

/// The second method of the same paper.
#[test]
fn horses_stall_side_crossmatch() {
    let table = two_by_two([[32, 3], [9, 25]]);
    let decisions = table.decisions(table.scale().cut(1).unwrap(), CONFIDENCE);
    prints(decisions.sensitivity.value.unwrap() * 100.0, "91.4");
    prints(decisions.specificity.value.unwrap() * 100.0, "73.5");
    prints(decisions.specificity.clopper_pearson.unwrap().low * 100.0, "55.6");
    prints(decisions.specificity.clopper_pearson.unwrap().high * 100.0, "87.1");
    prints(decisions.kappa.value.unwrap(), "0.65");
}

/// Sun PL, Jeffery U 2020, J Vet Intern Med 34:2374–2383: saline agglutination at 49:1.
#[test]
fn dogs_saline_agglutination() {
    let table = two_by_two([[6, 3], [4, 134]]);
    let cut = table.scale().cut(1).unwrap();
    let decisions = table.decisions(cut, CONFIDENCE);
    share_prints(decisions.sensitivity, ("67", ["30", "93"]));
    share_prints(decisions.specificity, ("97", ["93", "99"]));
    share_prints(decisions.agreement, ("95", ["90", "98"]));
}

/// Comparison of crossmatching for DEA 7, J Vet Diagn Invest 2018;30:911–916.
#[rstest]
#[case([[1, 20], [0, 19]], "0.0453")]
#[case([[21, 0], [0, 19]], "1")]
fn f66_dogs_dea_7(#[case] rows: [[u32; 2]; 2], #[case] printed: &str) {
    prints(kappa_value(&two_by_two(rows), &Weighting::Unweighted).unwrap(), printed);
}

/// Two laboratories and salmon kidneys: help of `epi.kappa` in the package epiR 2.0.57 for R, which
/// names Dohoo I and others 2010.
#[test]
fn salmon_in_two_laboratories() {
    let kappa = kappa(&two_by_two([[19, 10], [6, 256]]), &Weighting::Unweighted, CONFIDENCE);
    prints(kappa.value.unwrap(), "0.67");
    let (value, null) = (kappa.value.unwrap(), kappa.null_standard_error.unwrap());
    prints(value / null, "11.53");
    // Its interval is made with the error without agreement, ours is not.
    prints(value - 1.96 * null, "0.56");
    prints(value + 1.96 * null, "0.79");
}

/// What SAS printed, in the tests of statsmodels 0.15.0.
#[rstest]
#[case(Weighting::Unweighted, ["0.4842", "0.1380", "0.2137", "0.7547", "0.1484"])]
#[case(Weighting::Linear, ["0.4701", "0.1457", "0.1845", "0.7558", "0.1426"])]
fn three_grades(#[case] weighting: Weighting, #[case] printed: [&str; 5]) {
    let kappa = kappa(&table(&[&[0, 4, 1], &[0, 8, 0], &[0, 1, 5]]), &weighting, CONFIDENCE);
    let interval = kappa.interval.unwrap();
    let figures = [
        kappa.value,
        kappa.standard_error,
        Ok(interval.low),
        Ok(interval.high),
        kappa.null_standard_error,
    ];
    for (value, printed) in figures.iter().zip(printed) {
        prints(value.unwrap(), printed);
    }
}

/// Cohen J 1968, Psychol Bull 70:213–220: 200 cases, disagreements that he chose.
#[test]
fn weights_of_cohen() {
    let table = table(&[&[88, 14, 18], &[10, 40, 10], &[2, 6, 12]]);
    let given =
        Disagreements::new(table.scale(), &[[0.0, 1.0, 3.0], [1.0, 0.0, 6.0], [3.0, 6.0, 0.0]]);
    prints(kappa_value(&table, &Weighting::Unweighted).unwrap(), "0.492");
    prints(kappa_value(&table, &Weighting::Given(given.unwrap())).unwrap(), "0.348");
}

/// Fleiss JL, Cohen J, Everitt BS 1969, Psychol Bull 72:323–327: 200 cases, as in the package psych
/// for R. Their weights of agreement, 0.4444 and 0.6667, turned around.
#[test]
fn weights_of_fleiss_cohen_and_everitt() {
    let table = table(&[&[106, 10, 4], &[22, 28, 10], &[2, 12, 6]]);
    let (far, near) = (1.0 - 0.4444, 1.0 - 0.6667);
    let given =
        Disagreements::new(table.scale(), &[[0.0, 1.0, far], [1.0, 0.0, near], [far, near, 0.0]]);
    prints(kappa_value(&table, &Weighting::Unweighted).unwrap(), "0.42857143");
    prints(kappa_value(&table, &Weighting::Given(given.unwrap())).unwrap(), "0.50706996");
}

/// Gwet KL 2008, Br J Math Stat Psychol 61:29–48, restated: kappa collapses where one answer is
/// rare, AC1 does not.
#[test]
fn f67_a_rare_grade() {
    let table = table(&[&[1, 2], &[2, 95]]);
    prints(table.exact(CONFIDENCE).value.unwrap(), "0.96");
    prints(kappa_value(&table, &Weighting::Unweighted).unwrap(), "0.313");
    prints(gwet_of_table(&table, &Weighting::Unweighted, CONFIDENCE).value.unwrap(), "0.958");
}

/// Gwet KL 2014, Handbook of inter-rater reliability, 4th ed., as restated in the README of irrCAC.
#[test]
fn two_abstractors() {
    let table = table(&[&[13, 0, 0], &[0, 20, 7], &[0, 4, 56]]);
    prints(table.exact(CONFIDENCE).value.unwrap(), "0.89");
    let unweighted = kappa(&table, &Weighting::Unweighted, CONFIDENCE);
    prints(unweighted.value.unwrap(), "0.7964094");
    let ac1 = gwet_of_table(&table, &Weighting::Unweighted, CONFIDENCE);
    prints(ac1.value.unwrap(), "0.8493305");
    // With n² in place of n(n − 1), see `gwet`.
    prints(ac1.standard_error.unwrap() * (99.0_f64 / 100.0).sqrt(), "0.04321747");
}

/// Gwet KL 2014 as before: four raters and gaps. Alpha ordinal from the tests of fast-krippendorff.
#[test]
fn four_raters_with_gaps() {
    let item = |row: [u8; 4]| row.map(|grade| grade.checked_sub(1));
    let items = [
        [1, 1, 0, 1],
        [2, 2, 3, 2],
        [3, 3, 3, 3],
        [3, 3, 3, 3],
        [2, 2, 2, 2],
        [1, 2, 3, 4],
        [4, 4, 4, 4],
        [1, 1, 2, 1],
        [2, 2, 2, 2],
        [0, 5, 5, 5],
        [0, 0, 1, 1],
        [0, 0, 3, 0],
    ]
    .map(item);
    let panel = Panel::by_item(&scale(5), &items).unwrap();
    let ac1 = gwet(&panel, &Weighting::Unweighted, CONFIDENCE);
    prints(ac1.observed.unwrap(), "0.8181818");
    prints(ac1.value.unwrap(), "0.77544");
    prints(ac1.standard_error.unwrap(), "0.14295");
    prints(alpha(&panel, Metric::Nominal).value.unwrap(), "0.74342");
    prints(alpha(&panel, Metric::Ordinal).value.unwrap(), "0.815");
}

/// Counts of each grade, item after item; who chose what is lost.
fn chosen<const K: usize>(items: &[[u8; K]]) -> Panel {
    let items: Vec<Vec<Option<u8>>> = items
        .iter()
        .map(|counts| {
            let each = counts.iter().zip(0_u8..);
            each.flat_map(|(n, grade)| (0..*n).map(move |_| Some(grade))).collect()
        })
        .collect();
    Panel::by_item(&scale(K), &items).unwrap()
}

/// Fourteen readers, five grades: an encyclopedia's example, in the tests of statsmodels 0.15.0.
#[test]
fn fourteen_readers() {
    let panel = chosen(&[
        [0, 0, 0, 0, 14],
        [0, 2, 6, 4, 2],
        [0, 0, 3, 5, 6],
        [0, 3, 9, 2, 0],
        [2, 2, 8, 1, 1],
        [7, 7, 0, 0, 0],
        [3, 2, 6, 3, 0],
        [2, 5, 3, 2, 2],
        [6, 5, 2, 1, 0],
        [0, 2, 2, 3, 7],
    ]);
    prints(fleiss(&panel).value.unwrap(), "0.210");
}

/// The tests of statsmodels 0.15.0.
#[test]
fn a_few_items() {
    prints(fleiss(&chosen(&[[7, 1], [3, 5]])).value.unwrap(), "0.161905");
    prints(fleiss(&chosen(&[[6, 1, 0], [0, 7, 0]])).value.unwrap(), "0.708333");
    prints(fleiss(&chosen(&[[7, 0], [0, 7]])).value.unwrap(), "1");
}

/// Krippendorff K 2011, Computing Krippendorff's alpha-reliability (from memory): two observers.
#[test]
fn two_observers() {
    let items = [[0, 1], [1, 1], [0, 1], [0, 0], [0, 0], [0, 1], [0, 0], [0, 0], [1, 0], [0, 0]];
    let panel = Panel::by_item(&scale(2), &items.map(|item| item.map(Some))).unwrap();
    prints(alpha(&panel, Metric::Nominal).value.unwrap(), "0.095");
}
