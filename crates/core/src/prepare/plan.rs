//! The plan for a worksheet: which mixtures, in which order, how much of what, and for how many
//! donors the plasma is enough.

use num_bigint::BigInt;
use num_rational::BigRational;
use schemars::JsonSchema;
use serde::Serialize;

use crate::document::Id;
use crate::protocol::Protocol;
use crate::words::{Phase, Product, Test};
use crate::worksheet::Worksheet;

use super::Exact;

/// One tube, slide or column.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct Mixture {
    /// Its place in the rack, from 1.
    pub number: u32,
    /// Which mixture.
    pub test: Test,
    /// The donor, for the tests that have one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub donor: Option<Id>,
    /// Plasma, or saline for a saline control, in µL.
    pub fluid_ul: u32,
    /// Cell suspension, in µL.
    pub cells_ul: u32,
    /// The phases at which the protocol reads it, in order.
    pub phases: Vec<Phase>,
}

/// What is needed of one animal, for all its mixtures together.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct FromAnimal {
    /// The animal.
    pub animal: Id,
    /// Plasma, in µL.
    pub plasma_ul: u32,
    /// Cell suspension, in µL. Make more than that: what stays in the dropper is not counted.
    pub suspension_ul: u32,
    /// Packed cells in that suspension, in µL, if the percent is written on the worksheet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub packed_cells_ul: Option<Exact>,
}

/// How much of the recipient's plasma there is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Available {
    /// The recipient's plasma, in µL; `None` if nobody measured it.
    pub recipient_plasma_ul: Option<u32>,
    /// Which optional tests of the protocol are planned too.
    pub optional_tests: bool,
}

/// A plan.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct Plan {
    /// The mixtures in rack order: the recipient's controls, then donor by donor its controls, its
    /// major, its minor.
    pub mixtures: Vec<Mixture>,
    /// What is needed of each animal: the recipient, then the donors.
    pub animals: Vec<FromAnimal>,
    /// Saline for the saline controls, in µL.
    pub saline_ul: u32,
    /// For how many of the donors the recipient's plasma is enough, if it was measured.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub enough_for: Option<u32>,
}

/// What a plan needs and the worksheet does not say.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum CannotPlan {
    /// The plasma in one mixture.
    #[error("write the plasma in one mixture on the worksheet first (`setup.plasma_ul`)")]
    PlasmaVolume,
    /// The suspension in one mixture.
    #[error("write the suspension in one mixture on the worksheet first (`setup.cells_ul`)")]
    CellVolume,
    /// The protocol is not the worksheet's.
    #[error("the protocol has no rules for the method of the worksheet")]
    Method,
}

impl Plan {
    /// The plan as a sentence on the recipient's plasma, if it was measured.
    ///
    /// ```standalone_crate
    /// # use crossread_core::{Protocols, Worksheet, prepare::{Available, plan}};
    /// # let document = include_bytes!("../../../../examples/three-donors-compared/worksheet.json");
    /// # let worksheet = Worksheet::from_json(document, Protocols::shipped())?;
    /// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
    /// let there = Available { recipient_plasma_ul: Some(350), optional_tests: false };
    /// let plan = plan(&worksheet, dog, there)?;
    /// assert_eq!(plan.plasma().unwrap(), "the recipient's plasma is enough for 2 donors, not 3");
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn plasma(&self) -> Option<String> {
        let donors = u32::try_from(self.animals.len().saturating_sub(1)).unwrap_or(u32::MAX);
        let enough = self.enough_for?;
        Some(if enough >= donors {
            format!("the recipient's plasma is enough for {donors} of {donors} donors")
        } else {
            let one = if enough == 1 { "donor" } else { "donors" };
            format!("the recipient's plasma is enough for {enough} {one}, not {donors}")
        })
    }
}

/// The mixtures of a worksheet in rack order, each with the place of its donor: the recipient's
/// controls, then donor by donor its controls, its major, its minor. Those that the protocol
/// requires for the product, every other one that was read, and, if asked for, the optional ones.
///
/// ```standalone_crate
/// # use crossread_core::{Protocols, Worksheet, prepare::rack, words::Test};
/// # let document = include_bytes!("../../../../examples/three-donors-compared/worksheet.json");
/// # let worksheet = Worksheet::from_json(document, Protocols::shipped())?;
/// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
/// let rack = rack(&worksheet, dog, false);
/// assert_eq!(rack[0], (Test::RecipientAuto, None));
/// assert_eq!(rack.iter().filter(|(test, _)| *test == Test::Major).count(), 3);
/// # Ok::<_, crossread_core::document::Faults>(())
/// ```
pub fn rack(
    worksheet: &Worksheet,
    protocol: &Protocol,
    optional_tests: bool,
) -> Vec<(Test, Option<usize>)> {
    let rules = protocol.method(worksheet.method());
    let planned = |test: Test, product: Product| {
        let needed = rules.is_some_and(|rules| rules.needs(test, product));
        needed || (optional_tests && !test.is_saline_control())
    };
    let was_read = |test: Test, donor: Option<usize>| {
        worksheet.readings().iter().any(|reading| (reading.test, reading.donor) == (test, donor))
    };
    let mut all = Vec::new();
    for test in [Test::RecipientAuto, Test::RecipientSaline] {
        let any = worksheet.donors().iter().any(|donor| planned(test, donor.product));
        if any || was_read(test, None) {
            all.push((test, None));
        }
    }
    for (number, donor) in worksheet.donors().iter().enumerate() {
        for test in [Test::DonorAuto, Test::DonorSaline, Test::Major, Test::Minor] {
            if planned(test, donor.product) || was_read(test, Some(number)) {
                all.push((test, Some(number)));
            }
        }
    }
    all
}

