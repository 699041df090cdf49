//! What students get: passing and failing, files of answers, appeals (F61, H29).

use crossread_core::Protocols;
use crossread_core::words::{Grade, Species};
use crossread_teach::marking::{
    Class, Options, Response, Responses, Withdrawn, appeal, csv, mark, mark_all, text,
};
use crossread_teach::set::{Answer, Ask, Exercise};
use serde_json::{Value, json};

use crate::shared::{checked, picture, protocol, set};

/// Twenty tubes to grade: 2+, and nineteen others in turn.
fn twenty() -> Value {
    let grades = ["0", "w", "1+", "2+", "3+", "4+"].map(str::to_owned);
    let mut choices = grades.to_vec();
    choices.extend(["mixed_field", "rouleaux", "unreadable"].map(str::to_owned));
    let items: Vec<_> = (0..20)
        .map(|number| {
            let key = &grades[(number + 3) % 6];
            let shown = json!({ "seen": key });
            let mut item = picture(protocol(Species::Dog), "agglutination", &shown, key, &choices);
            item["id"] = json!(format!("i{:02}", number + 1));
            item
        })
        .collect();
    set("main", &[], &items)
}

fn exercise() -> Exercise {
    checked(&twenty(), Protocols::shipped())
}

/// What a student answers who is right but for what is said.
fn right_but(exercise: &Exercise, student: &str, but: &[(&str, Option<Answer>)]) -> Vec<Response> {
    let items = exercise.set().items.iter();
    items
        .map(|item| {
            let key = item.ask.answer(&item.key, exercise.set().scale);
            let other = but.iter().find(|(id, _)| *id == item.id).map(|(_, answer)| answer.clone());
            Response::new(&item.id, student, other.unwrap_or(key))
        })
        .collect()
}

#[test]
fn f61_one_critical_error_fails_the_set_at_95_percent() {
    let exercise = exercise();
    assert_eq!(exercise.item("i01").expect("an item").key, "2+");
    let grade = |grade| Some(Answer::Grade(grade));
    let mut all = right_but(&exercise, "Learner 01", &[("i01", grade(Grade::G0))]);
    all.extend(right_but(&exercise, "Learner 02", &[("i01", grade(Grade::G4))]));
    all.extend(right_but(&exercise, "Learner 03", &[]));
    let marked = mark_all(&exercise, &Responses::new(all), &Options::default()).expect("marks");
    let [first, second, third] = marked.students.as_slice() else { panic!("three students") };
    // 19 of 20 right, and one 2+ called 0.
    assert_eq!(first.percent_hundredths, 9500);
    assert!(!first.passed);
    assert_eq!(first.because.len(), 1);
    for said in ["critical error", "i01", "a positive was called negative", "key 2+", "answer 0"] {
        assert!(first.because[0].contains(said), "{}", first.because[0]);
    }
    assert_eq!(first.marks[0].class, Class::Critical, "critical errors stand first");
    // 19 of 20 right, and one 2+ called 4+: the same score, and passed.
    assert_eq!(second.percent_hundredths, 9500);
    assert!(second.passed && second.because.is_empty());
    assert!(third.passed && third.percent_hundredths == 10_000);
    let told = text(&marked);
    assert!(told.contains("FAILED  Learner 01: 19.00 of 20 points, 95.00 %"), "{told}");
    assert!(told.contains("PASSED  Learner 02"), "{told}");
    assert!(told.lines().all(|line| line.chars().count() <= 80), "{told}");
}

/// No score makes a critical error good, whatever passes.
#[test]
fn f61_at_every_pass_mark() {
    let exercise = exercise();
    let all = right_but(&exercise, "A", &[("i01", Some(Answer::Grade(Grade::G0)))]);
    let all = Responses::new(all);
    for pass in 0..=100 {
        let mut options = Options::default();
        options.pass_hundredths = pass;
        assert!(!mark_all(&exercise, &all, &options).expect("marks").students[0].passed, "{pass}");
    }
}

/// What was withheld or left out scores nothing and is counted apart; a near miss scores what the
/// set says.
#[test]
fn withheld_unanswered_and_near() {
    let mut document = twenty();
    document["near_hundredths"] = json!(25);
    let exercise = checked(&document, Protocols::shipped());
    let but =
        [("i01", Some(Answer::Unreadable)), ("i02", None), ("i07", Some(Answer::Grade(Grade::G3)))];
    let all = Responses::new(right_but(&exercise, "A", &but));
    let marked = mark_all(&exercise, &all, &Options::default()).expect("marks");
    let outcome = &marked.students[0];
    assert_eq!(outcome.score_hundredths, 1725);
    assert_eq!((outcome.items, outcome.percent_hundredths), (20, 8625));
    assert_eq!(outcome.unanswered, ["i02"]);
    assert_eq!(outcome.tally.count(Class::Withheld), 1);
    assert_eq!(outcome.tally.unanswered, 1);
    assert!(outcome.passed);
    assert!(text(&marked).contains("withheld 1"), "{}", text(&marked));
}

/// H29: an item is withdrawn, and all are marked anew without it.
#[test]
fn h29_a_withdrawn_item_counts_for_nobody() {
    let exercise = exercise();
    let all = right_but(&exercise, "A", &[("i01", Some(Answer::Grade(Grade::G0)))]);
    let all = Responses::new(all);
    let mut options = Options::default();
    options.withdrawn = vec![Withdrawn::new("i01", "the drawing is unclear")];
    let marked = mark_all(&exercise, &all, &options).expect("marks");
    let outcome = &marked.students[0];
    assert!(outcome.passed);
    assert_eq!((outcome.items, outcome.percent_hundredths), (19, 10_000));
    assert!(text(&marked).contains("i01 is withdrawn"), "{}", text(&marked));
    options.withdrawn = vec![Withdrawn::new("i1", ""), Withdrawn::new("i02", " ")];
    options.pass_hundredths = 101;
    let faults = mark_all(&exercise, &all, &options).expect_err("faults");
    assert_eq!(faults.as_slice().len(), 4, "{faults}");
}

