//! Blood groups: what an animal inherited, drawn at published frequencies.

use std::collections::BTreeMap;

use crossread_core::words::{Species, System, TypeResult};
use serde::Serialize;

use super::assumptions::{Stated, Values};
use crate::chance::Chance;

/// An antigen that simulated animals have or lack.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Antigen {
    /// The dog's DEA 1.
    Dea1,
    /// The dog's DEA 5.
    Dea5,
    /// The dog's DEA 7.
    Dea7,
    /// The dog's Dal.
    Dal,
    /// The dog's Kai 1.
    Kai1,
    /// The dog's Kai 2.
    Kai2,
    /// The cat's A antigen.
    CatA,
    /// The cat's B antigen.
    CatB,
    /// The cat's FEA 1.
    Fea1,
    /// The cat's antigens outside these, taken together.
    CatOther,
    /// The horse's Aa.
    Aa,
    /// The horse's Ca.
    Ca,
    /// The horse's Qa.
    Qa,
}

/// The blood of one animal.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Blood {
    /// How many copies of each antigen it inherited, 1 or 2; an antigen that it lacks is left out.
    pub copies: BTreeMap<Antigen, u8>,
    /// How densely DEA 1 stands on its cells, in sixteenths of a doubling from the usual.
    pub density: i32,
}

