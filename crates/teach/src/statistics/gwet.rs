//! Gwet's AC1 and AC2: agreement beyond chance that does not collapse when one grade is rare.

use serde::Serialize;

use super::cases::{Cases, count};
use super::distribution::student_quantile;
use super::interval::{Confidence, Interval};
use super::panel::{Counts, Panel};
use super::scale::{MOST_GRADES, Scale};
use super::table::Table;
use super::undefined::{Undefined, Value, written};
use super::weighting::{Weighting, Weights};

/// Gwet's coefficient: AC1 unweighted, AC2 with weights.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Gwet {
    /// The items with a reading.
    pub cases: Cases,
    /// Observed agreement, weighted, 0 to 1.
    #[serde(serialize_with = "written")]
    pub observed: Value,
    /// Agreement expected by chance, weighted, 0 to 1.
    #[serde(serialize_with = "written")]
    pub expected: Value,
    /// The coefficient: 1 is complete agreement, 0 what chance would give.
    #[serde(serialize_with = "written")]
    pub value: Value,
    /// The standard error, with readers taken as they are and items as a sample.
    #[serde(serialize_with = "written")]
    pub standard_error: Value,
    /// The interval from Student's t with one degree fewer than items.
    #[serde(serialize_with = "written")]
    pub interval: Result<Interval, Undefined>,
    /// Whether every reading is the same grade: the value is then 1, and says nothing.
    pub one_grade: bool,
}

/// Gwet's coefficient of a panel.
///
/// With the share πq of a grade (mean over the items), k grades and T the sum of all weights,
/// agreement by chance is T ÷ k(k − 1) × Σ πq(1 − πq). Unlike kappa it has a value, 1, when every
/// reading is the same grade; see [`Gwet::one_grade`].
///
/// The variance is Σ (own − value)² ÷ n(n − 1) over what each item adds. The older formula for two
/// readers has n² there, and errors smaller by √((n − 1)/n).
///
/// ```
/// # use crossread_teach::statistics::*;
/// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
/// let (anna, ben) = ([0, 0, 1, 2, 4], [0, 0, 1, 2, 3]);
/// let panel = Panel::by_reader(&scale, &[anna.map(Some), ben.map(Some)])?;
/// let ac2 = gwet(&panel, &Weighting::Quadratic, Confidence::P95);
/// assert!(ac2.value? > 0.9 && !ac2.one_grade);
/// // All of one grade: 1, which says nothing.
/// let same = Panel::by_reader(&scale, &[[Some(0), Some(0)], [Some(0), Some(0)]])?;
/// let ac1 = gwet(&same, &Weighting::Unweighted, Confidence::P95);
/// assert_eq!((ac1.value, ac1.one_grade), (Ok(1.0), true));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Source
/// Gwet KL 2008, Br J Math Stat Psychol 61:29–48, and 2014, Handbook of inter-rater reliability,
/// 4th ed. (formulas from memory; checked against the package irrCAC 0.4.4 and its README).
pub fn gwet(panel: &Panel, weighting: &Weighting, confidence: Confidence) -> Gwet {
    let rows: Vec<(Counts, u32)> = panel.counts().map(|counts| (counts, 1)).collect();
    of_rows(&rows, panel.scale(), weighting, confidence)
}

/// Gwet's coefficient of the two readings of a table, as [`gwet`] gives it.
///
/// ```
/// # use crossread_teach::statistics::*;
/// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
/// let (anna, ben) = ([0, 0, 1, 2, 4], [0, 0, 1, 2, 3]);
/// let panel = Panel::by_reader(&scale, &[anna.map(Some), ben.map(Some)])?;
/// let of_table = gwet_of_table(&panel.pairs(0, 1).table(), &Weighting::Linear, Confidence::P95);
/// let of_panel = gwet(&panel, &Weighting::Linear, Confidence::P95);
/// assert!((of_table.value? - of_panel.value?).abs() < 1e-12);
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
pub fn gwet_of_table(table: &Table, weighting: &Weighting, confidence: Confidence) -> Gwet {
    let rows: Vec<(Counts, u32)> = table
        .cells()
        .filter(|(_, _, cases)| *cases > 0)
        .map(|(first, second, cases)| {
            let mut counts = [0_u32; MOST_GRADES];
            for grade in [first, second] {
                if let Some(count) = counts.get_mut(usize::from(grade)) {
                    *count = count.saturating_add(1);
                }
            }
            (counts, cases)
        })
        .collect();
    of_rows(&rows, table.scale(), weighting, confidence)
}

