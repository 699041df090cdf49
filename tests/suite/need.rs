//! Whether a crossmatch is advised.

use crossread_core::document::{Date, Time};
use crossread_core::need::{CannotAdvise, Case, Need, need};
use crossread_core::words::{Answer, Product, Species, System, Test};
use crossread_core::{Protocol, Protocols};
use rstest::rstest;

fn shipped(id: &str) -> &'static Protocol {
    Protocols::shipped().iter().find(|protocol| protocol.id().as_str() == id).unwrap()
}

/// The dog's protocol with other values: days, and whether every later transfusion asks.
fn dog_with(days: u32, every: bool, first: &str) -> Protocol {
    let mut document: serde_json::Value =
        serde_json::from_str(shipped("dog-routine").text()).unwrap();
    document["sensitised_after_days"]["value"] = days.into();
    document["need"]["before_every_later_transfusion"]["value"] = every.into();
    document["need"]["first_transfusion"]["value"] = first.into();
    Protocol::from_json(document.to_string().as_bytes()).unwrap()
}

fn dog(product: Product) -> Case {
    Case { species: Some(Species::Dog), product: Some(product), ..Case::default() }
}

fn now() -> Time {
    Time::new("2026-03-10T02:40:00+01:00").unwrap()
}

fn advised(need: &Need, test: Test) -> bool {
    need.tests.iter().find(|advised| advised.test == test).unwrap().advised
}

fn texts(need: &Need, test: Test) -> Vec<&str> {
    let of = need.tests.iter().find(|advised| advised.test == test).unwrap();
    of.because.iter().map(|because| because.text.as_str()).collect()
}

/// F01: a dog transfused nine days ago under a five-day rule, and the same dog unknown.
#[test]
fn f01_transfused_and_unknown() {
    let protocol = dog_with(5, false, "not_advised");
    let transfused = Case {
        transfused: Some(Answer::Yes),
        last_transfused_on: Date::new("2026-03-01"),
        ..dog(Product::PackedCells)
    };
    let found = need(&transfused, &protocol, now()).unwrap();
    let major = &found.tests[0];
    assert!(major.advised && found.is_due);
    assert_eq!(major.because[0].rule, "sensitised_after_days");
    assert_eq!(major.because[0].value, "5");
    assert!(
        major.because[0].source.starts_with("Joint Trauma System"),
        "{}",
        major.because[0].source
    );
    for unknown in [None, Some(Answer::Unknown)] {
        let case = Case { transfused: unknown, ..dog(Product::PackedCells) };
        let found = need(&case, &protocol, now()).unwrap();
        assert!(advised(&found, Test::Major));
        assert_eq!(texts(&found, Test::Major), ["history unknown: counts as transfused"]);
    }
    let naive = Case { transfused: Some(Answer::Never), ..dog(Product::PackedCells) };
    assert!(!advised(&need(&naive, &protocol, now()).unwrap(), Test::Major));
    for exposed in [
        Case { reaction: Some(Answer::Yes), ..naive.clone() },
        Case { earlier_incompatible: true, ..naive.clone() },
    ] {
        assert!(advised(&need(&exposed, &protocol, now()).unwrap(), Test::Major));
    }
    assert!(advised(&need(&naive, &dog_with(5, false, "advised"), now()).unwrap(), Test::Major));
}

/// Under, at and over the days; and a rule that asks every time.
#[rstest]
#[case("2026-03-05T02:40:01+01:00", false)]
#[case("2026-03-05T02:40:00+01:00", true)]
#[case("2026-03-05T02:39:59+01:00", true)]
fn the_days_at_their_edge(#[case] at: &str, #[case] due: bool) {
    let case = Case {
        transfused: Some(Answer::Yes),
        last_transfused_at: Time::new(at),
        ..dog(Product::PackedCells)
    };
    let found = need(&case, &dog_with(5, false, "advised"), now()).unwrap();
    assert_eq!((found.is_due, advised(&found, Test::Major)), (due, due));
    assert!(advised(&need(&case, &dog_with(5, true, "advised"), now()).unwrap(), Test::Major));
}

/// F02: packed cells and whole blood differ only in the minor.
#[test]
fn f02_minor_where_plasma_matters() {
    let dogs = shipped("dog-routine");
    let of = |product| need(&dog(product), dogs, now()).unwrap();
    let (cells, whole) = (of(Product::PackedCells), of(Product::WholeBlood));
    assert!(!advised(&cells, Test::Minor) && advised(&whole, Test::Minor));
    assert_eq!(cells.tests[0], whole.tests[0]);
    let plasma = of(Product::Plasma);
    assert_eq!(plasma.tests.len(), 1);
    assert!(advised(&plasma, Test::Minor));
    let cats = shipped("cat-routine");
    let cat = Case { species: Some(Species::Cat), ..dog(Product::PackedCells) };
    let found = need(&cat, cats, now()).unwrap();
    assert!(advised(&found, Test::Minor));
    assert_eq!(found.type_in, [System::Ab]);
    let typed = Case { typed_in: vec![System::Ab], ..cat };
    assert_eq!(need(&typed, cats, now()).unwrap().type_in, []);
}

