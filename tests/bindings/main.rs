//! Writes worksheets for the tests of the bindings into a folder: `documents FOLDER [FIRST END]`.
//!
//! `worksheets.ndjson` is the corpus, or the worksheets of these numbers, made like those of the
//! corpus;
//! `spoilt.ndjson` has one for every twenty of them with one thing spoilt; `protocols/` has the local
//! protocols that they name beside those that ship. The command's answers to these streams, with
//! every protocol given, are what a binding must answer, byte for byte.

#![forbid(unsafe_code)]

use std::fs::{self, File};
use std::io::{self, BufWriter, Write as _};
use std::ops::Range;
use std::path::Path;

use crossread_core::Protocols;
use crossread_tests::corpus::{Corpus, WORKSHEETS};
use crossread_tests::random::Random;

fn main() -> io::Result<()> {
    let usage = || io::Error::other("usage: documents FOLDER [FIRST END]");
    let mut arguments = std::env::args().skip(1);
    let folder = arguments.next().ok_or_else(usage)?;
    let numbers = arguments.map(|number| number.parse()).collect::<Result<Vec<u64>, _>>();
    let numbers = match numbers.map_err(|_number| usage())?.as_slice() {
        [] => 0..WORKSHEETS,
        [first, end] => *first..*end,
        _ => return Err(usage()),
    };
    write(Path::new(&folder), numbers)
}

fn write(folder: &Path, numbers: Range<u64>) -> io::Result<()> {
    fs::create_dir_all(folder.join("protocols"))?;
    let corpus = Corpus::new();
    for protocol in corpus.protocols().iter() {
        let (id, version) = (protocol.id(), protocol.version());
        if Protocols::shipped().get(id, version).is_none() {
            let name = format!("protocols/{}-{}.json", id.as_str(), version.as_str());
            fs::write(folder.join(name), protocol.text())?;
        }
    }
    let mut good = BufWriter::new(File::create(folder.join("worksheets.ndjson"))?);
    let mut bad = BufWriter::new(File::create(folder.join("spoilt.ndjson"))?);
    for number in numbers {
        let (document, _) = corpus.document(number);
        writeln!(good, "{document}")?;
        if number % 20 == 0 {
            writeln!(bad, "{}", spoilt(&document, &mut Random::new(number)))?;
        }
    }
    good.flush()?;
    bad.flush()
}

/// A document with one thing spoilt: cut off, a character lost, put in or turned into another, or a
/// word that is none.
fn spoilt(document: &str, random: &mut Random) -> String {
    let letters: Vec<char> = document.chars().collect();
    let length = u64::try_from(letters.len()).unwrap_or(u64::MAX);
    let place = usize::try_from(random.below(length)).unwrap_or_default();
    let (before, after) = letters.split_at(place);
    let (before, after): (String, String) = (before.iter().collect(), after.iter().collect());
    let rest: String = after.chars().skip(1).collect();
    match random.below(5) {
        0 => before,
        1 => format!("{before}{rest}"),
        2 => format!("{before}{}{after}", random.pick(&['"', ',', '}', '7', 'é', '\u{7f}', '𝛼'])),
        3 => format!("{before}{}{rest}", random.pick(&['"', ':', '[', '-', 'ß', '\t', ' '])),
        _ => {
            let words = ["\"major\"", "\"dog\"", "\"tube\"", "\"room\"", "\"0\"", "null", "\"id\""];
            document.replacen(random.pick(&words), "\"nonesuch\"", 1)
        }
    }
}
