//! A document as plain text, 80 columns wide.

use textwrap::{Options, WordSplitter};

use crate::document::{Block, Cell, Document};
use crate::shown::shown;

const WIDTH: usize = 80;

/// The document as plain text, 80 columns wide. A table that is wider is written row by row, each
/// value behind its heading.
///
/// ```
/// # use crossread_print::{Block, Document, text};
/// let facts = vec![("unit".to_owned(), "U-5512".to_owned())];
/// let page = text(&Document::new("Unit", "", false, vec![Block::Facts { facts }]));
/// assert!(page.lines().any(|line| line.contains("unit") && line.contains("U-5512")));
/// assert!(page.lines().all(|line| line.chars().count() <= 80));
/// ```
pub fn text(document: &Document) -> String {
    let mut out = String::new();
    let rule = "=".repeat(WIDTH);
    paragraph(&mut out, "", "", &document.running);
    out.push_str(&format!("{rule}\n"));
    paragraph(&mut out, "", "", &document.title);
    out.push('\n');
    for block in &document.blocks {
        written(&mut out, block);
    }
    out.push_str(&format!("{rule}\n"));
    paragraph(&mut out, "", "", &format!("{}, page 1 of 1, the end", document.running));
    out
}

fn paragraph(out: &mut String, first: &str, rest: &str, text: &str) {
    let options = Options::new(WIDTH)
        .initial_indent(first)
        .subsequent_indent(rest)
        // Dates and ids are not broken at their hyphens.
        .word_splitter(WordSplitter::NoHyphenation);
    out.push_str(&textwrap::fill(text, options));
    out.push('\n');
}

fn written(out: &mut String, block: &Block) {
    match block {
        Block::Heading { text } => {
            out.push('\n');
            paragraph(out, "", "", text);
            out.push_str(&format!("{}\n", "-".repeat(text.chars().count().min(WIDTH))));
        }
        Block::Banner { text } => {
            out.push_str(&format!("{}\n", "*".repeat(WIDTH)));
            paragraph(out, "* ", "* ", text);
            out.push_str(&format!("{}\n", "*".repeat(WIDTH)));
        }
        Block::Paragraph { text } => paragraph(out, "", "", text),
        Block::Facts { facts } => {
            for (label, value) in facts {
                let value = if value.is_empty() { "____________________" } else { value };
                paragraph(out, "", "    ", &format!("{label}: {value}"));
            }
        }
        Block::List { items } => {
            for item in items {
                paragraph(out, "- ", "  ", item);
            }
        }
        Block::Table { spans, head, rows } => {
            let over = over(spans, head.len());
            for row in rows {
                table_row(out, &over, head, row);
            }
        }
        Block::Labels { labels } => {
            for (lines, code) in labels {
                paragraph(out, "| ", "|   ", &lines.join(" | "));
                paragraph(out, "|   code: ", "|   ", &shown(&code.text));
            }
        }
        Block::Drawings { drawings } => {
            for drawing in drawings {
                let told = format!("{}: {}", drawing.caption, drawing.alt);
                paragraph(out, "| ", "|   ", &told);
            }
        }
        Block::Signatures { who } => {
            out.push('\n');
            for who in who {
                paragraph(out, "", "", &format!("______________________________ {who}"));
            }
        }
    }
}

/// The heading over each column, empty where there is none.
fn over(spans: &[crate::Span], columns: usize) -> Vec<String> {
    let mut over: Vec<String> = spans
        .iter()
        .flat_map(|span| std::iter::repeat_n(span.text.clone(), span.columns))
        .collect();
    over.resize(columns, String::new());
    over
}

/// A row: the cells of the first heading, then those of each other heading on lines of their own.
fn table_row(out: &mut String, over: &[String], head: &[String], row: &[Cell]) {
    let mut line = String::new();
    let mut last = None;
    for ((group, heading), cell) in over.iter().zip(head).zip(row) {
        if last.is_some_and(|last| last != group) {
            flush(out, last == over.first(), &mut line);
        }
        last = Some(group);
        if cell.grey {
            continue;
        }
        if line.is_empty() && !group.is_empty() {
            line.push_str(&format!("{group}: "));
        } else if !line.is_empty() {
            line.push_str(" | ");
        }
        let value = cell.line();
        let value = if value.is_empty() { "____".to_owned() } else { value };
        line.push_str(&if heading.is_empty() { value } else { format!("{heading} {value}") });
    }
    flush(out, last == over.first(), &mut line);
}

/// Writes a line of a row, those after the first set in.
fn flush(out: &mut String, is_first: bool, line: &mut String) {
    if !line.is_empty() {
        paragraph(out, if is_first { "" } else { "    " }, "      ", line);
        line.clear();
    }
}
