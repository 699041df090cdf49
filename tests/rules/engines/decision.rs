//! A decision engine: decision tables, and expressions.

use std::pin::pin;
use std::rc::Rc;
use std::sync::Arc;
use std::task::{Context, Poll, Waker};

use serde_json::{Value, json};
use zen_engine::model::DecisionContent;
use zen_engine::{Decision, DecisionEngine, Variable};

use crate::measure::{By, Contender};
use crate::pair::{Answer, Question};
use crate::rule::{FOUR, HALF_STEPS, LYSED, MARGIN, OWN, ROWS, by_sum, expressions};
use crate::worksheet::{Line, Parts, lines};

/// Three decision tables, as a person would draw them.
pub fn pair_by_tables(questions: &[Question]) -> Box<dyn Contender<Answer>> {
    let conclusion = |test: &str, auto: &str, saline: &str| {
        let standing = format!("{test}_standing");
        let (seen, sometimes) =
            (r#""reactive", "doubtful""#, r#""caveat_if_saline_control_reactive""#);
        let fields = [test, &standing, auto, saline, "rule"];
        let rules = [
            [r#""reactive""#, r#""own""#, "", "", "", "reactive"],
            [r#""reactive""#, r#""own_in_cells""#, "", "", "", "reactive_cells"],
            [r#""reactive""#, "", "", "", "", "unresolved"],
            [r#""negative""#, "", seen, "", r#""unresolved""#, "unresolved"],
            [r#""negative""#, "", seen, "false", sometimes, "unresolved"],
            [r#""negative""#, "", "", "", "", "nonreactive"],
            [r#""doubtful""#, "", "", "", "", "unresolved"],
            [r#""void""#, "", "", "", "", "void"],
            [r#""not_read""#, "", "", "", "", "not_read"],
        ];
        let rules = rules.map(|[cells @ .., answer]| (cells.to_vec(), format!("\"{answer}\"")));
        let output = format!("{test}_conclusion");
        table("first", &fields, &output, &rules)
    };
    let of_rows = ROWS.iter().enumerate().map(|(number, (pattern, _))| {
        let cell = |sign| if sign == '+' { r#"$ != "negative""# } else { r#"$ != "reactive""# };
        (pattern.chars().map(cell).collect(), number.to_string())
    });
    let mut rows = table("collect", &FOUR, "row", &of_rows.collect::<Vec<_>>());
    rows["outputPath"] = "rows".into();
    let decision = decided(
        &[
            conclusion("major", "recipient_auto", "recipient_saline_explains"),
            conclusion("minor", "donor_auto", "donor_saline_explains"),
            rows,
        ]
        .map(|content| ("decisionTableNode", content)),
    );
    asked("zen-engine (decision tables)", decision, questions, |answer| {
        let rows = answer.dot("rows").unwrap();
        let rows = rows.as_array().unwrap();
        let rows = rows.borrow().iter().map(|row| 1 << whole(&row.dot("row").unwrap())).sum();
        Answer::of(&word(answer, "major_conclusion"), &word(answer, "minor_conclusion"), rows)
    })
}

/// The same as one expression an answer, which this engine runs faster.
pub fn pair_by_expressions(questions: &[Question]) -> Box<dyn Contender<Answer>> {
    let [major, minor, rows] = expressions("and", "or");
    let content =
        written(&[("major_conclusion", major), ("minor_conclusion", minor), ("rows", rows)]);
    let decision = decided(&[("expressionNode", content)]);
    asked("zen-engine (expressions)", decision, questions, |answer| {
        let rows = whole(&answer.dot("rows").unwrap());
        Answer::of(&word(answer, "major_conclusion"), &word(answer, "minor_conclusion"), rows)
    })
}

fn asked(
    name: &'static str,
    decision: Decision,
    questions: &[Question],
    read: impl Fn(&Variable) -> Answer + 'static,
) -> Box<dyn Contender<Answer>> {
    let questions: Vec<Variable> =
        questions.iter().map(|question| question.json().into()).collect();
    Box::new(By {
        name,
        ask: move |number: usize| evaluated(&decision, questions[number].clone()),
        read: move |answer: Variable| read(&answer),
    })
}

pub fn worksheets(texts: &Rc<Vec<String>>) -> Box<dyn Contender<Vec<Line>>> {
    let texts = Rc::clone(texts);
    let strongest = |of: &str, test: &str, steps: &str| {
        format!(r##"max(map(filter({of}, #.test == "{test}"), {steps}[#.agglutination]))"##)
    };
    let of_sheet = decided(&[(
        "expressionNode",
        written(&[("auto", strongest("readings", "recipient_auto", "half_steps"))]),
    )]);
    let (rows, verdicts): (Vec<_>, Vec<_>) = by_sum().into_iter().unzip();
    let of_donor = decided(&[(
        "expressionNode",
        written(&[
            ("own", "filter(readings, #.donor == donor)".to_owned()),
            ("lysed", r##"some($.own, #.test == "major" and #.hemolysis > 0)"##.to_owned()),
            ("major", format!("$.lysed ? {LYSED} : {}", strongest("$.own", "major", "half_steps"))),
            ("minor", strongest("$.own", "minor", "half_steps")),
            ("donor_auto", strongest("$.own", "donor_auto", "half_steps")),
            ("sum", "($.major > 0 ? 1 : 0) + ($.minor > 0 ? 2 : 0) + (auto > 0 ? 4 : 0) + ($.donor_auto > 0 ? 8 : 0)".to_owned()),
            ("row", format!("{}[$.sum]", json!(rows))),
            ("verdict", format!(r#"$.major - auto >= {MARGIN} ? "{OWN}" : {}[$.sum]"#, json!(verdicts))),
        ]),
    )]);
    let half_steps: serde_json::Map<String, Value> =
        HALF_STEPS.iter().map(|(grade, steps)| ((*grade).to_owned(), (*steps).into())).collect();
    let half_steps = Variable::from(Value::Object(half_steps));
    Box::new(By {
        name: "zen-engine (expressions)",
        ask: move |number: usize| {
            let parts: Parts<Variable> = serde_json::from_str(&texts[number]).unwrap();
            let input = Variable::empty_object();
            input.dot_insert("readings", parts.readings);
            input.dot_insert("half_steps", half_steps.clone());
            let auto = evaluated(&of_sheet, input.clone()).dot("auto").unwrap();
            input.dot_insert("auto", auto);
            let donors = parts.donors.as_array().unwrap();
            // The language cannot loop over donors with their readings, so the host does.
            let lines: Vec<_> = donors
                .borrow()
                .iter()
                .map(|donor| {
                    let id = donor.dot("id").unwrap();
                    input.dot_insert("donor", id.clone());
                    let answer = evaluated(&of_donor, input.clone());
                    (id, answer.dot("row").unwrap(), answer.dot("verdict").unwrap())
                })
                .collect();
            serde_json::to_string(&lines).unwrap()
        },
        read: |text: String| lines(&text),
    })
}

/// A table: its hit policy, the fields that it asks, its one output, and rules of cells with an
/// answer.
fn table(policy: &str, fields: &[&str], output: &str, rules: &[(Vec<&str>, String)]) -> Value {
    let column = |field: &str| json!({ "id": field, "name": field, "field": field });
    let rule = |(number, (cells, answer)): (usize, &(Vec<&str>, String))| {
        let mut rule = json!({ "_id": number.to_string(), output: answer });
        for (field, cell) in fields.iter().zip(cells) {
            rule[*field] = (*cell).into();
        }
        rule
    };
    json!({
        "hitPolicy": policy,
        "inputs": fields.iter().map(|field| column(field)).collect::<Value>(),
        "outputs": [column(output)],
        "rules": rules.iter().enumerate().map(rule).collect::<Value>(),
    })
}

/// Expressions, each with its name; a later one may read an earlier as `$.name`.
fn written(expressions: &[(&str, String)]) -> Value {
    let expressions = expressions
        .iter()
        .map(|(name, text)| json!({ "id": name, "key": name, "value": text }))
        .collect::<Value>();
    json!({ "expressions": expressions, "passThrough": false })
}

/// A compiled decision whose nodes all stand between what goes in and what comes out.
fn decided(between: &[(&str, Value)]) -> Decision {
    let mut nodes = vec![
        json!({ "id": "in", "name": "in", "type": "inputNode", "content": {} }),
        json!({ "id": "out", "name": "out", "type": "outputNode", "content": {} }),
    ];
    let mut edges = Vec::new();
    for (number, (kind, content)) in between.iter().enumerate() {
        let id = format!("node-{number}");
        nodes.push(json!({ "id": id, "name": id, "type": kind, "content": content }));
        let edge = |from: &str, to: &str| json!({ "id": format!("{from}-{to}"), "sourceId": from, "targetId": to, "type": "edge" });
        edges.extend([edge("in", &id), edge(&id, "out")]);
    }
    let content: DecisionContent =
        serde_json::from_value(json!({ "nodes": nodes, "edges": edges })).unwrap();
    let mut decision = DecisionEngine::default().create_decision(Arc::new(content)).unwrap();
    decision.compile();
    decision
}

/// The engine is asynchronous for the sake of calls to elsewhere; there are none.
fn evaluated(decision: &Decision, input: Variable) -> Variable {
    let mut evaluation = pin!(decision.evaluate(input));
    match evaluation.as_mut().poll(&mut Context::from_waker(Waker::noop())) {
        Poll::Ready(response) => response.unwrap().result,
        Poll::Pending => panic!("a decision waits for something"),
    }
}

fn word(answer: &Variable, field: &str) -> String {
    answer.dot(field).unwrap().as_str().unwrap().to_owned()
}

fn whole(number: &Variable) -> i64 {
    number.as_number().unwrap().to_string().parse().unwrap()
}
