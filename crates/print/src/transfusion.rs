//! The transfusion sheet: the plan, the checks before spiking, and the times to look at the animal,
//! on one page for a pen.

use crossread_core::Protocol;
use crossread_core::care::{
    CannotCare, Care, Check, Order, Sign, Sourced, after, care, fever, looks, watch,
};
use jiff::tz::TimeZone;

use crate::clock::{clock, clocks, day_and_clock};
use crate::document::{Block, Cell, Document};

/// What stands on the sheet. A text that is empty is a line to write on.
///
/// ```
/// use crossread_core::{Protocols, care::Order, words::Product};
/// use crossread_print::{TransfusionSheet, text};
///
/// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine");
/// # let dog = dog.ok_or("no such protocol")?;
/// let order = Order {
///     weight: "9.5".parse()?,
///     pcv_now: "15".parse()?,
///     pcv_target: "25".parse()?,
///     product: Product::PackedCells,
///     product_pcv: "60".parse()?,
///     volume: Some("140".parse()?),
///     slowly: false,
///     drops_per_ml: None,
///     begins: None,
/// };
/// let sheet = TransfusionSheet {
///     hospital: "Brindlemoor Animal Hospital".to_owned(),
///     worksheet: "WS-0131".to_owned(),
///     recipient: "R-3101 Clover".to_owned(),
///     unit: "U-5501 of D-081, packed cells".to_owned(),
///     release: String::new(),
///     order: &order,
///     protocol: dog,
///     zone: jiff::tz::TimeZone::UTC,
///     part: 1,
/// };
/// assert_eq!(sheet.parts()?, 1);
/// assert!(text(&sheet.document()?).contains("Any sign: stop first."));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct TransfusionSheet<'a> {
    /// The hospital's name.
    pub hospital: String,
    /// The worksheet of the crossmatch.
    pub worksheet: String,
    /// The animal, by its number and its name.
    pub recipient: String,
    /// The unit, its donor and its product.
    pub unit: String,
    /// What the release says: valid until when, or that the crossmatch was not completed.
    pub release: String,
    /// What was ordered. Without a beginning the times are minutes from the spiking on, with a place
    /// for the clock's time beside them.
    pub order: &'a Order,
    /// The rules.
    pub protocol: &'a Protocol,
    /// The clock by which times are shown.
    pub zone: TimeZone,
    /// Which sheet, from 1: a long transfusion has more looks than one page has rows for a pen. The
    /// first has the plan and the checks, each its looks.
    pub part: usize,
}

