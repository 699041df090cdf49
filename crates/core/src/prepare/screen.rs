//! How many donors to test.

use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{One as _, Zero as _};
use serde::Serialize;
use thiserror::Error;

use super::Exact;

/// More donors than this are never asked for.
pub const MOST_DONORS: u32 = 10_000;

/// The largest stock that is counted.
pub const MOST_IN_STOCK: u32 = 1_000;

/// Why no number of donors can be named.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum CannotScreen {
    /// A share of compatible donors outside 0 to 1.
    #[error("the share of compatible donors is {0}; it lies from 0 to 1")]
    Share(Exact),
    /// A probability outside 0 to 1, or 1 itself, which random donors never reach.
    #[error("the probability is {0}; it lies over 0 and under 1")]
    Probability(Exact),
    /// No donor is compatible.
    #[error("no donor is compatible, so none can be found")]
    NoneCompatible,
    /// It would take more donors than anybody tests.
    #[error("it takes more than {MOST_DONORS} donors")]
    TooMany,
    /// The stock is larger than is counted.
    #[error("a stock of {0} is not counted; it is at most {MOST_IN_STOCK}")]
    StockTooLarge(u32),
    /// The stock does not hold what is wanted.
    #[error("the stock of {of} holds {compatible} compatible donors, and {wanted} are wanted")]
    StockTooSmall {
        /// How many donors there are.
        of: u32,
        /// How many of them are compatible.
        compatible: u32,
        /// How many are wanted.
        wanted: u32,
    },
}

/// A stock of donors, so many of them compatible.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[expect(clippy::exhaustive_structs, reason = "two numbers are all there is to it")]
pub struct Stock {
    /// How many donors there are, at most 1,000.
    pub of: u32,
    /// How many of them are expected to be compatible.
    pub compatible: u32,
}

fn probability(value: &Exact) -> Result<&BigRational, CannotScreen> {
    let inside = value.0 > BigRational::zero() && value.0 < BigRational::one();
    if inside { Ok(&value.0) } else { Err(CannotScreen::Probability(value.clone())) }
}

/// The smallest number of random donors among which at least `wanted` are compatible with at least
/// the probability, if each is compatible with the chance `share`, independently of the others.
///
/// It is the least N with P(Binomial(N, share) ≥ wanted) ≥ probability, in whole numbers.
///
/// ```
/// # use crossread_core::prepare::donors_to_test;
/// // Two compatible donors wanted, four in five are compatible.
/// assert_eq!(donors_to_test(2, &"0.8".parse()?, &"0.95".parse()?)?, 4);
/// assert!(donors_to_test(2, &"80".parse()?, &"0.95".parse()?).is_err());
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// If a value is outside its range, no donor is compatible, or it takes more than 10,000.
///
/// # Source
/// The binomial distribution. The common rule wanted / share reaches only about 60 %.
pub fn donors_to_test(wanted: u32, share: &Exact, at_least: &Exact) -> Result<u32, CannotScreen> {
    let at_least = probability(at_least)?;
    if share.0 < BigRational::zero() || share.0 > BigRational::one() {
        return Err(CannotScreen::Share(share.clone()));
    }
    if wanted == 0 {
        return Ok(0);
    }
    if share.0.is_zero() {
        return Err(CannotScreen::NoneCompatible);
    }
    if wanted > MOST_DONORS {
        return Err(CannotScreen::TooMany);
    }
    // In whole numbers over b to the power of the donors tested: `found` counts the ways in which
    // the last wanted one is found by then, `last` those in which it is found just then.
    let (a, b) = (share.0.numer().clone(), share.0.denom().clone());
    let not = &b - &a;
    let mut last: BigInt = a.pow(wanted);
    let mut found = last.clone();
    let mut all: BigInt = b.pow(wanted);
    let mut tested = wanted;
    while &found * at_least.denom() < at_least.numer() * &all {
        if tested >= MOST_DONORS || not.is_zero() {
            return Err(CannotScreen::TooMany);
        }
        // One donor more: the last wanted one is found there in tested / (tested − wanted + 1)
        // times as many ways.
        let more = tested.saturating_sub(wanted).saturating_add(1);
        last = last * &not * BigInt::from(tested) / BigInt::from(more);
        found = found * &b + &last;
        all *= &b;
        tested = tested.saturating_add(1);
    }
    Ok(tested)
}

/// The smallest number of donors out of a stock, without putting any back, among which at least
/// `wanted` are compatible with at least the probability.
///
/// ```
/// # use crossread_core::prepare::{CannotScreen, Stock, donors_from_stock};
/// let stock = Stock { of: 6, compatible: 2 };
/// // Each one left out of 6 may be one of the two.
/// assert_eq!(donors_from_stock(1, stock, &"0.95".parse()?)?, 5);
/// let more = donors_from_stock(3, stock, &"0.95".parse()?);
/// assert!(matches!(more, Err(CannotScreen::StockTooSmall { .. })));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// If a value is outside its range, or the stock does not hold as many.
///
/// # Source
/// The hypergeometric distribution.
pub fn donors_from_stock(wanted: u32, stock: Stock, at_least: &Exact) -> Result<u32, CannotScreen> {
    let at_least = probability(at_least)?;
    let Stock { of, compatible } = stock;
    if of > MOST_IN_STOCK {
        return Err(CannotScreen::StockTooLarge(of));
    }
    if wanted > compatible.min(of) {
        return Err(CannotScreen::StockTooSmall { of, compatible, wanted });
    }
    let others = of.saturating_sub(compatible);
    for tested in wanted..=of {
        let ways = |found: u32| -> BigInt {
            choose(compatible, found) * choose(others, tested.saturating_sub(found))
        };
        let enough: BigInt = (wanted..=tested.min(compatible)).map(ways).sum();
        if enough * at_least.denom() >= at_least.numer() * choose(of, tested) {
            return Ok(tested);
        }
    }
    Err(CannotScreen::StockTooSmall { of, compatible, wanted })
}

/// In how many ways `some` can be chosen of `all`.
fn choose(all: u32, some: u32) -> BigInt {
    if some > all {
        return BigInt::zero();
    }
    num_integer::binomial(BigInt::from(all), BigInt::from(some))
}
