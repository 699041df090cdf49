//! Rouleaux: whether an animal's plasma makes red cells stack, and how strong that looks.

use crossread_core::words::{Grade, Species};

use super::assumptions::Values;
use super::blood::bounded_normal;
use crate::chance::Chance;

/// The logistic function at quarters from −6 to 6, in a million; calculated.
const LOGISTIC: [u32; 49] = [
    2473, 3173, 4070, 5220, 6693, 8577, 10987, 14064, 17986, 22977, 29312, 37327, 47426, 60087,
    75858, 95349, 119_203, 148_047, 182_426, 222_700, 268_941, 320_821, 377_541, 437_823, 500_000,
    562_177, 622_459, 679_179, 731_059, 777_300, 817_574, 851_953, 880_797, 904_651, 924_142,
    939_913, 952_574, 962_673, 970_688, 977_023, 982_014, 985_936, 989_013, 991_423, 993_307,
    994_780, 995_930, 996_827, 997_527,
];

/// How strong the stacks look that the plasma of a random animal makes, if it makes any.
///
/// The score is that of the species, a point for each 8 g/L of protein over 70 and for each 2 g/L
/// of fibrinogen over 3; stacks are seen with the logistic chance of the score less 1. The form and
/// its numbers are a choice.
pub(super) fn stacks(
    species: Species,
    high_globulin: bool,
    values: &Values,
    chance: &mut Chance,
) -> Option<Grade> {
    let base = match species {
        Species::Horse => values.rouleaux_horse.value,
        Species::Cat => values.rouleaux_cat.value,
        Species::Dog
        | Species::Donkey
        | Species::Cattle
        | Species::Sheep
        | Species::Goat
        | Species::Camelid
        | Species::Pig
        | Species::Ferret
        | Species::Rabbit
        | Species::Bird => values.rouleaux_dog.value,
    };
    let around = |mean: i32, sd: i32, chance: &mut Chance| {
        mean.saturating_add(bounded_normal(chance, sd.saturating_mul(1000), 60))
    };
    let gain = if high_globulin { values.protein_high_gain.value } else { 0 };
    let protein = around(values.protein_mean.value, values.protein_sd.value, chance);
    let fibrinogen = around(values.fibrinogen_mean.value, values.fibrinogen_sd.value, chance);
    let protein = protein.saturating_add(gain).saturating_sub(70).saturating_mul(100).div_euclid(8);
    let fibrinogen = fibrinogen.saturating_sub(3).saturating_mul(50);
    let score = base.saturating_add(protein).saturating_add(fibrinogen).saturating_sub(100);
    let quarter = score.clamp(-600, 600).saturating_add(600).div_euclid(25);
    let likely = usize::try_from(quarter).ok().and_then(|place| LOGISTIC.get(place));
    if !chance.happens(likely.copied().unwrap_or_default()) {
        return None;
    }
    let (weak, one) = (values.stacks_like_w.ppm(), values.stacks_like_1.ppm());
    let two = 1_000_000_u32.saturating_sub(weak).saturating_sub(one);
    Some(match chance.weighted(&[weak, one, two]) {
        Some(0) | None => Grade::W,
        Some(1) => Grade::G1,
        Some(_) => Grade::G2,
    })
}
