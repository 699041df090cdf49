//! JSON-logic.

use std::hint::black_box;
use std::ops::Range;
use std::rc::Rc;

use datalogic_rs::{Engine, Logic, ParsedData, Session};
use serde_json::{Value, json};

use crate::measure::{By, Contender};
use crate::pair::{Answer, Question};
use crate::rule::{HALF_STEPS, LYSED, MARGIN, OWN, by_sum, tree};
use crate::worksheet::Line;

const NAME: &str = "datalogic-rs (JSON-logic)";

/// A rule on pairs. Its answers lie in the session, so it is timed by hand.
struct Pairs {
    session: Session<'static>,
    rule: Logic,
    questions: Vec<ParsedData>,
}

impl Contender<Answer> for Pairs {
    fn name(&self) -> &'static str {
        NAME
    }

    fn run(&mut self, questions: Range<usize>) {
        for question in &self.questions[questions] {
            self.session.reset();
            black_box(self.session.eval_borrowed(&self.rule, black_box(question)).unwrap());
        }
    }

    fn answer(&mut self, question: usize) -> Answer {
        self.session.reset();
        let question = &self.questions[question];
        let answer = self.session.eval_borrowed(&self.rule, question).unwrap();
        let parts = answer.as_array().unwrap();
        let word = |number: usize| parts[number].as_str().unwrap();
        Answer::of(word(0), word(1), parts[2].as_i64().unwrap())
    }
}

pub fn pair(questions: &[Question]) -> Box<dyn Contender<Answer>> {
    let engine = engine();
    let conclusion = |test: &str, auto: &str, saline: &str| {
        let standing = format!("{test}_standing");
        json!({ "if": [
            is(test, "reactive"),
            { "if": [
                is(&standing, "own"), "reactive",
                is(&standing, "own_in_cells"), "reactive_cells",
                "unresolved",
            ]},
            is(test, "negative"),
            { "if": [
                { "and": [
                    { "or": [is(auto, "reactive"), is(auto, "doubtful")] },
                    { "or": [
                        is("rule", "unresolved"),
                        { "and": [
                            is("rule", "caveat_if_saline_control_reactive"),
                            { "!": [{ "var": saline }] },
                        ]},
                    ]},
                ]},
                "unresolved",
                "nonreactive",
            ]},
            is(test, "doubtful"), "unresolved",
            { "var": test },
        ]})
    };
    let rows = tree(
        &|test, [reactive, negative, neither]| json!({ "if": [is(test, "reactive"), reactive, is(test, "negative"), negative, neither] }),
        &|rows| rows.into(),
    );
    let rule = json!([
        conclusion("major", "recipient_auto", "recipient_saline_explains"),
        conclusion("minor", "donor_auto", "donor_saline_explains"),
        rows,
    ]);
    let parsed = |question: &Question| ParsedData::from_json(&question.json().to_string()).unwrap();
    Box::new(Pairs {
        session: engine.session(),
        rule: engine.compile(rule.to_string().as_str()).unwrap(),
        questions: questions.iter().map(parsed).collect(),
    })
}

/// A `map` over one thing gives it a place to be read from more than once: the language has no names
/// for what is between. Here it stands beside the worksheet's donors (0), in what was found out of
/// the whole worksheet (1), of a donor (2), the donor's readings (3), and their strengths (4).
///
/// The engine counts levels one more than there are steps up, and never reaches the outermost, so
/// that one is a list of nothing in particular; from any level, `[[9], …]` reads the worksheet.
pub fn worksheets(texts: &Rc<Vec<String>>) -> Box<dyn Contender<Vec<Line>>> {
    let texts = Rc::clone(texts);
    let engine = engine();
    let (with_lysis, half_steps) = steps();
    let readings = json!({ "val": [[9], "readings"] });
    let [id, major, minor, donor_auto] = ["0", "1", "2", "3"].map(place);
    let line = line(&id, &major, &minor, &json!({ "val": [[4], "0"] }), &donor_auto);
    let own = place("1");
    let strengths = json!([
        place("0"),
        strongest(&own, "major", &with_lysis),
        strongest(&own, "minor", &half_steps),
        strongest(&own, "donor_auto", &half_steps),
    ]);
    let of_donor = json!({ "==": [{ "var": "donor" }, { "val": [[2], "id"] }] });
    let donor = json!([{ "var": "id" }, { "filter": [readings, of_donor] }]);
    let sheet = json!([strongest(&readings, "recipient_auto", &half_steps)]);
    let rule = json!({ "map": [[0], { "map": [[sheet], { "map": [
        { "val": [[9], "donors"] },
        { "map": [[donor], { "map": [[strengths], line] }] },
    ]}]}]});
    let rule = engine.compile(rule.to_string().as_str()).unwrap();
    let mut session = engine.session();
    Box::new(By {
        name: NAME,
        ask: move |number: usize| {
            session.reset();
            session.eval_borrowed(&rule, texts[number].as_str()).unwrap().to_string()
        },
        // Of the donors, each in lists of one thing.
        read: |text: String| {
            let [[donors]]: [[Vec<[[Line; 1]; 1]>; 1]; 1] = serde_json::from_str(&text).unwrap();
            donors.into_iter().map(|[[line]]| line).collect()
        },
    })
}