/// F03: four days are 96 hours, over a change of clock too; a day without a time counts from its
/// first moment anywhere.
#[rstest]
// The night of 2026-03-29 is an hour shorter in Central Europe, that of 2026-10-25 an hour longer.
#[case("2026-03-27T12:00:00+01:00", "2026-03-31T13:00:00+02:00")]
#[case("2026-10-23T12:00:00+02:00", "2026-10-27T11:00:00+01:00")]
#[case("2026-06-01T00:00:00Z", "2026-06-05T00:00:00Z")]
fn f03_due_time(#[case] last: &str, #[case] due: &str) {
    let later = Time::new("2026-12-31T00:00:00Z").unwrap();
    let case = Case {
        transfused: Some(Answer::Yes),
        last_transfused_at: Time::new(last),
        ..dog(Product::PackedCells)
    };
    let found = need(&case, &dog_with(4, true, "advised"), later).unwrap();
    assert_eq!(found.sensitized_from, Some(Time::new(due).unwrap().instant()));
    let day =
        Case { last_transfused_at: None, last_transfused_on: Date::new("2026-03-27"), ..case };
    let found = need(&day, &dog_with(4, true, "advised"), later).unwrap();
    let earliest = Time::new("2026-03-30T10:00:00Z").unwrap().instant();
    assert_eq!(found.sensitized_from, Some(earliest));
}

/// A mare is exposed by pregnancy, a bitch is not.
#[test]
fn pregnancy_by_species() {
    for (id, species, counts) in
        [("horse-routine", Species::Horse, true), ("dog-routine", Species::Dog, false)]
    {
        let case = Case {
            species: Some(species),
            product: Some(Product::PackedCells),
            transfused: Some(Answer::Never),
            pregnant: Some(Answer::Yes),
            ..Case::default()
        };
        let found = need(&case, shipped(id), now()).unwrap();
        assert_eq!(texts(&found, Test::Major).contains(&"was pregnant"), counts);
    }
}

/// What is not known never turns an advice off.
#[test]
fn knowing_less_never_advises_less() {
    let answers = [Answer::Never, Answer::Yes, Answer::Unknown];
    for id in ["dog-routine", "cat-routine", "horse-routine"] {
        let protocol = shipped(id);
        let species = protocol.species()[0];
        for product in Product::ALL {
            for number in 0..27 {
                let [transfused, pregnant, reaction] =
                    [number % 3, number / 3 % 3, number / 9].map(|at| answers[at]);
                let case = Case {
                    species: Some(species),
                    product: Some(*product),
                    transfused: Some(transfused),
                    pregnant: Some(pregnant),
                    reaction: Some(reaction),
                    ..Case::default()
                };
                let known = need(&case, protocol, now()).unwrap();
                for less in [
                    Case { transfused: None, ..case.clone() },
                    Case { pregnant: None, ..case.clone() },
                    Case { transfused: None, pregnant: None, ..case.clone() },
                ] {
                    let less = need(&less, protocol, now()).unwrap();
                    for (known, less) in known.tests.iter().zip(&less.tests) {
                        assert!(less.advised || !known.advised, "{case:?}");
                    }
                }
            }
        }
    }
}

#[test]
fn contradictions_are_named() {
    let dogs = shipped("dog-routine");
    let dated = Case { last_transfused_on: Date::new("2026-03-01"), ..dog(Product::PackedCells) };
    assert_eq!(need(&dated, dogs, now()), Err(CannotAdvise::NeverTransfused));
    let future = Case {
        transfused: Some(Answer::Yes),
        last_transfused_on: Date::new("2026-03-11"),
        ..dog(Product::PackedCells)
    };
    assert_eq!(need(&future, dogs, now()), Err(CannotAdvise::InTheFuture));
    let cat = Case { species: Some(Species::Cat), ..dog(Product::PackedCells) };
    assert!(matches!(need(&cat, dogs, now()), Err(CannotAdvise::OtherSpecies { .. })));
    assert_eq!(need(&Case::default(), dogs, now()), Err(CannotAdvise::SpeciesMissing));
}

/// A protocol from before the section advises before every transfusion.
#[test]
fn a_protocol_without_the_section() {
    let mut document: serde_json::Value =
        serde_json::from_str(shipped("dog-routine").text()).unwrap();
    document.as_object_mut().unwrap().remove("need");
    let old = Protocol::from_json(document.to_string().as_bytes()).unwrap();
    let naive = Case { transfused: Some(Answer::Never), ..dog(Product::WholeBlood) };
    let found = need(&naive, &old, now()).unwrap();
    assert!(advised(&found, Test::Major) && advised(&found, Test::Minor));
}
