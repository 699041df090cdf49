//! How much, how fast, and when it has run in.

use jiff::{SignedDuration, Timestamp};
use schemars::JsonSchema;
use serde::Serialize;
use thiserror::Error;

use super::rules::{Rules, Sourced};
use crate::document::{Id, Time};
use crate::prepare::{DropsPerMilliliter, Exact, Kilograms, Milliliters, Pcv};
use crate::protocol::Protocol;
use crate::protocol::draft::CareRules;
use crate::words::Product;

/// What is known of the animal and the product, and what the veterinarian ordered.
#[derive(Clone, Debug, PartialEq, Eq)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Order {
    /// Body weight.
    pub weight: Kilograms,
    /// The PCV that was measured.
    pub pcv_now: Pcv,
    /// The PCV that is wished for.
    pub pcv_target: Pcv,
    /// What is given.
    pub product: Product,
    /// The PCV of the product; it is measured, never assumed.
    pub product_pcv: Pcv,
    /// The volume that the veterinarian ordered, if they did.
    pub volume: Option<Milliliters>,
    /// Whether the heart or the kidneys are weak, so that it runs slowly.
    pub slowly: bool,
    /// The drops of the infusion set in one mL, as they stand on its packet.
    pub drops_per_ml: Option<DropsPerMilliliter>,
    /// When it begins, if that is known.
    pub begins: Option<Time>,
}

/// A number as a range, with what it rests on. The published values differ, so none is chosen.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct Figure {
    /// The least.
    pub lo: Exact,
    /// The greatest.
    pub hi: Exact,
    /// Its unit.
    pub unit: &'static str,
    /// The values of the protocol that it rests on.
    pub from: Vec<Sourced>,
}

/// A rate, in mL/h and, if the set is known, in drops a minute.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct Speed {
    /// In mL/h.
    pub ml_per_h: Exact,
    /// In drops a minute.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drops_per_min: Option<Exact>,
}

/// A part of the volume that is hung at once.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct Portion {
    /// Its volume, mL.
    pub ml: Exact,
    /// Minutes from the beginning of the first portion to the beginning of this one.
    pub begins_min: u32,
    /// Minutes until it has run in, rounded up.
    pub runs_min: u32,
}

/// Something that must be known before it is hung.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(tag = "caution", rename_all = "snake_case")]
#[non_exhaustive]
pub enum Caution {
    /// The PCV is not below what is wished for: nothing is to be given for it.
    NothingToGive,
    /// The product has no more cells than is wished for: it cannot bring the PCV there.
    OutOfReach,
    /// It does not run in within the time of the protocol: it is split before it begins.
    Split,
    /// The last portion would begin after the opened unit may be kept.
    KeptTooLong,
    /// The order lies outside what formula and rule of thumb come to.
    OrderDiffers,
}

impl Caution {
    /// What it says.
    pub fn text(&self) -> &'static str {
        match self {
            Self::NothingToGive => {
                "The PCV is not below what is wished for: nothing is to be given for it."
            }
            Self::OutOfReach => {
                "The product's PCV is not above what is wished for: it cannot bring the PCV there."
            }
            Self::Split => {
                "It does not run in within the time of the protocol: split it before it begins, and \
                 keep the rest in the refrigerator."
            }
            Self::KeptTooLong => {
                "The last portion would begin after the opened unit may be kept: ask the \
                 veterinarian before it begins."
            }
            Self::OrderDiffers => {
                "The volume ordered lies outside what the formula and the rule of thumb come to: \
                 ask whether it is meant so."
            }
        }
    }
}

/// A plan.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct Care {
    /// The protocol by which it was made.
    pub protocol: Id,
    /// Its version.
    pub version: Id,
    /// The animal's blood, mL.
    pub blood_ml: Figure,
    /// The volume by the blood-volume formula, mL.
    pub formula_ml: Figure,
    /// The volume by the rule of thumb, mL; none for plasma.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub thumb_ml: Option<Figure>,
    /// The volume that is planned: what was ordered. Without an order nothing is planned.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub volume_ml: Option<Exact>,
    /// What is given slowly at first, mL.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub start_ml: Option<Exact>,
    /// Over how many minutes.
    pub start_min: u32,
    /// How fast that is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub start: Option<Speed>,
    /// The slowest that the rest may run and still be in on time, if it has to be as slow as that.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub least: Option<Speed>,
    /// The rates that the protocol allows for the rest, slowest first.
    pub allowed: (Speed, Speed),
    /// The portions, one unless it is split.
    pub portions: Vec<Portion>,
    /// When the last portion has run in, at the fastest that the protocol allows, in UTC.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>")]
    pub ends: Option<Timestamp>,
    /// Until when the rest of an opened unit may be kept in the refrigerator, in UTC.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>")]
    pub keep_until: Option<Timestamp>,
    /// What must be known first.
    pub cautions: Vec<Caution>,
    /// The values of the protocol that rates and times rest on.
    pub from: Vec<Sourced>,
}