impl TransfusionSheet<'_> {
    /// How many sheets it takes.
    ///
    /// # Errors
    /// If nothing can be planned.
    pub fn parts(&self) -> Result<usize, CannotCare> {
        let plan = care(self.order, self.protocol)?;
        Ok(looks(self.protocol, plan.latest_min())?.len().div_ceil(ROWS).max(1))
    }

    /// Everything that is printed on one sheet.
    ///
    /// # Errors
    /// If nothing can be planned.
    pub fn document(&self) -> Result<Document, CannotCare> {
        let plan = care(self.order, self.protocol)?;
        let mut blocks = vec![Block::Banner { text: Sign::STOP.to_owned() }];
        if self.part <= 1 {
            blocks.extend(self.before(&plan)?);
        } else {
            let facts = vec![
                fact("For", &self.recipient),
                fact("Unit", &self.unit),
                fact("Spiked at", &self.spiked()),
            ];
            blocks.push(Block::Facts { facts });
        }
        blocks.push(heading("While it runs"));
        let signs = Sign::ALL.iter().map(|sign| sign.spoken()).collect::<Vec<_>>().join("; ");
        let signs = format!("Signs: {signs}. {}", fever(self.protocol)?);
        blocks.push(Block::Paragraph { text: signs });
        let parts = self.parts()?;
        blocks.extend(self.watched(&plan, parts)?);
        blocks.push(Block::Paragraph {
            text: "The veterinarian decides what, how much and whether. This is arithmetic."
                .to_owned(),
        });
        // The last sheet has the room.
        if self.part.max(1) == parts {
            let after = plan.outcome_h.iter().map(|hours| match hours {
                0 => fact("PCV at the end, %", ""),
                hours => fact(&format!("PCV {hours} h after it, %"), ""),
            });
            blocks.push(Block::Facts { facts: after.collect() });
            blocks.push(Block::Paragraph { text: format!("From: {}.", sources(&plan)) });
        }
        let who = ["started by", "second person", "veterinarian"].map(str::to_owned);
        blocks.push(Block::Signatures { who: who.to_vec() });
        let of = [
            ("", &self.hospital),
            ("worksheet ", &self.worksheet),
            ("for ", &self.recipient),
            ("unit ", &self.unit),
        ];
        let of = of.iter().filter(|(_, text)| !text.is_empty());
        let mut running: Vec<_> = of.map(|(what, text)| format!("{what}{text}")).collect();
        if parts > 1 {
            running.push(format!("sheet {} of {parts}", self.part.max(1)));
        }
        let document = Document::new("Transfusion sheet", &running.join(", "), false, blocks);
        Ok(Document { dense: true, ..document })
    }

    /// The plan, and the checks.
    fn before(&self, plan: &Care) -> Result<Vec<Block>, CannotCare> {
        let mut blocks = vec![Block::Facts { facts: self.facts(plan) }];
        if plan.portions.len() > 1 {
            let portions = (1_u32..).zip(plan.portions_said(|minutes| self.when(minutes)));
            let mut items: Vec<_> =
                portions.map(|(number, said)| format!("portion {number}: {said}")).collect();
            items.extend(plan.keep_min.map(|minutes| self.kept(minutes)).transpose()?);
            blocks.push(Block::List { items });
        }
        let cautions = plan.cautions.iter();
        blocks.extend(
            cautions.map(|caution| Block::Paragraph { text: format!("! {}", caution.text()) }),
        );
        blocks.extend([heading("Before it is spiked"), self.checks()?]);
        Ok(blocks)
    }

    /// Until when the rest may be kept.
    fn kept(&self, minutes: u32) -> Result<String, CannotCare> {
        let Some(begins) = self.order.begins else {
            let hours = minutes.div_ceil(60);
            return Ok(format!("the rest refrigerated, {hours} h at most from the spiking on"));
        };
        let until = day_and_clock(after(begins, minutes)?, &self.zone);
        Ok(format!("the rest refrigerated, until {until}"))
    }

    fn spiked(&self) -> String {
        let spiked = self.order.begins.map(|begins| day_and_clock(begins.instant(), &self.zone));
        spiked.unwrap_or_default()
    }

    /// When so many minutes from the beginning are.
    fn when(&self, minutes: u32) -> String {
        let at = self.order.begins.and_then(|begins| after(begins, minutes).ok());
        at.map_or_else(|| format!("+{minutes} min"), |at| clock(at, &self.zone))
    }

    fn facts(&self, plan: &Care) -> Vec<(String, String)> {
        let ordered = plan.volume_ml.as_ref().map(|volume| format!("{} mL", volume.rounded(1)));
        let mut facts = vec![
            fact("For", &self.recipient),
            fact("Unit", &self.unit),
            fact("Release", &self.release),
            fact("By the formula", &plan.formula_ml.to_string()),
        ];
        let thumb = plan.thumb_ml.as_ref();
        facts.extend(thumb.map(|of| fact("By the rule of thumb", &of.to_string())));
        facts.push(fact("Ordered", &ordered.unwrap_or_default()));
        if let (Some(start), Some(speed)) = (&plan.start_ml, &plan.start) {
            let minutes = plan.start_min;
            let said = format!("{} mL over {minutes} min: {speed}", start.rounded(1));
            facts.push(fact("First", &said));
        }
        let (slowest, fastest) = &plan.allowed;
        facts.push(fact("Then", &format!("{slowest} to {fastest}")));
        facts.extend(plan.least_said().map(|least| fact("To be in on time at least", &least)));
        facts.push(fact("Spiked at", &self.spiked()));
        if plan.volume_ml.is_some() {
            let (earliest, latest) = (plan.earliest_min(), plan.latest_min());
            facts.push(fact("In", &format!("{} to {}", self.when(earliest), self.when(latest))));
        }
        if let Some(filters) = &plan.filters {
            let said = filters.said(plan.portions.len(), |minutes| self.when(minutes));
            facts.push(fact("Filter", &said));
        }
        facts
    }

    /// What is answered by name before it is spiked.
    fn checks(&self) -> Result<Block, CannotCare> {
        let rows = Check::ALL.iter().map(|check| {
            Ok(vec![
                Cell::of(check.asked(self.protocol)?),
                Cell::of("yes\u{a0}/\u{a0}no"),
                Cell::of(check.otherwise()),
                Cell::default(),
            ])
        });
        Ok(Block::Table {
            spans: Vec::new(),
            head: ["asked", "answer", "if no", "by"].map(str::to_owned).to_vec(),
            rows: rows.collect::<Result<_, _>>()?,
        })
    }

    /// A row for each look of this sheet.
    fn watched(&self, plan: &Care, parts: usize) -> Result<Vec<Block>, CannotCare> {
        let until = plan.latest_min();
        let all: Vec<String> = if let Some(begins) = self.order.begins {
            clocks(&watch(self.protocol, begins, until)?, &self.zone)
        } else {
            let looks = looks(self.protocol, until)?;
            looks.into_iter().map(|minutes| format!("+{minutes}")).collect()
        };
        let mut head: Vec<String> = COLUMNS.map(str::to_owned).to_vec();
        if self.order.begins.is_none() {
            head.insert(0, "+min".to_owned());
        }
        let before = self.part.saturating_sub(1).saturating_mul(ROWS);
        let due = all.iter().skip(before).take(ROWS);
        // As high for a pen as leaves all on one page.
        let beside =
            if self.part <= 1 { plan.cautions.len().saturating_add(portions(plan)) } else { 0 };
        let sources = if self.part.max(1) == parts { 9 } else { 0 };
        let room = 49_usize.saturating_sub(beside).saturating_sub(sources);
        let lines = room.checked_div(due.len()).map_or(1, |lines| lines.clamp(1, 3));
        let open = Cell { lines: vec!["\u{a0}".to_owned(); lines], ..Cell::default() };
        let rows = due.map(|due| {
            let mut row = vec![Cell::bold(due)];
            row.resize(head.len(), open.clone());
            row
        });
        let rows = rows.collect();
        let mut blocks = vec![Block::Table { spans: Vec::new(), head, rows }];
        if let Some(next) = all.get(before.saturating_add(ROWS)) {
            let text = format!(
                "It goes on with the look at {next}, on sheet {} of {parts}.",
                self.part.max(1).saturating_add(1)
            );
            blocks.push(Block::Paragraph { text });
        }
        Ok(blocks)
    }
}

