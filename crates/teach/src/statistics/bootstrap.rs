//! Intervals from resampling, the same for the same seed.

use num_traits::ToPrimitive as _;

use super::cases::{Cases, count};
use super::distribution::{normal_quantile, normal_share};
use super::draws::Draws;
use super::fault::{Fault, Faults};
use super::interval::{Confidence, Interval};
use super::pairs::Pairs;
use super::panel::Panel;
use super::table::{Table, Tally};
use super::undefined::{Undefined, Value};
use crate::chance::Purpose;

/// How to resample: how often, and from which seed.
///
/// # Source
/// Efron B 1979, Ann Stat 7:1–26; bias-corrected intervals: Efron B 1987, J Am Stat Assoc
/// 82:171–185 (both from memory; checked against scipy 1.12.0 on the same draws).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bootstrap {
    resamples: u32,
    seed: u64,
    series: u32,
}

/// The figure, and what it was in each resample.
#[derive(Clone, Debug, PartialEq)]
pub struct Resampled {
    cases: Cases,
    estimate: Value,
    /// Those that have a value, smallest first.
    values: Vec<f64>,
    empty: u32,
    acceleration: Value,
}

impl Bootstrap {
    /// So many resamples from a seed. Another `series` of the same seed draws other numbers.
    ///
    /// ```
    /// # use crossread_teach::statistics::Bootstrap;
    /// assert!(Bootstrap::new(2000, 42, 0).is_ok());
    /// assert!(Bootstrap::new(0, 42, 0).is_err());
    /// ```
    ///
    /// # Errors
    /// If there are no resamples, or over 1000000.
    pub fn new(resamples: u32, seed: u64, series: u32) -> Result<Self, Faults> {
        if (1..=1_000_000).contains(&resamples) {
            Ok(Self { resamples, seed, series })
        } else {
            Err(Fault::Resamples(resamples).into())
        }
    }

    /// The places, counted from 0, that are drawn from so many cases: for each resample as many as
    /// there are cases, one resample after the other.
    ///
    /// ```
    /// # use crossread_teach::statistics::Bootstrap;
    /// let places: Vec<u32> = Bootstrap::new(100, 42, 0)?.places(7).collect();
    /// assert_eq!(places.len(), 700);
    /// assert!(places.iter().all(|place| *place < 7));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn places(&self, cases: u32) -> impl Iterator<Item = u32> {
        let mut draws = self.draws(cases);
        let all = u64::from(self.resamples).saturating_mul(cases.into());
        (0..all).map(move |_| draws.draw())
    }

    /// A figure of two readings, with pairs drawn as whole pairs.
    ///
    /// ```
    /// # use crossread_teach::statistics::*;
    /// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
    /// let key = [0, 0, 1, 2, 3, 4, 4].map(Some);
    /// let read = [Some(0), Some(0), Some(0), Some(2), Some(4), Some(4), None];
    /// let pairs = Pairs::new(&scale, &key, &read)?;
    /// let table = pairs.table();
    /// let bootstrap = Bootstrap::new(500, 42, 0)?;
    /// let kappas = bootstrap.pairs(&pairs, |table| kappa_value(table, &Weighting::Quadratic));
    /// assert_eq!(kappas.estimate(), kappa_value(&table, &Weighting::Quadratic));
    /// assert_eq!(kappas.values().len() + kappas.empty() as usize, 500);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn pairs(&self, pairs: &Pairs, figure: impl Fn(&Table) -> Value) -> Resampled {
        let cells = pairs.cells();
        let table = pairs.table();
        let mut resample = table.clone();
        let n = count(cells.len());
        let mut draws = self.draws(n);
        let values = (0..self.resamples).map(|_| {
            let mut tally = Tally::new();
            draws.each(n, |drawn| {
                // A draw is always a place among the cells.
                if let Some(cell) = place(drawn).and_then(|place| cells.get(place)) {
                    tally.add(*cell);
                }
            });
            resample.take(&tally);
            figure(&resample)
        });
        // Leaving out any pair of one cell gives the same figure.
        let left_out = table.cells().filter(|(_, _, times)| *times > 0).map(|(a, b, times)| {
            let value = table.without(super::table::cell(a, b)).ok_or(Undefined::NoCases);
            (value.and_then(|table| figure(&table)), times)
        });
        Resampled::of(table.cases(), figure(&table), values, left_out)
    }

    /// A figure of a panel, with items drawn and readers kept.
    ///
    /// ```
    /// # use crossread_teach::statistics::*;
    /// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
    /// let (anna, ben) = ([0, 0, 1, 2, 4], [0, 0, 1, 2, 3]);
    /// let panel = Panel::by_reader(&scale, &[anna.map(Some), ben.map(Some)])?;
    /// let bootstrap = Bootstrap::new(500, 42, 0)?;
    /// let alphas = bootstrap.items(&panel, |panel| alpha(panel, Metric::Ordinal).value);
    /// assert_eq!(alphas.cases().count(), 5);
    /// assert_eq!(alphas.estimate(), alpha(&panel, Metric::Ordinal).value);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn items(&self, panel: &Panel, figure: impl Fn(&Panel) -> Value) -> Resampled {
        let rows: Vec<&[u8]> = panel.rows().collect();
        let mut resample = panel.clone();
        let mut draws = self.draws(count(rows.len()));
        let values = (0..self.resamples).map(|_| {
            let one = |_: &&[u8]| place(draws.draw()).and_then(|place| rows.get(place)).copied();
            resample.fill(rows.iter().filter_map(one));
            figure(&resample)
        });
        let mut others = panel.clone();
        let left_out = (0..rows.len()).map(|item| {
            let kept = rows.iter().zip(0_usize..).filter(|(_, other)| *other != item);
            others.fill(kept.map(|(row, _)| *row));
            (figure(&others), 1)
        });
        Resampled::of(Cases::new(count(rows.len())), figure(panel), values, left_out)
    }

    fn draws(&self, cases: u32) -> Draws {
        Draws::new(self.seed, self.series, Purpose::Resampling.number(), cases.max(1))
    }
}

