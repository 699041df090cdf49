//! Bench arithmetic against published recipes, tables and an independent count.

use crossread_core::prepare::{
    Available, CannotScreen, Exact, Microliters, Percent, Stock, Titer, Titration, change,
    dilution, donors_from_stock, donors_to_test, percent_of_drops, plan, plasma_to_cells,
    residual_plasma, revolutions_per_minute, suspension, times_g,
};
use crossread_core::words::Grade;
use crossread_core::{Protocols, Worksheet};
use rstest::rstest;

fn exact(text: &str) -> Exact {
    text.parse().unwrap()
}

fn percent(text: &str) -> Percent {
    text.parse().unwrap()
}

fn ul(text: &str) -> Microliters {
    text.parse().unwrap()
}

/// F09: suspensions, in µL.
///
/// # Source
/// Cat protocol in a review, 10 µL + 490 µL: Tasker S, blood typing and crossmatching of cats, as
/// tabulated there (abstract and table). 4 %: 0.2 mL + 4.8 mL, a veterinary crossmatching page. 5 %:
/// 0.1 mL + 1.9 mL, a student manual. The others are calculated.
#[rstest]
#[case::two_percent("100", "2", "500", "10", "490")]
#[case::four_percent("100", "4", "5000", "200", "4800")]
#[case::five_percent("100", "5", "2000", "100", "1900")]
#[case::three_percent_packed("100", "3", "2000", "60", "1940")]
#[case::three_percent_loosely_packed("80", "3", "2000", "75", "1925")]
#[case::three_percent_anemic_blood("12", "3", "2000", "500", "1500")]
fn f09_suspension(
    #[case] hematocrit: &str,
    #[case] wanted: &str,
    #[case] volume: &str,
    #[case] cells: &str,
    #[case] saline: &str,
) {
    let made = suspension(&percent(hematocrit), &percent(wanted), &ul(volume)).unwrap();
    assert_eq!(made.cells_ul, ul(cells));
    assert_eq!(made.saline_ul, Some(ul(saline)));
}

#[test]
fn f09_cells_alone_and_cells_too_thin() {
    let made = suspension(&percent("20"), &percent("20"), &ul("100")).unwrap();
    assert_eq!((made.cells_ul, made.saline_ul), (ul("100"), None));
    let thin = suspension(&percent("19.99"), &percent("20"), &ul("100")).unwrap_err();
    assert!(thin.to_string().contains("pack them first"), "{thin}");
}

/// F11: × g, rounded to a whole number.
///
/// # Source
/// r 5 cm, 10,000 rpm: 5,590 × g, a course's question page (weak; arithmetic checked). 4,600 × g at
/// 4.59 cm: a physics forum's problem, 9,468 rpm with this constant. The others are calculated.
#[rstest]
#[case("10", "3400", "1292")]
#[case("8.5", "3400", "1099")]
#[case("15", "1000", "168")]
#[case("10", "1000", "112")]
#[case("10", "3000", "1006")]
#[case("5", "10000", "5590")]
fn f11_times_g(#[case] radius: &str, #[case] rpm: &str, #[case] g: &str) {
    let force = times_g(&rpm.parse().unwrap(), &radius.parse().unwrap()).unwrap();
    assert_eq!(force.exact().rounded(0), g);
}

#[rstest]
#[case("1000", "10", "2991")]
#[case("1000", "15", "2442")]
#[case("4600", "4.59", "9468")]
fn f11_speed(#[case] g: &str, #[case] radius: &str, #[case] rpm: &str) {
    let speed = revolutions_per_minute(&g.parse().unwrap(), &radius.parse().unwrap()).unwrap();
    assert_eq!(speed.exact().rounded(0), rpm);
}

/// There and back: no whole speed is nearer to the force than the one that comes out.
#[test]
fn f11_every_speed_comes_back() {
    let radius = "8.5".parse().unwrap();
    for rpm in 100..=6000_u32 {
        let speed = rpm.to_string().parse().unwrap();
        let force = times_g(&speed, &radius).unwrap();
        assert_eq!(revolutions_per_minute(&force, &radius).unwrap(), speed);
    }
}

/// F12: drops as percent.
///
/// # Source
/// 2 and 5 of 100 drops: a laboratory manual's page. 1 + 20 drops: a hospital's procedure sheet,
/// which calls it 3 to 5 %; calculated 4.76 %.
#[rstest]
#[case(1, 20, "4.76")]
#[case(2, 98, "2.00")]
#[case(5, 95, "5.00")]
fn f12_drops(#[case] cells: u32, #[case] saline: u32, #[case] shown: &str) {
    let percent = percent_of_drops(cells, saline, &percent("100")).unwrap();
    assert_eq!(percent.exact().rounded(2), shown);
    assert!(percent_of_drops(0, saline, &"100".parse().unwrap()).is_err());
}

