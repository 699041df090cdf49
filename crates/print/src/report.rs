//! The report: one page a recipient, for the veterinarian.

use crossread_core::Worksheet;
use crossread_core::document::{Pointer, Text};
use crossread_core::findings::find;
use crossread_core::interpretation::{Answer, Interpretation};
use crossread_core::words::{Effect, Verdict};
use crossread_core::worksheet::{Decision, Donor};

use crate::document::{Block, Cell, Document};
use crate::sheet::named;

/// What stands over a unit that was released before its crossmatch was completed.
const NOT_COMPLETED: &str = "CROSSMATCH NOT COMPLETED";

/// A report. Make it with [`Report::new`], then set what else is known.
///
/// ```standalone_crate
/// use crossread_core::{Protocols, embed::judge};
/// use crossread_print::{Report, text};
///
/// let document = include_bytes!("../../../examples/three-donors-compared/worksheet.json");
/// let judged = judge(document, Protocols::shipped())?.map_err(|faults| faults.to_string())?;
/// let mut report = Report::new(&judged.worksheet, &judged.interpretation);
/// report.hospital = Some("Brindlemoor Animal Hospital".to_owned());
/// report.revision = 1;
/// let page = text(&report.document());
/// assert!(page.contains("Do not give."));
/// assert!(page.contains("revision 1"));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Report<'a> {
    /// The hospital's name.
    pub hospital: Option<String>,
    /// The revision; 0 for a report that was not issued.
    pub revision: u32,
    /// When it was issued.
    pub issued_at: String,
    /// Who issued it, and to whom.
    pub issued: String,
    /// The revisions that it replaces.
    pub replaces: Vec<Replaced>,
    /// What was amended.
    pub amendments: Vec<Amendment>,
    /// Decisions of named people to go on in spite of a refusal.
    pub overrides: Vec<String>,
    /// Readings that were transcribed from paper, with both times.
    pub transcribed: Vec<String>,
    /// The units that were given out.
    pub given: Vec<Given>,
    /// The last entry of the journal and its hash.
    pub record: Option<String>,
    worksheet: &'a Worksheet,
    interpretation: &'a Interpretation,
}

/// An earlier revision.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Replaced {
    /// Its number.
    pub revision: u32,
    /// When it was issued.
    pub at: String,
    /// Who was given it.
    pub to: Vec<String>,
    /// Verdicts that were others: donor, then, now.
    pub changed: Vec<[String; 3]>,
}

/// Something that was amended.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Amendment {
    /// What it was of.
    pub what: String,
    /// What stood there.
    pub old: String,
    /// What stands there; empty if it was only taken back.
    pub new: String,
    /// Who amended it, when.
    pub by: String,
    /// Why.
    pub reason: String,
}

/// A unit that was given out.
#[derive(Clone, Debug, PartialEq, Eq)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Given {
    /// The donor.
    pub donor: String,
    /// What happened.
    pub what: Gave,
    /// The number of the unit.
    pub unit: String,
    /// Who released it to whom, decided by which veterinarian, when.
    pub who: String,
}

/// How a unit was given out.
#[derive(Clone, Debug, PartialEq, Eq)]
#[expect(clippy::exhaustive_enums, reason = "a crossmatch was completed or it was not")]
pub enum Gave {
    /// On the strength of a crossmatch.
    Released,
    /// Before its crossmatch was completed.
    InEmergency {
        /// Why it could not wait.
        reason: String,
        /// What was not tested.
        not_tested: Vec<String>,
    },
}

/// The decisions that stand on a worksheet, by whom and why.
fn decisions(worksheet: &Worksheet) -> Vec<String> {
    let recipient = &worksheet.recipient().animal;
    let of_recipient = (format!("recipient {}", recipient.id), recipient.decision.as_ref());
    let samples = worksheet.samples().iter();
    let samples = samples.map(|of| (format!("sample {}", of.id), of.decision.as_ref()));
    let donors = worksheet.donors().iter().map(|donor| &donor.animal);
    let donors = donors.map(|of| (format!("donor {}", of.id), of.decision.as_ref()));
    let all = std::iter::once(of_recipient).chain(samples).chain(donors);
    let text = |text: &Option<Text>| text.as_ref().map(ToString::to_string).unwrap_or_default();
    all.filter_map(|(what, decision)| {
        let Decision { by, reason } = decision?;
        Some(format!("{}: {what}, because: {}", text(by), text(reason)))
    })
    .collect()
}