fn place(drawn: u32) -> Option<usize> {
    usize::try_from(drawn).ok()
}

impl Resampled {
    fn of(
        cases: Cases,
        estimate: Value,
        resamples: impl Iterator<Item = Value>,
        left_out: impl Iterator<Item = (Value, u32)>,
    ) -> Self {
        let (mut values, mut empty) = (Vec::new(), 0_u32);
        if estimate.is_ok() {
            for value in resamples {
                match value {
                    Ok(value) => values.push(value),
                    Err(_) => empty = empty.saturating_add(1),
                }
            }
        }
        values.sort_unstable_by(f64::total_cmp);
        Self { cases, estimate, values, empty, acceleration: acceleration(left_out) }
    }

    /// The cases that were drawn from.
    pub fn cases(&self) -> Cases {
        self.cases
    }

    /// The figure of what was handed in.
    ///
    /// # Errors
    /// [`Undefined`] if it has no value.
    pub fn estimate(&self) -> Value {
        self.estimate
    }

    /// What the figure was in the resamples that have a value, smallest first.
    pub fn values(&self) -> &[f64] {
        &self.values
    }

    /// In how many resamples the figure has no value.
    pub fn empty(&self) -> u32 {
        self.empty
    }

    /// The interval between two percentiles of the resamples, taken between neighbors in
    /// proportion.
    ///
    /// A resample without value could have been anything: it lies below all others for the lower
    /// end, and above all for the upper.
    ///
    /// ```
    /// # use crossread_teach::statistics::*;
    /// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
    /// let key = [0, 0, 1, 2, 3, 4, 4].map(Some);
    /// let read = [Some(0), Some(0), Some(0), Some(2), Some(4), Some(4), None];
    /// let pairs = Pairs::new(&scale, &key, &read)?;
    /// let table = pairs.table();
    /// let exact = |table: &Table| table.exact(Confidence::P95).value;
    /// let shares = Bootstrap::new(1000, 42, 0)?.pairs(&pairs, exact);
    /// let interval = shares.percentile(Confidence::P95)?;
    /// assert!(interval.low < shares.estimate()? && shares.estimate()? < interval.high);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// [`Undefined`] if the figure has no value, either end lies among resamples without value or
    /// beyond the last resample, or both ends are the same.
    pub fn percentile(&self, confidence: Confidence) -> Result<Interval, Undefined> {
        self.estimate?;
        let tail = confidence.tail();
        let low = self.quantile(tail, self.empty)?;
        let high = self.quantile(1.0 - tail, 0)?;
        spread_out(Interval::new(low, high, confidence))
    }

