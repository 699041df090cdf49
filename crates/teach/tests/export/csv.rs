//! CSV as a spreadsheet reads it, and responses that come back.

use crossread_teach::export::{
    Response, ResponseFaultCode as Code, items_csv, keys_csv, read_responses, responses_csv,
};
use csv::Reader;
use rstest::rstest;

use super::sample::{SET, TITLE, all};

fn rows(file: &[u8]) -> Vec<Vec<String>> {
    let mut reader = Reader::from_reader(file);
    reader.records().map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect()
}

#[test]
fn items_tell_everything_but_the_answer() {
    let file = items_csv(TITLE, SET, &all()).unwrap();
    let mut expected = Vec::new();
    for question in all() {
        for choice in question.choices {
            let joined =
                |texts: Vec<&String>| texts.into_iter().cloned().collect::<Vec<_>>().join("\n");
            expected.push(vec![
                SET.to_owned(),
                TITLE.to_owned(),
                question.id.clone(),
                question.prompt.clone(),
                joined(question.pictures.iter().map(|one| &one.name).collect()),
                joined(question.pictures.iter().map(|one| &one.alt).collect()),
                choice.id,
                choice.text,
            ]);
        }
    }
    assert_eq!(rows(&file), expected);
    let text = String::from_utf8(file).unwrap();
    assert!(!text.contains("ritical") && !text.contains("Right."));
}

#[test]
fn keys_tell_the_answer() {
    let text = String::from_utf8(keys_csv(TITLE, SET, &all()).unwrap()).unwrap();
    assert_eq!(
        text,
        "set,question,choice,key,critical,score,feedback\r\n\
         reading-1,q1,no,yes,no,1.00,Right.\r\n\
         reading-1,q1,yes,no,yes,0.00,An incompatible unit would be given.\r\n\
         reading-1,q1,repeat,no,no,0.50,\r\n\
         reading-1,q_2+,0,no,yes,0.00,\r\n\
         reading-1,q_2+,3+,no,no,0.25,Nearly: count the clumps.\r\n\
         reading-1,q_2+,4+,yes,no,1.00,\r\n\
         reading-1,columns,left,yes,no,1.00,\r\n\
         reading-1,columns,right,no,yes,0.00,Cells at the bottom did not react.\r\n"
    );
}

fn response(reader: &str, question: &str, choice: Option<&str>) -> Response {
    Response {
        reader: reader.to_owned(),
        question: question.to_owned(),
        choice: choice.map(str::to_owned),
    }
}

/// Every choice of every question, and none, by readers with names that need care.
#[test]
fn responses_come_back_as_they_were() {
    let mut responses = Vec::new();
    for (number, reader) in ["MO", "Vane, \"KT\"", "=1+1", "赤血球", "قطة"].into_iter().enumerate()
    {
        for question in all() {
            let choice = question.choices.get(number).map(|choice| choice.id.as_str());
            responses.push(response(reader, &question.id, choice));
        }
    }
    let file = responses_csv(TITLE, SET, &all(), &responses).unwrap();
    assert_eq!(read_responses(&file, SET, &all()), Ok(responses));
}

#[rstest]
#[case::another_order("choice,question,set,reader\nno,q1,reading-1,MO\n")]
#[case::of_a_spreadsheet("\u{feff}set,reader,question,choice\r\nreading-1,MO,q1,no\r\n,,,\r\n\r\n")]
#[case::all_quoted(
    "\"set\",\"reader\",\"question\",\"choice\"\n\"reading-1\",\"MO\",\"q1\",\"no\""
)]
#[case::with_blanks(" set , reader, question ,choice\n reading-1, MO ,q1 , no\n")]
fn what_spreadsheets_make_of_it_is_taken(#[case] file: &str) {
    let expected = vec![response("MO", "q1", Some("no"))];
    assert_eq!(read_responses(file.as_bytes(), SET, &all()), Ok(expected));
}