impl<'a> Report<'a> {
    /// A report of what a worksheet comes to.
    pub fn new(worksheet: &'a Worksheet, interpretation: &'a Interpretation) -> Self {
        Self {
            hospital: None,
            revision: 0,
            issued_at: String::new(),
            issued: String::new(),
            replaces: Vec::new(),
            amendments: Vec::new(),
            overrides: decisions(worksheet),
            transcribed: Vec::new(),
            given: Vec::new(),
            record: None,
            worksheet,
            interpretation,
        }
    }

    /// Everything that is printed.
    pub fn document(&self) -> Document {
        let recipient = &self.worksheet.recipient().animal;
        let revision = match self.revision {
            0 => "not issued".to_owned(),
            revision => format!("revision {revision}"),
        };
        let donors: Vec<_> =
            self.worksheet.donors().iter().map(|donor| donor.animal.id.to_string()).collect();
        let running = format!(
            "{}Worksheet {}, recipient {}, donors {}, {revision}",
            self.hospital.as_ref().map(|name| format!("{name}. ")).unwrap_or_default(),
            self.worksheet.id(),
            named(recipient),
            donors.join(", ")
        );
        let mut blocks = vec![Block::Facts { facts: self.head(&revision) }];
        for old in &self.replaces {
            let changed: Vec<_> = old
                .changed
                .iter()
                .map(|[donor, then, now]| format!("{donor} was {then}, is {now}"))
                .collect();
            let changed = if changed.is_empty() {
                "no verdict changed".to_owned()
            } else {
                changed.join("; ")
            };
            let to = old.to.join(", ");
            blocks.push(Block::Paragraph {
                text: format!("Replaces r{} issued {} to {to}: {changed}.", old.revision, old.at),
            });
        }
        for donor in &self.interpretation.order {
            let answer = self.interpretation.pairs.iter().find(|pair| pair.donor == *donor);
            blocks.extend(answer.map(|answer| self.donor(answer)).into_iter().flatten());
        }
        if self.interpretation.pairs.len() > 1 {
            blocks.push(Block::Paragraph {
                text:
                    "Donors stand in the order of their reactivity. Least reactive is a ranking, \
                       never a verdict."
                        .to_owned(),
            });
        }
        blocks.extend(self.record_of());
        if let Some(standing) = find("serology-only") {
            blocks.push(Block::Paragraph { text: standing.text.to_owned() });
        }
        let who = ["reader", "second reader", "veterinarian, who decides, date, time"];
        blocks.push(Block::Signatures { who: who.map(str::to_owned).to_vec() });
        let donors = self.interpretation.pairs.len();
        Document::new("Crossmatch report", &running, false, blocks).dense_over(2, donors)
    }

    fn head(&self, revision: &str) -> Vec<(String, String)> {
        let protocol = &self.interpretation.protocol;
        let mut facts = vec![
            ("recipient".to_owned(), named(&self.worksheet.recipient().animal)),
            ("method".to_owned(), self.interpretation.method.to_string()),
            (
                "rules".to_owned(),
                format!("{} {} (SHA-256 {})", protocol.id, protocol.version, protocol.sha256),
            ),
            ("engine".to_owned(), self.interpretation.engine.to_owned()),
            ("worksheet SHA-256".to_owned(), self.interpretation.worksheet.sha256.to_string()),
            ("issue".to_owned(), format!("{revision} {}", self.issued).trim_end().to_owned()),
        ];
        if !self.issued_at.is_empty() {
            facts.push(("issued at".to_owned(), self.issued_at.clone()));
        }
        facts.extend(self.record.clone().map(|record| ("record".to_owned(), record)));
        facts
    }

