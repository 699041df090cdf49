//! The worksheet on paper: rows are mixtures in rack order, columns are phases.

use crossread_core::prepare::rack;
use crossread_core::protocol::{HemolysisRule, PhaseRole};
use crossread_core::words::{Answer, Phase, Recheck, Test};
use crossread_core::worksheet::{Animal, Donor, Owner, Reading};
use crossread_core::{Protocol, Worksheet};

use crate::document::{Block, Cell, Document, Span};

/// A worksheet to be printed, blank to be written on or filled from what was entered.
///
/// ```standalone_crate
/// use crossread_core::{Protocols, embed::judge};
/// use crossread_print::{Sheet, text};
///
/// let document = include_bytes!("../../../examples/major-2-plus/worksheet.json");
/// let judged = judge(document, Protocols::shipped())?.map_err(|faults| faults.to_string())?;
/// // What was read stands on the filled sheet only.
/// let filled = text(&Sheet::filled(&judged.worksheet, judged.protocol).document());
/// let blank = text(&Sheet::blank(&judged.worksheet, judged.protocol).document());
/// assert!(filled.contains("2+"));
/// assert!(blank.contains("to be filled in"));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Sheet<'a> {
    /// The hospital's name.
    pub hospital: Option<String>,
    /// Who asked for the crossmatch, and how soon it is needed.
    pub request: Option<String>,
    /// When each reading was entered, by its place in the worksheet, if it was transcribed from
    /// paper.
    pub transcribed: Vec<(usize, String)>,
    worksheet: &'a Worksheet,
    protocol: &'a Protocol,
    filled: bool,
}

impl<'a> Sheet<'a> {
    /// A sheet to be written on: whatever was read is left out.
    pub fn blank(worksheet: &'a Worksheet, protocol: &'a Protocol) -> Self {
        let transcribed = Vec::new();
        Self { hospital: None, request: None, transcribed, worksheet, protocol, filled: false }
    }

    /// A sheet with what was read. What was taken back is struck through; an active cell in which
    /// nothing was read says `NT`.
    pub fn filled(worksheet: &'a Worksheet, protocol: &'a Protocol) -> Self {
        Self { filled: true, ..Self::blank(worksheet, protocol) }
    }

    /// Everything that is printed.
    pub fn document(&self) -> Document {
        let Self { worksheet, protocol, .. } = self;
        let recipient = &worksheet.recipient().animal;
        let title = if self.filled {
            "Crossmatch worksheet"
        } else {
            "Crossmatch worksheet, to be filled in"
        };
        let running = format!(
            "Worksheet {} for {}{}",
            worksheet.id(),
            named(recipient),
            self.hospital.as_ref().map(|name| format!(", {name}")).unwrap_or_default()
        );
        let mut blocks = vec![Block::Facts { facts: self.head() }, self.animals(), self.grid()];
        let notes = self.notes();
        if !notes.is_empty() {
            blocks.push(Block::List { items: notes });
        }
        let legend = format!(
            "Hemolysis 0 to 4, looked for before the button is moved. NT: not tested. Grey: not used \
             by the rules {} {}. Serology only; local rules and the veterinarian decide.",
            protocol.id(),
            protocol.version()
        );
        blocks.push(Block::Paragraph { text: legend });
        let who = ["reader, date, time", "second reader", "veterinarian"];
        blocks.push(Block::Signatures { who: who.map(str::to_owned).to_vec() });
        Document::new(title, &running, true, blocks).dense_over(4, worksheet.donors().len())
    }

