//! Cohen's kappa: agreement beyond chance between two readings.

use serde::Serialize;

use super::cases::Cases;
use super::interval::{Confidence, Interval};
use super::scale::MOST_GRADES;
use super::table::Table;
use super::undefined::{Undefined, Value, written};
use super::weighting::{Weighting, Weights};

/// Cohen's kappa with what it is made of.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Kappa {
    /// The pairs.
    pub cases: Cases,
    /// Observed agreement, weighted, 0 to 1.
    #[serde(serialize_with = "written")]
    pub observed: Value,
    /// Agreement expected by chance, weighted, 0 to 1.
    #[serde(serialize_with = "written")]
    pub expected: Value,
    /// Kappa: 1 is complete agreement, 0 what chance would give.
    #[serde(serialize_with = "written")]
    pub value: Value,
    /// The standard error for large numbers.
    #[serde(serialize_with = "written")]
    pub standard_error: Value,
    /// The standard error if there were no agreement beyond chance.
    #[serde(serialize_with = "written")]
    pub null_standard_error: Value,
    /// The interval for large numbers; it fails for few cases and near 1, where
    /// [`Bootstrap`](super::Bootstrap) helps.
    #[serde(serialize_with = "written")]
    pub interval: Result<Interval, Undefined>,
}

/// Cohen's kappa of a table.
///
/// With p the shares of the table, r and c those of rows and columns and v the disagreement of two
/// grades, kappa = 1 − Σ v p ÷ Σ v r c, which is (observed − expected) ÷ (1 − expected) for the
/// agreement w = 1 − v. It has no value if there is nothing to disagree on by chance, as when every
/// reading is the same grade.
///
/// The variance is that of w − (1 − kappa)(w̄ row + w̄ column) under p, ÷ n (1 − expected)²; without
/// agreement that of w − w̄ row − w̄ column under r c.
///
/// ```
/// # use crossread_teach::statistics::*;
/// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
/// let key = [0, 0, 1, 2, 3, 4, 4].map(Some);
/// let read = [Some(0), Some(0), Some(0), Some(2), Some(4), Some(4), None];
/// let pairs = Pairs::new(&scale, &key, &read)?;
/// let table = pairs.table();
/// // 3+ read as 4+ weighs little, the missed 1+ a little more.
/// let quadratic = kappa(&table, &Weighting::Quadratic, Confidence::P95);
/// let unweighted = kappa(&table, &Weighting::Unweighted, Confidence::P95);
/// assert!(quadratic.value? > unweighted.value?);
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Source
/// Cohen J 1960, Educ Psychol Meas 20:37–46, and 1968, Psychol Bull 70:213–220; standard errors of
/// Fleiss JL, Cohen J, Everitt BS 1969, Psychol Bull 72:323–327 (formulas from memory; checked
/// against statsmodels 0.15.0 and what SAS printed).
pub fn kappa(table: &Table, weighting: &Weighting, confidence: Confidence) -> Kappa {
    let cases = table.cases();
    let parts = match Parts::of(table, weighting) {
        Ok(parts) => parts,
        Err(reason) => {
            let none = Err(reason);
            return Kappa {
                cases,
                observed: none,
                expected: none,
                value: none,
                standard_error: none,
                null_standard_error: none,
                interval: Err(reason),
            };
        }
    };
    let value = parts.value();
    let errors = value.map(|value| parts.errors(table, value));
    let standard_error = errors.map(|(error, _)| error);
    Kappa {
        cases,
        observed: Ok(1.0 - parts.observed),
        expected: Ok(1.0 - parts.expected),
        value,
        standard_error,
        null_standard_error: errors.map(|(_, null)| null),
        interval: value
            .and_then(|value| Interval::around(value, standard_error?, confidence.z(), confidence)),
    }
}

