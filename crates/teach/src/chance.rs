//! Chance from a seed: the same numbers on every platform, in integers only.
//!
//! The generator is `ChaCha8`, with 8 rounds. Its key holds the seed and the version of this scheme,
//! its stream the case and the purpose, so that one purpose never disturbs another. Words are taken
//! as `u32` in order; the draws below are our own, because those of the common libraries may
//! change from one release to the next.
//!
//! ```
//! use crossread_teach::chance::{Chance, Purpose};
//!
//! // The same seed, case and purpose give the same numbers everywhere.
//! let mut first = Chance::new(42, 1, Purpose::Case);
//! let mut again = Chance::new(42, 1, Purpose::Case);
//! assert_eq!(first.below(1000), again.below(1000));
//! // Another purpose takes nothing away from this one.
//! let mut reader = Chance::new(42, 1, Purpose::Reader);
//! assert_ne!(first.word(), reader.word());
//! ```

mod normal;

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng as _, SeedableRng as _};

/// The version of the scheme, which is part of the key. Another scheme draws other cases.
pub const SCHEME: &str = "XMEX0001";

/// What a stream of numbers is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Purpose {
    /// Animals, blood types, antibodies.
    Case,
    /// The drawing of a gel column.
    Gel,
    /// The drawing of a tube.
    Tube,
    /// The drawing of a slide.
    Slide,
    /// The drawing of a microscope field.
    Microscope,
    /// What a reader makes of it.
    Reader,
    /// Faults of technique.
    Technique,
    /// Which items there are, and their order.
    Items,
    /// Titrations.
    Titration,
    /// Wrong choices to choose from.
    Distractors,
    /// Resampling of readings.
    Resampling,
}

impl Purpose {
    /// The number that is part of the stream.
    pub fn number(self) -> u16 {
        match self {
            Self::Case => 0,
            Self::Gel => 1,
            Self::Tube => 2,
            Self::Slide => 3,
            Self::Microscope => 4,
            Self::Reader => 5,
            Self::Technique => 6,
            Self::Items => 7,
            Self::Titration => 8,
            Self::Distractors => 9,
            Self::Resampling => 10,
        }
    }
}

/// What draws the words of a seed, a case and a purpose.
pub(crate) fn generator(seed: u64, case: u32, purpose: u16) -> ChaCha8Rng {
    let mut key = [0_u8; 32];
    let filled = seed.to_le_bytes().into_iter().chain(SCHEME.bytes());
    for (byte, from) in key.iter_mut().zip(filled) {
        *byte = from;
    }
    let mut generator = ChaCha8Rng::from_seed(key);
    generator.set_stream(u64::from(case) << 16 | u64::from(purpose));
    generator
}

/// A stream of chance.
#[derive(Clone, Debug)]
pub struct Chance(ChaCha8Rng);

impl Chance {
    /// The stream of a seed, a case and a purpose.
    ///
    /// ```
    /// # use crossread_teach::chance::{Chance, Purpose};
    /// let word = |case| Chance::new(42, case, Purpose::Tube).word();
    /// assert_eq!(word(1), word(1));
    /// assert_ne!(word(1), word(2));
    /// ```
    pub fn new(seed: u64, case: u32, purpose: Purpose) -> Self {
        Self(generator(seed, case, purpose.number()))
    }

    /// The next word.
    pub fn word(&mut self) -> u32 {
        self.0.next_u32()
    }

    /// A number below `n`, each as likely; 0 if `n` is 0. By multiplying and shifting, with
    /// rejection of what would favor some numbers.
    ///
    /// ```
    /// # use crossread_teach::chance::{Chance, Purpose};
    /// let mut chance = Chance::new(42, 0, Purpose::Items);
    /// assert!((0..1000).all(|_| chance.below(13) < 13));
    /// assert_eq!(chance.below(0), 0);
    /// ```
    ///
    /// # Source
    /// Lemire D. Fast random integer generation in an interval. ACM Transactions on Modeling and
    /// Computer Simulation 2019;29:3 (from memory).
    pub fn below(&mut self, n: u32) -> u32 {
        let too_few = n.wrapping_neg().checked_rem(n).unwrap_or_default();
        loop {
            let product = u64::from(self.word()).saturating_mul(u64::from(n));
            // The low half decides; what is kept is the high half, which is below `n`.
            let (high, low) = (product >> 32, product & u64::from(u32::MAX));
            if low >= u64::from(too_few) {
                return u32::try_from(high).unwrap_or_default();
            }
        }
    }

    /// A number from `lo` to `hi`, both included; `lo` if `hi` is below it.
    ///
    /// ```
    /// # use crossread_teach::chance::{Chance, Purpose};
    /// let mut chance = Chance::new(42, 0, Purpose::Titration);
    /// assert!((0..1000).all(|_| (2..=5).contains(&chance.between(2, 5))));
    /// assert_eq!(chance.between(5, 2), 5);
    /// ```
    pub fn between(&mut self, lo: u32, hi: u32) -> u32 {
        let span = hi.saturating_sub(lo).saturating_add(1);
        lo.saturating_add(self.below(span))
    }