/// Why nothing can be planned.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum CannotCare {
    /// The protocol says nothing of it.
    #[error("the protocol has no `care` section: give one that has, or plan without the program")]
    NoSection,
    /// More than the animal's blood.
    #[error(
        "{volume} mL is more than the animal's own blood, at most {blood} mL: check weight and volume"
    )]
    OverBloodVolume {
        /// What was ordered, mL.
        volume: String,
        /// The animal's blood, mL.
        blood: String,
    },
    /// A time that no clock shows.
    #[error("the times lie outside the calendar")]
    Calendar,
}

/// Plans a transfusion by the `care` section of a protocol.
///
/// The volume by the formula is `weight × blood volume × (target − now) ÷ product PCV` (structure
/// common practice, widely printed; the blood volume is the protocol's). The rule of thumb is
/// `weight × mL/kg per percent × (target − now)`. Rates and times are worked out for the volume that
/// was ordered, never for a calculated one.
///
/// # Errors
/// If the protocol has no `care` section, or more is ordered than the animal has blood.
pub fn care(order: &Order, protocol: &Protocol) -> Result<Care, CannotCare> {
    let rules = Rules::of(protocol)?;
    let care = rules.care;
    let weight = order.weight.exact();
    let rise = order.pcv_target.exact().minus(order.pcv_now.exact());
    let none = Exact::from(0);
    let mut cautions = Vec::new();
    if rise <= none {
        cautions.push(Caution::NothingToGive);
    } else if order.product_pcv.exact() <= order.pcv_target.exact() {
        cautions.push(Caution::OutOfReach);
    }
    let rise = rise.max(none);
    let blood = Rules::ends(care.blood_volume_ml_per_kg.as_ref())?;
    let blood_from = rules.sourced(
        "care.blood_volume_ml_per_kg",
        care.blood_volume_ml_per_kg.as_ref(),
        format!("{} to {} mL/kg", blood.0, blood.1),
    );
    let blood_ml = ranged(&blood, weight, &blood_from);
    let share = rise.over(order.product_pcv.exact()).unwrap_or_else(|| Exact::from(0));
    let formula_ml = Figure {
        lo: blood_ml.lo.times(&share),
        hi: blood_ml.hi.times(&share),
        unit: "mL",
        from: vec![blood_from],
    };
    let thumb_ml = thumb(order, &rules, &rise)?;
    let mut plan = Care {
        protocol: protocol.id().clone(),
        version: protocol.version().clone(),
        blood_ml,
        formula_ml,
        thumb_ml,
        volume_ml: None,
        start_ml: None,
        start_min: Rules::whole(care.start_min.as_ref())?,
        start: None,
        least: None,
        allowed: allowed(order, care)?,
        portions: Vec::new(),
        ends: None,
        keep_until: None,
        cautions,
        from: sources(order, &rules)?,
    };
    if let Some(volume) = &order.volume {
        run_in(&mut plan, order, volume.exact(), care)?;
    }
    Ok(plan)
}

fn ranged(ends: &(Exact, Exact), by: &Exact, from: &Sourced) -> Figure {
    let (lo, hi) = (ends.0.times(by), ends.1.times(by));
    Figure { lo, hi, unit: "mL", from: vec![from.clone()] }
}

/// The rule of thumb for the product.
fn thumb(order: &Order, rules: &Rules<'_>, rise: &Exact) -> Result<Option<Figure>, CannotCare> {
    let care = rules.care;
    let (name, rule) = match order.product {
        Product::WholeBlood => (
            "care.whole_blood_ml_per_kg_per_percent",
            care.whole_blood_ml_per_kg_per_percent.as_ref(),
        ),
        Product::PackedCells | Product::WashedCells => (
            "care.packed_cells_ml_per_kg_per_percent",
            care.packed_cells_ml_per_kg_per_percent.as_ref(),
        ),
        Product::Plasma => return Ok(None),
    };
    let ends = Rules::ends(rule)?;
    let said = format!("{} to {} mL/kg for each percent", ends.0, ends.1);
    let from = rules.sourced(name, rule, said);
    Ok(Some(ranged(&ends, &order.weight.exact().times(rise), &from)))
}

/// The rates that the protocol allows for the animal.
fn allowed(order: &Order, care: &CareRules) -> Result<(Speed, Speed), CannotCare> {
    let rule = if order.slowly {
        care.slow_rate_ml_per_kg_h.as_ref()
    } else {
        care.rate_ml_per_kg_h.as_ref()
    };
    let (lo, hi) = Rules::ends(rule)?;
    let weight = order.weight.exact();
    Ok((speed(order, lo.times(weight)), speed(order, hi.times(weight))))
}

fn speed(order: &Order, ml_per_h: Exact) -> Speed {
    let drops = order.drops_per_ml.as_ref();
    let drops_per_min =
        drops.and_then(|drops| ml_per_h.times(drops.exact()).over(&Exact::from(60)));
    Speed { ml_per_h, drops_per_min }
}

