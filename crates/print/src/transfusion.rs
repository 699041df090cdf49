//! The transfusion sheet: the plan, the checks before spiking, and the times to look at the animal,
//! on one page for a pen.

use crossread_core::Protocol;
use crossread_core::care::{CannotCare, Care, Check, Sign, Sourced, fever};

use crate::document::{Block, Cell, Document};

/// What stands on the sheet.
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
    /// The plan.
    pub plan: &'a Care,
    /// The rules by which it was made.
    pub protocol: &'a Protocol,
    /// The times at which the animal is looked at, as a clock shows them there.
    pub times: Vec<String>,
    /// When it has run in, at the fastest.
    pub ends: String,
    /// Until when a portion may be kept in the refrigerator, if it is split.
    pub keep_until: Option<String>,
}

impl TransfusionSheet<'_> {
    /// Everything that is printed.
    ///
    /// # Errors
    /// If the protocol has no `care` section.
    pub fn document(&self) -> Result<Document, CannotCare> {
        let plan = self.plan;
        let heading = |text: &str| Block::Heading { text: text.to_owned() };
        let head = |names: &[&str]| names.iter().map(|name| (*name).to_owned()).collect();
        let fact = |label: &str, value: String| (label.to_owned(), value);
        let mut facts = vec![
            fact("For", self.recipient.clone()),
            fact("Unit", self.unit.clone()),
            fact("Release", self.release.clone()),
            fact("By the formula", plan.formula_ml.to_string()),
        ];
        facts.extend(plan.thumb_ml.as_ref().map(|of| fact("By the rule of thumb", of.to_string())));
        facts.push(fact("Ordered", ml(plan.volume_ml.as_ref())));
        if let (Some(start), Some(speed)) = (&plan.start_ml, &plan.start) {
            let minutes = plan.start_min;
            let said = format!("{} mL over {minutes} min: {speed}", start.rounded(1));
            facts.push(fact("First", said));
        }
        let (slowest, fastest) = &plan.allowed;
        facts.push(fact("Then", format!("{slowest} to {fastest}")));
        if let Some(least) = plan.least_said() {
            facts.push(fact("To be in on time at least", least));
        }
        facts.push(fact("In, at the fastest", self.ends.clone()));
        if let Some(filters) = &plan.filters {
            let when = |minutes: u32| format!("+{minutes} min");
            facts.push(fact("Filter", filters.said(plan.portions.len(), when)));
        }
        let mut blocks =
            vec![Block::Banner { text: Sign::STOP.to_owned() }, Block::Facts { facts }];
        if plan.portions.len() > 1 {
            let portions = plan.portions.iter().zip(1_u32..).map(|(portion, number)| {
                format!(
                    "portion {number}: {} mL, after {} min, runs {} min",
                    portion.ml.rounded(1),
                    portion.begins_min,
                    portion.runs_min
                )
            });
            let mut items: Vec<String> = portions.collect();
            items.extend(
                self.keep_until.iter().map(|until| format!("the rest refrigerated, until {until}")),
            );
            blocks.push(Block::List { items });
        }
        for caution in &plan.cautions {
            blocks.push(Block::Paragraph { text: format!("! {}", caution.text()) });
        }
        blocks.push(heading("Before it is spiked"));
        let checks = Check::ALL.iter().map(|check| {
            Ok(vec![
                Cell::of(check.asked(self.protocol)?),
                Cell::of("yes\u{a0}/\u{a0}no"),
                Cell::of(check.otherwise()),
                Cell::default(),
            ])
        });
        blocks.push(Block::Table {
            spans: Vec::new(),
            head: head(&["asked", "answer", "if no", "by"]),
            rows: checks.collect::<Result<_, _>>()?,
        });
        blocks.push(heading("While it runs"));
        let signs = Sign::ALL.iter().map(|sign| sign.spoken()).collect::<Vec<_>>().join("; ");
        blocks
            .push(Block::Paragraph { text: format!("Signs: {signs}. {}", fever(self.protocol)?) });
        // As high for a pen as leaves all on one page.
        let lines = match self.times.len() {
            0..=12 => 3,
            13..=24 => 2,
            25.. => 1,
        };
        let open = Cell { lines: vec!["\u{a0}".to_owned(); lines], ..Cell::default() };
        let rows = self.times.iter().map(|time| {
            let mut row = vec![Cell::bold(time)];
            row.resize(COLUMNS.len(), open.clone());
            row
        });
        blocks.push(Block::Table { spans: Vec::new(), head: head(&COLUMNS), rows: rows.collect() });
        blocks.push(Block::Paragraph {
            text: "The veterinarian decides what, how much and whether. This is arithmetic."
                .to_owned(),
        });
        blocks.push(Block::Paragraph { text: format!("From: {}.", sources(plan)) });
        let who = ["started by", "second person", "veterinarian"].map(str::to_owned);
        blocks.push(Block::Signatures { who: who.to_vec() });
        let running = format!(
            "{}, worksheet {}, for {}, unit {}",
            self.hospital, self.worksheet, self.recipient, self.unit
        );
        let document = Document::new("Transfusion sheet", &running, false, blocks);
        Ok(Document { dense: true, ..document })
    }
}

const COLUMNS: [&str; 9] =
    ["due", "seen at", "°C", "heart", "breaths", "gums", "mL in", "signs, other", "by"];

fn ml(volume: Option<&crossread_core::prepare::Exact>) -> String {
    volume.map_or_else(|| "nothing yet".to_owned(), |volume| format!("{} mL", volume.rounded(1)))
}

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