    fn head(&self) -> Vec<(String, String)> {
        let setup = self.worksheet.setup();
        let open = |value: Option<String>| value.unwrap_or_default();
        let mut facts = vec![
            ("method".to_owned(), self.worksheet.method().to_string()),
            ("rules".to_owned(), format!("{} {}", self.protocol.id(), self.protocol.version())),
            ("requested".to_owned(), open(self.request.clone())),
            ("cells".to_owned(), open(setup.cells_percent.map(|of| format!("{of} %")))),
            ("washes".to_owned(), open(setup.washes.map(|washes| washes.to_string()))),
            (
                "in one mixture".to_owned(),
                open(
                    setup
                        .plasma_ul
                        .zip(setup.cells_ul)
                        .map(|(plasma, cells)| format!("{plasma} µL plasma, {cells} µL cells")),
                ),
            ),
        ];
        let minutes = Phase::ALL.iter().filter_map(|phase| {
            let minutes = setup.incubation(*phase)?;
            Some(format!("{minutes} min {}", phase.spoken()))
        });
        facts.push(("incubation".to_owned(), minutes.collect::<Vec<_>>().join(", ")));
        let last = self.worksheet.readings().iter().map(|reading| reading.at.date()).max();
        let lots = setup.lots.iter().map(|lot| {
            let what = lot.what.as_ref().map_or("", |what| what.as_str());
            let number = lot.number.as_ref().map_or("", |number| number.as_str());
            let expires = lot.expires_on.map_or_else(
                || "expiry not written".to_owned(),
                |day| {
                    let over = last.is_some_and(|last| day < last);
                    format!("{} {day}", if over { "EXPIRED" } else { "expires" })
                },
            );
            format!("{what} {number}, {expires}")
        });
        facts.push(("lots".to_owned(), lots.collect::<Vec<_>>().join("; ")));
        let controls = self.worksheet.controls();
        let positive = controls.positive.map(|(expected, read)| {
            format!("positive expected {}, read {}", expected.word(), read.word())
        });
        let negative = controls.negative.map(|read| format!("negative read {}", read.word()));
        let both: Vec<_> = positive.into_iter().chain(negative).collect();
        facts.push(("reagent controls".to_owned(), both.join(", ")));
        facts
    }

    fn animals(&self) -> Block {
        let recipient = self.worksheet.recipient();
        let mut past = history(&recipient.animal);
        past.extend(recipient.weight_kg.map(|weight| format!("{weight} kg")));
        if !recipient.incompatible_with.is_empty() {
            let ids: Vec<_> = recipient.incompatible_with.iter().map(ToString::to_string).collect();
            past.push(format!("INCOMPATIBLE BEFORE with {}", ids.join(", ")));
        }
        let mut rows =
            vec![self.animal("recipient", &recipient.animal, &past, "", Owner::Recipient)];
        for (number, donor) in self.worksheet.donors().iter().enumerate() {
            let past = history(&donor.animal);
            let name = format!("donor {}", number.saturating_add(1));
            rows.push(self.animal(&name, &donor.animal, &past, &unit(donor), Owner::Donor(number)));
        }
        let head = ["", "id and name", "types", "history", "unit", "samples"];
        Block::Table { spans: Vec::new(), head: head.map(str::to_owned).to_vec(), rows }
    }

    fn animal(
        &self,
        role: &str,
        animal: &Animal,
        past: &[String],
        unit: &str,
        owner: Owner,
    ) -> Vec<Cell> {
        let types = animal.types.iter().map(|of| {
            let on = of.on.map(|on| format!(" ({on})")).unwrap_or_default();
            format!("{} {}{on}", of.system, of.result)
        });
        let breed = animal.breed.as_ref().map(|breed| format!(", {}", breed.as_str()));
        let kind = format!("{}{}", animal.species, breed.unwrap_or_default());
        let samples = self.worksheet.samples().iter().filter(|sample| sample.of == owner);
        let samples = samples.map(|sample| {
            let grades = [
                ("hemolysis", sample.hemolysis),
                ("lipemia", sample.lipemia),
                ("icterus", sample.icterus),
            ];
            let grades = grades.map(|(what, grade)| {
                grade.map_or_else(|| format!("{what} NT"), |grade| format!("{what} {grade}"))
            });
            let drawn = sample
                .drawn_at
                .map_or_else(|| "drawn at ____".to_owned(), |at| format!("drawn {at}"));
            let tube = sample.tube.map_or("tube ____", |tube| tube.word());
            format!("{} {tube}, {drawn}, {}", sample.id, grades.join(", "))
        });
        vec![
            Cell::bold(role),
            Cell::bold(format!("{}, {kind}", named(animal))),
            Cell { lines: types.collect(), ..Cell::default() },
            Cell::of(past.join("; ")),
            Cell::of(unit),
            Cell { lines: samples.collect(), ..Cell::default() },
        ]
    }

