//! When the animal is looked at, and when a filter is changed.

use jiff::Timestamp;

use super::plan::{CannotCare, after};
use super::rules::Rules;
use crate::document::Time;
use crate::prepare::{Exact, Milliliters};
use crate::protocol::Protocol;

/// Every time at which the animal is looked at, from the baseline at the beginning to the end of the
/// transfusion after `minutes`, in UTC.
///
/// # Errors
/// If the protocol has no `care` section.
pub fn watch(
    protocol: &Protocol,
    begins: Time,
    minutes: u32,
) -> Result<Vec<Timestamp>, CannotCare> {
    let rules = Rules::of(protocol)?;
    let steps = rules.care.watch.as_ref().and_then(|rule| rule.value.as_ref());
    let steps = steps.ok_or(CannotCare::NoSection)?;
    let steps: Vec<(u32, u32)> = steps
        .iter()
        .filter_map(|(_, step)| Some((step.until_min?.get(), step.every_min?.get())))
        .collect();
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
    offsets.into_iter().map(|minutes| after(begins, minutes)).collect()
}

/// For a small volume: how many fine filters, and after how many mL each is changed. `None` for a
/// volume that takes the ordinary filter.
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
    // A fine filter is for small volumes; a second one is the most that anyone changes to.
    if number > 2 {
        return Ok(None);
    }
    let changed = (1..number).filter_map(|filter| filter.checked_mul(each)).collect();
    Ok(Some((number, changed)))
}