/// Plasma to cells.
///
/// # Source
/// 2 drops + 1 drop of 5 %: 40; 4 + 1: 80, teaching of human blood banks. The others are
/// calculated from published recipes.
#[rstest]
#[case("2", "1", "5", "40")]
#[case("4", "1", "5", "80")]
#[case("50", "50", "2", "50")]
#[case("100", "100", "4", "25")]
#[case("25", "50", "0.8", "62.5")]
#[case("25", "50", "1", "50")]
#[case("1", "1", "40", "2.5")]
#[case("2", "1", "40", "5")]
fn plasma_ratio(#[case] plasma: &str, #[case] cells: &str, #[case] of: &str, #[case] ratio: &str) {
    assert_eq!(plasma_to_cells(&ul(plasma), &ul(cells), &percent(of)), exact(ratio));
}

/// Calculated: 10 µL left and 100 µL added leave one eleventh of the plasma.
#[test]
fn residual() {
    let once = residual_plasma(&ul("10"), &ul("100"), 1).unwrap();
    assert_eq!(once.exact(), &exact("100/11"));
    assert_eq!(residual_plasma(&ul("10"), &ul("100"), 2).unwrap().exact(), &exact("100/121"));
    assert_eq!(residual_plasma(&ul("10"), &ul("100"), 0).unwrap().exact(), &exact("100"));
}

/// F13: dilutions of a slide; half of a mixture of 1 + 1 drops is plasma.
///
/// # Source
/// The dilutions 1:1, 4:1, 9:1, 49:1 are those compared by Sun and Jeffery, saline agglutination
/// test (abstract; specificity 29 % at 1:1, 97 % at 49:1). Volumes are calculated.
#[rstest]
#[case(1, "10", "25")]
#[case(4, "40", "10")]
#[case(9, "90", "5")]
#[case(49, "490", "1")]
fn f13_dilution(#[case] parts: u32, #[case] saline: &str, #[case] left: &str) {
    let made = dilution(&ul("10"), &percent("50"), parts).unwrap();
    assert_eq!(made.saline_ul, ul(saline));
    assert_eq!(made.plasma_percent.exact(), &exact(left));
    assert!(dilution(&ul("10"), &percent("50"), 0).is_err());
}

/// F10: three donors, with donor autocontrols: ten tubes; and the plasma is enough for two.
#[test]
fn f10_plan() {
    let document = r#"{ "format": "crossread.worksheet/1", "id": "WS-1",
        "protocol": { "id": "cat-routine", "version": "1.0.0" }, "method": "tube",
        "recipient": { "id": "R-1", "species": "cat" },
        "donors": [ { "id": "D-1", "species": "cat", "product": "whole_blood" },
                    { "id": "D-2", "species": "cat", "product": "whole_blood" },
                    { "id": "D-3", "species": "cat", "product": "whole_blood" } ],
        "setup": { "plasma_ul": 50, "cells_ul": 50, "cells_percent": 4 },
        "readings": [] }"#;
    let protocols = Protocols::shipped();
    let worksheet = Worksheet::from_json(document.as_bytes(), protocols).unwrap();
    let named = worksheet.protocol();
    let protocol = protocols.get(&named.id, &named.version).unwrap();
    let there = Available { recipient_plasma_ul: Some(199), optional_tests: false };
    let plan = plan(&worksheet, protocol, there).unwrap();
    let rack: Vec<String> = plan
        .mixtures
        .iter()
        .map(|mixture| {
            let donor = mixture.donor.as_ref().map_or("-", |donor| donor.as_str());
            format!("{} {} {donor}", mixture.number, mixture.test.word())
        })
        .collect();
    assert_eq!(
        rack,
        [
            "1 recipient_auto -",
            "2 donor_auto D-1",
            "3 major D-1",
            "4 minor D-1",
            "5 donor_auto D-2",
            "6 major D-2",
            "7 minor D-2",
            "8 donor_auto D-3",
            "9 major D-3",
            "10 minor D-3",
        ]
    );
    // 50 µL for the autocontrol and for each major; 199 µL are 1 µL too few for the third.
    assert_eq!(plan.plasma().unwrap(), "the recipient's plasma is enough for 2 donors, not 3");
    let [recipient, first, ..] = plan.animals.as_slice() else { panic!("no animals") };
    assert_eq!((recipient.plasma_ul, recipient.suspension_ul), (200, 200));
    assert_eq!(recipient.packed_cells_ul, Some(exact("8")));
    assert_eq!((first.plasma_ul, first.suspension_ul), (100, 100));
}

