//! A policy language, on its bytecode machine.

use std::rc::Rc;

use regorus::languages::rego::compiler::Compiler;
use regorus::rvm::vm::RegoVM;
use regorus::{Engine, Value};
use serde_json::json;

use crate::measure::{By, Contender};
use crate::pair::{Answer, Question};
use crate::rule::{FOUR, HALF_STEPS, LYSED, MARGIN, OWN, SUMMARIES, by_sum, rows_with};
use crate::worksheet::{Line, Parts, lines};

const NAME: &str = "regorus (policy)";
const ENTRY: &str = "data.crossmatch.answer";

const CONCLUDE: &str = r#"package crossmatch
import rego.v1

conclusion(test, standing, auto, saline_explains) := data.tables.standings[standing] if {
    test == "reactive"
} else := "unresolved" if {
    test == "negative"
    data.tables.seen[auto]
    not stands(saline_explains)
} else := data.tables.otherwise[test]

stands(saline_explains) if input.rule == "caveat"
stands(saline_explains) if {
    input.rule == "caveat_if_saline_control_reactive"
    saline_explains
}

answer := [
    conclusion(input.major, input.major_standing, input.recipient_auto, input.recipient_saline_explains),
    conclusion(input.minor, input.minor_standing, input.donor_auto, input.donor_saline_explains),
    data.tables.rows[input.major][input.minor][input.recipient_auto][input.donor_auto],
]
"#;

pub fn pair(questions: &[Question]) -> Box<dyn Contender<Answer>> {
    let tables = json!({ "tables": {
        "standings": {
            "own": "reactive",
            "own_in_cells": "reactive_cells",
            "like_autocontrol": "unresolved",
            "no_autocontrol": "unresolved",
        },
        "seen": { "reactive": true, "doubtful": true },
        "otherwise": {
            "negative": "nonreactive",
            "doubtful": "unresolved",
            "void": "void",
            "not_read": "not_read",
        },
        "rows": rows(0, u16::MAX),
    }});
    let mut machine = machine(CONCLUDE, &tables);
    let questions: Vec<_> = questions
        .iter()
        .map(|question| Value::from_json_str(&question.json().to_string()).unwrap())
        .collect();
    Box::new(By {
        name: NAME,
        ask: move |number: usize| {
            machine.set_input(questions[number].clone());
            machine.execute().unwrap()
        },
        read: |answer: Value| {
            let word = |number: usize| answer[number].as_string().unwrap().to_string();
            Answer::of(&word(0), &word(1), answer[2_usize].as_i64().unwrap())
        },
    })
}

/// The rows by the words of the summaries, one test inside the other.
fn rows(test: usize, left: u16) -> serde_json::Value {
    if test == FOUR.len() {
        return left.into();
    }
    let below = SUMMARIES.iter().map(|summary| {
        let agreeing = match *summary {
            "reactive" => rows_with(test, b'+'),
            "negative" => rows_with(test, b'-'),
            _ => u16::MAX,
        };
        ((*summary).to_owned(), rows(test + 1, left & agreeing))
    });
    serde_json::Value::Object(below.collect())
}

const WORKSHEET: &str = r#"package crossmatch
import rego.v1

auto := max([data.tables.steps[0][r.agglutination] | some r in input.readings; r.test == "recipient_auto"])

strongest(test, donor) := max([data.tables.steps[0][r.agglutination] |
    some r in input.readings
    r.donor == donor
    r.test == test
])

major(donor) := max([data.tables.steps[r.hemolysis][r.agglutination] |
    some r in input.readings
    r.donor == donor
    r.test == "major"
])

bit(steps, value) := value if steps > 0
else := 0

answer := [[donor.id, row, verdict] |
    some donor in input.donors
    steps := major(donor.id)
    sum := ((bit(steps, 1) + bit(strongest("minor", donor.id), 2)) + bit(auto, 4)) + bit(strongest("donor_auto", donor.id), 8)
    [row, of_row] := data.tables.by_sum[sum]
    verdict := own(steps - auto, of_row)
]

own(more, of_row) := "OWN" if more >= MARGIN
else := of_row
"#;

pub fn worksheets(texts: &Rc<Vec<String>>) -> Box<dyn Contender<Vec<Line>>> {
    let texts = Rc::clone(texts);
    let steps = |lysed: Option<i64>| {
        let of = |(grade, steps): (&str, i64)| (grade.to_owned(), lysed.unwrap_or(steps).into());
        serde_json::Value::Object(HALF_STEPS.map(of).into_iter().collect())
    };
    let lysed = || steps(Some(LYSED));
    // By hemolysis, then by grade.
    let tables = json!({ "tables": {
        "steps": [steps(None), lysed(), lysed(), lysed(), lysed()],
        "by_sum": by_sum(),
    }});
    let text = WORKSHEET.replace("MARGIN", &MARGIN.to_string()).replace("OWN", OWN);
    let mut machine = machine(&text, &tables);
    Box::new(By {
        name: NAME,
        ask: move |number: usize| {
            let parts: Parts<Value> = serde_json::from_str(&texts[number]).unwrap();
            let mut input = Value::new_object();
            let fields = input.as_object_mut().unwrap();
            fields.insert("donors".into(), parts.donors);
            fields.insert("readings".into(), parts.readings);
            machine.set_input(input);
            machine.execute().unwrap().to_json_str().unwrap()
        },
        read: |text: String| lines(&text),
    })
}

fn machine(text: &str, tables: &serde_json::Value) -> RegoVM {
    let mut engine = Engine::new();
    engine.add_policy("crossmatch.rego".to_owned(), text.to_owned()).unwrap();
    let policy = engine.compile_with_entrypoint(&ENTRY.into()).unwrap();
    let mut machine = RegoVM::new();
    machine.load_program(Compiler::compile_from_policy(&policy, &[ENTRY]).unwrap());
    machine.set_data(Value::from_json_str(&tables.to_string()).unwrap()).unwrap();
    machine
}