    /// Mixtures by phases.
    fn grid(&self) -> Block {
        let rules = self.protocol.method(self.worksheet.method());
        let hemolysis = rules.is_none_or(|rules| rules.hemolysis() != HemolysisRule::NotReadable);
        let mut spans = vec![Span::new("mixture", 2, false)];
        let mut head = vec!["no.".to_owned(), "test".to_owned()];
        for phase in Phase::ALL {
            let role = rules.and_then(|rules| rules.role(*phase));
            let role_text = match role {
                Some(PhaseRole::Required) => "required",
                Some(PhaseRole::OneOf) => "one of these",
                Some(PhaseRole::Optional) => "optional",
                Some(PhaseRole::Informative) => "does not decide",
                None => "not used",
            };
            let columns = columns(*phase, hemolysis);
            let text = format!("{}, {role_text}", phase.spoken());
            spans.push(Span::new(&text, columns.len(), role.is_none()));
            head.extend(columns.iter().map(|column| column.heading().to_owned()));
        }
        let mut rows = Vec::new();
        for (number, (test, donor)) in (1_u32..).zip(rack(self.worksheet, self.protocol, false)) {
            let of = donor.and_then(|donor| self.worksheet.donors().get(donor));
            let of = of.map(|donor| format!(" of {}", donor.animal.id)).unwrap_or_default();
            let mut row =
                vec![Cell::bold(number.to_string()), Cell::bold(format!("{}{of}", test.spoken()))];
            for phase in Phase::ALL {
                let active = rules.and_then(|rules| rules.role(*phase)).is_some();
                for column in columns(*phase, hemolysis) {
                    row.push(if active {
                        self.cell(test, donor, *phase, column)
                    } else {
                        Cell::grey()
                    });
                }
            }
            rows.push(row);
        }
        Block::Table { spans, head, rows }
    }

    fn cell(&self, test: Test, donor: Option<usize>, phase: Phase, column: Column) -> Cell {
        if !self.filled {
            return Cell::default();
        }
        let here = |reading: &&Reading| {
            (reading.test, reading.donor, reading.phase) == (test, donor, phase)
                && (reading.after.is_some() == (column == Column::Recheck)
                    || matches!(column, Column::At))
        };
        let mut cell = Cell::default();
        let values = |reading: &Reading, into: &mut Vec<String>| {
            into.extend(column.value(reading));
        };
        for reading in self.worksheet.readings().iter().filter(here) {
            if reading.retracted.is_some() {
                values(reading, &mut cell.struck);
            } else {
                values(reading, &mut cell.lines);
            }
        }
        if cell.lines.is_empty() {
            // A recheck and check cells are only made where they are asked for.
            let not = match column {
                Column::Hemolysis | Column::Agglutination => "NT",
                Column::Recheck | Column::CheckCells | Column::At => "–",
            };
            cell.lines.push(not.to_owned());
        }
        cell
    }

    /// What was taken back, what was transcribed, what else was seen.
    fn notes(&self) -> Vec<String> {
        if !self.filled {
            return Vec::new();
        }
        let mut notes = Vec::new();
        for (number, reading) in self.worksheet.readings().iter().enumerate() {
            let what = self.spoken(reading);
            if let Some(taken) = &reading.retracted {
                let at = taken.at.map(|at| at.to_string()).unwrap_or_default();
                let by = taken.by.as_ref().map_or("", |by| by.as_str());
                let reason = taken.reason.as_ref().map_or("", |reason| reason.as_str());
                notes.push(format!("{what} was taken back {at} by {by}: {reason}"));
            }
            let entered = self.transcribed.iter().find(|(of, _)| *of == number);
            if let Some((_, entered)) = entered {
                notes.push(format!("{what}: transcribed from paper, entered {entered}"));
            }
            let mut seen = Vec::new();
            seen.extend(reading.pattern.map(|pattern| pattern.to_string()));
            seen.extend(reading.mixed_field.then(|| "mixed field".to_owned()));
            seen.extend(reading.dried.then(|| "the edge had dried".to_owned()));
            seen.extend(reading.artefacts.iter().map(|of| of.word().replace('_', " ")));
            if !seen.is_empty() {
                notes.push(format!("{what}: {}", seen.join(", ")));
            }
        }
        notes.extend(self.worksheet.remarks().map(|text| format!("remarks: {}", text.as_str())));
        notes
    }