/// The number of donors to test.
///
/// # Source
/// Calculated with scipy.stats.nbinom (quantile plus the number wanted) for each row.
#[rstest]
#[case("0.044", 2, [38, 68, 87, 106, 149])]
#[case("0.1", 1, [7, 16, 22, 29, 44])]
#[case("0.14", 1, [5, 11, 16, 20, 31])]
#[case("0.2", 4, [19, 27, 32, 37, 47])]
#[case("0.4", 2, [4, 7, 9, 10, 14])]
#[case("0.42", 2, [4, 7, 8, 10, 13])]
#[case("0.5", 2, [3, 5, 7, 8, 11])]
#[case("0.7", 2, [3, 4, 4, 5, 7])]
#[case("0.85", 2, [2, 3, 3, 4, 5])]
#[case("0.961", 1, [1, 1, 1, 1, 2])]
#[case::dal_negative("0.02", 1, [35, 80, 114, 149, 228])]
fn screening(#[case] share: &str, #[case] wanted: u32, #[case] donors: [u32; 5]) {
    let probabilities = ["0.5", "0.8", "0.9", "0.95", "0.99"];
    let tested = probabilities
        .map(|probability| donors_to_test(wanted, &exact(share), &exact(probability)).unwrap());
    assert_eq!(tested, donors);
}

/// The smallest number by counting every outcome of up to twelve donors one by one.
#[test]
fn screening_equals_a_count_of_all_outcomes() {
    for (a, b) in [(1_u64, 2_u64), (1, 3), (2, 3), (3, 4)] {
        for wanted in 1..=4_u32 {
            for (p, q) in [(1_u64, 2_u64), (4, 5), (9, 10)] {
                let counted = (wanted..=12).find(|donors| {
                    let enough: u64 = (0..1_u64 << donors)
                        .filter(|outcome| outcome.count_ones() >= wanted)
                        .map(|outcome| {
                            let found = outcome.count_ones();
                            a.pow(found) * (b - a).pow(donors - found)
                        })
                        .sum();
                    enough * q >= p * b.pow(*donors)
                });
                let found = donors_to_test(
                    wanted,
                    &exact(&format!("{a}/{b}")),
                    &exact(&format!("{p}/{q}")),
                );
                if let Some(counted) = counted {
                    assert_eq!(found.unwrap(), counted, "{a}/{b} {wanted} {p}/{q}");
                } else {
                    assert!(found.unwrap() > 12);
                }
            }
        }
    }
}

/// From a stock, without putting back.
///
/// # Source
/// Calculated with scipy.stats.hypergeom.
#[rstest]
#[case(20, 8, 2, "0.8", 6)]
#[case(20, 8, 2, "0.95", 9)]
#[case(12, 3, 1, "0.8", 5)]
#[case(12, 3, 1, "0.95", 7)]
fn from_stock(
    #[case] of: u32,
    #[case] compatible: u32,
    #[case] wanted: u32,
    #[case] probability: &str,
    #[case] tested: u32,
) {
    let stock = Stock { of, compatible };
    assert_eq!(donors_from_stock(wanted, stock, &exact(probability)).unwrap(), tested);
}

#[test]
fn screening_that_cannot_be() {
    let half = exact("0.5");
    for wrong in ["0", "1", "3/2"] {
        let error = donors_to_test(1, &half, &exact(wrong)).unwrap_err();
        assert_eq!(error, CannotScreen::Probability(exact(wrong)));
    }
    assert_eq!(donors_to_test(1, &exact("0"), &half), Err(CannotScreen::NoneCompatible));
    assert_eq!(donors_to_test(1, &exact("1.1"), &half), Err(CannotScreen::Share(exact("1.1"))));
    assert_eq!(donors_to_test(0, &half, &half), Ok(0));
    assert_eq!(donors_to_test(3, &exact("1"), &exact("0.99")), Ok(3));
    assert_eq!(donors_to_test(9, &exact("0.0001"), &half), Err(CannotScreen::TooMany));
    let small = donors_from_stock(2, Stock { of: 10, compatible: 1 }, &half).unwrap_err();
    assert_eq!(small, CannotScreen::StockTooSmall { of: 10, compatible: 1, wanted: 2 });
}

fn series(first: u32, grades: &str) -> Titration {
    let grades = grades.split_whitespace().map(|grade| grade.parse().unwrap());
    Titration::new(first, grades.collect()).unwrap()
}

