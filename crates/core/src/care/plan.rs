//! How much, how fast, and when it has run in.

use std::fmt;

use jiff::{SignedDuration, Timestamp};
use schemars::JsonSchema;
use serde::Serialize;
use thiserror::Error;

use super::rules::{Rules, Sourced};
use super::watch::Filters;
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
    /// Minutes until it has run in at the fastest that the protocol allows, rounded up.
    pub runs_min: u32,
    /// Minutes until it has run in at the slowest that the protocol allows, rounded up; never more
    /// than the protocol allows for a portion.
    pub slowest_min: u32,
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
    /// What the protocol gives slowly at first would run faster than it allows for this animal: it
    /// begins at the fastest that is allowed.
    StartSlowed,
    /// It does not run in within the time of the protocol: it is split before it begins.
    Split,
    /// The last portion would begin after the opened unit may be kept.
    KeptTooLong,
    /// Formula and rule of thumb lie further apart than the protocol lets pass.
    FarApart,
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
            Self::StartSlowed => {
                "The slow start of the protocol would run faster than it allows for this animal: it \
                 begins at the fastest rate that is allowed."
            }
            Self::Split => {
                "It does not run in within the time of the protocol: split it before it begins, and \
                 keep the rest in the refrigerator."
            }
            Self::KeptTooLong => {
                "The last portion would begin after the opened unit may be kept: ask the \
                 veterinarian before it begins."
            }
            Self::FarApart => {
                "Formula and rule of thumb lie far apart: check the weight and the three PCV values, \
                 each in percent."
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
    /// The slowest that the rest may run and still be in on time, portion for portion; never above
    /// the fastest that is allowed. None if nothing is left after the slow start.
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
    /// When the last portion has run in, at the slowest that the protocol allows, in UTC.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>")]
    pub ends_latest: Option<Timestamp>,
    /// For how many minutes the rest of an opened unit may be kept in the refrigerator, if it is split.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub keep_min: Option<u32>,
    /// Until when that is, in UTC.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>")]
    pub keep_until: Option<Timestamp>,
    /// The filter for what was ordered, and when it is changed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub filters: Option<Filters>,
    /// At how many hours after the end the PCV is measured.
    pub outcome_h: Vec<u32>,
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
    /// More portions than are laid out.
    #[error(
        "it takes more than {most} portions at the rates of the protocol: check weight, volume and rates"
    )]
    TooManyPortions {
        /// The most that are laid out.
        most: usize,
    },
    /// A rate of 0, at which nothing ever runs in.
    #[error(
        "the protocol allows a rate of 0 only, at which nothing runs in: check its `care` section"
    )]
    NoRate,
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
/// ```
/// # use crossread_core::{Protocols, care::{CannotCare, Order, care}, words::Product};
/// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
/// # let order = Order {
/// #     weight: "4".parse()?, pcv_now: "12".parse()?, pcv_target: "22".parse()?,
/// #     product: Product::PackedCells, product_pcv: "60".parse()?, volume: Some("60".parse()?),
/// #     slowly: false, drops_per_ml: None, begins: None,
/// # };
/// // 60 mL of packed cells for a dog of 4 kg.
/// let plan = care(&order, dog)?;
/// assert_eq!(plan.allowed.0.to_string(), "20.0 mL/h");
/// assert_eq!((plan.earliest_min(), plan.latest_min()), (104, 192));
/// // A slip of the pen: more than the animal's own blood.
/// let slip = Order { volume: Some("600".parse()?), ..order };
/// assert!(matches!(care(&slip, dog), Err(CannotCare::OverBloodVolume { .. })));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// If the protocol has no `care` section, more is ordered than the animal has blood, it takes more
/// than 96 portions, the protocol allows a rate of 0 only, or a time lies outside the calendar.
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
    let name = "care.blood_volume_ml_per_kg";
    let blood_from = rules.range(name, care.blood_volume_ml_per_kg.as_ref(), "mL/kg")?;
    let blood_ml = ranged(&blood, weight, &blood_from);
    let share = rise.over(order.product_pcv.exact()).unwrap_or_else(|| Exact::from(0));
    let formula_ml = Figure {
        lo: blood_ml.lo.times(&share),
        hi: blood_ml.hi.times(&share),
        unit: "mL",
        from: vec![blood_from],
    };
    let thumb_ml = thumb(order, &rules, &rise)?;
    let apart = Rules::whole(care.formula_apart_percent.as_ref())?;
    if thumb_ml.as_ref().is_some_and(|thumb| thumb.is_apart(&formula_ml, apart)) {
        cautions.push(Caution::FarApart);
    }
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
        ends_latest: None,
        keep_min: None,
        keep_until: None,
        filters: None,
        outcome_h: rules.outcome_hours()?,
        cautions,
        from: sources(order, &rules)?,
    };
    if let Some(volume) = &order.volume {
        run_in(&mut plan, order, volume.exact(), care)?;
        plan.filters = Some(Filters::of(&plan, &rules, volume)?);
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
    let from = rules.range(name, rule, "mL/kg for each percent")?;
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

/// The values that rates, times, checks and looks rest on.
fn sources(order: &Order, rules: &Rules<'_>) -> Result<Vec<Sourced>, CannotCare> {
    let care = rules.care;
    let (name, rate) = if order.slowly {
        ("care.slow_rate_ml_per_kg_h", care.slow_rate_ml_per_kg_h.as_ref())
    } else {
        ("care.rate_ml_per_kg_h", care.rate_ml_per_kg_h.as_ref())
    };
    Ok(vec![
        rules.count("care.formula_apart_percent", care.formula_apart_percent.as_ref(), "%")?,
        rules.number("care.start_ml_per_kg", care.start_ml_per_kg.as_ref(), "mL/kg")?,
        rules.count("care.start_min", care.start_min.as_ref(), "min")?,
        rules.range(name, rate, "mL/kg/h")?,
        rules.count("care.max_min", care.max_min.as_ref(), "min")?,
        rules.count("care.opened_hours", care.opened_hours.as_ref(), "h")?,
        rules.number("care.warm_max_c", care.warm_max_c.as_ref(), "°C")?,
        rules.counts("care.filter_um", care.filter_um.as_ref(), "µm")?,
        rules.counts("care.fine_filter_um", care.fine_filter_um.as_ref(), "µm")?,
        rules.count("care.fine_filter_ml", care.fine_filter_ml.as_ref(), "mL")?,
        rules.count("care.fine_filters_max", care.fine_filters_max.as_ref(), "filters")?,
        rules.watch()?,
        rules.number("care.fever_from_c", care.fever_from_c.as_ref(), "°C")?,
        rules.number("care.fever_rise_c", care.fever_rise_c.as_ref(), "°C")?,
        rules.outcome()?,
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
    let figures = || plan.thumb_ml.iter().chain([&plan.formula_ml]);
    let differs =
        figures().all(|figure| volume < &figure.lo) || figures().all(|figure| volume > &figure.hi);
    if differs && !plan.cautions.contains(&Caution::NothingToGive) {
        plan.cautions.push(Caution::OrderDiffers);
    }
    let per_kg = Rules::one(care.start_ml_per_kg.as_ref())?;
    let pace = Pace {
        limit: Rules::whole(care.max_min.as_ref())?,
        start_min: plan.start_min,
        slowest: &plan.allowed.0.ml_per_h,
        fastest: &plan.allowed.1.ml_per_h,
    };
    let wished = per_kg.times(order.weight.exact()).min(volume.clone());
    let allowed = in_minutes(pace.fastest, plan.start_min);
    if wished > allowed {
        plan.cautions.push(Caution::StartSlowed);
    }
    let start_ml = wished.min(allowed);
    let portions = pace.portions(volume, &start_ml)?;
    plan.least = pace.least(&portions, &start_ml).map(|rate| speed(order, rate));
    plan.start = per_hour(&start_ml, plan.start_min).map(|rate| speed(order, rate));
    plan.portions = portions;
    let opened = Rules::whole(care.opened_hours.as_ref())?.saturating_mul(60);
    let (earliest, latest) = (plan.earliest_min(), plan.latest_min());
    let last_begins =
        latest.saturating_sub(plan.portions.last().map_or(0, |last| last.slowest_min));
    let is_split = plan.portions.len() > 1;
    if is_split {
        plan.keep_min = Some(opened);
        plan.cautions.push(Caution::Split);
        if last_begins > opened {
            plan.cautions.push(Caution::KeptTooLong);
        }
    }
    if let Some(from) = order.begins {
        plan.ends = Some(after(from, earliest)?);
        plan.ends_latest = Some(after(from, latest)?);
        if is_split {
            plan.keep_until = Some(after(from, opened)?);
        }
    }
    plan.start_ml = Some(start_ml);
    plan.volume_ml = Some(volume.clone());
    Ok(())
}

/// The rates in mL/h and the minutes within which a portion has run in.
struct Pace<'r> {
    limit: u32,
    start_min: u32,
    slowest: &'r Exact,
    fastest: &'r Exact,
}

impl Pace<'_> {
    /// More portions than that are a mistake in weight, volume or rates, and no plan.
    const MOST_PORTIONS: usize = 96;

    /// The portions, each as large as runs in on time at the fastest: whoever runs it slower needs
    /// more time, never less.
    fn portions(&self, volume: &Exact, start_ml: &Exact) -> Result<Vec<Portion>, CannotCare> {
        let none = Exact::from(0);
        let left = self.limit.saturating_sub(self.start_min);
        let mut portions: Vec<Portion> = Vec::new();
        let (mut remaining, mut begins_min) = (volume.clone(), 0_u32);
        while remaining > none {
            let (before, start_min, minutes) = if portions.is_empty() {
                (start_ml.clone(), self.start_min, left)
            } else {
                (none.clone(), 0, self.limit)
            };
            let most = before.plus(&in_minutes(self.fastest, minutes));
            if most <= none {
                return Err(CannotCare::NoRate);
            }
            if portions.len() == Self::MOST_PORTIONS {
                return Err(CannotCare::TooManyPortions { most: Self::MOST_PORTIONS });
            }
            let ml = remaining.clone().min(most);
            let rest = ml.minus(&before);
            let at = |rate: &Exact| {
                if rest == none {
                    return Some(start_min);
                }
                minutes_at(&rest, rate)?.checked_add(start_min)
            };
            let runs_min = at(self.fastest).ok_or(CannotCare::Calendar)?;
            let slowest_min =
                at(self.slowest).map_or(self.limit, |slowest| slowest.min(self.limit));
            remaining = remaining.minus(&ml);
            portions.push(Portion { ml, begins_min, runs_min, slowest_min });
            begins_min = begins_min.checked_add(runs_min).ok_or(CannotCare::Calendar)?;
        }
        Ok(portions)
    }

    /// The slowest at which every portion is in on time.
    fn least(&self, portions: &[Portion], start_ml: &Exact) -> Option<Exact> {
        let left = self.limit.saturating_sub(self.start_min);
        let (first, later) = portions.split_first()?;
        let first = per_hour(&first.ml.minus(start_ml), left);
        let later = later.iter().filter_map(|portion| per_hour(&portion.ml, self.limit));
        first.into_iter().chain(later).max().filter(|rate| *rate > Exact::from(0))
    }
}

impl Figure {
    /// Whether two ranges lie more than so many percent of the lower one's upper end apart.
    fn is_apart(&self, other: &Self, percent: u32) -> bool {
        let stretched = Exact::hundredths(percent).plus(&Exact::from(1));
        let over = |low: &Self, high: &Self| high.lo > low.hi.times(&stretched);
        over(self, other) || over(other, self)
    }
}

impl fmt::Display for Figure {
    /// The range in whole units, or the one value.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (lo, hi) = (self.lo.rounded(0), self.hi.rounded(0));
        if lo == hi {
            write!(f, "{lo} {}", self.unit)
        } else {
            write!(f, "{lo} to {hi} {}", self.unit)
        }
    }
}

