//! Items of an exercise: how hard they are, and whether they tell good readers from bad.

use serde::Serialize;

use super::cases::{Cases, count};
use super::fault::{Fault, Faults};
use super::undefined::{Undefined, Value, written};

/// Which items each reader had right. An answer that is missing is `None`; whoever counts it as
/// wrong hands in `Some(false)`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answers {
    items: usize,
    /// The readers who answered every item.
    readers: Vec<Vec<bool>>,
    left_out: u32,
}

/// The items of an exercise.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Items {
    /// The readers who answered every item.
    pub readers: Cases,
    /// The readers who were left out because they did not.
    pub left_out: u32,
    /// How many readers are in the upper and in the lower group.
    pub group: u32,
    /// Each item.
    pub items: Vec<Item>,
    /// The reliability of the exercise, KR-20.
    #[serde(serialize_with = "written")]
    pub kr20: Value,
}

/// One item of an exercise.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Item {
    /// How many readers had it right.
    pub right: u32,
    /// The share who had it right, 0 to 1: high is easy.
    #[serde(serialize_with = "written")]
    pub difficulty: Value,
    /// The correlation with the number right in the whole exercise, the item included.
    #[serde(serialize_with = "written")]
    pub point_biserial: Value,
    /// The correlation with the number right in all other items.
    #[serde(serialize_with = "written")]
    pub item_rest: Value,
    /// The share right in the best 27 % of readers − that in the worst 27 %.
    #[serde(serialize_with = "written")]
    pub upper_lower: Value,
    /// Whether those who had it right did worse elsewhere: look at the key and the picture.
    pub suspect: bool,
}

impl Answers {
    /// Takes which items each reader had right.
    ///
    /// ```
    /// # use crossread_teach::statistics::Answers;
    /// assert!(Answers::new(&[vec![Some(true), None], vec![Some(true), Some(false)]]).is_ok());
    /// // The second reader has one answer too few.
    /// assert!(Answers::new(&[vec![Some(true), None], vec![Some(true)]]).is_err());
    /// ```
    ///
    /// # Errors
    /// All readers whose number of answers is not that of the first.
    pub fn new(readers: &[impl AsRef<[Option<bool>]>]) -> Result<Self, Faults> {
        let expected = readers.first().map_or(0, |first| first.as_ref().len());
        let mut faults = Vec::new();
        let (mut complete, mut left_out) = (Vec::new(), 0_u32);
        for (answers, place) in readers.iter().zip(1..) {
            let answers = answers.as_ref();
            let found = answers.len();
            if found != expected {
                faults.push(Fault::Length { what: "reader", place, expected, found });
            }
            match answers.iter().copied().collect() {
                Some(answers) => complete.push(answers),
                None => left_out = left_out.saturating_add(1),
            }
        }
        Faults::unless(faults, || Self { items: expected, readers: complete, left_out })
    }

    /// How hard the items are, and how they tell readers apart.
    ///
    /// The upper and lower groups are 27 % of the readers each, rounded half up and at least one;
    /// readers with the same number right stay in the order they were handed in. KR-20 is
    /// k ÷ (k − 1) × (1 − Σ p(1 − p) ÷ variance of the number right), with the variance of the
    /// readers themselves (÷ n).
    ///
    /// ```
    /// # use crossread_teach::statistics::Answers;
    /// let right = |of: [bool; 3]| of.map(Some);
    /// let readers = [[true, true, true], [true, true, false], [true, false, false]].map(right);
    /// let items = Answers::new(&readers)?.items();
    /// assert_eq!(items.readers.count(), 3);
    /// // Everybody had the first right, one the last.
    /// assert_eq!((items.items[0].right, items.items[2].right), (3, 1));
    /// assert_eq!(items.items[0].difficulty, Ok(1.0));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Source
    /// Kuder GF, Richardson MW 1937, Psychometrika 2:151–160; groups of 27 %: Kelley TL 1939, J Educ
    /// Psychol 30:17–24 (both from memory; KR-20 checked against Cronbach's alpha of pingouin 0.6.1).
    pub fn items(&self) -> Items {
        let totals: Vec<u32> = self
            .readers
            .iter()
            .map(|answers| count(answers.iter().filter(|right| **right).count()))
            .collect();
        let mut order: Vec<(&Vec<bool>, u32)> =
            self.readers.iter().zip(totals.iter().copied()).collect();
        order.sort_by_key(|(_, total)| std::cmp::Reverse(*total));
        let readers = count(self.readers.len());
        let group = group(self.readers.len());
        let items: Vec<Item> = (0..self.items)
            .map(|item| {
                let right = |answers: &Vec<bool>| answers.get(item).copied().unwrap_or(false);
                self.item(&totals, &order, group, right)
            })
            .collect();
        let kr20 = kr20(&items, &totals);
        Items {
            readers: Cases::new(readers),
            left_out: self.left_out,
            group: count(group),
            items,
            kr20,
        }
    }

