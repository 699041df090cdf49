//! A reader: what somebody who sees a mixture writes down, as an ordered probit on the main grades.

use crossread_core::words::Grade;
use serde::Deserialize;
use serde::Serialize;

use super::assumptions::Values;
use super::mixture::{at_place, place};
use crate::chance::Chance;

/// How practiced a reader is.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, strum::Display, strum::EnumString,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
#[expect(clippy::exhaustive_enums, reason = "the three that have an assumption each")]
pub enum Practice {
    /// As those of published comparisons.
    Expert,
    /// In training.
    Trainee,
    /// At the first tubes.
    Novice,
}

/// One reader. All numbers are thousandths of a grade, but for the lapses.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Reader {
    /// The standard deviation from what is there.
    pub sd: i32,
    /// By how much everything is read too strong.
    pub bias: i32,
    /// By how much a weak reaction is read too weak, besides.
    pub weak_bias: i32,
    /// How often in a million a grade is written that has nothing to do with the mixture.
    pub lapse_ppm: u32,
}

impl Reader {
    /// A reader without bias and lapses.
    ///
    /// ```
    /// # use crossread_core::words::Grade;
    /// # use crossread_teach::chance::{Chance, Purpose};
    /// # use crossread_teach::simulate::Reader;
    /// let mut chance = Chance::new(42, 0, Purpose::Reader);
    /// // Without spread, what is there is read.
    /// assert_eq!(Reader::with_sd(0).reads(Grade::G2, &mut chance), Grade::G2);
    /// ```
    pub fn with_sd(sd: i32) -> Self {
        Self { sd, bias: 0, weak_bias: 0, lapse_ppm: 0 }
    }

    /// A random reader of this practice.
    ///
    /// ```
    /// # use crossread_teach::chance::{Chance, Purpose};
    /// # use crossread_teach::simulate::{Assumptions, Practice, Reader};
    /// # let values = &Assumptions::shipped().ok_or("no assumptions")?.values;
    /// let mut chance = Chance::new(42, 0, Purpose::Reader);
    /// let expert = Reader::draw(Practice::Expert, values, &mut chance);
    /// let novice = Reader::draw(Practice::Novice, values, &mut chance);
    /// assert!(expert.sd < novice.sd);
    /// # Ok::<_, &str>(())
    /// ```
    pub fn draw(practice: Practice, values: &Values, chance: &mut Chance) -> Self {
        let sd = match practice {
            Practice::Expert => &values.reader_expert_sd,
            Practice::Trainee => &values.reader_trainee_sd,
            Practice::Novice => &values.reader_novice_sd,
        };
        let spread = i64::from(values.reader_bias_sd.value);
        let bias = i64::from(chance.normal()).saturating_mul(spread).div_euclid(1024);
        Self {
            sd: sd.value,
            bias: i32::try_from(bias).unwrap_or_default(),
            weak_bias: 0,
            lapse_ppm: values.reader_lapse.ppm(),
        }
    }

    /// What this reader writes down of a mixture of this grade.
    ///
    /// ```
    /// # use crossread_core::words::Grade;
    /// # use crossread_teach::chance::{Chance, Purpose};
    /// # use crossread_teach::simulate::Reader;
    /// let mut chance = Chance::new(42, 0, Purpose::Reader);
    /// let mut low = Reader::with_sd(0);
    /// low.weak_bias = 600;
    /// // A weak reaction is overlooked, a stronger one is not.
    /// assert_eq!(low.reads(Grade::W, &mut chance), Grade::G0);
    /// assert_eq!(low.reads(Grade::G1, &mut chance), Grade::G1);
    /// ```
    pub fn reads(&self, grade: Grade, chance: &mut Chance) -> Grade {
        let off = i64::from(chance.normal()).saturating_mul(i64::from(self.sd));
        if chance.happens(self.lapse_ppm) {
            return at_place(i32::try_from(chance.below(6)).unwrap_or_default());
        }
        let weak = if place(grade) == 1 { self.weak_bias } else { 0 };
        let meant = i64::from(place(grade))
            .saturating_mul(1000)
            .saturating_add(i64::from(self.bias))
            .saturating_sub(i64::from(weak));
        // In 1/1024 of a thousandth; cut halfway between two grades.
        let seen = meant.saturating_mul(1024).saturating_add(off);
        let rounded = seen.saturating_add(512_000).div_euclid(1_024_000);
        at_place(i32::try_from(rounded).unwrap_or_default())
    }
}

#[cfg(test)]
mod tests {
    use super::Reader;
    use crate::chance::{Chance, Purpose};
    use crate::simulate::mixture::{MAIN, place};

    /// Shares of exact readings and of readings within one grade, at six spreads, and of reactions
    /// from 1+ on that are read as 0 or w.
    ///
    /// # Source
    /// Calculated by numerical integration of the same model, with the grades mixed as 55, 7, 9,
    /// 10, 10 and 9 in a hundred.
    #[test]
    fn shares_of_exact_readings_are_those_of_the_model() {
        const MIX: [u32; 6] = [55, 7, 9, 10, 10, 9];
        const EACH: u32 = 40_000;
        for (sd, exact, within_one, missed) in [
            (200, 9916, 10_000, 15),
            (300, 9350, 10_000, 113),
            (350, 8959, 10_000, 181),
            (500, 7842, 9984, 379),
            (800, 6383, 9638, 712),
            (1000, 5804, 9205, 923),
        ] {
            let reader = Reader::with_sd(sd);
            let mut chance = Chance::new(11, 0, Purpose::Reader);
            // In the weights of the mix, times EACH.
            let (mut hit, mut near, mut below, mut reacting) = (0_u64, 0_u64, 0_u64, 0_u64);
            for (grade, weight) in MAIN.into_iter().zip(MIX) {
                let weight = u64::from(weight);
                for _ in 0..EACH {
                    let read = reader.reads(grade, &mut chance);
                    let off = (place(read) - place(grade)).abs();
                    hit += if off == 0 { weight } else { 0 };
                    near += if off <= 1 { weight } else { 0 };
                    if place(grade) >= 2 {
                        reacting += weight;
                        below += if place(read) <= 1 { weight } else { 0 };
                    }
                }
            }
            let all = 100 * u64::from(EACH);
            let share = |of: u64, all: u64| i64::try_from(of * 10_000 / all).expect("small");
            // Three standard errors of so many readings, and of the table's 1024 steps.
            assert!((share(hit, all) - exact).abs() <= 40, "{sd}: {}", share(hit, all));
            assert!((share(near, all) - within_one).abs() <= 15, "{sd}: {}", share(near, all));
            assert!(
                (share(below, reacting) - missed).abs() <= 20,
                "{sd}: {}",
                share(below, reacting)
            );
        }
    }

    #[test]
    fn a_reader_without_spread_reads_what_is_there() {
        let mut chance = Chance::new(3, 0, Purpose::Reader);
        for grade in MAIN {
            assert_eq!(Reader::with_sd(0).reads(grade, &mut chance), grade);
        }
        let low = Reader { weak_bias: 600, ..Reader::with_sd(0) };
        assert_eq!(low.reads(MAIN[1], &mut chance), MAIN[0]);
        assert_eq!(low.reads(MAIN[2], &mut chance), MAIN[2]);
    }
}
