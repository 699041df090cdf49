//! An embedded script.

use std::rc::Rc;

use rhai::{AST, Array, CallFnOptions, Dynamic, Engine, ImmutableString, OptimizationLevel, Scope};

use crate::measure::{By, Contender};
use crate::pair::{Answer, Question};
use crate::rule::{HALF_STEPS, LYSED, MARGIN, OWN, by_sum, rows_with};
use crate::worksheet::{Line, Parts, lines};

const NAME: &str = "rhai (script)";

const CONCLUDE: &str = r#"
fn conclusion(test, standing, auto, saline_explains, rule) {
    switch test {
        "reactive" => switch standing {
            "own" => "reactive",
            "own_in_cells" => "reactive_cells",
            _ => "unresolved",
        },
        "negative" => if auto != "reactive" && auto != "doubtful" {
            "nonreactive"
        } else {
            switch rule {
                "caveat" => "nonreactive",
                "unresolved" => "unresolved",
                _ => if saline_explains { "nonreactive" } else { "unresolved" },
            }
        },
        "doubtful" => "unresolved",
        _ => test,
    }
}

fn conclude(major, minor, recipient_auto, donor_auto, major_standing, minor_standing,
            recipient_saline, donor_saline, rule) {
    let rows = 65535;
    ROWS
    [
        conclusion(major, major_standing, recipient_auto, recipient_saline, rule),
        conclusion(minor, minor_standing, donor_auto, donor_saline, rule),
        rows,
    ]
}
"#;

pub fn pair(questions: &[Question]) -> Box<dyn Contender<Answer>> {
    let tests = ["major", "minor", "recipient_auto", "donor_auto"];
    let rows: String = (0..)
        .zip(tests)
        .map(|(number, test)| {
            let (reactive, negative) = (rows_with(number, b'+'), rows_with(number, b'-'));
            format!(r#"switch {test} {{ "reactive" => rows &= {reactive}, "negative" => rows &= {negative} }}"#)
        })
        .collect();
    let (engine, script) = compiled(&CONCLUDE.replace("ROWS", &rows));
    let questions: Vec<_> = questions
        .iter()
        .map(|question| {
            let json = question.json();
            let word = |field: &str| ImmutableString::from(json[field].as_str().unwrap());
            let flag = |field: &str| json[field].as_bool().unwrap();
            (
                word("major"),
                word("minor"),
                word("recipient_auto"),
                word("donor_auto"),
                word("major_standing"),
                word("minor_standing"),
                flag("recipient_saline_explains"),
                flag("donor_saline_explains"),
                word("rule"),
            )
        })
        .collect();
    Box::new(By {
        name: NAME,
        ask: move |number: usize| -> Array {
            let options = CallFnOptions::new().eval_ast(false);
            let input = questions[number].clone();
            engine
                .call_fn_with_options(options, &mut Scope::new(), &script, "conclude", input)
                .unwrap()
        },
        read: |answer: Array| {
            let word = |number: usize| answer[number].clone().into_immutable_string().unwrap();
            Answer::of(&word(0), &word(1), answer[2].as_int().unwrap())
        },
    })
}

const WORKSHEET: &str = r#"
fn half_steps(grade) { switch grade { HALF_STEPS } }

fn worksheet(donors, readings) {
    let auto = 0;
    let of = #{};
    for donor in donors { of[donor.id] = [0, 0, 0]; }
    for reading in readings {
        let steps = half_steps(reading.agglutination);
        if steps == 0 && reading.hemolysis == 0 { continue; }
        switch reading.test {
            "recipient_auto" => if steps > auto { auto = steps; },
            "major" => {
                if reading.hemolysis >= 1 { steps = LYSED; }
                if steps > of[reading.donor][0] { of[reading.donor][0] = steps; }
            },
            "minor" => if steps > of[reading.donor][1] { of[reading.donor][1] = steps; },
            "donor_auto" => if steps > of[reading.donor][2] { of[reading.donor][2] = steps; },
        }
    }
    let lines = [];
    for donor in donors {
        let three = of[donor.id];
        let sum = 0;
        if three[0] > 0 { sum += 1; }
        if three[1] > 0 { sum += 2; }
        if auto > 0 { sum += 4; }
        if three[2] > 0 { sum += 8; }
        let line = switch sum { BY_SUM };
        if three[0] - auto >= MARGIN { line[1] = "OWN"; }
        lines.push([donor.id, line[0], line[1]]);
    }
    lines
}
"#;

pub fn worksheets(texts: &Rc<Vec<String>>) -> Box<dyn Contender<Vec<Line>>> {
    let texts = Rc::clone(texts);
    let half_steps: String =
        HALF_STEPS.iter().map(|(grade, steps)| format!(r#""{grade}" => {steps},"#)).collect();
    let by_sum: String = (0..)
        .zip(by_sum())
        .map(|(sum, (row, verdict))| format!(r#"{sum} => [{row}, "{verdict}"],"#))
        .collect();
    let text = WORKSHEET
        .replace("HALF_STEPS", &half_steps)
        .replace("BY_SUM", &by_sum)
        .replace("LYSED", &LYSED.to_string())
        .replace("MARGIN", &MARGIN.to_string())
        .replace("OWN", OWN);
    let (engine, script) = compiled(&text);
    Box::new(By {
        name: NAME,
        ask: move |number: usize| {
            let parts: Parts<Dynamic> = serde_json::from_str(&texts[number]).unwrap();
            let options = CallFnOptions::new().eval_ast(false);
            let input = (parts.donors, parts.readings);
            let lines: Array = engine
                .call_fn_with_options(options, &mut Scope::new(), &script, "worksheet", input)
                .unwrap();
            serde_json::to_string(&lines).unwrap()
        },
        read: |text: String| lines(&text),
    })
}

fn compiled(text: &str) -> (Engine, AST) {
    let mut engine = Engine::new();
    engine.set_optimization_level(OptimizationLevel::Full);
    let script = engine.compile(text).unwrap();
    (engine, script)
}
