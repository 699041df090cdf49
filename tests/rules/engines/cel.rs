//! The Common Expression Language.

use std::collections::BTreeMap;
use std::rc::Rc;

use cel::{Context, Program, Value};
use serde::{Deserialize, Serialize};

use crate::measure::{By, Contender};
use crate::pair::{Answer, Question};
use crate::rule::{HALF_STEPS, LYSED, MARGIN, OWN, by_sum, expressions};
use crate::worksheet::Line;

const NAME: &str = "cel";

pub fn pair(questions: &[Question]) -> Box<dyn Contender<Answer>> {
    let [major, minor, rows] = expressions("&&", "||");
    let program = compiled(&format!("[{major}, {minor}, {rows}]"));
    let root = kept(Context::default());
    let questions: Vec<_> = questions
        .iter()
        .map(|question| {
            let mut context = root.new_inner_scope();
            for (field, value) in question.json().as_object().unwrap() {
                context.add_variable_from_value(field.clone(), cel::to_value(value).unwrap());
            }
            context
        })
        .collect();
    Box::new(By {
        name: NAME,
        ask: move |number: usize| program.execute(&questions[number]).unwrap(),
        read: |answer: Value| match list(&answer) {
            [Value::String(major), Value::String(minor), rows] => {
                Answer::of(major, minor, whole(rows))
            }
            other => panic!("{other:?}"),
        },
    })
}

/// What the rule reads of a worksheet. Other fields are passed over, which costs least.
#[derive(Deserialize)]
struct Worksheet<'w> {
    #[serde(borrow)]
    donors: Vec<Donor<'w>>,
    #[serde(borrow)]
    readings: Vec<Reading<'w>>,
}

#[derive(Deserialize)]
struct Donor<'w> {
    id: &'w str,
}

#[derive(Deserialize, Serialize)]
struct Reading<'w> {
    test: &'w str,
    #[serde(default)]
    donor: &'w str,
    agglutination: &'w str,
    hemolysis: i64,
}

pub fn worksheets(texts: &Rc<Vec<String>>) -> Box<dyn Contender<Vec<Line>>> {
    let texts = Rc::clone(texts);
    let strongest = |of: &str, test: &str, steps: &str| {
        format!("max({of}.map(r, r.test == '{test}', {steps}[r.agglutination]))")
    };
    let auto = compiled(&strongest("readings", "recipient_auto", "steps[0]"));
    let own = compiled("readings.filter(r, r.donor == donor)");
    let three = compiled(&format!(
        "[{}, {}, {}]",
        strongest("own", "major", "steps[r.hemolysis]"),
        strongest("own", "minor", "steps[0]"),
        strongest("own", "donor_auto", "steps[0]"),
    ));
    let sum = compiled(
        "(three[0] > 0 ? 1 : 0) + (three[1] > 0 ? 2 : 0) + (auto > 0 ? 4 : 0) + (three[2] > 0 ? 8 : 0)",
    );
    let line =
        compiled(&format!("[rows[sum], three[0] - auto >= {MARGIN} ? '{OWN}' : verdicts[sum]]"));
    let steps = |lysed: Option<i64>| -> BTreeMap<&str, i64> {
        HALF_STEPS.iter().map(|(grade, steps)| (*grade, lysed.unwrap_or(*steps))).collect()
    };
    let lysed = || steps(Some(LYSED));
    let mut root = Context::default();
    root.add_function("max", cel::functions::max).unwrap();
    // By hemolysis, then by grade.
    let by_hemolysis = [steps(None), lysed(), lysed(), lysed(), lysed()];
    root.add_variable_from_value("steps", cel::to_value(by_hemolysis).unwrap());
    let (rows, verdicts): (Vec<_>, Vec<_>) = by_sum().into_iter().unzip();
    let rows: Vec<i64> = rows.into_iter().map(|row| row.try_into().unwrap()).collect();
    root.add_variable_from_value("rows", cel::to_value(rows).unwrap());
    root.add_variable_from_value("verdicts", cel::to_value(verdicts).unwrap());
    let root = kept(root);
    Box::new(By {
        name: NAME,
        ask: move |number: usize| {
            let worksheet: Worksheet<'_> = serde_json::from_str(&texts[number]).unwrap();
            let mut sheet = root.new_inner_scope();
            sheet.add_variable_from_value("readings", cel::to_value(&worksheet.readings).unwrap());
            let strongest = auto.execute(&sheet).unwrap();
            sheet.add_variable_from_value("auto", strongest);
            // The language has no names for what is between, so the host goes from step to step.
            let lines: Vec<_> = worksheet
                .donors
                .iter()
                .map(|donor| {
                    let mut scope = sheet.new_inner_scope();
                    scope.add_variable_from_value("donor", donor.id.to_owned());
                    let readings = own.execute(&scope).unwrap();
                    scope.add_variable_from_value("own", readings);
                    let strongest = three.execute(&scope).unwrap();
                    scope.add_variable_from_value("three", strongest);
                    let of_pattern = sum.execute(&scope).unwrap();
                    scope.add_variable_from_value("sum", of_pattern);
                    match list(&line.execute(&scope).unwrap()) {
                        [row, Value::String(verdict)] => {
                            (donor.id, whole(row), verdict.to_string())
                        }
                        other => panic!("{other:?}"),
                    }
                })
                .collect();
            serde_json::to_string(&lines).unwrap()
        },
        read: |text: String| crate::worksheet::lines(&text),
    })
}

fn compiled(text: &str) -> Program {
    Program::compile(text).unwrap()
}

/// A context that others stand on, kept until the end.
fn kept(context: Context<'static, 'static>) -> &'static Context<'static, 'static> {
    Box::leak(Box::new(context))
}

fn list(value: &Value) -> &[Value] {
    match value {
        Value::List(list) => list,
        other => panic!("{other:?}"),
    }
}

fn whole(value: &Value) -> i64 {
    match value {
        Value::Int(number) => *number,
        other => panic!("{other:?}"),
    }
}