    /// The answer for one donor, and what was done with its unit.
    fn donor(&self, answer: &Answer) -> Vec<Block> {
        let donor = self.worksheet.donors().iter().find(|donor| donor.animal.id == answer.donor);
        let (who, what) = donor.map_or_else(
            || (answer.donor.to_string(), String::new()),
            |donor| (named(&donor.animal), given_as(donor)),
        );
        let recipient = named(&self.worksheet.recipient().animal);
        let given: Vec<_> =
            self.given.iter().filter(|given| given.donor == answer.donor.as_str()).collect();
        let emergency = given.iter().any(|given| matches!(given.what, Gave::InEmergency { .. }));
        let concluded = match answer.verdict {
            Verdict::Incomplete | Verdict::Invalid => false,
            Verdict::Compatible
            | Verdict::CompatibleWithCaveats
            | Verdict::Indeterminate
            | Verdict::Incompatible => true,
        };
        let mut blocks = Vec::new();
        // What was given before it was finished must not look like a crossmatch.
        if emergency && !concluded {
            blocks.push(Block::Banner {
                text: format!("{NOT_COMPLETED}: {who} for {recipient} ({what})"),
            });
        } else {
            let word = answer.verdict.spoken().to_uppercase();
            let text = format!("{word}: {who} for {recipient} ({what})");
            blocks.push(Block::Banner { text });
            blocks.push(Block::Paragraph { text: answer.headline.clone() });
        }
        for given in &given {
            let text = match &given.what {
                Gave::Released => format!("Unit {} was released {}.", given.unit, given.who),
                Gave::InEmergency { reason, not_tested } => format!(
                    "Unit {} was released in an emergency {}, because: {reason}. At that time: {}.",
                    given.unit,
                    given.who,
                    not_tested.join("; ")
                ),
            };
            blocks.push(Block::Paragraph { text });
        }
        let mut facts = Vec::new();
        let steps: Vec<_> = answer.next_steps.iter().map(|step| (*step).to_owned()).collect();
        if concluded || !emergency {
            facts.push(("next".to_owned(), steps.join(" Then: ")));
        }
        let missing: Vec<_> = answer.not_tested.iter().map(|of| of.spoken()).collect();
        let missing = if missing.is_empty() { "nothing".to_owned() } else { missing.join(", ") };
        facts.push(("not tested".to_owned(), missing));
        let holds = answer.valid_until.map_or_else(
            || "no release may rest on this".to_owned(),
            |until| format!("until {until}"),
        );
        facts.push(("holds".to_owned(), holds));
        facts.push(("read".to_owned(), self.read(answer)));
        blocks.push(Block::Facts { facts });
        let findings = answer.findings.iter().filter(|finding| finding.effect > Effect::Note);
        let findings: Vec<_> = findings
            .filter(|_| concluded || !emergency)
            .map(|finding| format!("{} ({}, {})", finding.title, finding.effect, finding.slug))
            .collect();
        if !findings.is_empty() {
            blocks.push(Block::List { items: findings });
        }
        blocks
    }

    /// Each reading of record, with time and reader.
    fn read(&self, answer: &Answer) -> String {
        let record = answer.readings_of_record.iter().map(|record| {
            let readings = record.from.iter().filter_map(|pointer| {
                let Pointer::Reading(at) = pointer else { return None };
                self.worksheet.readings().get(*at)
            });
            let looks: Vec<_> = readings
                .map(|reading| {
                    let at = reading.at.to_string();
                    let by = reading.by.as_ref().map_or("nobody named", |by| by.as_str());
                    format!("{} {by}", at.get(..16).unwrap_or_default().replace('T', " "))
                })
                .collect();
            let grade = record.grade.map_or("no grade", |grade| grade.word());
            let hemolysis = record
                .hemolysis
                .map_or_else(|| "hemolysis NT".to_owned(), |of| format!("hemolysis {of}"));
            format!(
                "{} {}: {grade}, {hemolysis} ({})",
                record.test.spoken(),
                record.phase.spoken(),
                looks.join(", ")
            )
        });
        let all: Vec<_> = record.collect();
        if all.is_empty() { "nothing".to_owned() } else { all.join("; ") }
    }

    fn record_of(&self) -> Vec<Block> {
        let mut blocks = Vec::new();
        let heading = |text: &str| Block::Heading { text: text.to_owned() };
        if !self.amendments.is_empty() {
            blocks.push(heading("Amended"));
            let rows = self.amendments.iter().map(|of| {
                vec![
                    Cell::of(&of.what),
                    Cell {
                        struck: vec![of.old.clone()],
                        lines: vec![of.new.clone()],
                        ..Cell::default()
                    },
                    Cell::of(&of.reason),
                    Cell::of(&of.by),
                ]
            });
            let head = ["what", "was, is", "reason", "by"].map(str::to_owned).to_vec();
            blocks.push(Block::Table { spans: Vec::new(), head, rows: rows.collect() });
        }
        let mut items = Vec::new();
        items.extend(self.overrides.iter().map(|of| format!("Used by decision of {of}")));
        items.extend(self.transcribed.iter().cloned());
        items.extend(self.interpretation.panel.iter().map(|finding| {
            format!("All donors together: {}. {}", finding.title, finding.next_step)
        }));
        if !items.is_empty() {
            blocks.push(heading("Also on the record"));
            blocks.push(Block::List { items });
        }
        blocks
    }
}

/// What is given, and the number of its unit.
fn given_as(donor: &Donor) -> String {
    let number = donor.unit.as_ref().and_then(|unit| unit.number.as_ref());
    let number = number.map(|number| format!(", unit {number}")).unwrap_or_default();
    format!("{}{number}", donor.product.spoken())
}
