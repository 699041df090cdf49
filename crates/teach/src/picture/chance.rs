//! What the drawings need of chance beside the plain draws: lengths, laws, directions.

use crate::chance::Chance;

impl Chance {
    /// A number from `low` to `high`, both included; `low` if there is none.
    pub(super) fn range(&mut self, low: i64, high: i64) -> i64 {
        let width = u32::try_from(high - low + 1).unwrap_or(0);
        low + i64::from(self.below(width))
    }

    /// A share of 65535 by the law Beta(a, b).
    pub(super) fn share(&mut self, a: usize, b: usize) -> i64 {
        i64::from(self.beta(a, b))
    }

    /// 1, 2, 3 … with the mean given in thousandths, falling evenly. At most 4000.
    pub(super) fn geometric(&mut self, mean: u32) -> usize {
        let more = (u64::from(mean.saturating_sub(1000)) * 1_000_000)
            .checked_div(u64::from(mean))
            .and_then(|ppm| u32::try_from(ppm).ok())
            .unwrap_or(0);
        let mut number = 1;
        while number < 4000 && self.below(1_000_000) < more {
            number += 1;
        }
        number
    }

    /// Around 0, from -1000 to 1000, nearer to 0 more often.
    pub(super) fn noise(&mut self) -> i64 {
        self.range(-500, 500) + self.range(-500, 500)
    }

    /// A direction, in 1024ths of a turn.
    pub(super) fn direction(&mut self) -> i64 {
        self.range(0, 1023)
    }
}

#[cfg(test)]
mod tests {
    use crate::chance::{Chance, Purpose};

    #[test]
    fn bounds_are_kept() {
        let mut chance = Chance::new(1, 0, Purpose::Gel);
        for _ in 0..20_000 {
            assert!((-3..=3).contains(&chance.range(-3, 3)));
            assert!((0..=65_535).contains(&chance.share(2, 3)));
            assert!((-1000..=1000).contains(&chance.noise()));
            assert!((1..=4000).contains(&chance.geometric(9000)));
        }
        assert_eq!(chance.range(5, 4), 5);
        assert_eq!(chance.geometric(0), 1);
    }

    /// The mean of a geometric law is what was asked for; the greatest error of a mean of 20 000
    /// numbers with mean 9 is well under 4 %.
    #[test]
    fn groups_have_the_mean_that_was_asked_for() {
        let mut chance = Chance::new(2, 0, Purpose::Gel);
        let sum: usize = (0..20_000).map(|_| chance.geometric(9000)).sum();
        assert!((172_800..=187_200).contains(&sum), "{sum}");
    }
}
