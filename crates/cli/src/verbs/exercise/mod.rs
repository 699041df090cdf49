//! Exercises for students: `exercise make`, `show`, `mark`, `stats`, `export`.

mod export;
mod stats;

use std::io::Write as _;

use clap::{Args, Subcommand, ValueEnum};
use crossread_core::Protocols;
use crossread_core::words::{Grade, Method, Species};
use crossread_print::Kept;
use crossread_teach::fault::Faults;
use crossread_teach::marking::{Options, Responses, Withdrawn, appeal, csv, mark, mark_all, text};
use crossread_teach::set::{
    Exercise as Checked, Kind, Made, Scale, Wanted, answer_sheet, booklet, changed_drawings,
    deidentified, key_sheet, make, page, question,
};
use crossread_teach::simulate::Difficulty;

use super::paper::{Out, write_bytes};
use crate::exit::{self, Failure};
use crate::input;
use crate::text as shown;
use crate::verbs::journal::{id, opened, word};

#[derive(Debug, Subcommand)]
pub(crate) enum Exercise {
    #[command(after_help = "A seed and the same wishes give the same set, byte for byte.\n\n\
                            Example: crossread exercise make --seed 42 --items 30 -o set.json")]
    Make(Box<Make>),
    #[command(after_help = "Example: crossread exercise show set.json booklet -o booklet.html")]
    Show(Show),
    #[command(after_help = "The answers are CSV with the columns item, student, answer.\n\n\
                            Example: crossread exercise mark set.json answers.csv --format json")]
    Mark(Mark),
    #[command(
        after_help = "Example: crossread exercise stats set.json answers.csv --plots figures"
    )]
    Stats(stats::Stats),
    #[command(after_help = "Example: crossread exercise export set.json --as qti30 -o set.zip")]
    Export(export::Export),
}

/// Make a set of exercises from a seed, or from worksheets of a journal.
#[derive(Debug, Args)]
pub(crate) struct Make {
    /// The worksheets of the journal.
    #[arg(requires = "from_journal", value_name = "WORKSHEET")]
    worksheets: Vec<String>,
    /// Take worksheets of this journal, with everything taken out that says whose they were.
    #[arg(long, value_name = "PLACE", requires = "worksheets")]
    from_journal: Option<String>,
    /// The seed.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// How many items, 1 to 1000.
    #[arg(long, default_value_t = 30, value_name = "N")]
    items: u32,
    /// Kinds of items: picture, run, text.
    #[arg(long, value_delimiter = ',', value_parser = word::<Kind>)]
    kind: Vec<Kind>,
    /// Species: dog, cat, horse.
    #[arg(long, value_delimiter = ',', value_parser = word::<Species>)]
    species: Vec<Species>,
    /// Methods: tube, slide, gel.
    #[arg(long, value_delimiter = ',', value_parser = word::<Method>)]
    method: Vec<Method>,
    /// Grades that are shown; left out, all of the scale.
    #[arg(long, value_delimiter = ',', value_parser = word::<Grade>)]
    grade: Vec<Grade>,
    /// The grades that are told apart: main (six) or full (thirteen).
    #[arg(long, default_value = "main", value_parser = word::<Scale>)]
    scale: Scale,
    /// How often technique goes wrong: easy, usual, hard.
    #[arg(long, default_value = "usual", value_parser = word::<Difficulty>)]
    difficulty: Difficulty,
    /// What a near miss scores, 0 to 1.
    #[arg(long, default_value = "0.5", value_parser = score, value_name = "SCORE")]
    near: u32,
    /// The set's id.
    #[arg(long, default_value = "EXERCISE-1")]
    id: String,
    /// The set's title.
    #[arg(long, default_value = "Reading and interpreting a crossmatch")]
    title: String,
    /// Add items until every finding that can be asked for is.
    #[arg(long)]
    cover: bool,
    /// A file for the report of what the set exercises, as JSON.
    #[arg(long, value_name = "FILE")]
    coverage: Option<String>,
    /// A local protocol; may be given several times. It is used in place of one that ships.
    #[arg(long, value_name = "FILE")]
    protocol: Vec<String>,
    /// The file to write; left out, the standard output.
    #[arg(short = 'o', long = "out", value_name = "FILE")]
    out: Option<String>,
}

