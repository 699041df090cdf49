//! How much, how fast, and when to look: `transfusion`.

use std::io::Write as _;

use clap::Args;
use crossread_core::care::{CannotCare, Care, Order, Sign, Sourced, care, fever, watch};
use crossread_core::document::Time;
use crossread_core::prepare::{DropsPerMilliliter, Kilograms, Milliliters, Pcv};
use crossread_core::words::{Product, Species};
use crossread_print::{clocks, day_and_clock, zone_of};
use jiff::Timestamp;
use jiff::tz::TimeZone;

use crate::exit::{self, Failure};
use crate::verbs::journal::{Shape, json, time, word};
use crate::{input, text};

/// Plan a transfusion: volumes by formula and rule of thumb, rates, portions, times to look.
///
/// The veterinarian decides what, how much and whether. This is arithmetic by the `care` section of
/// a protocol.
#[derive(Debug, Args)]
#[command(allow_negative_numbers = true)]
pub(crate) struct Transfusion {
    /// The recipient's species.
    #[arg(value_parser = word::<Species>)]
    species: Species,
    /// What is given.
    #[arg(value_parser = word::<Product>)]
    product: Product,
    /// Body weight in kg.
    #[arg(long)]
    weight_kg: Kilograms,
    /// The PCV that was measured, in percent.
    #[arg(long)]
    pcv_now: Pcv,
    /// The PCV that is wished for, in percent.
    #[arg(long)]
    pcv_target: Pcv,
    /// The PCV of the product, in percent; measured, never assumed.
    #[arg(long)]
    product_pcv: Pcv,
    /// The volume that the veterinarian ordered, in mL: rates and times are worked out for it.
    #[arg(long, value_name = "ML")]
    ordered_ml: Option<Milliliters>,
    /// Heart or kidneys are weak: it runs slowly.
    #[arg(long)]
    slowly: bool,
    /// Drops of the infusion set in one mL, as on its packet.
    #[arg(long)]
    drops_per_ml: Option<DropsPerMilliliter>,
    /// When it begins.
    #[arg(long, value_parser = time)]
    begins: Option<Time>,
    /// The rules: a file, or the id of a protocol that ships; left out, the one that ships for the
    /// species.
    #[arg(long, value_name = "PROTOCOL")]
    protocol: Option<String>,
    /// How to print.
    #[arg(long, value_enum, default_value_t = Shape::Text)]
    format: Shape,
}

pub(crate) fn run(asked: &Transfusion) -> Result<u8, Failure> {
    let protocol = input::protocol_for(asked.species, asked.protocol.as_deref())?;
    let order = Order {
        weight: asked.weight_kg.clone(),
        pcv_now: asked.pcv_now.clone(),
        pcv_target: asked.pcv_target.clone(),
        product: asked.product,
        product_pcv: asked.product_pcv.clone(),
        volume: asked.ordered_ml.clone(),
        slowly: asked.slowly,
        drops_per_ml: asked.drops_per_ml.clone(),
        begins: asked.begins,
    };
    let cannot = |why: CannotCare| Failure::new(exit::MALFORMED, why.to_string());
    let plan = care(&order, &protocol).map_err(cannot)?;
    if asked.format == Shape::Json {
        json(&plan)?;
        return Ok(exit::RELEASABLE);
    }
    let times = match (asked.begins, plan.latest_min()) {
        (Some(begins), minutes @ 1..) => watch(&protocol, begins, minutes).map_err(cannot)?,
        _ => Vec::new(),
    };
    let here = TimeZone::system();
    let zone = asked.begins.map_or_else(|| here.clone(), |begins| zone_of(begins, here.clone()));
    tell(&plan, &times, &fever(&protocol).map_err(cannot)?, &zone)
}

fn tell(plan: &Care, times: &[Timestamp], fever: &str, zone: &TimeZone) -> Result<u8, Failure> {
    let mut out = anstream::stdout().lock();
    let mut line = |label: &str, said: &str| {
        text::paragraph(&mut out, &format!("{label:<24}"), &format!("{:26}", ""), said)
    };
    line("by the formula", &plan.formula_ml.to_string())?;
    if let Some(thumb) = &plan.thumb_ml {
        line("by the rule of thumb", &thumb.to_string())?;
    }
    if let (Some(volume), Some(start), Some(speed)) = (&plan.volume_ml, &plan.start_ml, &plan.start)
    {
        line("ordered", &format!("{} mL", volume.rounded(1)))?;
        let first = format!("{} mL over {} min: {speed}", start.rounded(1), plan.start_min);
        line("first", &first)?;
    }
    line("then", &format!("{} to {}", plan.allowed.0, plan.allowed.1))?;
    if let Some(least) = plan.least_said() {
        line("to be in on time", &format!("at least {least}"))?;
    }
    for (number, portion) in (1..).zip(&plan.portions) {
        let said = format!(
            "{} mL, begins after {} min, runs {} to {} min",
            portion.ml.rounded(1),
            portion.begins_min,
            portion.runs_min,
            portion.slowest_min
        );
        line(&format!("portion {number}"), &said)?;
    }
    if let Some(ends) = &plan.ends {
        line("in, at the fastest", &day_and_clock(*ends, zone))?;
    }
    if let Some(ends) = &plan.ends_latest {
        line("in, at the slowest", &day_and_clock(*ends, zone))?;
    }
    if let Some(until) = &plan.keep_until {
        line("rest refrigerated until", &day_and_clock(*until, zone))?;
    }
    if !times.is_empty() {
        line("look at the animal", &clocks(times, zone).join(", "))?;
    }
    if let Some(filters) = &plan.filters {
        let when = |minutes: u32| format!("after {minutes} min");
        line("filter", &filters.said(plan.portions.len(), when))?;
    }
    line("temperature", fever)?;
    for caution in &plan.cautions {
        text::paragraph(&mut out, "! ", "  ", caution.text())?;
    }
    text::paragraph(&mut out, "! ", "  ", Sign::STOP)?;
    let thumb = plan.thumb_ml.iter().flat_map(|thumb| &thumb.from);
    writeln!(out, "from")?;
    for Sourced { rule, value, source, .. } in
        plan.formula_ml.from.iter().chain(thumb).chain(&plan.from)
    {
        text::paragraph(&mut out, "    - ", "      ", &format!("{rule} = {value}. {source}"))?;
    }
    text::paragraph(
        &mut out,
        "",
        "",
        "The veterinarian decides what, how much and whether. This is arithmetic.",
    )?;
    Ok(exit::RELEASABLE)
}