    fn item(
        &self,
        totals: &[u32],
        order: &[(&Vec<bool>, u32)],
        group: usize,
        right: impl Fn(&Vec<bool>) -> bool,
    ) -> Item {
        let answers: Vec<u32> = self.readers.iter().map(|reader| right(reader).into()).collect();
        let hits = answers.iter().fold(0_u32, |sum, answer| sum.saturating_add(*answer));
        let rests: Vec<u32> =
            totals.iter().zip(&answers).map(|(all, own)| all.saturating_sub(*own)).collect();
        let of_group = |mut readers: Box<dyn Iterator<Item = &(&Vec<bool>, u32)> + '_>| {
            let mut hits = 0_u32;
            for (reader, _) in readers.by_ref().take(group) {
                hits = hits.saturating_add(right(reader).into());
            }
            f64::from(hits) / f64::from(count(group))
        };
        let item_rest = correlation(&answers, &rests);
        Item {
            right: hits,
            difficulty: match count(answers.len()) {
                0 => Err(Undefined::NoCases),
                readers => Ok(f64::from(hits) / f64::from(readers)),
            },
            point_biserial: correlation(&answers, totals),
            item_rest,
            upper_lower: match order.len() {
                0 => Err(Undefined::NoCases),
                1 => Err(Undefined::OneCase),
                _ => Ok(of_group(Box::new(order.iter())) - of_group(Box::new(order.iter().rev()))),
            },
            suspect: item_rest.is_ok_and(|correlation| correlation < 0.0),
        }
    }
}

/// 27 % of the readers, rounded half up, at least one.
fn group(readers: usize) -> usize {
    let hundredths = readers.saturating_mul(27).saturating_add(50);
    hundredths.checked_div(100).unwrap_or_default().max(1)
}

/// Pearson's correlation of whole numbers.
fn correlation(first: &[u32], second: &[u32]) -> Value {
    match first.len() {
        0 => return Err(Undefined::NoCases),
        1 => return Err(Undefined::OneCase),
        _ => {}
    }
    let n = f64::from(count(first.len()));
    let (mut sums, mut squares, mut products) = ([0.0; 2], [0.0; 2], 0.0);
    for (&x, &y) in first.iter().zip(second) {
        let (x, y) = (f64::from(x), f64::from(y));
        for ((sum, square), value) in sums.iter_mut().zip(&mut squares).zip([x, y]) {
            *sum += value;
            *square += value * value;
        }
        products += x * y;
    }
    // Whole numbers below 2⁵³ until the root, so that no variation gives exactly 0.
    let [a, b] = sums;
    let [aa, bb] = squares;
    let spread = (n * aa - a * a) * (n * bb - b * b);
    if spread <= 0.0 {
        Err(Undefined::NoVariation)
    } else {
        Ok((n * products - a * b) / spread.sqrt())
    }
}

fn kr20(items: &[Item], totals: &[u32]) -> Value {
    let n = f64::from(count(totals.len()));
    if totals.is_empty() || items.is_empty() {
        return Err(Undefined::NoCases);
    }
    if items.len() == 1 || totals.len() == 1 {
        return Err(Undefined::OneCase);
    }
    let (mut sum, mut squares) = (0.0, 0.0);
    for total in totals {
        let total = f64::from(*total);
        sum += total;
        squares += total * total;
    }
    let variance = n * squares - sum * sum;
    if variance <= 0.0 {
        return Err(Undefined::NoVariation);
    }
    let of_items: f64 =
        items.iter().map(|item| f64::from(item.right) * (n - f64::from(item.right))).sum();
    let k = f64::from(count(items.len()));
    Ok(k / (k - 1.0) * (1.0 - of_items / variance))
}
