//! Times every export of many questions, and writes the files: `exports QUESTIONS [FOLDER]`.
#![expect(
    clippy::unwrap_used,
    clippy::arithmetic_side_effects,
    clippy::print_stdout,
    clippy::use_debug,
    reason = "an example stops at what it cannot do, and prints what it measured"
)]

use std::path::Path;
use std::time::Instant;

use crossread_teach::export::{CannotExport, gift, items_csv, keys_csv, moodle_xml, qti21, qti30};
use crossread_teach::question::{Choice, Drawn, Question};

const TITLE: &str = "Graded reading at Brindlemoor Animal Hospital";
const SET: &str = "reading-1";

type Write = fn(&str, &str, &[Question]) -> Result<Vec<u8>, CannotExport>;

fn main() {
    let mut arguments = std::env::args().skip(1);
    let count = arguments.next().map_or(1_000, |count| count.parse().unwrap());
    let folder = arguments.next();
    let drawn: Vec<Question> = (0..count).map(question).collect();
    let words: Vec<Question> =
        drawn.iter().map(|one| Question { pictures: Vec::new(), ..one.clone() }).collect();
    let formats: [(&str, Write, &[Question]); 6] = [
        ("qti21.zip", qti21, if cfg!(feature = "png") { &drawn } else { &words }),
        ("qti30.zip", qti30, &drawn),
        ("moodle.xml", moodle_xml, if cfg!(feature = "png") { &drawn } else { &words }),
        ("gift.txt", gift, &words),
        ("items.csv", items_csv, &drawn),
        ("keys.csv", keys_csv, &drawn),
    ];
    for (name, write, questions) in formats {
        let start = Instant::now();
        let file = write(TITLE, SET, questions).unwrap();
        done(name, start, &file, folder.as_deref());
    }
}

fn done(name: &str, start: Instant, file: &[u8], folder: Option<&str>) {
    println!("{name:13} {:>8.1?}  {:>10} bytes", start.elapsed(), file.len());
    if let Some(folder) = folder {
        std::fs::write(Path::new(folder).join(name), file).unwrap();
    }
}

fn question(number: u32) -> Question {
    let grades = ["0", "w", "1+", "2+", "3+", "4+"];
    let key = usize::try_from(number).unwrap() % grades.len();
    let choices = grades
        .iter()
        .enumerate()
        .map(|(at, grade)| {
            let critical = key > 1 && at == 0;
            Choice {
                id: (*grade).to_owned(),
                text: format!("{grade} <&>\"'{{}}=~#:"),
                is_key: at == key,
                score_hundredths: match at.abs_diff(key) {
                    0 => 100,
                    1 if !critical => 50,
                    _ => 0,
                },
                is_critical: critical,
                feedback: if critical { "Clumps lie\nalong the column." } else { "" }.to_owned(),
            }
        })
        .collect();
    Question {
        id: format!("g{number:04}"),
        prompt: "Which grade do you read?\n次の等級は? ما الدرجة؟".to_owned(),
        pictures: vec![Drawn {
            name: "column".to_owned(),
            svg: column(number, u32::try_from(key).unwrap()),
            alt: "Drawing of a column of gel in which cells lie, some \"higher\" than others"
                .to_owned(),
        }],
        choices,
    }
}

/// A column with 200 cells, the higher the stronger the reaction, as large as a drawing of this
/// kind is.
fn column(number: u32, strength: u32) -> String {
    let cells = (0..200_u32).fold(String::new(), |mut cells, cell| {
        let scattered = cell.wrapping_add(number).wrapping_mul(2_654_435_761) >> 16;
        let x = 46 + scattered % 28;
        let y = 290 - (scattered / 28) % (12 + strength * 34);
        cells.push_str(&format!(
            "<circle cx=\"{x}.3\" cy=\"{y}.7\" r=\"1.4\" fill=\"url(#r)\" opacity=\".9\"/>"
        ));
        cells
    });
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 120 320\"><radialGradient id=\"r\">\
         <stop offset=\"0\" stop-color=\"#b5473f\"/><stop offset=\"1\" stop-color=\"#7c2622\"/>\
         </radialGradient><rect width=\"120\" height=\"320\" fill=\"#fbfaf7\"/>\
         <path d=\"M27 16V92L43 113V278Q43 300 60 304Q77 300 77 278V113L93 92V16Z\" fill=\"#ece7da\" \
         stroke=\"#8a8577\"/>{cells}</svg>"
    )
}