    /// Whether something happens that happens so many times in a million.
    ///
    /// ```
    /// # use crossread_teach::chance::{Chance, Purpose};
    /// let mut chance = Chance::new(42, 0, Purpose::Technique);
    /// assert!(chance.happens(1_000_000) && !chance.happens(0));
    /// let often = (0..10_000).filter(|_| chance.happens(250_000)).count();
    /// assert!((2300..2700).contains(&often));
    /// ```
    pub fn happens(&mut self, ppm: u32) -> bool {
        self.below(1_000_000) < ppm
    }

    /// The place of one of several weights, each as likely as its weight; `None` if all are 0.
    ///
    /// ```
    /// # use crossread_teach::chance::{Chance, Purpose};
    /// let mut chance = Chance::new(42, 0, Purpose::Case);
    /// // What has no weight never comes.
    /// assert!((0..1000).all(|_| chance.weighted(&[3, 0, 1]) != Some(1)));
    /// assert_eq!(chance.weighted(&[0, 0]), None);
    /// ```
    pub fn weighted(&mut self, weights: &[u32]) -> Option<usize> {
        let total = weights.iter().fold(0_u32, |sum, weight| sum.saturating_add(*weight));
        if total == 0 {
            return None;
        }
        let mut left = self.below(total);
        for (place, weight) in weights.iter().enumerate() {
            match left.checked_sub(*weight) {
                Some(rest) => left = rest,
                None => return Some(place),
            }
        }
        None
    }

