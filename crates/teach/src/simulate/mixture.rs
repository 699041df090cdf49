//! One mixture: what an attentive eye would see in it.

use crossread_core::words::{Grade, Method, Pattern, Phase};

use super::antibody::Antibody;
use super::assumptions::Values;
use super::blood::{Blood, bounded_normal};
use crate::chance::Chance;

/// The main grades, weakest first: the scale of simulated mixtures and readers.
pub const MAIN: [Grade; 6] = [Grade::G0, Grade::W, Grade::G1, Grade::G2, Grade::G3, Grade::G4];

/// The place of a grade on the main scale; a strong or weak variant counts as its grade, and what
/// only the microscope shows as `w`.
///
/// ```
/// # use crossread_core::words::Grade;
/// # use crossread_teach::simulate::{MAIN, at_place, place};
/// assert_eq!((place(Grade::G2w), place(Grade::Micro)), (3, 1));
/// assert!(MAIN.iter().all(|grade| at_place(place(*grade)) == *grade));
/// ```
pub fn place(grade: Grade) -> i32 {
    match grade {
        Grade::G0 => 0,
        Grade::Rough | Grade::Micro | Grade::W => 1,
        Grade::G1w | Grade::G1 | Grade::G1s => 2,
        Grade::G2w | Grade::G2 | Grade::G2s => 3,
        Grade::G3 | Grade::G3s => 4,
        Grade::G4 => 5,
    }
}

/// The main grade at a place, the nearest end if there is none.
///
/// ```
/// # use crossread_core::words::Grade;
/// # use crossread_teach::simulate::at_place;
/// assert_eq!([-3, 2, 9].map(at_place), [Grade::G0, Grade::G1, Grade::G4]);
/// ```
pub fn at_place(place: i32) -> Grade {
    let last = MAIN.len().saturating_sub(1);
    let place = usize::try_from(place.max(0)).unwrap_or_default().min(last);
    MAIN.get(place).copied().unwrap_or(Grade::G4)
}

/// What is seen of a mixture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub(super) struct Seen {
    /// How strongly the cells clump.
    pub grade: Grade,
    /// How red the fluid is, 0 to 4.
    pub hemolysis: u32,
    /// The shape of what is clumped, where there is any.
    pub pattern: Option<Pattern>,
    /// Two populations of cells, one clumped and one free.
    pub mixed_field: bool,
}

/// The plasma of one animal as it goes into a mixture.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub(super) struct Plasma<'a> {
    /// Its antibodies.
    pub antibodies: &'a [Antibody],
    /// How strong the stacks look that it makes, if it makes any.
    pub stacks: Option<Grade>,
    /// How red it is of itself, 0 to 4.
    pub hemolysis: u32,
}

/// The cells of one animal as they go into a mixture.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub(super) struct Cells<'a> {
    /// Its own blood.
    pub own: &'a Blood,
    /// Cells of an earlier donor, and their share in 1/65536.
    pub foreign: Option<(&'a Blood, u32)>,
    /// The autoantibody that coats its own cells.
    pub coat: Option<&'a Antibody>,
}

/// Where and how a mixture is read.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub(super) struct Place {
    /// At which step.
    pub phase: Phase,
    /// Tube, slide or gel column.
    pub method: Method,
    /// Whether complement can act.
    pub complement: bool,
}

/// The grade that a strength in sixteenths of a doubling shows.
pub(super) fn grade_of(strength: i32, values: &Values) -> Grade {
    let cuts = [
        0,
        values.grade_1_from.value,
        values.grade_2_from.value,
        values.grade_3_from.value,
        values.grade_4_from.value,
    ];
    let over = cuts.iter().filter(|cut| strength >= **cut).count();
    at_place(i32::try_from(over).unwrap_or_default())
}

