//! What an instructor asks.

use crossread_teach::statistics::{
    Answers, Bootstrap, ClassReport, Confidence, Metric, Pairs, Panel, ReaderReport, Repeats,
    Weighting, alpha, kappa, kappa_value,
};

use super::{data, grades, prints, table, table_of};

const CONFIDENCE: Confidence = Confidence::P95;

/// A reader who calls weak reactions negative, from the made-up tables.
fn lax() -> crossread_teach::statistics::Table {
    let tables = data("two_readers.json");
    let found = tables["tables"].as_array().unwrap().iter().find(|t| t["id"] == "trainee_lax");
    table_of(&found.unwrap()["table"])
}

#[test]
fn a_reader_can_miss_one_incompatibility_in_five_and_still_have_a_kappa_over_nine_tenths() {
    let table = lax();
    let decisions = table.decisions(table.scale().cut(2).unwrap(), CONFIDENCE);
    assert_eq!((decisions.missed, decisions.found, decisions.false_alarms), (14, 52, 0));
    prints(decisions.sensitivity.value.unwrap(), "0.788");
    assert!(kappa_value(&table, &Weighting::Quadratic).unwrap() > 0.9);
}

#[test]
fn a_reader_who_never_agrees_can_have_a_high_quadratic_kappa() {
    let up = table(&[&[0, 20, 0], &[0, 0, 20], &[0, 0, 0]]);
    assert_eq!(up.exact(CONFIDENCE).hits, 0);
    assert_eq!(up.within_one(CONFIDENCE).hits, 40);
    prints(up.bias(CONFIDENCE).overall.value.unwrap(), "1");
    prints(kappa_value(&up, &Weighting::Quadratic).unwrap(), "0.333");
}

#[test]
fn f66_all_within_one_grade_still_hides_flipped_decisions() {
    // Made up; kappas calculated with scikit-learn.
    let table = table(&[
        &[50, 4, 0, 0, 0],
        &[3, 10, 2, 0, 0],
        &[0, 2, 8, 2, 0],
        &[0, 0, 1, 9, 1],
        &[0, 0, 0, 1, 7],
    ]);
    assert_eq!(table.within_one(CONFIDENCE).hits, 100);
    let decisions = table.decisions(table.scale().cut(1).unwrap(), CONFIDENCE);
    assert_eq!((decisions.missed, decisions.false_alarms, decisions.agreement.hits), (3, 4, 93));
    prints(decisions.kappa.value.unwrap(), "0.859");
    for (weighting, printed) in [
        (Weighting::Unweighted, "0.756"),
        (Weighting::Linear, "0.885"),
        (Weighting::Quadratic, "0.956"),
    ] {
        prints(kappa_value(&table, &weighting).unwrap(), printed);
    }
}

#[test]
fn f68_under_thirty_readings_every_figure_warns() {
    for (cases, few) in [(29, true), (30, false)] {
        let table = table(&[&[cases - 9, 1], &[2, 6]]);
        assert_eq!(kappa(&table, &Weighting::Linear, CONFIDENCE).cases.few(), few);
        assert_eq!(table.exact(CONFIDENCE).cases.few(), few);
        assert_eq!(table.bias(CONFIDENCE).overall.cases.few(), few);
        assert_eq!(table.cases().to_string().contains("with care"), few);
    }
}

#[test]
fn grades_that_nobody_used_stay_in_the_scale() {
    let kept = table(&[&[10, 0, 0, 2], &[0; 4], &[0; 4], &[1, 0, 0, 7]]);
    let dropped = table(&[&[10, 2], &[1, 7]]);
    for weighting in [Weighting::Unweighted, Weighting::Quadratic] {
        // With two used grades the weights fall out of kappa, whatever their distance.
        let [a, b] = [&kept, &dropped].map(|table| kappa_value(table, &weighting).unwrap());
        assert!((a - b).abs() < 1e-12);
    }
    let [a, b] = [&kept, &dropped].map(|table| {
        crossread_teach::statistics::gwet_of_table(table, &Weighting::Unweighted, CONFIDENCE)
    });
    assert!(a.value.unwrap() > b.value.unwrap() + 0.05, "AC1 knows how many there were");
}

#[test]
fn f69_hidden_repeats_are_found_in_the_order_of_reading() {
    let scale = grades();
    let read = [
        ("P-04", Some(3)),
        ("P-11", Some(0)),
        ("P-04", Some(2)),
        ("P-20", Some(5)),
        ("P-11", Some(0)),
        ("P-11", Some(1)),
        ("P-30", None),
        ("P-30", Some(4)),
    ];
    let repeats = Repeats::find(&scale, &read).unwrap();
    assert_eq!((repeats.items(), repeats.once()), (3, 1));
    let pairs = repeats.pairs();
    assert_eq!(pairs.left_out(), 1, "P-30 was not read the first time");
    let table = pairs.table();
    assert_eq!((table.count(3, 2), table.count(0, 0), table.cases().count()), (1, 1, 2));
    let panel = repeats.panel();
    assert_eq!((panel.items(), panel.readers()), (3, 3));
    let by_hand = Panel::by_item(
        &scale,
        &[[Some(3), Some(2), None], [Some(0), Some(0), Some(1)], [None, Some(4), None]],
    );
    assert_eq!(panel, by_hand.unwrap());
    assert_eq!(alpha(&panel, Metric::Ordinal).cases.count(), 2);
}