/// The same as one writes it first: each strength is sought among all readings, by a rule for each
/// number of donors, and a second rule makes lines of the strengths.
pub fn worksheets_in_two_steps(texts: &Rc<Vec<String>>) -> Box<dyn Contender<Vec<Line>>> {
    const MOST: usize = 5;
    let texts = Rc::clone(texts);
    let engine = engine();
    let (with_lysis, half_steps) = steps();
    let readings = json!({ "var": "readings" });
    let of = |donor: usize, test: &str, steps: &Value| {
        let same = json!({ "==": [{ "var": "donor" }, { "val": [[1], "donors", donor, "id"] }] });
        let own = json!({ "filter": [readings, { "and": [is("test", test), same] }] });
        json!({ "max": { "map": [own, steps] } })
    };
    let strengths = |donor: usize| {
        json!([
            { "var": format!("donors.{donor}.id") },
            of(donor, "major", &with_lysis),
            of(donor, "minor", &half_steps),
            strongest(&readings, "recipient_auto", &half_steps),
            of(donor, "donor_auto", &half_steps),
        ])
    };
    let rules: Vec<Logic> = (1..=MOST)
        .map(|donors| (0..donors).map(strengths).collect::<Value>())
        .map(|rule| engine.compile(rule.to_string().as_str()).unwrap())
        .collect();
    let [id, major, minor, auto, donor_auto] = ["0", "1", "2", "3", "4"].map(place);
    let lines = json!({ "map": [{ "var": "" }, line(&id, &major, &minor, &auto, &donor_auto)] });
    let lines = engine.compile(lines.to_string().as_str()).unwrap();
    let donors: Vec<usize> = texts.iter().map(|text| text.matches("\"product\"").count()).collect();
    let mut session = engine.session();
    Box::new(By {
        name: "  the same, in two steps",
        ask: move |number: usize| {
            session.reset();
            let rule = &rules[donors[number] - 1];
            let strengths =
                session.eval_borrowed(rule, texts[number].as_str()).unwrap().to_string();
            session.reset();
            session.eval_borrowed(&lines, strengths.as_str()).unwrap().to_string()
        },
        read: |text: String| serde_json::from_str(&text).unwrap(),
    })
}

/// The row and verdict of a donor by the strengths of its tests, asked one test after the other, as
/// the rows of a pair are.
fn line(id: &Value, major: &Value, minor: &Value, auto: &Value, donor_auto: &Value) -> Value {
    let pick = |of: &dyn Fn((usize, &'static str)) -> Value| {
        let patterns = by_sum();
        let ask =
            |steps: &Value, yes: Value, no: Value| json!({ "if": [{ ">": [steps, 0] }, yes, no] });
        let by_donor_auto = |sum: usize| ask(donor_auto, of(patterns[sum + 8]), of(patterns[sum]));
        let by_auto = |sum: usize| ask(auto, by_donor_auto(sum + 4), by_donor_auto(sum));
        let by_minor = |sum: usize| ask(minor, by_auto(sum + 2), by_auto(sum));
        ask(major, by_minor(1), by_minor(0))
    };
    json!([
        id,
        pick(&|(row, _)| row.into()),
        { "if": [
            { ">=": [{ "-": [major, auto] }, MARGIN] }, OWN,
            pick(&|(_, verdict)| verdict.into()),
        ]},
    ])
}

/// What a reading counts as: of a major with its lysis, of others by the grade alone.
fn steps() -> (Value, Value) {
    let mut half_steps: Vec<Value> = HALF_STEPS
        .iter()
        .flat_map(|(grade, steps)| [is("agglutination", grade), json!(steps)])
        .collect();
    half_steps.push(json!(0));
    let half_steps = json!({ "if": half_steps });
    (json!({ "if": [{ ">": [{ "var": "hemolysis" }, 0] }, LYSED, half_steps] }), half_steps)
}

fn strongest(of: &Value, test: &str, steps: &Value) -> Value {
    json!({ "max": { "map": [{ "filter": [of, is("test", test)] }, steps] } })
}

fn place(place: &str) -> Value {
    json!({ "var": place })
}

fn is(field: &str, word: &str) -> Value {
    json!({ "==": [{ "var": field }, word] })
}

/// An engine, kept until the end: its sessions stand on it.
fn engine() -> &'static Engine {
    Box::leak(Box::new(Engine::new()))
}