/// Show a set: on paper, as a page to practice on, one item, or one mark for an appeal.
#[derive(Debug, Args)]
pub(crate) struct Show {
    /// The set's file; `-` is the standard input.
    set: String,
    /// What of it.
    #[arg(value_enum)]
    what: What,
    /// The item, for `item` and `mark`.
    #[arg(long)]
    item: Option<String>,
    /// The file of answers, for `mark`.
    #[arg(long, value_name = "FILE")]
    answers: Option<String>,
    /// The student, for `mark`.
    #[arg(long)]
    student: Option<String>,
    /// The least share of the score that passes, in a hundred, for `page`.
    #[arg(long, default_value_t = 80, value_name = "PERCENT")]
    pass: u32,
    /// A local protocol that the set was made with; may be given several times.
    #[arg(long, value_name = "FILE")]
    protocol: Vec<String>,
    #[command(flatten)]
    out: Out,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum What {
    /// Every item with its drawings, to be printed.
    Booklet,
    /// The sheet that a student writes on.
    AnswerSheet,
    /// The keys, for the teacher.
    Keys,
    /// A page to practice on without a server; HTML. It holds the keys, encoded and not hidden.
    Page,
    /// One item as text.
    Item,
    /// One mark, with its rule, thresholds and sources.
    Mark,
}

/// Mark what students answered. A critical error fails the set at any percentage.
#[derive(Debug, Args)]
pub(crate) struct Mark {
    /// The set's file; `-` is the standard input.
    set: String,
    /// The file of answers.
    answers: String,
    /// The least share of the score that passes, in a hundred.
    #[arg(long, default_value_t = 80, value_name = "PERCENT")]
    pass: u32,
    /// An item that does not count, with why; may be given several times.
    #[arg(long, value_name = "ITEM=REASON", value_parser = withdrawn)]
    withdraw: Vec<Withdrawn>,
    /// How to print.
    #[arg(long, value_enum, default_value_t = Form::Text)]
    format: Form,
    /// A local protocol that the set was made with; may be given several times.
    #[arg(long, value_name = "FILE")]
    protocol: Vec<String>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Form {
    /// For people.
    Text,
    /// One document.
    Json,
    /// One mark a line.
    Csv,
}

/// A score from 0 to 1 with at most two decimal places, in hundredths.
fn score(written: &str) -> Result<u32, String> {
    let wrong = || "expected a number from 0 to 1 such as 0.5".to_owned();
    let (whole, decimals) = written.split_once('.').unwrap_or((written, "0"));
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    if !digits(whole) || !digits(decimals) || decimals.len() > 2 {
        return Err(wrong());
    }
    let hundredths: u32 = format!("{whole}{decimals:0<2}").parse().map_err(|_large| wrong())?;
    (hundredths <= 100).then_some(hundredths).ok_or_else(wrong)
}

fn withdrawn(written: &str) -> Result<Withdrawn, String> {
    let (item, reason) = written.split_once('=').ok_or("expected an item, `=`, and why")?;
    Ok(Withdrawn::new(item, reason))
}

pub(crate) fn run(asked: &Exercise) -> Result<u8, Failure> {
    match asked {
        Exercise::Make(asked) => asked.run(),
        Exercise::Show(asked) => asked.run(),
        Exercise::Mark(asked) => asked.run(),
        Exercise::Stats(asked) => asked.run(),
        Exercise::Export(asked) => asked.run(),
    }
}

/// Tells every fault of a document on the error stream.
fn told(file: &str, faults: &Faults, what: &str) -> Failure {
    let mut out = anstream::stderr().lock();
    for fault in faults.as_slice() {
        let line = format!("{}:{fault}", input::name(file));
        if let Err(error) = shown::paragraph(&mut out, "", "    ", &line) {
            return error.into();
        }
    }
    Failure::new(exit::MALFORMED, format!("{} is no {what}", input::name(file)))
}

fn read(file: &str, protocols: &Protocols) -> Result<Checked, Failure> {
    let document = input::document(file)?;
    Checked::from_json(&document, protocols)
        .map_err(|faults| told(file, &faults, "set of exercises"))
}

fn answers(file: &str, exercise: &Checked) -> Result<Responses, Failure> {
    let document = input::document(file)?;
    Responses::from_csv(&document, exercise)
        .map_err(|faults| told(file, &faults, "file of answers"))
}

fn written(file: &str, bytes: impl AsRef<[u8]>) -> Result<(), Failure> {
    write_bytes(bytes.as_ref(), Some(file)).map(drop)
}

impl Make {
    fn run(&self) -> Result<u8, Failure> {
        let protocols = input::protocols(&self.protocol)?;
        let made = match &self.from_journal {
            Some(place) => self.kept(place, &protocols)?,
            None => make(&self.wanted(), &protocols)
                .map_err(|error| Failure::misuse(error.to_string()))?,
        };
        self.tell(&made)?;
        if let Some(file) = &self.coverage {
            let mut report = serde_json::to_string_pretty(&made.coverage)?;
            report.push('\n');
            written(file, &report)?;
        }
        let document = made.exercise.set().to_json();
        if let Some(file) = &self.out {
            written(file, &document)?;
        } else {
            let mut out = std::io::stdout().lock();
            out.write_all(document.as_bytes())?;
            out.flush()?;
        }
        Ok(exit::RELEASABLE)
    }

