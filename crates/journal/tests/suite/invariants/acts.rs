//! What can be called, and in which order it mostly is.

use proptest::prelude::*;

/// One call. The numbers choose among the names and words above.
#[derive(Clone, Debug)]
pub(super) enum Act {
    /// Time goes on by so many minutes, or the clock is set back.
    Wait(i32),
    Open {
        worksheet: u8,
        recipient: u8,
        history: u8,
        typed: u8,
        noted: bool,
        blind: bool,
    },
    Donor {
        worksheet: u8,
        donor: u8,
        unit: u8,
        typed: u8,
        expired: bool,
        inspection: u8,
    },
    Sample {
        worksheet: u8,
        label: bool,
        hemolysis: u8,
        hours_ago: u8,
    },
    Read {
        worksheet: u8,
        donor: u8,
        mixture: u8,
        look: u8,
        reader: u8,
        transcribed: bool,
    },
    /// The readings that make a pair compatible, and the segment typed right.
    ReadClean {
        worksheet: u8,
        donor: u8,
    },
    Note {
        worksheet: u8,
    },
    Segment {
        worksheet: u8,
        donor: u8,
        right: bool,
        reader: u8,
    },
    Unblind {
        worksheet: u8,
    },
    Issue {
        worksheet: u8,
    },
    Hand {
        worksheet: u8,
    },
    Release {
        worksheet: u8,
        donor: u8,
        typed: bool,
        emergency: bool,
    },
    /// A released unit is spiked.
    Start {
        entry: u8,
    },
    Retract {
        entry: u8,
    },
    AmendReading {
        entry: u8,
        look: u8,
    },
    AmendDonor {
        entry: u8,
        unit: u8,
        typed: u8,
    },
    AmendOpening {
        entry: u8,
        history: u8,
        typed: u8,
    },
    CloseTask {
        entry: u8,
    },
    TakeUnitBack {
        entry: u8,
    },
    Transfused {
        animal: u8,
        days_ago: u8,
    },
    Reacted {
        animal: u8,
    },
    Typed {
        animal: u8,
        typed: u8,
        settles: bool,
    },
    Retest {
        worksheet: u8,
        again: u8,
        donor: u8,
        before: bool,
    },
    ClericalCheck {
        worksheet: u8,
        donor: u8,
    },
}

pub(super) fn act() -> impl Strategy<Value = Act> {
    let any = any::<u8>;
    let often = prop::bool::weighted(0.9);
    prop_oneof![
        1 => prop_oneof![-3..90_i32, 1_000..6_000_i32, -6_000..-1_000_i32].prop_map(Act::Wait),
        3 => (any(), any(), any(), any(), often, prop::bool::weighted(0.15)).prop_map(
            |(worksheet, recipient, history, typed, noted, blind)| {
                // Mostly an animal that nothing is known of.
                let history = if history < 150 { 0 } else { history };
                let typed = if typed < 200 { 0 } else { typed };
                Act::Open { worksheet, recipient, history, typed, noted, blind }
            }
        ),
        3 => (any(), any(), any(), any(), prop::bool::weighted(0.1), any()).prop_map(
            |(worksheet, donor, unit, typed, expired, inspection)| {
                let typed = if typed < 200 { 0 } else { typed };
                Act::Donor { worksheet, donor, unit, typed, expired, inspection }
            }
        ),
        2 => (any(), often, 0..20_u8, 0..100_u8).prop_map(
            |(worksheet, label, hemolysis, hours_ago)| {
                let hemolysis = hemolysis.saturating_sub(15);
                Act::Sample { worksheet, label, hemolysis, hours_ago: hours_ago / 20 }
            }
        ),
        4 => (any(), any(), any(), any(), any(), prop::bool::weighted(0.1)).prop_map(
            |(worksheet, donor, mixture, look, reader, transcribed)| {
                Act::Read { worksheet, donor, mixture, look, reader, transcribed }
            }
        ),
        4 => (any(), any()).prop_map(|(worksheet, donor)| Act::ReadClean { worksheet, donor }),
        1 => any().prop_map(|worksheet| Act::Note { worksheet }),
        2 => (any(), any(), often, any()).prop_map(
            |(worksheet, donor, right, reader)| Act::Segment { worksheet, donor, right, reader }
        ),
        1 => any().prop_map(|worksheet| Act::Unblind { worksheet }),
        4 => any().prop_map(|worksheet| Act::Issue { worksheet }),
        1 => any().prop_map(|worksheet| Act::Hand { worksheet }),
        6 => (any(), any(), often, prop::bool::weighted(0.2)).prop_map(
            |(worksheet, donor, typed, emergency)| {
                Act::Release { worksheet, donor, typed, emergency }
            }
        ),
        2 => any().prop_map(|entry| Act::Start { entry }),
        1 => any().prop_map(|entry| Act::Retract { entry }),
        1 => (any(), any()).prop_map(|(entry, look)| Act::AmendReading { entry, look }),
        1 => (any(), any(), any()).prop_map(
            |(entry, unit, typed)| Act::AmendDonor { entry, unit, typed }
        ),
        1 => (any(), any(), any()).prop_map(
            |(entry, history, typed)| Act::AmendOpening { entry, history, typed }
        ),
        1 => any().prop_map(|entry| Act::CloseTask { entry }),
        1 => any().prop_map(|entry| Act::TakeUnitBack { entry }),
        1 => (any(), 0..40_u8).prop_map(
            |(animal, days_ago)| Act::Transfused { animal, days_ago }
        ),
        1 => any().prop_map(|animal| Act::Reacted { animal }),
        1 => (any(), any(), prop::bool::ANY).prop_map(
            |(animal, typed, settles)| Act::Typed { animal, typed, settles }
        ),
        1 => (any(), any(), any(), prop::bool::ANY).prop_map(
            |(worksheet, again, donor, before)| Act::Retest { worksheet, again, donor, before }
        ),
        1 => (any(), any()).prop_map(
            |(worksheet, donor)| Act::ClericalCheck { worksheet, donor }
        ),
    ]
}