/// Plans the mixtures of a worksheet, those of [`rack`]. A mixture is carried through its phases.
///
/// ```standalone_crate
/// # use crossread_core::{Protocols, Worksheet, prepare::{Available, plan}};
/// # let document = include_bytes!("../../../../examples/three-donors-compared/worksheet.json");
/// # let worksheet = Worksheet::from_json(document, Protocols::shipped())?;
/// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
/// // 100 µL of plasma and 50 µL of a 4 % suspension in each mixture.
/// let plan = plan(&worksheet, dog, Available::default())?;
/// let recipient = &plan.animals[0];
/// assert_eq!((recipient.animal.as_str(), recipient.plasma_ul), ("R-3113", 400));
/// assert_eq!(recipient.packed_cells_ul.as_ref().map(|of| of.to_string()).as_deref(), Some("2"));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// If the worksheet does not say how much plasma and suspension go into one mixture.
pub fn plan(
    worksheet: &Worksheet,
    protocol: &Protocol,
    available: Available,
) -> Result<Plan, CannotPlan> {
    let setup = worksheet.setup();
    let plasma_ul = setup.plasma_ul.ok_or(CannotPlan::PlasmaVolume)?;
    let cells_ul = setup.cells_ul.ok_or(CannotPlan::CellVolume)?;
    let rules = protocol.method(worksheet.method()).ok_or(CannotPlan::Method)?;
    let phases: Vec<Phase> =
        Phase::ALL.iter().copied().filter(|phase| rules.role(*phase).is_some()).collect();
    let mut mixtures = Vec::new();
    for (number, (test, donor)) in (1..).zip(rack(worksheet, protocol, available.optional_tests)) {
        let donor = donor.and_then(|donor| worksheet.donors().get(donor));
        mixtures.push(Mixture {
            number,
            test,
            donor: donor.map(|donor| donor.animal.id.clone()),
            fluid_ul: plasma_ul,
            cells_ul,
            phases: phases.clone(),
        });
    }
    let recipient = &worksheet.recipient().animal.id;
    let count = |keep: &dyn Fn(&Mixture) -> bool| {
        u32::try_from(mixtures.iter().filter(|mixture| keep(mixture)).count()).unwrap_or(u32::MAX)
    };
    let packed = |suspension: u32| {
        let percent = setup.cells_percent?;
        let share = Exact::of(u64::from(percent.hundredths()), 10_000).0;
        Some(Exact(share * BigRational::from(BigInt::from(suspension))))
    };
    let of = |animal: &Id, gives_plasma: &[Test], gives_cells: &[Test], donor: Option<&Id>| {
        let is = |mixture: &Mixture, tests: &[Test]| {
            let same = donor.is_none() || mixture.donor.as_ref() == donor;
            same && tests.contains(&mixture.test)
        };
        let plasma = count(&|mixture| is(mixture, gives_plasma)).saturating_mul(plasma_ul);
        let suspension = count(&|mixture| is(mixture, gives_cells)).saturating_mul(cells_ul);
        FromAnimal {
            animal: animal.clone(),
            plasma_ul: plasma,
            suspension_ul: suspension,
            packed_cells_ul: packed(suspension),
        }
    };
    let mut animals = vec![of(
        recipient,
        &[Test::RecipientAuto, Test::Major],
        &[Test::RecipientAuto, Test::RecipientSaline, Test::Minor],
        None,
    )];
    for donor in worksheet.donors() {
        let id = &donor.animal.id;
        animals.push(of(
            id,
            &[Test::DonorAuto, Test::Minor],
            &[Test::DonorAuto, Test::DonorSaline, Test::Major],
            Some(id),
        ));
    }
    let saline_ul = count(&|mixture| mixture.test.is_saline_control()).saturating_mul(plasma_ul);
    let own = count(&|mixture| mixture.test == Test::RecipientAuto).saturating_mul(plasma_ul);
    let majors = count(&|mixture| mixture.test == Test::Major);
    let donors = u32::try_from(worksheet.donors().len()).unwrap_or(u32::MAX);
    let enough_for = available.recipient_plasma_ul.map(|there| {
        let each = if majors == 0 { 0 } else { plasma_ul };
        there
            .checked_sub(own)
            .map_or(0, |rest| rest.checked_div(each).unwrap_or(donors).min(donors))
    });
    Ok(Plan { mixtures, animals, saline_ul, enough_for })
}
