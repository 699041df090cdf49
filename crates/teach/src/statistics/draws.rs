//! Seeded draws that are the same on every machine.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::Rng as _;

use crate::chance;

/// Words that are taken from the generator at once: what it makes at once.
const WORDS: usize = 64;

/// Whole numbers below a limit, each as likely.
pub(super) struct Draws {
    generator: ChaCha8Rng,
    /// Words of the generator, the last of them not used yet.
    words: [u8; 4 * WORDS],
    used: usize,
    limit: u64,
    /// Products whose lower half is below this are refused, else some numbers were likelier.
    refused: u64,
}

impl Draws {
    /// Draws below `limit`, which must be at least 1. The same numbers as
    /// [`chance::Chance::below`], many at once.
    pub(super) fn new(seed: u64, case: u32, purpose: u16, limit: u32) -> Self {
        let generator = chance::generator(seed, case, purpose);
        let refused = limit.wrapping_neg().checked_rem(limit).unwrap_or_default();
        let words = [0; 4 * WORDS];
        Self { generator, words, used: words.len(), limit: limit.into(), refused: refused.into() }
    }

    /// The next number.
    pub(super) fn draw(&mut self) -> u32 {
        let mut drawn = 0;
        self.each(1, |number| drawn = number);
        drawn
    }

    /// Hands over the next numbers, so many of them.
    #[inline]
    pub(super) fn each(&mut self, numbers: u32, mut take: impl FnMut(u32)) {
        let mut missing = numbers;
        while missing > 0 {
            if self.used >= self.words.len() {
                self.generator.fill_bytes(&mut self.words);
                self.used = 0;
            }
            let wanted = usize::try_from(missing).unwrap_or(WORDS);
            let words =
                self.words.get(self.used..).unwrap_or_default().chunks_exact(4).take(wanted);
            self.used = self.used.saturating_add(words.len().saturating_mul(4));
            for word in words {
                let word = word.first_chunk().copied().map(u32::from_le_bytes).unwrap_or_default();
                let product = u64::from(word).wrapping_mul(self.limit);
                if product & 0xffff_ffff >= self.refused {
                    missing = missing.wrapping_sub(1);
                    take(u32::try_from(product >> 32).unwrap_or_default());
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use rstest::rstest;

    use super::*;

    /// The first words and the first draws below 100 and below 6: calculated with an independent
    /// implementation in Python and with `rand_chacha` 0.9.0.
    #[rstest]
    #[case(42, 0, 0, [3_371_409_497, 4_232_098_985, 1_852_033_961, 1_455_178_988],
        [78, 98, 43, 33, 17, 38, 42, 84], [4, 5, 2, 2, 1, 2, 2, 5, 4, 2, 0, 2])]
    #[case(42, 0, 1, [1_102_087_758, 2_860_734_000, 4_187_605_206, 591_905_701],
        [25, 66, 97, 13, 25, 14, 89, 33], [1, 3, 5, 0, 1, 0, 5, 1, 0, 0, 4, 1])]
    #[case(42, 1, 0, [2_732_073_719, 613_632_201, 2_279_911_794, 1_309_641_214],
        [63, 14, 53, 30, 4, 95, 54, 46], [3, 0, 3, 1, 0, 5, 3, 2, 5, 0, 0, 1])]
    #[case(42, 7, 3, [1_740_737_643, 3_939_353_769, 872_173_877, 4_098_558_261],
        [40, 91, 20, 95, 79, 87, 15, 14], [2, 5, 1, 5, 4, 5, 0, 0, 0, 4, 2, 4])]
    #[case(0, 0, 0, [1_280_855_981, 3_303_703_935, 3_221_032_224, 4_199_380_885],
        [29, 76, 74, 97, 4, 34, 30, 24], [1, 4, 4, 5, 0, 2, 1, 1, 1, 2, 5, 4])]
    #[case(u64::MAX, u32::MAX, u16::MAX, [3_756_583_176, 2_643_508_535, 4_170_062_292, 3_605_322_005],
        [87, 61, 97, 83, 39, 0, 91, 30], [5, 3, 5, 5, 2, 0, 5, 1, 4, 0, 1, 5])]
    fn draws_are_the_same_everywhere(
        #[case] seed: u64,
        #[case] case: u32,
        #[case] purpose: u16,
        #[case] words: [u32; 4],
        #[case] below_100: [u32; 8],
        #[case] below_6: [u32; 12],
    ) {
        let mut draws = Draws::new(seed, case, purpose, 100);
        assert_eq!(words.map(|_| draws.generator.next_u32()), words);
        let mut draws = Draws::new(seed, case, purpose, 100);
        assert_eq!(below_100.map(|_| draws.draw()), below_100);
        let mut draws = Draws::new(seed, case, purpose, 6);
        assert_eq!(below_6.map(|_| draws.draw()), below_6);
    }

    /// With a limit just over half of 2³² nearly half of all words are refused.
    #[test]
    fn words_that_would_favor_a_number_are_refused() {
        let limit = 2_147_483_649;
        let mut draws = Draws::new(42, 0, 0, limit);
        assert_eq!(draws.refused, 2_147_483_647, "2³² modulo the limit");
        let mut words = Draws::new(42, 0, 0, limit).generator;
        let mut kept = 0;
        for _ in 0..1000 {
            let product = u64::from(words.next_u32()).wrapping_mul(limit.into());
            if product & 0xffff_ffff >= 2_147_483_647 {
                kept = u32::saturating_add(kept, 1);
                assert_eq!(u64::from(draws.draw()), product >> 32);
            }
        }
        assert!((450..550).contains(&kept), "{kept}");
    }
}