#[test]
fn a_class_report_puts_what_was_missed_first() {
    let scale = grades();
    let key = [0, 0, 0, 1, 2, 3, 4, 5].map(Some);
    let readers = [
        [0, 0, 0, 1, 2, 3, 4, 5].map(Some),
        [0, 0, 2, 1, 0, 3, 3, 5].map(Some),
        [Some(0), None, Some(0), Some(2), Some(3), Some(3), Some(4), Some(5)],
    ];
    let panel = Panel::by_reader(&scale, &readers).unwrap();
    let bootstrap = Bootstrap::new(500, 1, 0).unwrap();
    let report =
        ClassReport::new(&panel, &key, scale.cut(2).unwrap(), CONFIDENCE, &bootstrap).unwrap();
    let decided = |reader: usize| {
        let decisions = report.readers[reader].decisions;
        (decisions.missed, decisions.false_alarms, report.readers[reader].left_out)
    };
    assert_eq!([decided(0), decided(1), decided(2)], [(0, 0, 0), (1, 1, 0), (0, 1, 1)]);
    for (reader, readings) in readers.iter().enumerate() {
        let pairs = Pairs::new(&scale, &key, readings).unwrap();
        let alone = ReaderReport::new(&pairs, scale.cut(2).unwrap(), CONFIDENCE, &bootstrap);
        assert_eq!(alone, report.readers[reader]);
    }
    assert_eq!(report.alpha, alpha(&panel, Metric::Ordinal));
    let written = serde_json::to_string(&report).unwrap();
    let order = ["\"left_out\"", "\"missed\"", "\"exact\"", "\"quadratic\"", "\"fleiss\""];
    let places: Vec<usize> = order.iter().map(|word| written.find(word).unwrap()).collect();
    assert!(places.is_sorted(), "{places:?}");
    assert!(!written.contains(":null") && !written.contains("NaN"), "{written}");
}

#[test]
fn items_show_which_picture_to_look_at_again() {
    let json = data("items.json");
    let readers: Vec<Vec<u8>> = serde_json::from_value(json["readers"].clone()).unwrap();
    let mut readers: Vec<Vec<Option<bool>>> =
        readers.iter().map(|r| r.iter().map(|right| Some(*right == 1)).collect()).collect();
    let items = Answers::new(&readers).unwrap().items();
    let suspects: Vec<usize> = (0..10).filter(|item| items.items[*item].suspect).collect();
    assert_eq!(suspects, [9], "the tenth item has those wrong who know more");
    readers.push(vec![None; 10]);
    let with_absent = Answers::new(&readers).unwrap().items();
    assert_eq!(with_absent.left_out, 1);
    assert_eq!((with_absent.items, with_absent.kr20), (items.items, items.kr20));
}

/// 27 % of the readers, rounded half up, at least one.
#[test]
fn groups_of_the_best_and_the_worst_are_about_a_quarter() {
    for (readers, group) in [(1, 1), (2, 1), (5, 1), (6, 2), (12, 3), (20, 5), (50, 14), (100, 27)]
    {
        let answers = vec![[Some(true), Some(false)]; readers];
        assert_eq!(Answers::new(&answers).unwrap().items().group, group, "{readers}");
    }
}

#[test]
fn a_grade_that_the_scale_lacks_was_never_read() {
    let table = table(&[&[1, 2], &[3, 4]]);
    for (first, second) in [(0, 2), (2, 0), (1, 16), (16, 1), (255, 255)] {
        assert_eq!(table.count(first, second), 0);
    }
    assert_eq!((table.count(1, 0), table.count(0, 1)), (3, 2));
}

#[test]
fn hundreds_of_readers_are_counted_as_well() {
    // 600 readers and one who differs: 2 × 600 of 601 × 600 ordered pairs differ.
    let item = [vec![Some(0); 600], vec![Some(1)]].concat();
    let other = [vec![Some(1); 600], vec![Some(0)]].concat();
    let panel = Panel::by_item(&grades(), &[item, other]).unwrap();
    let fleiss = crossread_teach::statistics::fleiss(&panel).value.unwrap();
    assert!((fleiss - (1.0 - 2.0 / 601.0 / 0.5)).abs() < 1e-12, "{fleiss}");
}
