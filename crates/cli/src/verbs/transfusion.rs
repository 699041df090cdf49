//! How much, how fast, and when to look: `transfusion`.

use std::io::Write as _;

use clap::Args;
use crossread_core::care::{CannotCare, Care, Order, Sign, Sourced, after, care, fever, watch};
use crossread_core::document::{Id, Time};
use crossread_core::prepare::{DropsPerMilliliter, Kilograms, Milliliters, Pcv};
use crossread_core::words::{Product, Species};
use crossread_print::{
    Kept, ReleasedUnit, TransfusionSheet, clock, clocks, day_and_clock, zone_of,
};
use jiff::Timestamp;
use jiff::tz::TimeZone;

use crate::exit::{self, Failure};
use crate::verbs::journal::{Shape, id, json, opened, time, word};
use crate::verbs::paper::Page;
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
    #[command(flatten)]
    figures: Figures,
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
    /// Write the sheet for a pen to this file (`-` is the standard output), with the checks before
    /// spiking and a row for each look, in place of the plan.
    #[arg(long, value_name = "FILE", conflicts_with = "format")]
    sheet: Option<String>,
    /// Which sheet, where the looks of a long transfusion take more than one.
    #[arg(long, value_name = "NUMBER", default_value_t = 1, requires = "sheet")]
    part: usize,
    /// The journal that has the release; its unit and animal stand on the sheet.
    #[arg(short, long, value_name = "PLACE", requires_all = ["worksheet", "release", "sheet"])]
    journal: Option<String>,
    /// The worksheet of the release.
    #[arg(long, value_parser = id, requires = "journal")]
    worksheet: Option<Id>,
    /// The entry of the release.
    #[arg(long, value_name = "ENTRY", requires = "journal")]
    release: Option<u64>,
    #[command(flatten)]
    page: Page,
}

/// What a plan is worked out from.
#[derive(Debug, Args)]
pub(crate) struct Figures {
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
}

impl Figures {
    pub(crate) fn order(&self, product: Product, begins: Option<Time>) -> Order {
        Order {
            weight: self.weight_kg.clone(),
            pcv_now: self.pcv_now.clone(),
            pcv_target: self.pcv_target.clone(),
            product,
            product_pcv: self.product_pcv.clone(),
            volume: self.ordered_ml.clone(),
            slowly: self.slowly,
            drops_per_ml: self.drops_per_ml.clone(),
            begins,
        }
    }
}

/// Why nothing can be planned without an order.
pub(crate) fn not_ordered() -> Failure {
    Failure::misuse("give --ordered-ml: rates and times are worked out for what was ordered")
}

pub(crate) fn run(asked: &Transfusion) -> Result<u8, Failure> {
    if asked.journal.is_some() {
        return of_journal(asked);
    }
    let protocol = input::protocol_for(asked.species, asked.protocol.as_deref())?;
    let order = asked.order();
    let here = TimeZone::system();
    let zone = asked.begins.map_or_else(|| here.clone(), |begins| zone_of(begins, here.clone()));
    if let Some(file) = &asked.sheet {
        let none = String::new;
        let sheet = TransfusionSheet {
            hospital: none(),
            worksheet: none(),
            recipient: none(),
            unit: none(),
            release: none(),
            order: &order,
            protocol: &protocol,
            zone,
            part: 1,
        };
        return asked.write(sheet, file);
    }
    let plan = care(&order, &protocol)?;
    if asked.format != Shape::Text {
        json(asked.format, &plan)?;
        return Ok(exit::RELEASABLE);
    }
    let times = match (asked.begins, plan.latest_min()) {
        (Some(begins), minutes @ 1..) => watch(&protocol, begins, minutes)?,
        _ => Vec::new(),
    };
    tell(&plan, asked.begins, &times, &fever(&protocol)?, &zone)
}

impl From<CannotCare> for Failure {
    fn from(why: CannotCare) -> Self {
        Self::new(exit::MALFORMED, why.to_string())
    }
}

/// The sheet of a unit that was released, by the rules of its worksheet.
fn of_journal(asked: &Transfusion) -> Result<u8, Failure> {
    let (Some(place), Some(worksheet), Some(release), Some(file)) =
        (&asked.journal, &asked.worksheet, asked.release, &asked.sheet)
    else {
        return Err(Failure::misuse("give --journal, --worksheet, --release and --sheet together"));
    };
    if asked.protocol.is_some() {
        return Err(Failure::misuse("the rules are those of the worksheet: leave out --protocol"));
    }
    let kept = Kept::of(&mut opened(place)?, worksheet)?;
    let unit = ReleasedUnit::of(&kept.entries, release).ok_or_else(|| {
        Failure::new(exit::MISSING, format!("worksheet {worksheet} has no release {release}"))
    })?;
    let species = kept.worksheet.recipient().animal.species;
    if species != asked.species || unit.product != asked.product {
        let (is, product) = (species.word(), unit.product.word());
        let message = format!("entry {release} released {product} for a {is}: ask for that");
        return Err(Failure::misuse(message));
    }
    // Once it is spiked, the times run from there and nowhere else.
    let mut order = asked.order();
    order.begins = unit.started().map(|started| started.at).or(order.begins);
    let here = TimeZone::system();
    let zone = order.begins.map_or_else(|| here.clone(), |begins| zone_of(begins, here.clone()));
    asked.write(unit.paper(&order, &kept.protocol, &kept.hospital, zone), file)
}

impl Transfusion {
    fn order(&self) -> Order {
        self.figures.order(self.product, self.begins)
    }

    fn write(&self, mut sheet: TransfusionSheet<'_>, file: &str) -> Result<u8, Failure> {
        if sheet.order.volume.is_none() {
            return Err(not_ordered());
        }
        let parts = sheet.parts()?;
        if !(1..=parts).contains(&self.part) {
            return Err(Failure::misuse(format!("--part is from 1 to {parts} here")));
        }
        sheet.part = self.part;
        let document = sheet.document()?;
        if self.part < parts {
            let message = format!("sheet {} of {parts}; print the next with --part", self.part);
            text::paragraph(&mut anstream::stderr().lock(), "", "", &message)?;
        }
        self.page.write(&document, Some(file))
    }
}

fn tell(
    plan: &Care,
    begins: Option<Time>,
    times: &[Timestamp],
    fever: &str,
    zone: &TimeZone,
) -> Result<u8, Failure> {
    let mut out = anstream::stdout().lock();
    let when = |minutes: u32| {
        let at = begins.and_then(|begins| after(begins, minutes).ok());
        at.map_or_else(|| format!("after {minutes} min"), |at| clock(at, zone))
    };
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
    for (number, said) in (1_u32..).zip(plan.portions_said(when)) {
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
