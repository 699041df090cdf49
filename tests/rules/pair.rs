//! One pair: its summaries in, both conclusions and the rows of the pattern out.

use std::hint::black_box;

use crossread_core::protocol::NegativeTestRule;
use crossread_core::words::{Conclusion, Summary};
use crossread_core::{Controlled, Rows, Standing};
use serde_json::{Value, json};

use crate::measure::{By, Contender};

/// The summaries of a pair, and the protocol's rule for a negative test beside a reactive
/// autocontrol.
#[derive(Clone, Copy, Debug)]
pub struct Question {
    major: Controlled,
    minor: Controlled,
    rule: NegativeTestRule,
}

/// Both conclusions, and the rows that agree, bit n for row n.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Answer {
    pub major: Conclusion,
    pub minor: Conclusion,
    pub rows: u16,
}

impl Answer {
    /// From the words of the two conclusions.
    pub fn of(major: &str, minor: &str, rows: i64) -> Self {
        let word = |word: &str| word.parse().unwrap_or_else(|_| panic!("{word}: no conclusion"));
        Self { major: word(major), minor: word(minor), rows: rows.try_into().unwrap() }
    }
}

impl Question {
    /// Every combination of summaries, standings, saline controls and rules.
    pub fn all() -> Vec<Self> {
        let mut tests = Vec::new();
        for summary in Summary::ALL {
            for standing in Standing::ALL {
                for plasma_auto in Summary::ALL {
                    for saline_explains in [false, true] {
                        tests.push(Controlled {
                            summary: *summary,
                            standing: *standing,
                            plasma_auto: *plasma_auto,
                            saline_explains,
                        });
                    }
                }
            }
        }
        let mut all = Vec::new();
        for major in &tests {
            for minor in &tests {
                for rule in NegativeTestRule::ALL {
                    all.push(Self { major: *major, minor: *minor, rule: *rule });
                }
            }
        }
        all
    }

    /// As an object of the words that stand in documents.
    pub fn json(&self) -> Value {
        json!({
            "major": self.major.summary,
            "minor": self.minor.summary,
            "recipient_auto": self.major.plasma_auto,
            "donor_auto": self.minor.plasma_auto,
            "major_standing": self.major.standing,
            "minor_standing": self.minor.standing,
            "recipient_saline_explains": self.major.saline_explains,
            "donor_saline_explains": self.minor.saline_explains,
            "rule": self.rule,
        })
    }

    fn four(&self) -> [Summary; 4] {
        [self.major.summary, self.minor.summary, self.major.plasma_auto, self.minor.plasma_auto]
    }
}

/// The library: the functions by which `interpret` concludes.
pub fn library(questions: &[Question]) -> Box<dyn Contender<Answer>> {
    let questions = questions.to_vec();
    Box::new(By {
        name: "crossread",
        ask: move |number: usize| {
            let question = black_box(&questions[number]);
            (
                question.major.conclude(question.rule),
                question.minor.conclude(question.rule),
                Rows::of(question.four()),
            )
        },
        read: |(major, minor, rows): (Conclusion, Conclusion, Rows)| Answer {
            major,
            minor,
            rows: rows.numbers().map(|number| 1 << number).sum(),
        },
    })
}