    /// One of several, each as likely; `None` if there are none.
    ///
    /// ```
    /// # use crossread_core::words::Grade;
    /// # use crossread_teach::chance::{Chance, Purpose};
    /// let mut chance = Chance::new(42, 0, Purpose::Items);
    /// assert!(chance.one_of(Grade::ALL).is_some());
    /// assert_eq!(chance.one_of::<Grade>(&[]), None);
    /// ```
    pub fn one_of<'t, T>(&mut self, things: &'t [T]) -> Option<&'t T> {
        let count = u32::try_from(things.len()).ok().filter(|count| *count > 0)?;
        things.get(usize::try_from(self.below(count)).ok()?)
    }

    /// A normal deviate in 1/1024 of its standard deviation, from a table of 1024 values.
    ///
    /// ```
    /// # use crossread_teach::chance::{Chance, Purpose};
    /// let mut chance = Chance::new(42, 0, Purpose::Reader);
    /// // About two in three lie within one standard deviation.
    /// let within = (0..10_000).filter(|_| chance.normal().abs() <= 1024).count();
    /// assert!((6600..7050).contains(&within));
    /// ```
    pub fn normal(&mut self) -> i32 {
        normal::deviate(self.word() >> 22)
    }

    /// A Beta(a, b) deviate in 1/65536: the a-th smallest of a + b − 1 uniform ones.
    ///
    /// ```
    /// # use crossread_teach::chance::{Chance, Purpose};
    /// let mut chance = Chance::new(42, 0, Purpose::Case);
    /// // The mean of Beta(3, 3) is one half.
    /// let sum: u32 = (0..1000).map(|_| chance.beta(3, 3)).sum();
    /// assert!((480..520).contains(&(sum / 65_536)));
    /// ```
    pub fn beta(&mut self, a: usize, b: usize) -> u32 {
        let count = a.saturating_add(b).saturating_sub(1);
        let mut all: Vec<u32> = (0..count).map(|_| self.word() >> 16).collect();
        all.sort_unstable();
        all.get(a.saturating_sub(1)).copied().unwrap_or_default()
    }

    /// Puts things in a random order, each order as likely (Fisher and Yates, from the top down).
    ///
    /// ```
    /// # use crossread_teach::chance::{Chance, Purpose};
    /// let mut items = [1, 2, 3, 4, 5, 6, 7, 8];
    /// Chance::new(42, 0, Purpose::Items).shuffle(&mut items);
    /// assert_ne!(items, [1, 2, 3, 4, 5, 6, 7, 8]);
    /// items.sort();
    /// assert_eq!(items, [1, 2, 3, 4, 5, 6, 7, 8]);
    /// ```
    pub fn shuffle<T>(&mut self, things: &mut [T]) {
        for top in (1..things.len()).rev() {
            let count = u32::try_from(top.saturating_add(1)).unwrap_or(u32::MAX);
            things.swap(top, usize::try_from(self.below(count)).unwrap_or_default());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Chance, Purpose, generator};

    /// Words and numbers below 100 that two independent programs drew.
    ///
    /// # Source
    /// Calculated with `rand_chacha` 0.9.0 and with a `ChaCha8` of its own in Python; both agree.
    #[test]
    fn words_and_numbers_of_two_independent_programs() {
        for (seed, (case, purpose), words, below) in [
            (
                42,
                (0, 0),
                [3_371_409_497, 4_232_098_985, 1_852_033_961, 1_455_178_988],
                [78, 98, 43, 33, 17, 38],
            ),
            (
                42,
                (0, 1),
                [1_102_087_758, 2_860_734_000, 4_187_605_206, 591_905_701],
                [25, 66, 97, 13, 25, 14],
            ),
            (
                42,
                (1, 0),
                [2_732_073_719, 613_632_201, 2_279_911_794, 1_309_641_214],
                [63, 14, 53, 30, 4, 95],
            ),
            (
                42,
                (7, 3),
                [1_740_737_643, 3_939_353_769, 872_173_877, 4_098_558_261],
                [40, 91, 20, 95, 79, 87],
            ),
            (
                0,
                (0, 0),
                [1_280_855_981, 3_303_703_935, 3_221_032_224, 4_199_380_885],
                [29, 76, 74, 97, 4, 34],
            ),
            (
                u64::MAX,
                (u32::MAX, u16::MAX),
                [3_756_583_176, 2_643_508_535, 4_170_062_292, 3_605_322_005],
                [87, 61, 97, 83, 39, 0],
            ),
        ] {
            let mut chance = Chance(generator(seed, case, purpose));
            assert_eq!(
                [0; 4].map(|_| chance.word()),
                words,
                "seed {seed}, case {case}, purpose {purpose}"
            );
            let mut chance = Chance(generator(seed, case, purpose));
            assert_eq!(
                [0; 6].map(|_| chance.below(100)),
                below,
                "seed {seed}, case {case}, purpose {purpose}"
            );
        }
    }

    /// # Source
    /// Calculated by the same two programs.
    #[test]
    fn normal_deviates_of_two_independent_programs() {
        let mut chance = Chance::new(42, 0, Purpose::Reader);
        let drawn = [0; 8].map(|_| chance.normal());
        assert_eq!(drawn, [1115, 97, -432, 1505, -1220, 257, -937, -987]);
    }

    #[test]
    fn every_purpose_has_a_stream_of_its_own() {
        let all = [
            Purpose::Case,
            Purpose::Gel,
            Purpose::Tube,
            Purpose::Slide,
            Purpose::Microscope,
            Purpose::Reader,
            Purpose::Technique,
            Purpose::Items,
            Purpose::Titration,
            Purpose::Distractors,
            Purpose::Resampling,
        ];
        let first = |case, purpose| Chance::new(7, case, purpose).word();
        let mut words: Vec<u32> = Vec::new();
        for case in 0..20 {
            words.extend(all.map(|purpose| first(case, purpose)));
        }
        words.sort_unstable();
        let before = words.len();
        words.dedup();
        assert_eq!(words.len(), before);
    }

    #[test]
    fn draws_stay_in_their_range_and_reach_all_of_it() {
        let mut chance = Chance::new(1, 0, Purpose::Items);
        for n in 1..=40 {
            let mut met = vec![false; usize::try_from(n).expect("small")];
            for _ in 0..2_000 {
                met[usize::try_from(chance.below(n)).expect("small")] = true;
            }
            assert!(met.iter().all(|met| *met), "below {n}");
        }
        assert_eq!(chance.below(0), 0);
        assert_eq!(chance.between(3, 3), 3);
        assert_eq!(chance.weighted(&[0, 0]), None);
        assert_eq!(chance.weighted(&[0, 5, 0]), Some(1));
        assert_eq!(chance.one_of::<u8>(&[]), None);
        let mut order: Vec<u32> = (0..50).collect();
        chance.shuffle(&mut order);
        assert_ne!(order, (0..50).collect::<Vec<u32>>());
        order.sort_unstable();
        assert_eq!(order, (0..50).collect::<Vec<u32>>());
    }

    /// The mean of Beta(2, 2) is 1/2 and its variance 1/20, that of Beta(3, 3) 1/28.
    #[test]
    fn beta_deviates_have_the_mean_and_variance_of_their_law() {
        for (a, variance_of_ten_thousand) in [(2, 500), (3, 357)] {
            let mut chance = Chance::new(5, 0, Purpose::Case);
            let drawn: Vec<i64> = (0..20_000).map(|_| i64::from(chance.beta(a, a))).collect();
            let mean = drawn.iter().sum::<i64>() / 20_000;
            assert!((mean - 32_768).abs() < 400, "{mean}");
            let squares = drawn.iter().map(|x| (x - mean) * (x - mean)).sum::<i64>() / 20_000;
            let scaled = squares * 10_000 / (65_536 * 65_536);
            assert!((scaled - variance_of_ten_thousand).abs() < 12, "{scaled}");
        }
    }
}
