// What the examples of the documentation share: two small sets of exercises, and a question.

pub use crossread_core::Protocols;
pub use crossread_core::words::{Grade, Method, Species};
pub use crossread_teach::marking::{Options, Response, Responses, mark_all};
pub use crossread_teach::question::{Choice, Question};
pub use crossread_teach::set::{Answer, Ask, Exercise, Kind, Wanted, make};

/// Items of one kind, about dogs and tubes.
pub fn wanted(kind: Kind, items: u32) -> Wanted {
    Wanted {
        id: "EX-1".to_owned(),
        seed: 42,
        items,
        kinds: vec![kind],
        species: vec![Species::Dog],
        methods: vec![Method::Tube],
        ..Wanted::default()
    }
}

/// Six drawings to be read.
pub fn drawings() -> Exercise {
    make(&wanted(Kind::Picture, 6), Protocols::shipped()).unwrap().exercise
}

/// Four items about runs that are written out.
pub fn runs() -> Exercise {
    make(&wanted(Kind::Text, 4), Protocols::shipped()).unwrap().exercise
}

/// What a student answers who has every item right.
pub fn all_right(exercise: &Exercise, student: &str) -> Vec<Response> {
    let set = exercise.set();
    let right = |item: &crossread_teach::set::Item| item.ask.answer(&item.key, set.scale);
    set.items.iter().map(|item| Response::new(&item.id, student, right(item))).collect()
}

/// A question with a dangerous answer.
pub fn question() -> Question {
    let choice = |id: &str, text: &str, is_key| Choice {
        id: id.to_owned(),
        text: text.to_owned(),
        is_key,
        score_hundredths: if is_key { 100 } else { 0 },
        is_critical: !is_key,
        feedback: String::new(),
    };
    Question {
        id: "q1".to_owned(),
        prompt: "The major reacts 2+ at 37 °C. May the unit be given?".to_owned(),
        pictures: Vec::new(),
        choices: vec![choice("no", "No", true), choice("yes", "Yes", false)],
    }
}