#[rstest]
#[case::nothing("", &[
    "1:1: missing-column: expected a column `set`, found nothing (the first line names the columns: set,reader,question,choice)",
    "1:1: missing-column: expected a column `reader`, found nothing (the first line names the columns: set,reader,question,choice)",
    "1:1: missing-column: expected a column `question`, found nothing (the first line names the columns: set,reader,question,choice)",
    "1:1: missing-column: expected a column `choice`, found nothing (the first line names the columns: set,reader,question,choice)",
])]
#[case::another_separator("set;reader;question;choice\nreading-1;MO;q1;no\n", &[
    "1:1: missing-column: expected a column `set`, found `set;reader;question;choice` (separate the cells by commas: save the file as comma-separated CSV)",
    "1:1: missing-column: expected a column `reader`, found `set;reader;question;choice` (separate the cells by commas: save the file as comma-separated CSV)",
    "1:1: missing-column: expected a column `question`, found `set;reader;question;choice` (separate the cells by commas: save the file as comma-separated CSV)",
    "1:1: missing-column: expected a column `choice`, found `set;reader;question;choice` (separate the cells by commas: save the file as comma-separated CSV)",
    "1:1: unknown-column: expected a column of the name `set`, `reader`, `question`, `choice`, found `set;reader;question;choice`",
])]
#[case::columns("set,raeder,question,set,choice\n", &[
    "1:1: missing-column: expected a column `reader`, found `set,raeder,question,set,choice` (the first line names the columns: set,reader,question,choice)",
    "1:5: unknown-column: expected a column of the name `set`, `reader`, `question`, `choice`, found `raeder` (did you mean `reader`?)",
    "1:21: duplicate-column: expected each column once, found `set`",
])]
#[case::every_row(
    "set,reader,question,choice\n\
     reading-2,,q3,no\n\
     reading-1,MO,q1,No\n\
     reading-1,MO,q1,no\n\
     reading-1,KT,q1\n\
     reading-1,MO,q1,yes\n\
     reading-1,MO,,\n\
     reading-1,\"M\u{7}O\",q1,no\n\
     reading-1,K\"T,q1,no\n", &[
    "2:1: other-set: expected the set `reading-1`, found `reading-2` (these may be the answers to another exercise)",
    "2:11: empty: expected the name of a reader, found nothing",
    "2:12: unknown-question: expected a question of the set: `q1`, `q_2+`, `columns`, found `q3` (did you mean `q1`?)",
    "3:17: unknown-choice: expected a choice of `q1`: `no`, `yes`, `repeat`, found `No` (did you mean `no`?)",
    "5:1: cell-count: expected 4 cells, as in the header, found 3 (put a cell that holds a comma in `\"`)",
    "6:14: duplicate-response: expected one answer of `MO` to each question, found `q1` (line 4 has the first; take one of the two out)",
    "7:14: empty: expected a question of the set: `q1`, `q_2+`, `columns`, found nothing",
    "8:11: bad-text: expected the name of a reader, found `M\\u{7}O` (expected no control character, found U+0007; take it out)",
    "9:12: stray-quote: expected a cell that begins with `\"`, found `\"` within it (put the whole cell in `\"` and double every `\"` within it)",
])]
#[case::quotes("set,reader,question,choice\nreading-1,\"MO\"x,q1,no\nreading-1,\"KT,q1,no\n", &[
    "2:15: text-after-quote: expected a comma or the end of the line, found `x` (put the whole cell in `\"` and double every `\"` within it)",
    "3:1: cell-count: expected 4 cells, as in the header, found 2 (put a cell that holds a comma in `\"`)",
    "3:11: unclosed-quote: expected a closing `\"`, found the end of the file (put the whole cell in `\"` and double every `\"` within it)",
])]
fn every_fault_is_told_with_its_place(#[case] file: &str, #[case] faults: &[&str]) {
    let found = read_responses(file.as_bytes(), SET, &all()).unwrap_err();
    let found: Vec<_> = found.as_slice().iter().map(ToString::to_string).collect();
    assert_eq!(found, faults);
}

#[test]
fn what_is_not_utf8_has_its_place() {
    let found = read_responses(b"set,reader,question,choice\n\xc2\xb5,M\xf6", SET, &all());
    let found = found.unwrap_err();
    assert_eq!(
        found.to_string(),
        "2:4: invalid-utf8: expected UTF-8, found the byte 0xF6 (save the file as CSV in UTF-8)"
    );
}

#[test]
fn very_many_faults_are_counted() {
    let file = format!("set,reader,question,choice\n{}", "reading-1,MO,q9,no\n".repeat(10_005));
    let found = read_responses(file.as_bytes(), SET, &all()).unwrap_err();
    assert_eq!(found.as_slice().len(), 10_001);
    let last = found.as_slice().last().unwrap();
    assert_eq!(
        (last.code, last.line, &*last.found),
        (Code::MoreFaults, 10_002, "5 more from here")
    );
}

#[test]
fn what_could_not_be_read_back_is_not_written() {
    let responses = [
        response("MO", "q1", Some("no")),
        response(" ", "q1", None),
        response("MO", "q3", None),
        response("KT", "q1", Some("maybe")),
        response("MO ", "q1", Some("yes")),
    ];
    let refused = responses_csv(TITLE, SET, &all(), &responses).unwrap_err();
    assert_eq!(
        refused.to_string(),
        "response 2: reader: expected a text, found nothing\n\
         response 3: the set has no question `q3`\n\
         response 4: question `q1` has no choice `maybe`\n\
         response 5: `MO ` answers `q1` a second time"
    );
}
