//! What cannot be calculated says so.

use crossread_teach::statistics::{
    Answers, Confidence, Disagreements, Metric, Pairs, Panel, Repeats, Share, Undefined, Weighting,
    alpha, fleiss, gwet, gwet_of_table, kappa,
};

use super::{grades, scale, table};

const CONFIDENCE: Confidence = Confidence::P95;
const ALL: [Weighting; 3] = [Weighting::Unweighted, Weighting::Linear, Weighting::Quadratic];
const METRICS: [Metric; 3] = [Metric::Nominal, Metric::Ordinal, Metric::Interval];

#[test]
fn when_every_reading_is_the_same_grade() {
    let scale = grades();
    for grade in 0..6 {
        let read = [Some(grade); 25];
        let table = Pairs::new(&scale, &read, &read).unwrap().table();
        let panel = Panel::by_reader(&scale, &[read; 4]).unwrap();
        for weighting in ALL {
            let kappa = kappa(&table, &weighting, CONFIDENCE);
            assert_eq!(kappa.value, Err(Undefined::OneGrade));
            assert_eq!(kappa.standard_error, Err(Undefined::OneGrade));
            assert_eq!(kappa.interval, Err(Undefined::OneGrade));
            for gwet in [
                gwet_of_table(&table, &weighting, CONFIDENCE),
                gwet(&panel, &weighting, CONFIDENCE),
            ] {
                assert_eq!(gwet.value, Ok(1.0));
                assert!(gwet.one_grade, "and it says that this says nothing");
                assert_eq!(gwet.interval, Err(Undefined::NoSpread));
            }
        }
        assert_eq!(fleiss(&panel).value, Err(Undefined::OneGrade));
        for metric in METRICS {
            assert_eq!(alpha(&panel, metric).value, Err(Undefined::OneGrade));
        }
        assert_eq!(table.symmetry().p, Err(Undefined::NoDifference));
    }
}

#[test]
fn when_nothing_was_read() {
    let scale = grades();
    let table = Pairs::new(&scale, &[None, Some(1)], &[Some(2), None]).unwrap().table();
    let none = Err(Undefined::NoCases);
    for weighting in ALL {
        assert_eq!(kappa(&table, &weighting, CONFIDENCE).value, none);
        assert_eq!(gwet_of_table(&table, &weighting, CONFIDENCE).value, none);
    }
    assert_eq!(table.exact(CONFIDENCE).value, none);
    assert_eq!(table.bias(CONFIDENCE).overall.value, none);
    let decisions = table.decisions(scale.cut(1).unwrap(), CONFIDENCE);
    assert_eq!((decisions.sensitivity.value, decisions.kappa.value), (none, none));
    let empty: [[Option<u8>; 0]; 0] = [];
    for panel in [Panel::by_item(&scale, &empty), Panel::by_reader(&scale, &empty)] {
        let panel = panel.unwrap();
        assert_eq!((panel.items(), panel.readers()), (0, 0));
        assert_eq!(fleiss(&panel).value, none);
        assert_eq!(gwet(&panel, &Weighting::Quadratic, CONFIDENCE).value, none);
        assert_eq!(alpha(&panel, Metric::Ordinal).value, Err(Undefined::NoPairs));
        assert_eq!(panel.pairs(0, 1).table().cases().count(), 0);
    }
    let repeats = Repeats::find::<u8>(&scale, &[]).unwrap();
    assert_eq!((repeats.items(), repeats.panel().items()), (0, 0));
    let no_answers: [[Option<bool>; 0]; 0] = [];
    let items = Answers::new(&no_answers).unwrap().items();
    assert_eq!((items.kr20, items.items.len()), (none, 0));
}

#[test]
fn when_there_is_one_of_what_takes_two() {
    let scale = scale(3);
    let alone = Panel::by_item(&scale, &[[Some(0)], [Some(2)], [Some(1)]]).unwrap();
    for metric in METRICS {
        assert_eq!(alpha(&alone, metric).value, Err(Undefined::NoPairs));
    }
    assert_eq!(fleiss(&alone).value, Err(Undefined::NoPairs));
    assert_eq!(gwet(&alone, &Weighting::Linear, CONFIDENCE).value, Err(Undefined::NoPairs));
    let one = table(&[&[0, 1], &[0, 0]]);
    let bias = one.bias(CONFIDENCE);
    assert_eq!((bias.overall.value, bias.overall.interval), (Ok(1.0), Err(Undefined::OneCase)));
    assert_eq!(bias.by_grade[1].mean.value, Err(Undefined::NoCases), "none, not 0");
    let items = Answers::new(&[[Some(true), Some(false)]]).unwrap().items();
    assert_eq!(items.kr20, Err(Undefined::OneCase));
    assert_eq!(items.items[0].point_biserial, Err(Undefined::OneCase));
    assert_eq!(items.items[0].upper_lower, Err(Undefined::OneCase));
}

