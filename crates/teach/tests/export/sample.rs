//! Questions to export.

use crossread_teach::question::{Choice, Drawn, Question};

pub(crate) const TITLE: &str = "Graded reading at Brindlemoor Animal Hospital";
pub(crate) const SET: &str = "reading-1";

fn choice(id: &str, text: &str, score_hundredths: u32, feedback: &str) -> Choice {
    Choice {
        id: id.to_owned(),
        text: text.to_owned(),
        is_key: score_hundredths == 100,
        score_hundredths,
        is_critical: false,
        feedback: feedback.to_owned(),
    }
}

fn critical(id: &str, text: &str, feedback: &str) -> Choice {
    Choice { is_critical: true, ..choice(id, text, 0, feedback) }
}

/// A column of which the cells lie as high as told.
pub(crate) fn column(name: &str, height: u32) -> Drawn {
    Drawn {
        name: name.to_owned(),
        svg: format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 120 320\"><rect width=\"120\" \
             height=\"320\" fill=\"#fbfaf7\"/><path d=\"M43 16V278Q43 300 60 304Q77 300 77 278V16Z\" \
             fill=\"#ece7da\"/><circle cx=\"60\" cy=\"{height}\" r=\"9.5\" fill=\"#8e2f2b\"/></svg>"
        ),
        alt: format!("Drawing of a column with cells {height} tenths of a millimeter down"),
    }
}

/// Two questions in words: one with a critical error that says why, one whose critical error does
/// not.
pub(crate) fn in_words() -> Vec<Question> {
    vec![
        Question {
            id: "q1".to_owned(),
            prompt: "The major is 2+ at 37 °C.\nThe autocontrol is 0.\n\nMay the unit be given?"
                .to_owned(),
            pictures: Vec::new(),
            choices: vec![
                choice("no", "No: incompatible", 100, "Right."),
                critical("yes", "Yes", "An incompatible unit would be given."),
                choice("repeat", "Repeat the test first", 50, ""),
            ],
        },
        Question {
            id: "q_2+".to_owned(),
            prompt: "Which grade is a single solid clump?".to_owned(),
            pictures: Vec::new(),
            choices: vec![
                critical("0", "0", ""),
                choice("3+", "3+", 25, "Nearly: count the clumps."),
                choice("4+", "4+", 100, ""),
            ],
        },
    ]
}

/// One question with two pictures.
pub(crate) fn with_pictures() -> Question {
    Question {
        id: "columns".to_owned(),
        prompt: "Which column holds the stronger reaction?".to_owned(),
        pictures: vec![column("left", 60), column("right", 280)],
        choices: vec![
            choice("left", "The left one", 100, ""),
            critical("right", "The right one", "Cells at the bottom did not react."),
        ],
    }
}

/// All of them.
pub(crate) fn all() -> Vec<Question> {
    let mut all = in_words();
    all.push(with_pictures());
    all
}
