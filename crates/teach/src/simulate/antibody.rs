//! Antibodies: which an animal has, and how strongly one reacts with given cells.

use crossread_core::words::{Method, Phase, Species};
use serde::Serialize;

use super::assumptions::{Stated, Values};
use super::blood::{Antigen, Blood};
use crate::chance::Chance;

/// The class of an antibody.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
#[expect(clippy::exhaustive_enums, reason = "the two classes that matter here")]
pub enum Class {
    /// IgM: clumps by itself, best in the cold.
    Igm,
    /// IgG: often needs antiglobulin.
    Igg,
    /// Both.
    Both,
}

/// How an animal came by an antibody.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
#[expect(clippy::exhaustive_enums, reason = "there is no fourth way")]
pub enum Origin {
    /// Without any contact with foreign cells.
    Natural,
    /// After a transfusion.
    Immune,
    /// Against the animal's own cells.
    Auto,
}

/// One antibody of one animal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Antibody {
    /// The antigen that it meets; `None` for one that meets every cell.
    pub against: Option<Antigen>,
    /// Its class.
    pub class: Class,
    /// Its titer, in doublings: 3 is a titer of 8.
    pub titer: i32,
    /// The lowest temperature at which it reacts in full, in °C.
    pub lo_celsius: i32,
    /// The highest, in °C.
    pub hi_celsius: i32,
    /// Whether it can hemolyze where there is complement.
    pub lytic: bool,
    /// How the animal came by it.
    pub origin: Origin,
}

/// The antibodies of a random animal with this blood.
pub(super) fn draw(
    species: Species,
    blood: &Blood,
    transfused: bool,
    values: &Values,
    chance: &mut Chance,
) -> Vec<Antibody> {
    let mut all = Vec::new();
    match species {
        Species::Dog => {
            if !blood.has(Antigen::Dea7) && chance.happens(values.dog_anti_dea7.ppm()) {
                let neat = chance.happens(values.dog_anti_dea7_undiluted_only.ppm());
                let mut found = natural(Antigen::Dea7, false, values, chance);
                found.titer = if neat { 0 } else { found.titer.max(1) };
                all.push(found);
            }
            let lacked = [Antigen::Dea1, Antigen::Dal, Antigen::Kai1, Antigen::Dea7, Antigen::Dea5];
            let share = transfused.then_some(&values.dog_immune);
            all.extend(immune(share, &lacked, blood, values, chance));
        }
        Species::Cat => {
            cat(blood, &mut all, values, chance);
            let lacked = [Antigen::CatOther, Antigen::Fea1];
            let share = transfused.then_some(&values.cat_immune);
            all.extend(immune(share, &lacked, blood, values, chance));
        }
        Species::Horse => {
            horse(blood, &mut all, values, chance);
            let share = transfused.then_some(&values.horse_immune);
            let lacked = [Antigen::Aa, Antigen::Qa, Antigen::Ca];
            all.extend(immune(share, &lacked, blood, values, chance));
        }
        Species::Donkey
        | Species::Cattle
        | Species::Sheep
        | Species::Goat
        | Species::Camelid
        | Species::Pig
        | Species::Ferret
        | Species::Rabbit
        | Species::Bird => {}
    }
    all
}

fn cat(blood: &Blood, all: &mut Vec<Antibody>, values: &Values, chance: &mut Chance) {
    if !blood.has(Antigen::CatA) && chance.happens(values.cat_b_anti_a.ppm()) {
        all.push(Antibody {
            titer: titer(&values.titer_cat_anti_a_lo, &values.titer_cat_anti_a_hi, chance),
            lo_celsius: 4,
            hi_celsius: 37,
            ..natural(Antigen::CatA, true, values, chance)
        });
    }
    if !blood.has(Antigen::CatB) && chance.happens(values.cat_a_anti_b.ppm()) {
        all.push(natural(Antigen::CatB, false, values, chance));
    }
    if blood.has(Antigen::Fea1) {
        let lacks = !blood.has(Antigen::CatOther);
        // The published share is one of all cats with FEA 1, also of those that cannot have it.
        let lacking = 1_000_000_u32.saturating_sub(values.cat_other_positive.ppm());
        if lacks && chance.happens(among(values.cat_anti_other.ppm(), lacking)) {
            all.push(natural(Antigen::CatOther, false, values, chance));
        }
    } else if chance.happens(values.cat_anti_fea1.ppm()) {
        all.push(natural(Antigen::Fea1, false, values, chance));
    }
}