    fn wanted(&self) -> Wanted {
        let usual = Wanted::default();
        let or =
            |some: &[Kind], usual: Vec<Kind>| if some.is_empty() { usual } else { some.to_vec() };
        Wanted {
            id: self.id.clone(),
            title: self.title.clone(),
            seed: self.seed,
            items: self.items,
            kinds: or(&self.kind, usual.kinds),
            species: if self.species.is_empty() { usual.species } else { self.species.clone() },
            methods: if self.method.is_empty() { usual.methods } else { self.method.clone() },
            grades: self.grade.clone(),
            scale: self.scale,
            difficulty: self.difficulty,
            near_hundredths: self.near,
            cover: self.cover,
        }
    }

    fn kept(&self, place: &str, protocols: &Protocols) -> Result<Made, Failure> {
        let mut journal = opened(place)?;
        let mut kept = Vec::new();
        for worksheet in &self.worksheets {
            let worksheet = id(worksheet).map_err(Failure::misuse)?;
            kept.push(Kept::of(&mut journal, &worksheet)?);
        }
        let worksheets: Vec<_> =
            kept.iter().map(|kept| (&kept.worksheet, &kept.protocol)).collect();
        let mut wanted = self.wanted();
        if self.kind.is_empty() {
            wanted.kinds = vec![Kind::Text];
        }
        deidentified(&worksheets, &wanted, protocols)
            .map_err(|error| Failure::new(exit::MALFORMED, error.to_string()))
    }

    /// What was made, on the error stream.
    fn tell(&self, made: &Made) -> Result<(), Failure> {
        let mut out = anstream::stderr().lock();
        let set = made.exercise.set();
        let all = made.coverage.findings.len();
        let said = format!(
            "{} items, {} runs; {} of the {all} findings of the catalogue are in them",
            set.items.len(),
            set.runs.len(),
            made.coverage.reached()
        );
        shown::paragraph(&mut out, "", "", &said)?;
        if self.cover {
            for (slug, because) in made.coverage.missing() {
                let because = because.unwrap_or("no run came to it");
                shown::paragraph(&mut out, "  ", "    ", &format!("{slug}: {because}"))?;
            }
        }
        Ok(())
    }
}

impl Show {
    fn run(&self) -> Result<u8, Failure> {
        let exercise = read(&self.set, &input::protocols(&self.protocol)?)?;
        match self.what {
            What::Booklet => {
                Self::warn(&exercise)?;
                self.out.write(&booklet(&exercise))
            }
            What::Page => {
                Self::warn(&exercise)?;
                let mut options = Options::default();
                options.pass_hundredths = self.pass;
                self.out.write_page(&page(&exercise, &options))
            }
            What::AnswerSheet => self.out.write(&answer_sheet(&exercise)),
            What::Keys => self.out.write(&key_sheet(&exercise)),
            What::Item => self.item(&exercise),
            What::Mark => self.mark(&exercise),
        }
    }