    fn spoken(&self, reading: &Reading) -> String {
        let donor = reading.donor.and_then(|donor| self.worksheet.donors().get(donor));
        let of = donor.map(|donor| format!(" of {}", donor.animal.id)).unwrap_or_default();
        let (test, phase) = (reading.test.spoken(), reading.phase.spoken());
        let by = reading.by.as_ref().map_or("nobody named", |by| by.as_str());
        format!("{test}{of} {phase}, {} read {} by {by}", reading.agglutination.word(), reading.at)
    }
}

/// What is written for each look at a phase.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Column {
    Hemolysis,
    Agglutination,
    Recheck,
    CheckCells,
    At,
}

fn columns(phase: Phase, hemolysis: bool) -> Vec<Column> {
    let mut columns = Vec::new();
    columns.extend(hemolysis.then_some(Column::Hemolysis));
    columns.extend([Column::Agglutination, Column::Recheck]);
    columns.extend((phase == Phase::Antiglobulin).then_some(Column::CheckCells));
    columns.push(Column::At);
    columns
}

impl Column {
    fn heading(self) -> &'static str {
        match self {
            Self::Hemolysis => "hem.",
            Self::Agglutination => "grade",
            Self::Recheck => "saline",
            Self::CheckCells => "check",
            Self::At => "time",
        }
    }

    fn value(self, reading: &Reading) -> Option<String> {
        match self {
            Self::Hemolysis => reading.hemolysis.map(|grade| grade.to_string()),
            Self::Agglutination => Some(reading.agglutination.word().to_owned()),
            Self::Recheck => {
                let grade = reading.agglutination.word();
                Some(match reading.after? {
                    Recheck::SalineReplacement => format!("replaced {grade}"),
                    Recheck::Wash => format!("washed {grade}"),
                    Recheck::SalineDilution => {
                        let parts = reading.saline_parts.map(|parts| parts.to_string());
                        format!("{}:1 {grade}", parts.unwrap_or_default())
                    }
                })
            }
            Self::CheckCells => reading.check_cells.map(|grade| grade.word().to_owned()),
            Self::At => {
                let at = reading.at.to_string();
                let clock = at.get(11..16).unwrap_or_default();
                let by = reading.by.as_ref().map_or("", |by| by.as_str());
                Some(format!("{clock} {by}").trim_end().to_owned())
            }
        }
    }
}

pub(crate) fn named(animal: &Animal) -> String {
    let name = animal.name.as_ref().map(|name| format!(" {}", name.as_str()));
    format!("{}{}", animal.id, name.unwrap_or_default())
}

fn history(animal: &Animal) -> Vec<String> {
    let last = animal.last_transfused_on.map(|on| format!(", last {on}")).unwrap_or_default();
    let answers = [animal.transfused, animal.pregnant, animal.reaction];
    if answers.iter().all(|answer| *answer == Answer::Never) {
        return vec!["never transfused, pregnant or reacted".to_owned()];
    }
    if answers.iter().all(|answer| *answer == Answer::Unknown) {
        return vec!["history unknown".to_owned()];
    }
    vec![
        format!("transfused: {}{last}", animal.transfused),
        format!("pregnant: {}", animal.pregnant),
        format!("reaction: {}", animal.reaction),
    ]
}

fn unit(donor: &Donor) -> String {
    let mut parts = vec![donor.product.spoken().to_owned()];
    if let Some(unit) = &donor.unit {
        parts.extend(unit.number.as_ref().map(|number| format!("unit {number}")));
        parts.extend(unit.expires_on.map(|day| format!("expires {day}")));
        parts
            .extend(unit.inspection.map(|seen| format!("looks {}", seen.word().replace('_', " "))));
    }
    parts.join(", ")
}
