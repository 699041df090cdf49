//! `exercise export`: a set as a file for a learning system.

use std::io::Write as _;

use clap::{Args, ValueEnum};
use crossread_teach::export::{gift, items_csv, keys_csv, moodle_xml, qti21, qti30};
use crossread_teach::set::questions;

use super::{read, written};
use crate::exit::{self, Failure};
use crate::input;
use crate::text as shown;

/// Write a set as a file for a learning system.
#[derive(Debug, Args)]
pub(crate) struct Export {
    /// The set's file; `-` is the standard input.
    set: String,
    /// The kind of file.
    #[arg(long = "as", value_enum)]
    how: How,
    /// A local protocol that the set was made with; may be given several times.
    #[arg(long, value_name = "FILE")]
    protocol: Vec<String>,
    /// The file to write; left out, the standard output.
    #[arg(short = 'o', long = "out", value_name = "FILE")]
    out: Option<String>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum How {
    /// QTI 2.1 package with PNG (feature `png`).
    Qti21,
    /// QTI 3.0 package with SVG.
    Qti30,
    /// Moodle XML with PNG in it (feature `png`).
    Moodle,
    /// GIFT; items with drawings are refused.
    Gift,
    /// The items as CSV.
    ItemsCsv,
    /// The keys as CSV.
    KeysCsv,
}

impl Export {
    pub(super) fn run(&self) -> Result<u8, Failure> {
        let exercise = read(&self.set, &input::protocols(&self.protocol)?)?;
        let asked = questions(&exercise);
        let set = exercise.set();
        let (title, id) = (set.title.as_str(), set.id.as_str());
        let made = match self.how {
            How::Qti21 => qti21(title, id, &asked),
            How::Qti30 => qti30(title, id, &asked),
            How::Moodle => moodle_xml(title, id, &asked),
            How::Gift => gift(title, id, &asked),
            How::ItemsCsv => items_csv(title, id, &asked),
            How::KeysCsv => keys_csv(title, id, &asked),
        };
        let bytes = match made {
            Ok(bytes) => bytes,
            Err(refused) => {
                let mut out = anstream::stderr().lock();
                for line in refused.to_string().lines() {
                    shown::paragraph(&mut out, "", "    ", line)?;
                }
                let told = "the set cannot be written in this form; nothing was written";
                return Err(Failure::new(exit::MALFORMED, told));
            }
        };
        if let Some(file) = &self.out {
            written(file, &bytes)?;
        } else {
            let mut out = std::io::stdout().lock();
            out.write_all(&bytes)?;
            out.flush()?;
        }
        Ok(exit::RELEASABLE)
    }
}