    /// Drawings that are no longer those of the set's making.
    fn warn(exercise: &Checked) -> Result<(), Failure> {
        let mut out = anstream::stderr().lock();
        for (item, before, now) in changed_drawings(exercise) {
            let said = format!(
                "the drawing of {item} is not the one that the set was made with: its SHA-256 was \
                 {before} and is {now}"
            );
            shown::paragraph(&mut out, "crossread: ", "    ", &said)?;
        }
        Ok(())
    }

    fn found<'e>(&self, exercise: &'e Checked) -> Result<&'e crossread_teach::set::Item, Failure> {
        let id = self.item.as_deref().ok_or_else(|| Failure::misuse("say which with --item"))?;
        let none = || Failure::misuse(format!("the set has no item {id}"));
        exercise.item(id).ok_or_else(none)
    }

    fn item(&self, exercise: &Checked) -> Result<u8, Failure> {
        let asked = question(exercise, self.found(exercise)?);
        let mut out = format!("{}\n", asked.id);
        for line in asked.prompt.lines() {
            out.push_str(&format!("{}\n", textwrap::fill(line, shown::WIDTH)));
        }
        for drawn in &asked.pictures {
            out.push_str(&format!("\n{}", textwrap::fill(&drawn.alt, shown::WIDTH)));
        }
        out.push('\n');
        for choice in &asked.choices {
            out.push_str(&format!("  {}  {}\n", choice.id, choice.text));
        }
        self.out.write_text(&out)
    }

    fn mark(&self, exercise: &Checked) -> Result<u8, Failure> {
        let item = self.found(exercise)?;
        let (Some(file), Some(student)) = (&self.answers, &self.student) else {
            return Err(Failure::misuse("a mark needs --answers FILE and --student NAME"));
        };
        let answers = answers(file, exercise)?;
        let given = answers
            .as_slice()
            .iter()
            .find(|response| response.item == item.id && response.student == *student)
            .and_then(|response| response.answer.as_ref())
            .and_then(|answer| mark(exercise, item, answer));
        let none = || Failure::misuse(format!("{student} did not answer {}", item.id));
        self.out.write_text(&appeal(student, &given.ok_or_else(none)?))
    }
}

impl Mark {
    fn run(&self) -> Result<u8, Failure> {
        let exercise = read(&self.set, &input::protocols(&self.protocol)?)?;
        let answers = answers(&self.answers, &exercise)?;
        let mut options = Options::default();
        options.pass_hundredths = self.pass;
        options.withdrawn.clone_from(&self.withdraw);
        let marked = mark_all(&exercise, &answers, &options)
            .map_err(|faults| Failure::misuse(faults.to_string()))?;
        let mut out = anstream::stdout().lock();
        match self.format {
            Form::Text => {
                for line in text(&marked).lines() {
                    shown::line(&mut out, line)?;
                }
            }
            Form::Json => out.write_all(marked.to_json().as_bytes())?,
            Form::Csv => out.write_all(csv(&marked).as_bytes())?,
        }
        out.flush()?;
        Ok(exit::RELEASABLE)
    }
}

#[cfg(test)]
mod tests {
    use super::score;

    #[test]
    fn a_score_is_read_in_hundredths() {
        for (written, read) in [("0", 0), ("0.5", 50), ("0.25", 25), ("1", 100), ("1.00", 100)] {
            assert_eq!(score(written), Ok(read));
        }
        for wrong in ["", ".5", "1.01", "0.255", "-1", "a", "0.", "5"] {
            assert!(score(wrong).is_err(), "{wrong}");
        }
    }
}