fn fact(label: &str, value: &str) -> (String, String) {
    (label.to_owned(), value.to_owned())
}

/// The lines that say how a unit is split.
fn portions(plan: &Care) -> usize {
    match plan.portions.len() {
        0 | 1 => 0,
        portions => portions.saturating_add(1),
    }
}

fn heading(text: &str) -> Block {
    Block::Heading { text: text.to_owned() }
}

/// As many looks have a row on one sheet, high enough for a pen; four hours have no more.
const ROWS: usize = 20;

const COLUMNS: [&str; 9] =
    ["due", "seen at", "°C", "heart", "breaths", "gums", "mL in", "signs, other", "by"];

/// Every value of the protocol that the plan rests on, by its source.
fn sources(plan: &Care) -> String {
    let thumb = plan.thumb_ml.iter().flat_map(|thumb| &thumb.from);
    let all = plan.formula_ml.from.iter().chain(thumb).chain(&plan.from);
    let mut cited: Vec<(&str, Vec<String>)> = Vec::new();
    for Sourced { rule, value, source, .. } in all {
        let said = format!("{} {value}", rule.trim_start_matches("care."));
        match cited.iter_mut().find(|(known, _)| known == source) {
            Some((_, values)) => values.push(said),
            None => cited.push((source, vec![said])),
        }
    }
    let said = cited.iter().map(|(source, values)| format!("{} ({source})", values.join(", ")));
    said.collect::<Vec<_>>().join("; ")
}