/// A night: a worksheet with a donor and a sample first, so that most of what follows is legal.
pub(super) fn acts() -> impl Strategy<Value = Vec<Act>> {
    // Mostly the same animals, so that one worksheet knows of the other.
    let few = || prop_oneof![3 => Just(0), 1 => 0..3_u8];
    let ready = (few(), few(), 0..3_u8, prop::bool::weighted(0.15)).prop_map(|made| {
        let (recipient, donor, unit, blind) = made;
        let worksheet = 0;
        vec![
            Act::Open { worksheet, recipient, history: 0, typed: 0, noted: true, blind },
            Act::Donor { worksheet, donor, unit, typed: 0, expired: false, inspection: 0 },
            Act::Sample { worksheet, label: true, hemolysis: 0, hours_ago: 1 },
        ]
    });
    // What is done next to a worksheet is mostly what one does next.
    // Something may come between.
    let between = prop_oneof![
        3 => Just(Act::Note { worksheet: 0 }),
        1 => (-5..5_i32).prop_map(Act::Wait),
        1 => Just(Act::Wait(6_000)),
        1 => (0..6_u8, 0..6_u8).prop_map(
            |(animal, days_ago)| Act::Transfused { animal, days_ago }
        ),
        1 => (0..6_u8).prop_map(|animal| Act::Reacted { animal }),
        1 => (0..6_u8, 0..3_u8).prop_map(
            |(animal, typed)| Act::Typed { animal, typed, settles: false }
        ),
        2 => (0..3_u8, 0..3_u8, 2..5_u8, 0..6_u8).prop_map(
            |(worksheet, donor, mixture, look)| {
                Act::Read { worksheet, donor, mixture, look, reader: 0, transcribed: false }
            }
        ),
        1 => (0..9_u8).prop_map(|entry| Act::Retract { entry }),
    ];
    let to_the_end = (0..3_u8, 0..3_u8, between.clone(), between);
    let to_the_end = to_the_end.prop_map(|(worksheet, donor, between, then)| {
        vec![
            Act::ReadClean { worksheet, donor },
            Act::Issue { worksheet },
            between,
            Act::Release { worksheet, donor, typed: true, emergency: false },
            then,
            Act::Start { entry: 0 },
        ]
    });
    let in_a_hurry = (0..3_u8, 0..3_u8).prop_map(|(worksheet, donor)| {
        vec![Act::Release { worksheet, donor, typed: true, emergency: true }]
    });
    let some = prop_oneof![
        8 => act().prop_map(|act| vec![act]),
        1 => ready.clone(),
        2 => to_the_end,
        1 => in_a_hurry,
    ];
    let some = prop::collection::vec(some, 5..25);
    (prop::collection::vec(ready, 1..3), some)
        .prop_map(|(ready, some)| ready.into_iter().chain(some).flatten().collect())
}
