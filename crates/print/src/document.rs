//! What is printed, as plain data: the same for every way of printing.

use serde::Serialize;

use crate::Code;
use crate::shown::shown;

/// The paper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[expect(clippy::exhaustive_enums, reason = "the two sizes that printers are loaded with")]
pub enum Paper {
    /// 210 × 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 × 11 inches.
    Letter,
}

impl Paper {
    /// The name that a style sheet uses.
    pub(crate) fn css(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "letter",
        }
    }

    /// The name that the typesetter uses.
    #[cfg(feature = "pdf")]
    pub(crate) fn typst(self) -> &'static str {
        match self {
            Self::A4 => "a4",
            Self::Letter => "us-letter",
        }
    }
}

/// Everything that is printed, in order.
///
/// ```
/// use crossread_print::{Block, Document, Paper, html, text};
///
/// let seen = Block::Paragraph { text: "Segment kept at 4 °C.".to_owned() };
/// let page = Document::new("Handling of a unit", "Unit U-5512", false, vec![seen]);
/// assert_eq!(page.texts().last().map(String::as_str), Some("Segment kept at 4 °C."));
/// // The same on every kind of paper.
/// assert!(text(&page).contains("Segment kept at 4 °C."));
/// assert!(html(&page, Paper::Letter).contains("Segment kept at 4 °C."));
/// ```
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Document {
    /// What it is.
    pub title: String,
    /// The ids and the revision, which stand on every page beside its number.
    pub running: String,
    /// Whether the page lies on its side.
    pub landscape: bool,
    /// Whether there is so much on it that it is set small, to stay on one page.
    pub dense: bool,
    /// What stands on it.
    pub blocks: Vec<Block>,
}

/// A part of a page.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "block", rename_all = "snake_case")]
#[non_exhaustive]
pub enum Block {
    /// A heading.
    Heading {
        /// Its text.
        text: String,
    },
    /// The line that must be seen first, in large type.
    Banner {
        /// Its text.
        text: String,
    },
    /// A paragraph.
    Paragraph {
        /// Its text.
        text: String,
    },
    /// Labeled lines; an empty value is a place to write on.
    Facts {
        /// Label and value.
        facts: Vec<(String, String)>,
    },
    /// A list with a mark for each item.
    List {
        /// The items.
        items: Vec<String>,
    },
    /// A table.
    Table {
        /// A row of headings that span several columns, if there is one.
        spans: Vec<Span>,
        /// The headings of the columns.
        head: Vec<String>,
        /// The rows.
        rows: Vec<Vec<Cell>>,
    },
    /// Labels, each with its scannable code.
    Labels {
        /// Lines, and what the code holds.
        labels: Vec<(Vec<String>, Code)>,
    },
    /// Drawings side by side.
    Drawings {
        /// Each drawing.
        drawings: Vec<Drawing>,
    },
    /// Places to sign.
    Signatures {
        /// Who signs.
        who: Vec<String>,
    },
}

/// A drawing with what stands under it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Drawing {
    /// The drawing as SVG. It is printed as it is: it must be drawn by this program and never come
    /// from a document.
    pub svg: String,
    /// What stands under it.
    pub caption: String,
    /// What is to be seen, for those who cannot see it.
    pub alt: String,
}

/// A heading over several columns.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Span {
    /// Its text.
    pub text: String,
    /// How many columns.
    pub columns: usize,
    /// Whether the columns are not used, and grey.
    pub grey: bool,
}

impl Span {
    pub(crate) fn new(text: &str, columns: usize, grey: bool) -> Self {
        Self { text: text.to_owned(), columns, grey }
    }
}

/// A cell of a table.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Cell {
    /// What was taken back, struck through.
    pub struck: Vec<String>,
    /// What stands there; a line each.
    pub lines: Vec<String>,
    /// Whether the cell is not used, and grey.
    pub grey: bool,
    /// Whether it is printed bold.
    pub bold: bool,
}

