//! When the animal is looked at, and when a filter is changed.

use jiff::Timestamp;
use schemars::JsonSchema;
use serde::Serialize;

use super::plan::{CannotCare, Care, Portion, after};
use super::rules::Rules;
use crate::document::Time;
use crate::prepare::{Exact, Milliliters};
use crate::protocol::Protocol;

/// Every time at which the animal is looked at, from the baseline at the beginning to the end of the
/// transfusion after `minutes`, in UTC.
///
/// ```
/// # use crossread_core::{Protocols, care::watch, document::Time};
/// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
/// let begins = Time::new("2026-03-14T03:30:00+01:00").unwrap();
/// let times = watch(dog, begins, 60)?;
/// assert_eq!(times[1].to_string(), "2026-03-14T02:35:00Z");
/// assert_eq!(times.last().unwrap().to_string(), "2026-03-14T03:30:00Z");
/// # Ok::<_, crossread_core::care::CannotCare>(())
/// ```
///
/// # Errors
/// If the protocol has no `care` section, or a time lies outside the calendar.
pub fn watch(
    protocol: &Protocol,
    begins: Time,
    minutes: u32,
) -> Result<Vec<Timestamp>, CannotCare> {
    looks(protocol, minutes)?.into_iter().map(|minutes| after(begins, minutes)).collect()
}

/// The same in minutes from the beginning, while nobody knows when it begins.
///
/// ```
/// # use crossread_core::{Protocols, care::looks};
/// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
/// assert_eq!(looks(dog, 50)?, [0, 5, 10, 15, 30, 45, 50]);
/// # Ok::<_, crossread_core::care::CannotCare>(())
/// ```
///
/// # Errors
/// If the protocol has no `care` section.
pub fn looks(protocol: &Protocol, minutes: u32) -> Result<Vec<u32>, CannotCare> {
    let steps = Rules::of(protocol)?.steps()?;
    let mut offsets = vec![0];
    let mut at = 0_u32;
    loop {
        let step = steps.iter().find(|(until, _)| at < *until).or_else(|| steps.last());
        let every = step.map_or_else(|| minutes.max(1), |(_, every)| *every);
        at = at.saturating_add(every.max(1));
        if at >= minutes {
            break;
        }
        offsets.push(at);
    }
    if minutes > 0 {
        offsets.push(minutes);
    }
    Ok(offsets)
}

/// The filter in the line, and when it is changed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct Filters {
    /// Whether it is a fine one, for a small volume.
    pub fine: bool,
    /// Its pores, from and to, µm.
    pub pores_um: (u32, u32),
    /// How many, one after the other; a further portion has a new one besides.
    pub number: u32,
    /// When each but the last is changed.
    pub changes: Vec<FilterChange>,
}

/// When a filter is changed: at the volume; the minutes say when that will be.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct FilterChange {
    /// After so many mL.
    pub after_ml: u32,
    /// Minutes from the beginning at the fastest that is allowed, rounded down.
    pub earliest_min: u32,
    /// Minutes from the beginning at the slowest, rounded up.
    pub latest_min: u32,
}

impl Filters {
    pub(super) fn of(
        plan: &Care,
        rules: &Rules<'_>,
        volume: &Milliliters,
    ) -> Result<Self, CannotCare> {
        let fine = filters(rules.protocol, volume)?;
        let pores = if fine.is_some() {
            rules.care.fine_filter_um.as_ref()
        } else {
            rules.care.filter_um.as_ref()
        };
        let pores_um = Rules::whole_ends(pores)?;
        let (number, after) = fine.clone().unwrap_or((1, Vec::new()));
        let changes = after.into_iter().map(|after_ml| {
            let earliest = run_in_after(plan, after_ml, |portion| portion.runs_min)?;
            let latest = run_in_after(plan, after_ml, |portion| portion.slowest_min)?;
            let (earliest_min, latest_min) = (earliest.floor()?, latest.ceil()?);
            Some(FilterChange { after_ml, earliest_min, latest_min })
        });
        let changes = changes.collect::<Option<_>>().ok_or(CannotCare::Calendar)?;
        Ok(Self { fine: fine.is_some(), pores_um, number, changes })
    }