#[test]
fn answers_are_read_back_as_they_were_written() {
    let exercise = exercise();
    let names = ["A, \"the\" second", "Łucja", " two  blanks ", "line\nbreak"];
    let all: Vec<_> =
        names.iter().flat_map(|name| right_but(&exercise, name, &[("i04", None)])).collect();
    let all = Responses::new(all);
    let read = Responses::from_csv(all.to_csv().as_bytes(), &exercise).expect("answers");
    assert_eq!(read, all);
    // A byte order mark, other line ends, columns in another order.
    let other = "\u{feff}answer,item,student\r\n2+,i01,A\r\n,i02,A\r\n";
    let read = Responses::from_csv(other.as_bytes(), &exercise).expect("answers");
    let expected = [
        Response::new("i01", "A", Some(Answer::Grade(Grade::G2))),
        Response::new("i02", "A", None),
    ];
    assert_eq!(read.as_slice(), expected);
}

/// Every fault of a file of answers, with line and column and nothing guessed.
#[test]
fn every_fault_of_a_file_of_answers_is_told_at_once() {
    let exercise = exercise();
    let document = "item,student,answer\n\
                    i01,A,2+\n\
                    i99,A,2+\n\
                    i02,,2+\n\
                    i03,A,++\n\
                    i04,A,2 +\n\
                    i01,A,3+\n\
                    i05,A\n\
                    i06,A,1+,extra\n\
                    i07,A,1+s\n\
                    i08,A,Unreadable\n";
    let faults = Responses::from_csv(document.as_bytes(), &exercise).expect_err("faults");
    let places: Vec<_> = faults
        .as_slice()
        .iter()
        .map(|fault| {
            (fault.line.expect("a line"), fault.column.expect("a column"), fault.at.as_str())
        })
        .collect();
    assert_eq!(
        places,
        [
            (3, 1, "item"),
            (4, 2, "student"),
            (5, 3, "answer"),
            (6, 3, "answer"),
            (7, 1, "item"),
            (8, 2, ""),
            (9, 3, ""),
            (10, 3, "answer"),
            (11, 3, "answer"),
        ],
        "{faults}"
    );
    let told = faults.to_string();
    assert!(told.contains("the first stands in line 2"), "{told}");
    assert!(told.contains("did you mean `unreadable`?"), "{told}");
    assert!(told.contains("10:3: at answer: expected one of the item's choices"), "{told}");
}

#[test]
fn faults_of_the_first_line() {
    let exercise = exercise();
    let told =
        |document: &[u8]| Responses::from_csv(document, &exercise).expect_err("faults").to_string();
    assert!(told(b"").contains("expected a table"));
    let misspelt = told(b"item,studnet,answer\ni01,A,2+\n");
    assert!(misspelt.contains("did you mean `student`?"), "{misspelt}");
    assert!(misspelt.contains("a column `student`"), "{misspelt}");
    let twice = told(b"item,student,answer,answer\n");
    assert!(twice.contains("`answer` again"), "{twice}");
    let bytes = told(b"item,student,answer\ni01,\xff,2+\n");
    assert!(bytes.contains("2:2: expected UTF-8"), "{bytes}");
}

/// An appeal is answered by one mark: key, rule, thresholds with their sources, the experts.
#[test]
fn an_appeal_shows_what_the_mark_rests_on() {
    let mut document = twenty();
    document["items"][0]["experts"] = json!(["2+", "2+", "1+"]);
    let exercise = checked(&document, Protocols::shipped());
    let item = exercise.item("i01").expect("an item");
    let answer = Ask::Agglutination.answer("0", exercise.set().scale).expect("a grade");
    let mark = mark(&exercise, item, &answer).expect("a mark");
    let told = appeal("Learner 01", &mark);
    for said in [
        "Learner 01",
        "i01",
        "critical error",
        "a positive was called negative",
        "dog-routine 1.0.0",
        "doubtful_from rough",
        "reactive_from w",
        "source: ",
        "1+ by 1, 2+ by 2",
        "EXERCISE",
    ] {
        assert!(told.contains(said), "{said}: {told}");
    }
    assert!(told.lines().all(|line| line.chars().count() <= 80), "{told}");
    // The source of the threshold is the protocol's own.
    let threshold = &mark.thresholds[1];
    assert_eq!((threshold.key, threshold.value.as_str()), ("reactive_from", "w"));
    assert!(threshold.source == "choice" || threshold.source.len() > 40, "{}", threshold.source);
}

#[test]
fn the_result_is_a_document_and_a_table() {
    let exercise = exercise();
    let all = Responses::new(right_but(&exercise, "A", &[("i03", None)]));
    let marked = mark_all(&exercise, &all, &Options::default()).expect("marks");
    let document: Value = serde_json::from_str(&marked.to_json()).expect("JSON");
    assert_eq!(document["format"], "crossread.marks/1");
    assert_eq!(document["watermark"], "EXERCISE");
    assert_eq!(document["set_sha256"], exercise.digest().to_string());
    assert_eq!(document["students"][0]["tally"]["classes"]["exact"], 19);
    let table = csv(&marked);
    assert_eq!(table.lines().count(), 21);
    assert!(table.contains("i03,A,,,unanswered,0.00,"), "{table}");
}
