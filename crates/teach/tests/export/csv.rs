//! CSV as a spreadsheet reads it.

use crossread_teach::export::{items_csv, keys_csv};
use csv::Reader;

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