/// Cohen's kappa alone, as [`kappa()`] gives it but without its errors: quick, for resampling.
///
/// ```
/// # use crossread_teach::statistics::*;
/// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
/// let key = [0, 0, 1, 2, 3, 4, 4].map(Some);
/// let read = [Some(0), Some(0), Some(0), Some(2), Some(4), Some(4), None];
/// let pairs = Pairs::new(&scale, &key, &read)?;
/// let table = pairs.table();
/// let value = kappa_value(&table, &Weighting::Quadratic)?;
/// assert_eq!(format!("{value:.3}"), "0.939");
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// [`Undefined`] if it has no value.
pub fn kappa_value(table: &Table, weighting: &Weighting) -> Value {
    Parts::of(table, weighting)?.value()
}

/// What kappa is made of: disagreement, and the shares of rows and columns.
struct Parts<'w> {
    weights: Weights<'w>,
    rows: [f64; MOST_GRADES],
    columns: [f64; MOST_GRADES],
    observed: f64,
    expected: f64,
    cases: f64,
}

impl<'w> Parts<'w> {
    fn of(table: &Table, weighting: &'w Weighting) -> Result<Self, Undefined> {
        if table.cases().count() == 0 {
            return Err(Undefined::NoCases);
        }
        let weights = weighting.weights(table.scale())?;
        let (mut rows, mut columns) = ([0.0; MOST_GRADES], [0.0; MOST_GRADES]);
        let mut observed = 0.0;
        for ((counts, row), weights) in table.rows().zip(&mut rows).zip(weights.rows()) {
            let (mut all, mut weighted) = (0.0, 0.0);
            for ((&count, column), weight) in counts.iter().zip(&mut columns).zip(weights) {
                let count = f64::from(count);
                all += count;
                *column += count;
                weighted += weight * count;
            }
            *row = all;
            observed += weighted;
        }
        let grades = table.scale().grades();
        let mut expected = 0.0;
        for (row, weights) in rows.iter().zip(weights.rows()).take(grades) {
            let each = columns.iter().zip(weights).take(grades);
            expected += row * each.map(|(column, weight)| weight * column).sum::<f64>();
        }
        let cases = table.cases().real();
        expected /= cases * cases;
        Ok(Self { weights, rows, columns, observed: observed / cases, expected, cases })
    }

    fn value(&self) -> Value {
        // A sum of nothing negative: it is 0 only if every part of it is.
        if self.expected <= 0.0 {
            return Err(Undefined::OneGrade);
        }
        Ok(1.0 - self.observed / self.expected)
    }

    /// The standard error, and that without agreement.
    fn errors(&self, table: &Table, kappa: f64) -> (f64, f64) {
        let share = |sums: &[f64; MOST_GRADES]| sums.map(|sum| sum / self.cases);
        let (rows, columns) = (share(&self.rows), share(&self.columns));
        let (mut of_rows, mut of_columns) = ([0.0; MOST_GRADES], [0.0; MOST_GRADES]);
        let weights = || self.weights.rows();
        for ((weights, row), of_row) in weights().zip(rows).zip(&mut of_rows) {
            for ((weight, column), of_column) in weights.iter().zip(columns).zip(&mut of_columns) {
                *of_row += (1.0 - weight) * column;
                *of_column += (1.0 - weight) * row;
            }
        }
        let by_chance = 1.0 - self.expected;
        let mean = kappa - by_chance * (1.0 - kappa);
        let (mut variance, mut null) = (0.0, 0.0);
        for (((counts, weights), row), of_row) in table.rows().zip(weights()).zip(rows).zip(of_rows)
        {
            for (((count, weight), column), of_column) in
                counts.iter().zip(weights).zip(columns).zip(of_columns)
            {
                let (agreement, both) = (1.0 - weight, of_row + of_column);
                let part = agreement - both * (1.0 - kappa) - mean;
                variance += f64::from(*count) / self.cases * part * part;
                let part = agreement - both + by_chance;
                null += row * column * part * part;
            }
        }
        let error = |variance: f64| {
            // Below this it is what rounding left of 0.
            let variance = if variance < 1e-24 { 0.0 } else { variance };
            (variance / self.cases).sqrt() / self.expected
        };
        (error(variance), error(null))
    }
}