impl fmt::Display for Speed {
    /// The rate, rounded down: what is printed is never above what is meant.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.write(f, Exact::rounded_down)
    }
}

impl Speed {
    fn write(&self, out: &mut impl fmt::Write, rounded: fn(&Exact, u32) -> String) -> fmt::Result {
        write!(out, "{} mL/h", rounded(&self.ml_per_h, places(&self.ml_per_h, 1)))?;
        match &self.drops_per_min {
            Some(drops) => write!(out, " ({} drops/min)", rounded(drops, places(drops, 0))),
            None => Ok(()),
        }
    }
}

/// The places of a rate; a small one has one more, as a tenth of a mL is much of it.
fn places(rate: &Exact, usual: u32) -> u32 {
    if *rate < Exact::from(10) { usual.saturating_add(1) } else { usual }
}

impl Care {
    /// The least rate in words, rounded up, but never above the fastest that is printed.
    ///
    /// ```
    /// # use crossread_core::{Protocols, care::{Order, care}, words::Product};
    /// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
    /// # let order = Order {
    /// #     weight: "4".parse()?, pcv_now: "12".parse()?, pcv_target: "22".parse()?,
    /// #     product: Product::PackedCells, product_pcv: "60".parse()?, volume: Some("60".parse()?),
    /// #     slowly: false, drops_per_ml: None, begins: None,
    /// # };
    /// // 59 mL after the slow start, in the 225 minutes that are left of four hours.
    /// assert_eq!(care(&order, dog)?.least_said().as_deref(), Some("15.8 mL/h"));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn least_said(&self) -> Option<String> {
        let least = self.least.as_ref()?;
        let mut said = String::new();
        least.write(&mut said, Exact::rounded_up).ok()?;
        let fastest = self.allowed.1.to_string();
        let above = |of: &Exact, most: &Exact, usual: u32| {
            let number = |text: String| text.parse::<Exact>().ok();
            number(of.rounded_up(places(of, usual)))
                > number(most.rounded_down(places(most, usual)))
        };
        let drops = least.drops_per_min.as_ref().zip(self.allowed.1.drops_per_min.as_ref());
        let over = above(&least.ml_per_h, &self.allowed.1.ml_per_h, 1)
            || drops.is_some_and(|(least, most)| above(least, most, 0));
        Some(if over { fastest } else { said })
    }

    /// Each portion in words; `when` says at what time so many minutes from the beginning are.
    ///
    /// ```
    /// # use crossread_core::{Protocols, care::{Order, care}, words::Product};
    /// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
    /// # let order = Order {
    /// #     weight: "4".parse()?, pcv_now: "12".parse()?, pcv_target: "22".parse()?,
    /// #     product: Product::PackedCells, product_pcv: "60".parse()?, volume: Some("60".parse()?),
    /// #     slowly: true, drops_per_ml: None, begins: None,
    /// # };
    /// // The heart is weak, so it runs slowly, and not all of it within four hours.
    /// let said = care(&order, dog)?.portions_said(|minutes| format!("after {minutes} min"));
    /// assert_eq!(said.len(), 2);
    /// assert_eq!(said[0], "31.0 mL, begins after 0 min, runs 240 min");
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn portions_said(&self, when: impl Fn(u32) -> String) -> Vec<String> {
        let mut latest = 0_u32;
        let said = self.portions.iter().map(|portion| {
            let Portion { ml, begins_min, runs_min, slowest_min } = portion;
            let mut begins = when(*begins_min);
            if latest > *begins_min {
                begins = format!("{begins} to {}", when(latest));
            }
            latest = latest.saturating_add(*slowest_min);
            let ml = ml.rounded(1);
            let runs = if runs_min == slowest_min {
                format!("{runs_min} min")
            } else {
                format!("{runs_min} to {slowest_min} min")
            };
            format!("{ml} mL, begins {begins}, runs {runs}")
        });
        said.collect()
    }

    /// Minutes from the beginning until the last portion has run in at the fastest.
    pub fn earliest_min(&self) -> u32 {
        self.portions.iter().fold(0, |sum, portion| sum.saturating_add(portion.runs_min))
    }

    /// Minutes from the beginning until the last portion has run in at the slowest that the protocol
    /// allows, each portion begun as soon as the one before is in: until then the animal is watched.
    pub fn latest_min(&self) -> u32 {
        self.portions.iter().fold(0, |sum, portion| sum.saturating_add(portion.slowest_min))
    }
}