#[test]
fn when_an_error_of_zero_would_claim_certainty() {
    for rows in [
        [[12, 0, 0], [0, 0, 0], [0, 0, 8]],
        [[10, 0, 0], [4, 0, 0], [3, 0, 0]],
        [[0, 0, 10], [0, 0, 0], [10, 0, 0]],
        [[7, 0, 0], [0, 9, 0], [0, 0, 11]],
    ] {
        let table = table(&rows.each_ref().map(<[u32; 3]>::as_slice));
        for weighting in ALL {
            let kappa = kappa(&table, &weighting, CONFIDENCE);
            assert_eq!(kappa.standard_error, Ok(0.0), "{rows:?}");
            assert_eq!(kappa.interval, Err(Undefined::NoSpread));
        }
    }
    let up = table(&[&[0, 9], &[0, 0]]);
    assert_eq!(up.bias(CONFIDENCE).overall.interval, Err(Undefined::NoSpread));
}

#[test]
fn when_the_key_has_no_positive() {
    let table = table(&[&[5, 2], &[0, 0]]);
    let decisions = table.decisions(table.scale().cut(1).unwrap(), CONFIDENCE);
    assert_eq!(decisions.sensitivity.value, Err(Undefined::NoCases));
    assert_eq!(decisions.sensitivity.wilson, Err(Undefined::NoCases));
    assert_eq!((decisions.specificity.hits, decisions.specificity.cases.count()), (5, 7));
}

#[test]
fn when_no_item_tells_readers_apart() {
    let items = Answers::new(&[[Some(true), Some(false)]; 3]).unwrap().items();
    assert_eq!(items.kr20, Err(Undefined::NoVariation));
    for item in items.items {
        assert_eq!(item.point_biserial, Err(Undefined::NoVariation));
        assert!(!item.suspect);
    }
}

#[test]
fn when_weights_belong_to_another_scale() {
    let three = [[0.0, 1.0, 2.0], [1.0, 0.0, 1.0], [2.0, 1.0, 0.0]];
    let given = Weighting::Given(Disagreements::new(&scale(3), &three).unwrap());
    let table = table(&[&[5, 2], &[1, 4]]);
    assert_eq!(kappa(&table, &given, CONFIDENCE).value, Err(Undefined::OtherScale));
    assert_eq!(gwet_of_table(&table, &given, CONFIDENCE).value, Err(Undefined::OtherScale));
}

#[test]
fn a_reason_is_written_in_place_of_the_figure() {
    let written = serde_json::to_value(Share::of(0, 0, CONFIDENCE)).unwrap();
    assert_eq!(
        written["value"],
        serde_json::json!({"undefined": "no_cases", "because": "there was nothing to count"})
    );
    assert_eq!(written["cases"], serde_json::json!({"count": 0, "few": true}));
    let written = serde_json::to_value(Share::of(9, 10, CONFIDENCE)).unwrap();
    assert_eq!(
        (written["value"].as_f64(), written["wilson"]["percent"].as_f64()),
        (Some(0.9), Some(95.0))
    );
}

/// Over every small table: a figure is finite, or has a reason.
#[test]
fn no_figure_is_ever_infinite_or_not_a_number() {
    let mut code = [0_u32; 9];
    loop {
        let rows: Vec<&[u32]> = code.chunks(3).collect();
        let table = table(&rows);
        let mut values = Vec::new();
        for weighting in ALL {
            let kappa = kappa(&table, &weighting, CONFIDENCE);
            let gwet = gwet_of_table(&table, &weighting, CONFIDENCE);
            values.extend([kappa.value, kappa.standard_error, kappa.null_standard_error]);
            values.extend([gwet.value, gwet.standard_error, gwet.expected]);
            for interval in [kappa.interval, gwet.interval] {
                values.extend([interval.map(|i| i.low), interval.map(|i| i.high)]);
            }
        }
        let bias = table.bias(CONFIDENCE);
        values.extend(bias.by_grade.iter().map(|grade| grade.mean.value));
        values.extend([bias.overall.interval.map(|i| i.high), table.symmetry().p]);
        for value in values.into_iter().flatten() {
            assert!(value.is_finite(), "{code:?}");
        }
        // The next table of counts 0 to 2.
        let Some(place) = code.iter().position(|count| *count < 2) else { break };
        code[place] += 1;
        code[..place].fill(0);
    }
}