fn horse(blood: &Blood, all: &mut Vec<Antibody>, values: &Values, chance: &mut Chance) {
    let lacked: Vec<_> =
        [Antigen::Ca, Antigen::Aa].into_iter().filter(|antigen| !blood.has(*antigen)).collect();
    let both = u64::from(values.horse_ca_positive.ppm())
        .saturating_mul(u64::from(values.horse_aa_positive.ppm()))
        / 1_000_000;
    let lacking = 1_000_000_u32.saturating_sub(u32::try_from(both).unwrap_or_default());
    // The published share is one of all horses, also of those that lack neither antigen.
    if let Some(antigen) = chance.one_of(&lacked).copied()
        && chance.happens(among(values.horse_natural.ppm(), lacking))
    {
        let lytic = chance.happens(values.lytic_horse_natural.ppm());
        all.push(natural(antigen, lytic, values, chance));
    }
}

/// The share, in a million, among those that can be concerned, of a share among all.
fn among(share: u32, concerned: u32) -> u32 {
    let scaled = u64::from(share).saturating_mul(1_000_000).checked_div(u64::from(concerned));
    u32::try_from(scaled.unwrap_or_default()).unwrap_or(u32::MAX).min(1_000_000)
}

fn titer(lo: &Stated, hi: &Stated, chance: &mut Chance) -> i32 {
    let steps = u32::try_from(hi.value.saturating_sub(lo.value)).unwrap_or_default();
    let above = chance.between(0, steps);
    lo.value.saturating_add(i32::try_from(above).unwrap_or_default())
}

fn natural(against: Antigen, lytic: bool, values: &Values, chance: &mut Chance) -> Antibody {
    let (igm, igg) = (values.natural_igm_only.ppm(), values.natural_igg_only.ppm());
    let both = 1_000_000_u32.saturating_sub(igm).saturating_sub(igg);
    let class = match chance.weighted(&[igm, igg, both]) {
        Some(0) | None => Class::Igm,
        Some(1) => Class::Igg,
        Some(_) => Class::Both,
    };
    let cold = class == Class::Igm && chance.happens(values.cold_only.ppm());
    Antibody {
        against: Some(against),
        class,
        titer: titer(&values.titer_natural_lo, &values.titer_natural_hi, chance),
        lo_celsius: 4,
        hi_celsius: if cold { 22 } else { 37 },
        lytic,
        origin: Origin::Natural,
    }
}

/// An antibody made after a transfusion, against the first antigen of the list that the animal
/// lacks.
fn immune(
    share: Option<&Stated>,
    order: &[Antigen],
    blood: &Blood,
    values: &Values,
    chance: &mut Chance,
) -> Option<Antibody> {
    if !chance.happens(share?.ppm()) {
        return None;
    }
    let against = *order.iter().find(|antigen| !blood.has(**antigen))?;
    let igg = chance.happens(values.immune_igg_only.ppm());
    Some(Antibody {
        against: Some(against),
        class: if igg { Class::Igg } else { Class::Both },
        titer: titer(&values.titer_immune_lo, &values.titer_immune_hi, chance),
        lo_celsius: 22,
        hi_celsius: 37,
        lytic: chance.happens(values.lytic_immune.ppm()),
        origin: Origin::Immune,
    })
}