    /// The filter in words; `when` says at what time so many minutes from the beginning are.
    ///
    /// ```
    /// # use crossread_core::{Protocols, care::{Order, care}, words::Product};
    /// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
    /// # let order = Order {
    /// #     weight: "4".parse()?, pcv_now: "12".parse()?, pcv_target: "22".parse()?,
    /// #     product: Product::PackedCells, product_pcv: "60".parse()?, volume: Some("60".parse()?),
    /// #     slowly: false, drops_per_ml: None, begins: None,
    /// # };
    /// // 60 mL for a dog of 4 kg.
    /// let plan = care(&order, dog)?;
    /// let filters = plan.filters.ok_or("nothing was ordered")?;
    /// assert_eq!(
    ///     filters.said(plan.portions.len(), |minutes| format!("{minutes} min")),
    ///     "2 fine, 18 to 40 µm, new for this unit, changed after 50 mL (88 min to 162 min)",
    /// );
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn said(&self, portions: usize, when: impl Fn(u32) -> String) -> String {
        let (lo, hi) = self.pores_um;
        let each = if portions > 1 { ", new for each portion" } else { ", new for this unit" };
        if !self.fine {
            return format!("one of {lo} to {hi} µm{each}");
        }
        let mut said = format!("{} fine, {lo} to {hi} µm{each}", self.number);
        for FilterChange { after_ml, earliest_min, latest_min } in &self.changes {
            let (from, to) = (when(*earliest_min), when(*latest_min));
            said.push_str(&format!(", changed after {after_ml} mL ({from} to {to})"));
        }
        said
    }
}

/// Minutes until so many mL of a plan have run in, if each portion takes so long.
fn run_in_after(plan: &Care, ml: u32, takes: impl Fn(&Portion) -> u32) -> Option<Exact> {
    let (mut begins, mut left) = (Exact::from(0), Exact::from(ml));
    let mut slow = plan.start_ml.clone()?;
    let mut slow_min = Exact::from(plan.start_min);
    for portion in &plan.portions {
        let minutes = Exact::from(takes(portion));
        if left > portion.ml {
            left = left.minus(&portion.ml);
            begins = begins.plus(&minutes);
            (slow, slow_min) = (Exact::from(0), Exact::from(0));
            continue;
        }
        let (part, of, before, over) = if left <= slow {
            (left, slow, Exact::from(0), slow_min)
        } else {
            (left.minus(&slow), portion.ml.minus(&slow), slow_min.clone(), minutes.minus(&slow_min))
        };
        return Some(begins.plus(&before).plus(&part.times(&over).over(&of)?));
    }
    None
}

/// For a small volume: how many fine filters, and after how many mL each is changed. `None` for a
/// volume that takes the ordinary filter.
///
/// ```
/// # use crossread_core::{Protocols, care::filters};
/// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
/// assert_eq!(filters(dog, &"60".parse()?)?, Some((2, vec![50])));
/// assert_eq!(filters(dog, &"140".parse()?)?, None);
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// If the protocol has no `care` section.
pub fn filters(
    protocol: &Protocol,
    volume: &Milliliters,
) -> Result<Option<(u32, Vec<u32>)>, CannotCare> {
    let rules = Rules::of(protocol)?;
    let each = Rules::whole(rules.care.fine_filter_ml.as_ref())?;
    let number = volume.exact().over(&Exact::from(each)).and_then(|number| number.ceil());
    let number = number.ok_or(CannotCare::NoSection)?;
    if number > Rules::whole(rules.care.fine_filters_max.as_ref())? {
        return Ok(None);
    }
    let changed = (1..number).filter_map(|filter| filter.checked_mul(each)).collect();
    Ok(Some((number, changed)))
}
