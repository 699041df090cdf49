//! A set on paper: the booklet, the sheet that a student writes on, the keys for the teacher.

use crossread_print::{Block, Cell, Document, Drawing};

use super::ask::Ask;
use super::check::Exercise;
use super::item::Item;
use super::questions::{questions, with_runs};
use super::{NOT_A_RECORD, WATERMARK};
use crate::marking::{Class, SOURCES, hundredths, mark};

fn document(exercise: &Exercise, what: &str, landscape: bool, mut blocks: Vec<Block>) -> Document {
    let set = exercise.set();
    let running = format!("{WATERMARK}. Set {}, SHA-256 {}", set.id, exercise.digest());
    blocks.insert(0, Block::Banner { text: NOT_A_RECORD.to_owned() });
    Document::new(&format!("{WATERMARK}: {what}. {}", set.title), &running, landscape, blocks)
}

fn headed(names: &[&str]) -> Vec<String> {
    names.iter().map(|name| (*name).to_owned()).collect()
}

/// A box to be marked, which stays on the line of what follows it.
const BOX: &str = "[\u{a0}]\u{a0}";

/// The booklet: every item with its drawings and choices, and no key. A run that two items ask
/// about stands there once.
///
/// ```
/// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
/// # use lesson::*;
/// # use crossread_print::text;
/// # use crossread_teach::set::booklet;
/// let page = text(&booklet(&drawings()));
/// assert!(page.contains("Write your answers on the answer sheet."));
/// assert!(page.contains("EXERCISE"));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
pub fn booklet(exercise: &Exercise) -> Document {
    let asked = questions(exercise);
    let mut blocks =
        vec![Block::Paragraph { text: "Write your answers on the answer sheet.".to_owned() }];
    for (question, same) in with_runs(exercise, &asked) {
        blocks.push(Block::Heading { text: format!("{}: {WATERMARK}", question.id) });
        let (asks, sheet) = question.prompt.split_once("\n\n").unwrap_or((&question.prompt, ""));
        if let Some(before) = same {
            blocks.push(Block::Paragraph { text: format!("The same run as {before}.") });
        } else {
            if !sheet.is_empty() {
                blocks.push(Block::List { items: sheet.lines().map(unmarked).collect() });
            }
            let drawings = question.pictures.iter().map(|drawn| Drawing {
                svg: drawn.svg.clone(),
                caption: drawn.name.clone(),
                alt: drawn.alt.clone(),
            });
            blocks.push(Block::Drawings { drawings: drawings.collect() });
        }
        blocks.push(Block::Paragraph { text: asks.to_owned() });
        let choices = question.choices.iter().map(|choice| {
            let word = format!(" ({})", choice.id);
            let word = if choice.text.contains(&choice.id) { "" } else { word.as_str() };
            format!("{}{word}", choice.text)
        });
        let choices: Vec<_> = choices.collect();
        blocks.push(Block::Paragraph {
            text: format!("{BOX}{}", choices.join(&format!("   {BOX}"))),
        });
    }
    document(exercise, "booklet", false, blocks)
}

/// A line of a list without a mark of its own.
fn unmarked(line: &str) -> String {
    line.strip_prefix("- ").unwrap_or(line).to_owned()
}

/// The sheet that a student writes on: an empty place for each item, and the words to answer with.
///
/// ```
/// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
/// # use lesson::*;
/// # use crossread_print::text;
/// # use crossread_teach::set::answer_sheet;
/// let page = text(&answer_sheet(&drawings()));
/// assert!(page.contains("student") && page.contains("0, w, 1+, 2+, 3+, 4+, mixed_field"));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
pub fn answer_sheet(exercise: &Exercise) -> Document {
    let set = exercise.set();
    let facts = ["student", "date"].map(|label| (label.to_owned(), String::new()));
    let rows = set
        .items
        .iter()
        .map(|item| vec![Cell::bold(&item.id), Cell::of(item.ask.question()), Cell::default()]);
    let mut words = Vec::new();
    for ask in [Ask::Agglutination, Ask::Hemolysis, Ask::Pattern, Ask::Verdict] {
        if set.items.iter().any(|item| item.ask == ask) {
            let all = ask.answers(set.scale).into_iter().map(|answer| answer.word());
            words.push(format!("{} {}.", ask.question(), all.collect::<Vec<_>>().join(", ")));
        }
    }
    if set.items.iter().any(|item| item.ask == Ask::Finding) {
        let each = "one of the words that stand beside the item in the booklet.";
        words.push(format!("{} {each}", Ask::Finding.question()));
    }
    let blocks = vec![
        Block::Facts { facts: facts.to_vec() },
        Block::Paragraph { text: "Answer each item with one of these words:".to_owned() },
        Block::List { items: words },
        Block::Table {
            spans: Vec::new(),
            head: headed(&["item", "asked", "answer"]),
            rows: rows.collect(),
        },
    ];
    document(exercise, "answer sheet", false, blocks)
}

/// The keys for the teacher: what is right, what it rests on, and which answers are critical.
///
/// ```
/// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
/// # use lesson::*;
/// # use crossread_print::text;
/// # use crossread_teach::set::key_sheet;
/// let exercise = drawings();
/// let page = text(&key_sheet(&exercise));
/// assert!(page.contains(&exercise.set().items[0].key));
/// assert!(page.contains("seed") && page.contains("42"));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
pub fn key_sheet(exercise: &Exercise) -> Document {
    let set = exercise.set();
    let rows = set.items.iter().map(|item| {
        let because = exercise.truth(item).map(|truth| truth.because.join(", "));
        vec![
            Cell::bold(&item.id),
            Cell::of(item.ask.to_string()),
            Cell::bold(&item.key),
            Cell::of(because.unwrap_or_default()),
            Cell::of(critical(exercise, item)),
        ]
    });
    let facts = [
        ("seed", set.seed.to_string()),
        ("scheme", set.scheme.clone()),
        ("made by", format!("crossread {}", set.generator)),
        ("scale", set.scale.to_string()),
        ("a near miss scores", hundredths(set.near_hundredths)),
    ];
    let about = "Each key is what the drawing shows, or what the engine makes of the run by the \
                 rules named. It is the truth of this exercise, and not what every laboratory \
                 would find.";
    let blocks = vec![
        Block::Facts { facts: facts.map(|(label, value)| (label.to_owned(), value)).to_vec() },
        Block::Paragraph { text: about.to_owned() },
        Block::Table {
            spans: Vec::new(),
            head: headed(&["item", "about", "key", "rests on", "critical answers"]),
            rows: rows.collect(),
        },
        Block::Heading { text: "What the marking rests on".to_owned() },
        Block::List { items: SOURCES.map(str::to_owned).to_vec() },
    ];
    document(exercise, "keys for the teacher", false, blocks)
}

/// The answers to an item that fail the set.
fn critical(exercise: &Exercise, item: &Item) -> String {
    let scale = exercise.set().scale;
    let answers = item.choices.iter().filter_map(|word| item.ask.answer(word, scale));
    let fail = answers.filter(|answer| {
        mark(exercise, item, answer).is_some_and(|mark| mark.class == Class::Critical)
    });
    fail.map(|answer| answer.word()).collect::<Vec<_>>().join(", ")
}