fn sources(order: &Order, rules: &Rules<'_>) -> Result<Vec<Sourced>, CannotCare> {
    let care = rules.care;
    let (name, rate) = if order.slowly {
        ("care.slow_rate_ml_per_kg_h", care.slow_rate_ml_per_kg_h.as_ref())
    } else {
        ("care.rate_ml_per_kg_h", care.rate_ml_per_kg_h.as_ref())
    };
    let (lo, hi) = Rules::ends(rate)?;
    let start = Rules::one(care.start_ml_per_kg.as_ref())?;
    let start_min = Rules::whole(care.start_min.as_ref())?;
    let most = Rules::whole(care.max_min.as_ref())?;
    let opened = Rules::whole(care.opened_hours.as_ref())?;
    Ok(vec![
        rules.sourced(
            "care.start_ml_per_kg",
            care.start_ml_per_kg.as_ref(),
            format!("{start} mL/kg"),
        ),
        rules.sourced("care.start_min", care.start_min.as_ref(), format!("{start_min} min")),
        rules.sourced(name, rate, format!("{lo} to {hi} mL/kg/h")),
        rules.sourced("care.max_min", care.max_min.as_ref(), format!("{most} min")),
        rules.sourced("care.opened_hours", care.opened_hours.as_ref(), format!("{opened} h")),
    ])
}

/// Works out rates, portions and times for the volume that was ordered.
fn run_in(
    plan: &mut Care,
    order: &Order,
    volume: &Exact,
    care: &CareRules,
) -> Result<(), CannotCare> {
    if *volume > plan.blood_ml.hi {
        let blood = plan.blood_ml.hi.rounded(0);
        return Err(CannotCare::OverBloodVolume { volume: volume.to_string(), blood });
    }
    let least = plan.thumb_ml.iter().map(|thumb| &thumb.lo).chain([&plan.formula_ml.lo]).min();
    let most = plan.thumb_ml.iter().map(|thumb| &thumb.hi).chain([&plan.formula_ml.hi]).max();
    let differs =
        least.is_some_and(|least| volume < least) || most.is_some_and(|most| volume > most);
    if differs && !plan.cautions.contains(&Caution::NothingToGive) {
        plan.cautions.push(Caution::OrderDiffers);
    }
    let sixty = Exact::from(60);
    let limit = Rules::whole(care.max_min.as_ref())?;
    let per_kg = Rules::one(care.start_ml_per_kg.as_ref())?;
    let start_ml = per_kg.times(order.weight.exact()).min(volume.clone());
    let per_hour = start_ml.times(&sixty).over(&Exact::from(plan.start_min));
    plan.start = per_hour.map(|rate| speed(order, rate));
    let rest = volume.minus(&start_ml);
    let left = Exact::from(limit.saturating_sub(plan.start_min));
    plan.least = rest.times(&sixty).over(&left).map(|rate| speed(order, rate));
    // At the fastest that is allowed: whoever runs it slower needs more time, never less.
    let rate = &plan.allowed.1.ml_per_h;
    let in_minutes = |minutes: &Exact| rate.times(minutes).over(&sixty);
    let first_most = in_minutes(&left).map(|ml| ml.plus(&start_ml));
    let later_most = in_minutes(&Exact::from(limit));
    let (Some(first_most), Some(later_most)) = (first_most, later_most) else {
        return Err(CannotCare::NoSection);
    };
    let minutes = |ml: &Exact| ml.times(&sixty).over(rate).and_then(|minutes| minutes.ceil());
    let mut remaining = volume.clone();
    let mut begins = 0_u32;
    let none = Exact::from(0);
    // A day holds no more portions than that.
    while remaining > none && plan.portions.len() < 96 {
        let is_first = plan.portions.is_empty();
        let most = if is_first { &first_most } else { &later_most };
        if *most <= none {
            return Err(CannotCare::NoSection);
        }
        let ml = remaining.clone().min(most.clone());
        let runs = if is_first {
            minutes(&ml.minus(&start_ml)).and_then(|rest| rest.checked_add(plan.start_min))
        } else {
            minutes(&ml)
        };
        let runs_min = runs.ok_or(CannotCare::Calendar)?;
        remaining = remaining.minus(&ml);
        plan.portions.push(Portion { ml, begins_min: begins, runs_min });
        begins = begins.checked_add(runs_min).ok_or(CannotCare::Calendar)?;
    }
    let opened = Rules::whole(care.opened_hours.as_ref())?;
    if plan.portions.len() > 1 {
        plan.cautions.push(Caution::Split);
        let ends_with = plan.portions.last().map_or(0, |portion| portion.begins_min);
        if ends_with > opened.saturating_mul(60) {
            plan.cautions.push(Caution::KeptTooLong);
        }
    }
    if let Some(from) = order.begins {
        plan.ends = Some(after(from, begins)?);
        if plan.portions.len() > 1 {
            plan.keep_until = Some(after(from, opened.saturating_mul(60))?);
        }
    }
    plan.start_ml = Some(start_ml);
    plan.volume_ml = Some(volume.clone());
    Ok(())
}

/// So many minutes after a time, whatever the clocks on the wall do meanwhile.
pub(super) fn after(from: Time, minutes: u32) -> Result<Timestamp, CannotCare> {
    let minutes = SignedDuration::from_mins(i64::from(minutes));
    from.instant().checked_add(minutes).map_err(|_outside| CannotCare::Calendar)
}