    /// The interval corrected for bias and for a spread that changes with the figure.
    ///
    /// Resamples equal to the figure count half as below it. The acceleration is that of leaving
    /// out one case after the other.
    ///
    /// ```
    /// # use crossread_teach::statistics::*;
    /// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
    /// let key = [0, 0, 1, 2, 3, 4, 4].map(Some);
    /// let read = [Some(0), Some(0), Some(0), Some(2), Some(4), Some(4), None];
    /// let pairs = Pairs::new(&scale, &key, &read)?;
    /// let table = pairs.table();
    /// let exact = |table: &Table| table.exact(Confidence::P95).value;
    /// let shares = Bootstrap::new(1000, 42, 0)?.pairs(&pairs, exact);
    /// let interval = shares.bias_corrected(Confidence::P95)?;
    /// assert!(interval.low < shares.estimate()? && shares.estimate()? < interval.high);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// [`Undefined`] as for [`percentile`](Self::percentile), if any resample has no value, or if
    /// the correction has none.
    pub fn bias_corrected(&self, confidence: Confidence) -> Result<Interval, Undefined> {
        let estimate = self.estimate?;
        if self.empty > 0 {
            return Err(Undefined::EmptyResamples);
        }
        let below = self.values.iter().filter(|value| **value < estimate).count();
        let not_above = self.values.iter().filter(|value| **value <= estimate).count();
        let all = f64::from(count(self.values.len()));
        let share = f64::midpoint(f64::from(count(below)), f64::from(count(not_above))) / all;
        if share <= 0.0 || share >= 1.0 {
            return Err(Undefined::Uncorrectable);
        }
        let bias = normal_quantile(share);
        let acceleration = self.acceleration?;
        let end = |z: f64| {
            let moved = bias + z;
            let scale = 1.0 - acceleration * moved;
            if scale <= 0.0 {
                return Err(Undefined::Uncorrectable);
            }
            self.quantile(normal_share(bias + moved / scale), 0)
        };
        let z = confidence.z();
        spread_out(Interval::new(end(-z)?, end(z)?, confidence))
    }

    /// The value below which the share `p` of the resamples lies, with so many of unknown value
    /// below all others and the rest of the unknown above.
    fn quantile(&self, p: f64, unknown_below: u32) -> Value {
        let all = f64::from(count(self.values.len()).saturating_add(self.empty));
        let beyond = p.min(1.0 - p) * all;
        if beyond < 1.0 {
            return Err(Undefined::FewResamples);
        }
        let at = p * (all - 1.0) - f64::from(unknown_below);
        let floor = at.floor();
        let known = |place: f64| self.values.get(place.to_usize()?).copied();
        let lower = known(floor).ok_or(Undefined::EmptyResamples)?;
        let part = at - floor;
        if part <= 0.0 {
            return Ok(lower);
        }
        let upper = known(floor + 1.0).ok_or(Undefined::EmptyResamples)?;
        Ok(lower + (upper - lower) * part)
    }
}

/// Resamples that are all alike, as of readings that all agree, say nothing about the next ones.
fn spread_out(interval: Interval) -> Result<Interval, Undefined> {
    if interval.low < interval.high { Ok(interval) } else { Err(Undefined::NoSpread) }
}

/// How the spread changes with the figure, from the figures without one case, each so often.
fn acceleration(left_out: impl Iterator<Item = (Value, u32)>) -> Value {
    let values: Vec<(f64, f64)> = left_out
        .map(|(value, times)| Ok((value.or(Err(Undefined::Uncorrectable))?, f64::from(times))))
        .collect::<Result<_, _>>()?;
    let cases: f64 = values.iter().map(|(_, times)| times).sum();
    let mean = values.iter().map(|(value, times)| value * times).sum::<f64>() / cases;
    let (mut squares, mut cubes) = (0.0, 0.0);
    for (value, times) in values {
        let off = mean - value;
        squares += times * off * off;
        cubes += times * off * off * off;
    }
    if squares <= 0.0 {
        Err(Undefined::Uncorrectable)
    } else {
        Ok(cubes / (6.0 * squares * squares.sqrt()))
    }
}
