//! What is made from the code stands in the tree as the code would make it now.

use crossread_tests::{Generated, examples, files};

use crate::engine::project;

fn stale(files: Vec<Generated>) -> Vec<String> {
    let differs = |file: &Generated| {
        std::fs::read_to_string(project(&file.path)).ok().as_deref() != Some(&file.text)
    };
    files.into_iter().filter(differs).map(|file| file.path).collect()
}

#[test]
fn generated_files_are_fresh() {
    let stale = stale(files().unwrap());
    assert!(stale.is_empty(), "{stale:?} are stale; mend them with `cargo regenerate`");
}

#[test]
fn expected_outputs_of_the_examples_are_fresh() {
    let stale = stale(examples().unwrap());
    assert!(
        stale.is_empty(),
        "{stale:?} changed. If that is meant, write it under Verdict changes in CHANGELOG.md and \
         run `cargo regenerate examples`"
    );
}
