//! Krippendorff's alpha: any number of readers, with gaps.

use super::cases::{Cases, Figure};
use super::panel::Panel;
use super::scale::MOST_GRADES;
use super::table::CELLS;
use super::undefined::Undefined;

/// How far two grades lie apart for Krippendorff's alpha.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[expect(clippy::exhaustive_enums, reason = "what a scale of grades can be taken for")]
pub enum Metric {
    /// Any difference counts 1.
    Nominal,
    /// By how many readings lie between: (half of both grades' readings and all between)².
    /// The choice for grades.
    Ordinal,
    /// By the number of grades between: (i − j)².
    Interval,
}

/// Krippendorff's alpha of the items that have two readings or more.
///
/// Every ordered pair of readings of an item counts 1 ÷ (readings − 1). With o the sums of these
/// for each two grades, n their totals and d the squared distance, alpha is
/// 1 − (Σ n − 1) Σ o d ÷ Σ n n d. It has no value if every reading is the same grade.
///
/// ```
/// # use crossread_teach::statistics::*;
/// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
/// let (anna, ben) = ([0, 0, 1, 2, 4], [0, 0, 1, 2, 3]);
/// let panel = Panel::by_reader(&scale, &[anna.map(Some), ben.map(Some)])?;
/// let figure = alpha(&panel, Metric::Ordinal);
/// assert_eq!(figure.cases.count(), 5);
/// assert!(figure.value? > 0.9);
/// // All of one grade: there is no agreement beyond chance to be told.
/// let same = Panel::by_reader(&scale, &[[Some(0), Some(0)], [Some(0), Some(0)]])?;
/// assert!(alpha(&same, Metric::Ordinal).value.is_err());
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Source
/// Krippendorff K 2011, Computing Krippendorff's alpha-reliability, University of Pennsylvania
/// (formula from memory; checked against the package krippendorff 0.9.0).
pub fn alpha(panel: &Panel, metric: Metric) -> Figure {
    let grades = panel.scale().grades();
    let mut met = [0.0; CELLS];
    let (mut chosen, mut items) = ([0.0; MOST_GRADES], 0_u32);
    for counts in panel.counts() {
        let counts = counts.map(f64::from);
        let readings: f64 = counts.iter().sum();
        if readings < 2.0 {
            continue;
        }
        items = items.saturating_add(1);
        let share = 1.0 / (readings - 1.0);
        for ((row, sum), first) in met.chunks_exact_mut(MOST_GRADES).zip(&mut chosen).zip(counts) {
            if first <= 0.0 {
                continue;
            }
            *sum += first;
            let each = first * share;
            for (sum, second) in row.iter_mut().zip(counts).take(grades) {
                // The grade with itself counts one too often by this; its distance is 0.
                *sum += each * second;
            }
        }
    }
    let all: f64 = chosen.iter().sum();
    let (mut observed, mut expected) = (0.0, 0.0);
    for (row, first) in met.chunks_exact(MOST_GRADES).zip(0_usize..).take(grades) {
        let mut between = 0.0;
        let above = row.iter().zip(&chosen).zip(0_usize..).take(grades).skip(first);
        let start = chosen.get(first).copied().unwrap_or_default();
        for ((met, end), second) in above {
            between += end;
            let distance = match metric {
                Metric::Nominal => {
                    if first == second {
                        0.0
                    } else {
                        1.0
                    }
                }
                Metric::Ordinal => between - f64::midpoint(start, *end),
                Metric::Interval => f64::from(super::cases::count(second.abs_diff(first))),
            };
            let square = distance * distance;
            observed += met * square;
            expected += start * end * square;
        }
    }
    let value = if items == 0 {
        Err(Undefined::NoPairs)
    } else if expected <= 0.0 {
        Err(Undefined::OneGrade)
    } else {
        Ok(1.0 - (all - 1.0) * observed / expected)
    };
    Figure { cases: Cases::new(items), value }
}