impl Cell {
    /// A cell with one line.
    ///
    /// ```
    /// # use crossread_print::Cell;
    /// let cell = Cell::of("2+");
    /// assert_eq!((cell.line().as_str(), cell.bold), ("2+", false));
    /// ```
    pub fn of(text: impl Into<String>) -> Self {
        Self { lines: vec![text.into()], ..Self::default() }
    }

    /// A cell with one line, printed bold.
    ///
    /// ```
    /// # use crossread_print::Cell;
    /// assert!(Cell::bold("INCOMPATIBLE").bold);
    /// ```
    pub fn bold(text: impl Into<String>) -> Self {
        Self { bold: true, ..Self::of(text) }
    }

    pub(crate) fn grey() -> Self {
        Self { grey: true, ..Self::default() }
    }

    /// The cell on one line: what was taken back, an arrow, what stands there.
    ///
    /// ```
    /// # use crossread_print::Cell;
    /// let mut cell = Cell::of("0");
    /// cell.struck = vec!["1+".to_owned()];
    /// assert_eq!(cell.line(), "1+ → 0");
    /// ```
    pub fn line(&self) -> String {
        let mut parts: Vec<&str> = self.struck.iter().map(String::as_str).collect();
        let lines = self.lines.iter().map(|line| line.trim()).filter(|line| !line.is_empty());
        let now = lines.collect::<Vec<_>>().join("; ");
        parts.push(&now);
        parts.retain(|part| !part.is_empty());
        parts.join(" → ")
    }
}

impl Document {
    /// A document with every text made fit for paper.
    ///
    /// ```
    /// # use crossread_print::{Block, Document};
    /// // A sign that turns the order of letters around stays off the paper.
    /// let name = Block::Banner { text: "D-091\u{202e} Clover".to_owned() };
    /// let page = Document::new("Unit", "", true, vec![name]);
    /// assert!(page.texts().iter().all(|text| !text.contains('\u{202e}')));
    /// ```
    pub fn new(title: &str, running: &str, landscape: bool, blocks: Vec<Block>) -> Self {
        let mut document = Self {
            title: title.to_owned(),
            running: running.to_owned(),
            landscape,
            dense: false,
            blocks,
        };
        document.each_text(&mut |text| *text = shown(text));
        document
    }

    /// The document, set small if there are more donors than `roomy`.
    pub(crate) fn dense_over(mut self, roomy: usize, donors: usize) -> Self {
        self.dense = donors > roomy;
        self
    }

    fn each_text(&mut self, each: &mut dyn FnMut(&mut String)) {
        each(&mut self.title);
        each(&mut self.running);
        for block in &mut self.blocks {
            match block {
                Block::Heading { text } | Block::Banner { text } | Block::Paragraph { text } => {
                    each(text);
                }
                Block::Facts { facts } => {
                    for (label, value) in facts {
                        each(label);
                        each(value);
                    }
                }
                Block::List { items } => items.iter_mut().for_each(&mut *each),
                Block::Table { spans, head, rows } => {
                    for span in spans.iter_mut() {
                        each(&mut span.text);
                    }
                    head.iter_mut().for_each(&mut *each);
                    for cell in rows.iter_mut().flatten() {
                        cell.struck.iter_mut().for_each(&mut *each);
                        cell.lines.iter_mut().for_each(&mut *each);
                    }
                }
                Block::Labels { labels } => {
                    for (lines, _) in labels {
                        lines.iter_mut().for_each(&mut *each);
                    }
                }
                Block::Drawings { drawings } => {
                    for drawing in drawings {
                        each(&mut drawing.caption);
                    }
                }
                Block::Signatures { who } => who.iter_mut().for_each(&mut *each),
            }
        }
    }

    /// Every text that is printed, in order.
    pub fn texts(&self) -> Vec<String> {
        let mut texts = Vec::new();
        self.clone().each_text(&mut |text| texts.push(text.clone()));
        texts.retain(|text| !text.trim().is_empty());
        texts
    }
}