/// One item, or several that were read alike.
struct Row {
    counts: [f64; MOST_GRADES],
    readings: f64,
    /// How many items.
    items: f64,
    /// Observed agreement, if there are two readings.
    agreed: Option<f64>,
}

fn of_rows(
    rows: &[(Counts, u32)],
    scale: &Scale,
    weighting: &Weighting,
    confidence: Confidence,
) -> Gwet {
    let read = rows.iter().filter(|(counts, _)| counts.iter().any(|count| *count > 0));
    let cases = read.clone().fold(0_u32, |sum, (_, items)| sum.saturating_add(*items));
    let mut used = [false; MOST_GRADES];
    for (counts, _) in read.clone() {
        for (used, count) in used.iter_mut().zip(counts) {
            *used |= *count > 0;
        }
    }
    let one_grade = used.iter().filter(|used| **used).count() == 1;
    let calculated = if cases == 0 {
        Err(Undefined::NoCases)
    } else {
        weighting.weights(scale).and_then(|weights| {
            let rows: Vec<Row> =
                read.map(|(counts, items)| row(counts, *items, &weights)).collect();
            calculate(&rows, scale, &weights)
        })
    };
    let part = |of: fn(&Calculated) -> Value| calculated.as_ref().map_or_else(|e| Err(*e), of);
    let standard_error = part(|c| c.error);
    let value = part(|c| Ok(c.value));
    let degrees = f64::from(cases) - 1.0;
    Gwet {
        cases: Cases::new(cases),
        observed: part(|c| Ok(c.observed)),
        expected: part(|c| Ok(c.expected)),
        value,
        standard_error,
        interval: value.and_then(|value| {
            let error = standard_error?;
            let factor = student_quantile(1.0 - confidence.tail(), degrees)?;
            Interval::around(value, error, factor, confidence)
        }),
        one_grade,
    }
}

fn row(counts: &Counts, items: u32, weights: &Weights<'_>) -> Row {
    let counts = counts.map(f64::from);
    let readings: f64 = counts.iter().sum();
    let agreed = (readings >= 2.0).then(|| {
        let mut differing = 0.0;
        for (weights, first) in weights.rows().zip(counts) {
            for (weight, second) in weights.iter().zip(counts) {
                differing += weight * first * second;
            }
        }
        1.0 - differing / (readings * (readings - 1.0))
    });
    Row { counts, readings, items: f64::from(items), agreed }
}

struct Calculated {
    observed: f64,
    expected: f64,
    value: f64,
    error: Value,
}

fn calculate(rows: &[Row], scale: &Scale, weights: &Weights<'_>) -> Result<Calculated, Undefined> {
    let items: f64 = rows.iter().map(|row| row.items).sum();
    let paired: f64 = rows.iter().filter(|row| row.agreed.is_some()).map(|row| row.items).sum();
    if paired <= 0.0 {
        return Err(Undefined::NoPairs);
    }
    let mut shares = [0.0; MOST_GRADES];
    for row in rows {
        for (share, count) in shares.iter_mut().zip(row.counts) {
            *share += row.items * count / row.readings / items;
        }
    }
    let grades = f64::from(count(scale.grades()));
    let differing = weights.rows().take(scale.grades());
    let differing = differing.flat_map(|row| row.iter().take(scale.grades()));
    let total = grades * grades - differing.sum::<f64>();
    let spread = total / (grades * (grades - 1.0));
    let expected = spread * shares.iter().map(|share| share * (1.0 - share)).sum::<f64>();
    let agreed = |row: &Row| row.agreed.unwrap_or_default();
    let observed = rows.iter().map(|row| row.items * agreed(row)).sum::<f64>() / paired;
    // Below 1 for any weights: there is always a disagreement of 1.
    let beyond = 1.0 - expected;
    let value = (observed - expected) / beyond;
    let mut squares = 0.0;
    for row in rows {
        let own = match row.agreed {
            Some(agreed) => items / paired * (agreed - expected) / beyond,
            None => 0.0,
        };
        let each = row.counts.iter().zip(shares).map(|(count, share)| count * (1.0 - share));
        let chance = spread * each.sum::<f64>() / row.readings;
        let off = own - 2.0 * (1.0 - value) * (chance - expected) / beyond - value;
        squares += row.items * off * off;
    }
    // Below this it is what rounding left of 0.
    let squares = if squares < 1e-24 * items { 0.0 } else { squares };
    let error = if items < 2.0 {
        Err(Undefined::OneCase)
    } else {
        Ok((squares / (items * (items - 1.0))).sqrt())
    };
    Ok(Calculated { observed, expected, value, error })
}
