//! The library beside general-purpose engines that are given its small rule. It asserts that all
//! answers are equal, and only measures times; see the README of this folder.

mod engines;
mod measure;
mod pair;
mod rule;
mod worksheet;

use std::fmt::Debug;
use std::rc::Rc;

use engines::{cel, decision, json_logic, policy, script};
use measure::{Contender, Figures, measure};
use pair::{Answer, Question};

fn main() {
    println!(
        "CPU: time of the thread, median of {} rounds. ÷ ours: of the same rounds.",
        measure::ROUNDS
    );
    println!("p50, p99: by the wall clock.\n");
    pairs();
    println!("\nWhole worksheets, µs each: text to the full result, or to row and verdict only");
    for (name, donors, phases) in [("1 donor", 1, 2), ("2 donors", 2, 3), ("5 donors", 5, 3)] {
        worksheets(name, donors, phases);
    }
}

/// One pair: every contender answers every question; a part of them, spread evenly, is timed.
fn pairs() {
    /// Makes a contender for these questions.
    type Way = fn(&[Question]) -> Box<dyn Contender<Answer>>;
    /// The library, and the engines.
    const WAYS: [Way; 7] = [
        pair::library,
        json_logic::pair,
        cel::pair,
        script::pair,
        policy::pair,
        decision::pair_by_expressions,
        decision::pair_by_tables,
    ];
    /// Shares no factor with the number of words of any field, so that all words occur.
    const STRIDE: usize = 119;
    /// A clock cannot see one pair of the library.
    const BLOCK: usize = 64;
    let all = Question::all();
    let mut right = pair::library(&all);
    let right: Vec<_> = (0..all.len()).map(|number| right.answer(number)).collect();
    for way in &WAYS[1..] {
        equal(&mut *way(&all), &right, &all);
    }
    let timed: Vec<_> = all.iter().step_by(STRIDE).copied().collect();
    let mut contenders = WAYS.map(|way| way(&timed));
    let figures = measure(&mut contenders, timed.len(), BLOCK);
    println!("One pair, ns: {} inputs, all answers equal; {} timed", all.len(), timed.len());
    table(&figures, 1.0);
    let fastest = figures[1..].iter().map(|engine| engine.ratio).fold(f64::INFINITY, f64::min);
    println!("the fastest engine takes {fastest:.0} times as long");
}

/// Worksheets of one size.
fn worksheets(name: &str, donors: usize, phases: usize) {
    const WORKSHEETS: u64 = 50;
    let texts: Vec<_> =
        (0..WORKSHEETS).map(|seed| worksheet::worksheet(donors, phases, seed)).collect();
    let bytes = texts.iter().map(String::len).sum::<usize>() / texts.len();
    let texts = Rc::new(texts);
    let mut contenders = [
        worksheet::library(&texts),
        json_logic::worksheets(&texts),
        json_logic::worksheets_in_two_steps(&texts),
        cel::worksheets(&texts),
        script::worksheets(&texts),
        policy::worksheets(&texts),
        decision::worksheets(&texts),
    ];
    let [library, others @ ..] = &mut contenders;
    let right: Vec<_> = (0..texts.len()).map(|number| library.answer(number)).collect();
    for other in others {
        equal(&mut **other, &right, &texts);
    }
    println!(
        "\n{name}, {phases} phases, {bytes} bytes; {} worksheets, all rows and verdicts equal",
        texts.len()
    );
    table(&measure(&mut contenders, texts.len(), 1), 1e-3);
}

fn equal<A: PartialEq + Debug, Q: Debug>(
    contender: &mut dyn Contender<A>,
    right: &[A],
    questions: &[Q],
) {
    for (number, (right, question)) in right.iter().zip(questions).enumerate() {
        let answer = contender.answer(number);
        assert_eq!(answer, *right, "{} at {question:?}", contender.name());
    }
}

/// Times by CPU, with the ratio to the library in the same rounds, and by the wall clock.
fn table(figures: &[Figures], unit: f64) {
    println!("{:<30}{:>10}{:>10}{:>10}{:>10}", "", "CPU", "÷ ours", "p50", "p99");
    for one in figures {
        let [median, p50, p99] = [one.median, one.p50, one.p99].map(|time| time * unit);
        let ratio = one.ratio;
        println!("{:<30}{median:>10.1}{ratio:>10.2}{p50:>10.1}{p99:>10.1}", one.name);
    }
}
