//! Fleiss' kappa: many readers, every item read by as many, grades without order.

use super::cases::{Cases, Figure, count};
use super::panel::Panel;
use super::undefined::{Undefined, Value};

/// Fleiss' kappa. It takes 3+ for 4+ to be as bad as 0 for 4+, so for grades give
/// [`alpha`](super::alpha()) beside it.
///
/// With m readers an item and nq of them choosing grade q, agreement is the mean over the items of
/// (Σ nq² − m) ÷ m(m − 1), and by chance Σ of the squared shares of the grades.
///
/// ```
/// # use crossread_teach::statistics::*;
/// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
/// let (anna, ben) = ([0, 0, 1, 2, 4], [0, 0, 1, 2, 3]);
/// let panel = Panel::by_reader(&scale, &[anna.map(Some), ben.map(Some)])?;
/// let figure = fleiss(&panel);
/// assert_eq!(figure.cases.count(), 5);
/// assert!(figure.value? < alpha(&panel, Metric::Ordinal).value?);
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Source
/// Fleiss JL 1971, Psychol Bull 76:378–382 (formula from memory; checked against statsmodels 0.15.0
/// and the paper's 0.430).
pub fn fleiss(panel: &Panel) -> Figure {
    Figure { cases: Cases::new(count(panel.items())), value: value(panel) }
}

fn value(panel: &Panel) -> Value {
    let readers = count(panel.readers());
    if panel.items() == 0 {
        return Err(Undefined::NoCases);
    }
    if readers < 2 {
        return Err(Undefined::NoPairs);
    }
    let readers = f64::from(readers);
    let (mut pairs, mut chosen) = (0.0, [0.0; super::MOST_GRADES]);
    for counts in panel.counts() {
        let counts = counts.map(f64::from);
        if counts.iter().sum::<f64>() < readers {
            return Err(Undefined::UnequalReaders);
        }
        pairs += counts.iter().map(|n| n * n).sum::<f64>() - readers;
        for (sum, n) in chosen.iter_mut().zip(counts) {
            *sum += n;
        }
    }
    let all: f64 = chosen.iter().sum();
    let agreed = pairs / (all * (readers - 1.0));
    // Of two readings drawn from all: the chance that they differ, a sum of nothing negative.
    let differ = chosen.iter().map(|n| n * (all - n)).sum::<f64>() / (all * all);
    if differ <= 0.0 {
        return Err(Undefined::OneGrade);
    }
    Ok(1.0 - (1.0 - agreed) / differ)
}