/// What clumps, whatever stacks there are besides: the grade, whether it is a mixed field, and the
/// hemolysis.
pub(super) fn clumps(
    plasma: Option<&Plasma<'_>>,
    cells: &Cells<'_>,
    at: Place,
    values: &Values,
    chance: &mut Chance,
) -> Seen {
    let noise = bounded_normal(chance, values.well_noise_sd.value.saturating_mul(16), 64);
    let coat = cells.coat.and_then(|coat| {
        let bare = coat.strength(cells.own, at.phase, at.method, values)?;
        let clumps_by_itself = coat.class != super::antibody::Class::Igg;
        clumps_by_itself.then(|| bare.saturating_add(values.coated_in_saline.value))
    });
    let against = |blood: &Blood| {
        let met = plasma.into_iter().flat_map(|plasma| plasma.antibodies);
        let met = met.filter_map(|one| one.strength(blood, at.phase, at.method, values));
        strongest(met.collect(), values)
    };
    let own = against(cells.own).max(coat).map(|strength| strength.saturating_add(noise));
    let grade = own.map_or(Grade::G0, |strength| grade_of(strength, values));
    let lysis = lysis(plasma, cells.own, at, values, chance);
    let hemolysis = lysis.max(plasma.map_or(0, |plasma| plasma.hemolysis));
    let mut seen = Seen { grade, hemolysis, pattern: None, mixed_field: false };
    if let Some((blood, share)) = cells.foreign {
        let other = against(blood).map(|strength| strength.saturating_add(noise));
        let other = other.map_or(Grade::G0, |strength| grade_of(strength, values));
        let ppm = |share: u32| u64::from(share).saturating_mul(1_000_000) >> 16;
        let visible =
            u64::from(values.mixed_share_lo.ppm())..=u64::from(values.mixed_share_hi.ppm());
        let apart = (grade == Grade::G0) != (other == Grade::G0);
        let strong = grade.max(other) >= Grade::G2;
        if apart && strong && visible.contains(&ppm(share)) {
            seen.grade = grade.max(other);
            seen.mixed_field = true;
        }
    }
    // With nearly every cell lysed there is nothing left to clump.
    if lysis == 4 {
        seen.grade = Grade::G0;
        seen.mixed_field = false;
    }
    seen
}

/// The greatest strength, with the gain of a second one that is nearly as strong.
fn strongest(mut all: Vec<i32>, values: &Values) -> Option<i32> {
    all.sort_unstable_by_key(|strength| std::cmp::Reverse(*strength));
    let first = all.first().copied()?;
    let near = all.get(1).is_some_and(|second| first.saturating_sub(*second) <= 16);
    Some(if near { first.saturating_add(values.second_antibody.value) } else { first })
}

/// The hemolysis that lytic antibodies make where complement can act, 0 to 4.
fn lysis(
    plasma: Option<&Plasma<'_>>,
    cells: &Blood,
    at: Place,
    values: &Values,
    chance: &mut Chance,
) -> u32 {
    if at.phase != Phase::Warm37c {
        return 0;
    }
    let lytic = plasma.into_iter().flat_map(|plasma| plasma.antibodies).filter(|one| one.lytic);
    let strength = lytic.filter_map(|one| one.strength(cells, at.phase, at.method, values)).max();
    let likely = match strength {
        None => return 0,
        Some(strength) if strength >= 80 => values.lysis_strong.ppm(),
        Some(strength) if strength >= 48 => values.lysis_middle.ppm(),
        Some(strength) if strength >= 0 => values.lysis_weak.ppm(),
        Some(_) => 0,
    };
    let left = u64::from(values.lysis_without_complement.ppm());
    let likely = if at.complement {
        likely
    } else {
        let scaled = u64::from(likely).saturating_mul(left) / 1_000_000;
        u32::try_from(scaled).unwrap_or_default()
    };
    if !chance.happens(likely) {
        return 0;
    }
    // A quarter of the cells for each step.
    (chance.beta(2, 2) >> 14).saturating_add(1)
}

/// Puts stacks over what clumps. In a gel column they are a haze that gets no grade, and washing
/// for antiglobulin takes the plasma away that makes them.
pub(super) fn with_stacks(seen: Seen, plasma: &Plasma<'_>, at: Place) -> Seen {
    let shows = at.method != Method::Gel && at.phase != Phase::Antiglobulin;
    let stacks = plasma.stacks.filter(|_| shows && seen.hemolysis < 4);
    let pattern = match (seen.grade == Grade::G0, stacks.is_some()) {
        (_, false) if seen.grade == Grade::G0 => None,
        (_, false) => Some(Pattern::Clumps),
        (true, true) => Some(Pattern::Stacks),
        (false, true) => Some(Pattern::Both),
    };
    Seen { grade: stacks.map_or(seen.grade, |stacks| stacks.max(seen.grade)), pattern, ..seen }
}
