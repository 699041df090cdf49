//! A document as one HTML file, with a print style sheet and nothing from outside.

use maud::{DOCTYPE, Markup, PreEscaped, html as page};

use crate::Code;
use crate::document::{Block, Cell, Document, Paper};
use crate::shown::shown;

/// The style: for the screen and for paper. Pages are numbered by the printer's page counter.
const STYLE: &str = include_str!("../templates/style.css");

/// The document as one HTML file that asks for nothing from outside.
///
/// ```
/// # use crossread_print::{Block, Document, Paper, html};
/// let told = Block::Paragraph { text: "<Clover> & co.".to_owned() };
/// let page = html(&Document::new("Unit U-5512", "", false, vec![told]), Paper::Letter);
/// assert!(page.contains("@page { size: letter; }"));
/// // What is told is text, never markup.
/// assert!(page.contains("&lt;Clover&gt; &amp; co."));
/// ```
pub fn html(document: &Document, paper: Paper) -> String {
    let turned = if document.landscape { " landscape" } else { "" };
    let size = format!("@page {{ size: {}{turned}; }}", paper.css());
    let turn = if document.landscape { "landscape" } else { "portrait" };
    let classes = if document.dense { format!("{turn} dense") } else { turn.to_owned() };
    let written = page! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (document.title) }
                style { (PreEscaped(STYLE)) (PreEscaped(size)) }
            }
            body class=(classes) {
                // Repeated by the browser at the top of every page.
                table.page {
                    thead { tr { th { div.running { (document.running) } } } }
                    tbody { tr { td {
                        h1 { (document.title) }
                        @for block in &document.blocks { (written(block)) }
                    } } }
                }
            }
        }
    };
    written.into_string()
}

fn written(block: &Block) -> Markup {
    page! {
        @match block {
            Block::Heading { text } => h2 { (text) },
            Block::Banner { text } => p.banner { (text) },
            Block::Paragraph { text } => p { (text) },
            Block::Facts { facts } => dl {
                @for (label, value) in facts {
                    div { dt { (label) } dd class=[value.is_empty().then_some("open")] { (value) } }
                }
            },
            Block::List { items } => ul { @for item in items { li { (item) } } },
            Block::Table { spans, head, rows } => table.grid {
                thead {
                    @if !spans.is_empty() {
                        tr { @for span in spans {
                            th colspan=(span.columns) class=[span.grey.then_some("grey")] { (span.text) }
                        } }
                    }
                    tr { @for heading in head { th { (heading) } } }
                }
                tbody { @for row in rows { tr { @for cell in row { (one(cell)) } } } }
            },
            Block::Labels { labels } => div.labels {
                @for (lines, code) in labels {
                    div.label {
                        (mark(code))
                        div { @for line in lines { div { (line) } } }
                    }
                }
            },
            Block::Drawings { drawings } => div.drawings {
                @for drawing in drawings {
                    figure role="group" aria-label=(drawing.alt) {
                        (PreEscaped(&drawing.svg))
                        figcaption { (drawing.caption) }
                    }
                }
            },
            Block::Signatures { who } => div.signatures {
                @for who in who { div { span.line {} (who) } }
            },
        }
    }
}

fn one(cell: &Cell) -> Markup {
    let class = match (cell.grey, cell.bold) {
        (true, _) => Some("grey"),
        (false, true) => Some("bold"),
        (false, false) => None,
    };
    page! {
        td class=[class] {
            @for struck in &cell.struck { s { (struck) } " → " }
            @for (number, line) in cell.lines.iter().enumerate() {
                @if number > 0 { br; }
                (line)
            }
        }
    }
}

/// A scannable code, drawn. Its text stands beside it in the label's last line.
fn mark(code: &Code) -> Markup {
    let side = code.side();
    page! {
        svg.code viewBox=(format!("0 0 {side} {side}")) role="img" aria-label=(shown(&code.text)) {
            rect width=(side) height=(side) fill="#fff" {}
            path d=(code.path()) fill="#000" {}
        }
    }
}