impl Blood {
    /// The blood of a random animal. Animals of a species without a model have no antigen at all.
    ///
    /// ```
    /// # use crossread_core::words::{Species, System, TypeResult};
    /// # use crossread_teach::chance::{Chance, Purpose};
    /// # use crossread_teach::simulate::{Antigen, Assumptions, Blood};
    /// # let values = &Assumptions::shipped().ok_or("no assumptions")?.values;
    /// // Of many cats most are of type A, as where the frequencies come from.
    /// let mut chance = Chance::new(42, 0, Purpose::Case);
    /// let cats: Vec<_> = (0..500).map(|_| Blood::draw(Species::Cat, values, &mut chance)).collect();
    /// let of_type = |result| cats.iter().filter(|cat| cat.typed(System::Ab) == Some(result)).count();
    /// assert!(of_type(TypeResult::A) > of_type(TypeResult::B));
    /// # Ok::<_, &str>(())
    /// ```
    pub fn draw(species: Species, values: &Values, chance: &mut Chance) -> Self {
        let mut blood = Self { copies: BTreeMap::new(), density: 0 };
        match species {
            Species::Dog => blood.dog(values, chance),
            Species::Cat => blood.cat(values, chance),
            Species::Horse => {
                for (antigen, share) in [
                    (Antigen::Aa, &values.horse_aa_positive),
                    (Antigen::Ca, &values.horse_ca_positive),
                    (Antigen::Qa, &values.horse_qa_positive),
                ] {
                    blood.inherit(antigen, share.ppm(), chance);
                }
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
        blood
    }

    fn dog(&mut self, values: &Values, chance: &mut Chance) {
        for (antigen, share) in [
            (Antigen::Dea1, &values.dog_dea1_positive),
            (Antigen::Dea5, &values.dog_dea5_positive),
            (Antigen::Dea7, &values.dog_dea7_positive),
            (Antigen::Dal, &values.dog_dal_positive),
        ] {
            self.inherit(antigen, share.ppm(), chance);
        }
        // Never both: none of the typed dogs had both.
        let (kai1, kai2) = (values.dog_kai1_positive.ppm(), values.dog_kai2_positive.ppm());
        let neither = 1_000_000_u32.saturating_sub(kai1).saturating_sub(kai2);
        match chance.weighted(&[kai1, kai2, neither]) {
            Some(0) => self.copies.insert(Antigen::Kai1, 1),
            Some(1) => self.copies.insert(Antigen::Kai2, 1),
            Some(_) | None => None,
        };
        self.density = bounded_normal(
            chance,
            values.density_sd.value.saturating_mul(16),
            values.density_most.value,
        );
    }

    fn cat(&mut self, values: &Values, chance: &mut Chance) {
        let shares = [&values.cat_type_a, &values.cat_type_b, &values.cat_type_ab];
        let has: &[Antigen] = match chance.weighted(&shares.map(Stated::ppm)) {
            Some(0) | None => &[Antigen::CatA],
            Some(1) => &[Antigen::CatB],
            Some(_) => &[Antigen::CatA, Antigen::CatB],
        };
        for antigen in has {
            self.copies.insert(*antigen, 2);
        }
        self.inherit(Antigen::Fea1, values.cat_fea1_positive.ppm(), chance);
        self.inherit(Antigen::CatOther, values.cat_other_positive.ppm(), chance);
    }

    /// Two alleles, each drawn at the frequency that gives this share of animals with the antigen
    /// (Hardy and Weinberg, the antigen dominant).
    fn inherit(&mut self, antigen: Antigen, share_ppm: u32, chance: &mut Chance) {
        let lacking = u64::from(1_000_000_u32.saturating_sub(share_ppm));
        // The square root of a share in a million is one in a thousand: widened first.
        let without = lacking.saturating_mul(1_000_000).isqrt();
        let without = u32::try_from(without).unwrap_or(u32::MAX);
        let copies = [0; 2].map(|_: u8| u8::from(!chance.happens(without)));
        let count = copies.iter().fold(0_u8, |sum, copy| sum.saturating_add(*copy));
        if count > 0 {
            self.copies.insert(antigen, count);
        }
    }

    /// Whether the cells carry the antigen.
    ///
    /// ```
    /// # use crossread_core::words::{Species, System, TypeResult};
    /// # use crossread_teach::chance::{Chance, Purpose};
    /// # use crossread_teach::simulate::{Antigen, Assumptions, Blood};
    /// # let values = &Assumptions::shipped().ok_or("no assumptions")?.values;
    /// let mut chance = Chance::new(42, 0, Purpose::Case);
    /// for _ in 0..100 {
    ///     let dog = Blood::draw(Species::Dog, values, &mut chance);
    ///     // Never both.
    ///     assert!(!(dog.has(Antigen::Kai1) && dog.has(Antigen::Kai2)));
    /// }
    /// # Ok::<_, &str>(())
    /// ```
    pub fn has(&self, antigen: Antigen) -> bool {
        self.copies.contains_key(&antigen)
    }

    /// What a typing in a system would find, where the model knows the system.
    ///
    /// ```
    /// # use crossread_core::words::{Species, System, TypeResult};
    /// # use crossread_teach::chance::{Chance, Purpose};
    /// # use crossread_teach::simulate::{Antigen, Assumptions, Blood};
    /// # let values = &Assumptions::shipped().ok_or("no assumptions")?.values;
    /// let mut chance = Chance::new(42, 0, Purpose::Case);
    /// let horse = Blood::draw(Species::Horse, values, &mut chance);
    /// let aa = if horse.has(Antigen::Aa) { TypeResult::Positive } else { TypeResult::Negative };
    /// assert_eq!(horse.typed(System::Aa), Some(aa));
    /// // The model knows nothing of it.
    /// assert_eq!(horse.typed(System::Mik), None);
    /// # Ok::<_, &str>(())
    /// ```
    pub fn typed(&self, system: System) -> Option<TypeResult> {
        let simple = |antigen| {
            Some(if self.has(antigen) { TypeResult::Positive } else { TypeResult::Negative })
        };
        match system {
            System::Ab => match (self.has(Antigen::CatA), self.has(Antigen::CatB)) {
                (true, true) => Some(TypeResult::Ab),
                (true, false) => Some(TypeResult::A),
                (false, true) => Some(TypeResult::B),
                (false, false) => None,
            },
            System::Dea1 => simple(Antigen::Dea1),
            System::Dea5 => simple(Antigen::Dea5),
            System::Dea7 => simple(Antigen::Dea7),
            System::Dal => simple(Antigen::Dal),
            System::Kai1 => simple(Antigen::Kai1),
            System::Kai2 => simple(Antigen::Kai2),
            System::Fea1 => simple(Antigen::Fea1),
            System::Aa => simple(Antigen::Aa),
            System::Ca => simple(Antigen::Ca),
            System::Qa => simple(Antigen::Qa),
            System::Dea3 | System::Dea4 | System::Mik | System::Ua => None,
        }
    }
}

/// A normal deviate with a standard deviation in thousandths of a unit, rounded to whole units and
/// cut off at `most` on both sides.
pub(super) fn bounded_normal(chance: &mut Chance, sd_thousandths: i32, most: i32) -> i32 {
    let scaled = i64::from(chance.normal()).saturating_mul(i64::from(sd_thousandths));
    let rounded = scaled.saturating_add(512_000).div_euclid(1_024_000);
    i32::try_from(rounded).unwrap_or_default().clamp(most.saturating_neg(), most)
}