/// An antibody against the animal's own cells and every other.
pub(super) fn auto(values: &Values, chance: &mut Chance) -> Antibody {
    let igm = chance.below(2) == 0;
    Antibody {
        against: None,
        class: if igm { Class::Igm } else { Class::Igg },
        titer: titer(&values.titer_auto_lo, &values.titer_auto_hi, chance),
        lo_celsius: 4,
        hi_celsius: 37,
        lytic: false,
        origin: Origin::Auto,
    }
}

impl Antibody {
    /// How strongly it reacts with these cells, in sixteenths of a doubling; `None` if they lack
    /// what it meets.
    ///
    /// ```
    /// # use crossread_core::words::{Method, Phase, Species};
    /// # use crossread_teach::chance::{Chance, Purpose};
    /// # use crossread_teach::simulate::{Assumptions, Blood, Difficulty, Setting, simulate};
    /// # use crossread_core::{Protocols, words::Product};
    /// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine");
    /// # let dog = dog.ok_or("no such protocol")?;
    /// # let values = &Assumptions::shipped().ok_or("no assumptions")?.values;
    /// # let setting = Setting {
    /// #     species: Species::Dog, method: Method::Tube, donors: 24, product: Product::PackedCells,
    /// #     difficulty: Difficulty::Usual,
    /// # };
    /// let case = simulate(42, 0, &setting, dog, values)?;
    /// let donors = &case.truth.donors;
    /// let antibody = donors.iter().flat_map(|donor| &donor.antibodies).next().ok_or("none has any")?;
    /// let antigen = antibody.against.ok_or("it meets every cell")?;
    /// // It reacts with cells that carry what it meets, and with no others.
    /// for donor in donors {
    ///     let reacts = antibody.strength(&donor.blood, Phase::Warm37c, Method::Tube, values);
    ///     assert_eq!(reacts.is_some(), donor.blood.has(antigen));
    /// }
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn strength(
        &self,
        cells: &Blood,
        phase: Phase,
        method: Method,
        values: &Values,
    ) -> Option<i32> {
        let mut strength = self.titer.saturating_mul(16);
        let mut add = |by: i32| strength = strength.saturating_add(by);
        if let Some(antigen) = self.against {
            match cells.copies.get(&antigen) {
                None => return None,
                Some(1) => add(values.one_copy.value),
                Some(_) => {}
            }
            if antigen == Antigen::Dea1 {
                add(cells.density);
            }
        }
        add(self.by_temperature(phase, values));
        add(self.by_class(phase, values));
        add(match method {
            Method::Slide => values.method_slide.value,
            Method::Tube => 0,
            Method::Gel => values.method_gel.value,
        });
        Some(strength)
    }

    fn by_temperature(&self, phase: Phase, values: &Values) -> i32 {
        let celsius = match phase {
            Phase::Room => 22,
            Phase::Warm37c | Phase::Antiglobulin => 37,
            Phase::Cold4c => 4,
        };
        let below = self.lo_celsius.saturating_sub(celsius);
        let outside = celsius.saturating_sub(self.hi_celsius).max(below).max(0);
        if outside >= 20 {
            return values.far_outside.value;
        }
        values.per_8_celsius_outside.value.saturating_mul(outside).div_euclid(8)
    }

    /// IgG without antiglobulin, IgM after washing; of both classes the one that shows better.
    fn by_class(&self, phase: Phase, values: &Values) -> i32 {
        let igg = match phase {
            Phase::Room | Phase::Cold4c => values.igg_at_room.value,
            Phase::Warm37c => values.igg_at_37.value,
            Phase::Antiglobulin => 0,
        };
        let igm = match phase {
            Phase::Antiglobulin => values.igm_after_washing.value,
            Phase::Room | Phase::Warm37c | Phase::Cold4c => 0,
        };
        match self.class {
            Class::Igm => igm,
            Class::Igg => igg,
            Class::Both => igm.max(igg),
        }
    }
}
