//! `exercise stats`: how far students agree with the keys and with each other.

use std::fs;
use std::io::Write as _;
use std::path::Path;

use clap::{Args, ValueEnum};
use crossread_core::words::Grade;
use crossread_teach::class::ClassStatistics;
use crossread_teach::marking::{Options, mark_all};
use crossread_teach::set::Scale;
use crossread_teach::statistics::plot::{Series, over_time};

use super::{answers, read, written};
use crate::exit::{self, Failure};
use crate::input;
use crate::text as shown;
use crate::verbs::journal::word;

/// How far students agree with the keys and with each other, and what each item is worth.
#[derive(Debug, Args)]
pub(crate) struct Stats {
    /// The set's file; `-` is the standard input.
    set: String,
    /// Files of answers to it: one, or one for each time that it was given, earliest first.
    #[arg(required = true)]
    answers: Vec<String>,
    /// The weakest grade that counts as a reaction.
    #[arg(long, value_parser = word::<Grade>, default_value = "w", value_name = "GRADE")]
    reactive_from: Grade,
    /// The seed of the resampling that some intervals rest on.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// How to print.
    #[arg(long, value_enum, default_value_t = Form::Text)]
    format: Form,
    /// A folder, made if it is not there, for the figures as SVG.
    #[arg(long, value_name = "FOLDER")]
    plots: Option<String>,
    /// A local protocol that the set was made with; may be given several times.
    #[arg(long, value_name = "FILE")]
    protocol: Vec<String>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Form {
    /// For people.
    Text,
    /// One document for each file of answers, one a line.
    Json,
}

impl Stats {
    pub(super) fn run(&self) -> Result<u8, Failure> {
        let exercise = read(&self.set, &input::protocols(&self.protocol)?)?;
        let from = place(exercise.set().scale, self.reactive_from)?;
        let mut times = Vec::new();
        for file in &self.answers {
            let given = answers(file, &exercise)?;
            let marked = mark_all(&exercise, &given, &Options::default())
                .map_err(|faults| Failure::misuse(faults.to_string()))?;
            let statistics = ClassStatistics::new(&exercise, &given, &marked, from, self.seed)
                .map_err(|faults| Failure::misuse(faults.to_string()))?;
            times.push((file, statistics));
        }
        if let Some(folder) = &self.plots {
            fs::create_dir_all(folder).map_err(|error| cannot(folder, &error))?;
            draw(folder, &times)?;
        }
        let mut out = anstream::stdout().lock();
        for (place, (file, statistics)) in times.iter().enumerate() {
            match self.format {
                Form::Text => {
                    if times.len() > 1 {
                        let space = if place > 0 { "\n" } else { "" };
                        out.write_all(space.as_bytes())?;
                        shown::line(&mut out, &format!("{}:", input::name(file)))?;
                    }
                    for line in statistics.text().lines() {
                        shown::line(&mut out, line)?;
                    }
                }
                Form::Json => {
                    out.write_all(&serde_json::to_vec(statistics)?)?;
                    out.write_all(b"\n")?;
                }
            }
        }
        out.flush()?;
        Ok(exit::RELEASABLE)
    }
}

/// With several times, each has a folder of its own, and one figure shows all of them.
fn draw(folder: &str, times: &[(&String, ClassStatistics)]) -> Result<(), Failure> {
    let folder = Path::new(folder);
    for (number, (_, statistics)) in (1_usize..).zip(times) {
        let of_time = if times.len() > 1 {
            folder.join(format!("time-{number:02}"))
        } else {
            folder.to_owned()
        };
        let name = of_time.display().to_string();
        fs::create_dir_all(&of_time).map_err(|error| cannot(&name, &error))?;
        for (file, svg) in statistics.plots() {
            written(&of_time.join(file).display().to_string(), &svg)?;
        }
    }
    if times.len() > 1 {
        let stem = |file: &str| {
            let stem = Path::new(file).file_stem().unwrap_or_default();
            stem.to_string_lossy().into_owned()
        };
        let points = times.iter().filter_map(|(file, one)| one.at(&stem(file)));
        let series = Series { name: "class".to_owned(), points: points.collect() };
        let set = times.first().map(|(_, one)| one.set.as_str()).unwrap_or_default();
        let title = format!("Agreement of the class, set {set}");
        let svg = over_time(&[series], &title, "Krippendorff's alpha, ordinal");
        written(&folder.join("over-time.svg").display().to_string(), &svg)?;
    }
    Ok(())
}

/// The place of a grade on the scale of a set.
fn place(scale: Scale, grade: Grade) -> Result<u8, Failure> {
    let at = scale.grades().iter().position(|one| *one == grade);
    at.and_then(|at| u8::try_from(at).ok())
        .ok_or_else(|| Failure::misuse(format!("the grade {grade} is not on the set's scale")))
}

fn cannot(folder: &str, error: &std::io::Error) -> Failure {
    Failure::new(exit::CANNOT_WRITE, format!("cannot make the folder {folder}: {error}"))
}