/// Titer and score.
///
/// # Source
/// The patient of 1970: Army Technical Manual 8-227-3 style worked example, titer 64, score 58.
/// A, B and C: the AABB Technical Manual's titration example (from memory; sums computed again). The
/// others are calculated from the score table of `Grade`.
#[rstest]
#[case::patient(1, "4+ 3+ 3+ 2+ 2+ 1+ 1+ 0", Titer::Is(64), 58)]
#[case::a(1, "3+ 3+ 3+ 2+ 2+ 2+ 1+ w micro 0", Titer::Is(64), 64)]
#[case::b(1, "4+ 4+ 4+ 3+ 3+ 2+ 2+ 1+ w 0", Titer::Is(128), 80)]
#[case::c(1, "1+ 1+ 1+ 1+ w w w micro micro 0", Titer::Is(8), 33)]
#[case::plain(1, "4+ 4+ 3+ 3+ 2+ 2+ 1+ 1+ w 0", Titer::Is(128), 73)]
#[case::low(1, "1+ w 0 0 0 0 0 0 0 0", Titer::Is(1), 8)]
#[case::negative(1, "0 0 0 0 0 0 0 0 0 0", Titer::NotReactive, 0)]
#[case::prozone(1, "2+ 3+ 4+ 4+ 3+ 2+ 1+ w 0 0", Titer::Is(64), 68)]
#[case::open_end(2, "4+ 4+ 4+ 4+ 3+ 3+ 3+ 2+ 2+ 1+", Titer::AtLeast(1024), 99)]
#[case::skipped(1, "3+ 2+ 1+ 0 1+ 0 0 0 0 0", Titer::Is(16), 28)]
#[case::weak_tail(1, "3+ 3+ 2+ 1+ 1+w w w micro 0 0", Titer::Is(8), 45)]
#[case::cold(500, "1+ 1+ 1+ 1+ 1+ 1+ 1+ 1+ 1+ 1+", Titer::AtLeast(256_000), 50)]
fn titers(#[case] first: u32, #[case] grades: &str, #[case] titer: Titer, #[case] score: u32) {
    let series = series(first, grades);
    assert_eq!(series.titer(Grade::G1), titer);
    assert_eq!(series.score(), score);
}

#[test]
fn titers_by_any_reaction_gaps_and_prozone() {
    let a = series(1, "3+ 3+ 3+ 2+ 2+ 2+ 1+ w micro 0");
    assert_eq!(a.titer(Grade::Micro), Titer::Is(256));
    assert_eq!(a.titer(Grade::W), Titer::Is(128));
    let skipped = series(1, "3+ 2+ 1+ 0 1+ 0 0 0 0 0");
    assert!(skipped.has_gap(Grade::G1));
    assert_eq!(skipped.titer_without_gap(Grade::G1), Titer::Is(4));
    assert!(!a.has_gap(Grade::G1) && !a.has_prozone());
    assert!(series(1, "1+ 2+ 3+ 3+ 2+ 1+ 0").has_prozone());
    assert!(!series(1, "2+ 2+s 0").has_prozone());
    assert!(Titration::new(0, vec![Grade::G0]).is_none());
    assert!(Titration::new(1, Vec::new()).is_none());
}

/// Whether two series differ, by both rules, at their edges.
#[rstest]
// A against B: one tube, 16 points.
#[case(
    "3+ 3+ 3+ 2+ 2+ 2+ 1+ w micro 0",
    "4+ 4+ 4+ 3+ 3+ 2+ 2+ 1+ w 0",
    Some(1),
    16,
    true,
    Some(false)
)]
// A month later: one tube, 12 points.
#[case("3+ 3+ 2+ 2+ 1+ w 0 0", "4+ 3+ 3+ 2+ 2+ 1+ w 0", Some(1), 12, true, Some(false))]
// Two tubes, 10 points; two tubes, 9 points.
#[case("1+ 0 0 0", "1+ 1+ 1+ 0", Some(2), 10, true, Some(true))]
#[case("1+ w 0 0", "1+ 1+w 1+ 0", Some(2), 6, false, Some(false))]
// The end was not reached: the tubes are not known, and nothing is said of them.
#[case("4+ 4+", "1+ 1+", None, -14, true, None)]
#[case("1+ 1+", "1+ 1+", None, 0, false, Some(false))]
fn changes(
    #[case] first: &str,
    #[case] second: &str,
    #[case] tubes: Option<i64>,
    #[case] score: i64,
    #[case] or: bool,
    #[case] and: Option<bool>,
) {
    let found = change(&series(1, first), &series(1, second), Grade::G1).unwrap();
    assert_eq!((found.tubes, found.score), (tubes, score));
    assert_eq!(found.by_three_tubes_or_ten_points, or);
    assert_eq!(found.by_two_tubes_and_ten_points, and);
    assert_eq!(change(&series(2, first), &series(1, second), Grade::G1), None);
}

/// Values at, under and over their ranges.
#[test]
fn ranges() {
    for (good, wrong) in [("100", "100.01"), ("0.01", "0")] {
        assert!(good.parse::<Percent>().is_ok());
        assert!(wrong.parse::<Percent>().unwrap_err().contains("over 0 to 100 %"));
    }
    assert!("10000000".parse::<Microliters>().is_ok());
    assert!("10000000.1".parse::<Microliters>().is_err());
    assert_eq!(ul("0.05").to_string(), "0.1 µL");
}