/// What runs in within so many minutes at a rate in mL/h.
fn in_minutes(rate: &Exact, minutes: u32) -> Exact {
    let hours = Exact::from(minutes).over(&Exact::from(60));
    hours.map_or_else(|| Exact::from(0), |hours| rate.times(&hours))
}

/// The rate in mL/h at which a volume runs in within so many minutes.
fn per_hour(ml: &Exact, minutes: u32) -> Option<Exact> {
    ml.times(&Exact::from(60)).over(&Exact::from(minutes))
}

/// Whole minutes until a volume has run in at a rate in mL/h; none at a rate of 0.
fn minutes_at(ml: &Exact, rate: &Exact) -> Option<u32> {
    ml.times(&Exact::from(60)).over(rate).and_then(|minutes| minutes.ceil())
}

/// So many minutes after a time, whatever the clocks on the wall do meanwhile.
///
/// ```
/// # use crossread_core::{care::after, document::Time};
/// let begins = Time::new("2026-03-14T23:50:00+01:00").unwrap();
/// assert_eq!(after(begins, 104)?.to_string(), "2026-03-15T00:34:00Z");
/// # Ok::<_, crossread_core::care::CannotCare>(())
/// ```
///
/// # Errors
/// If that is beyond the calendar.
pub fn after(from: Time, minutes: u32) -> Result<Timestamp, CannotCare> {
    let minutes = SignedDuration::from_mins(i64::from(minutes));
    from.instant().checked_add(minutes).map_err(|_outside| CannotCare::Calendar)
}
