//! What the fuzzer found worth keeping, tried again: bytes that take every way it knows of.

use std::fs;

use rstest::rstest;

use crate::engine::project;

#[expect(unreachable_pub, reason = "the fuzz targets call it from outside")]
#[path = "../fuzz/targets.rs"]
mod targets;

#[rstest]
#[case("check", targets::check)]
#[case("interpret", targets::interpreted)]
#[case("import", targets::import)]
#[case("responses", targets::responses)]
#[case("messages", targets::messages)]
fn the_corpus_that_is_kept_still_holds(#[case] target: &str, #[case] holds: fn(&[u8])) {
    let folder = project("tests/fuzz/corpus").join(target);
    let mut tried = 0;
    for entry in fs::read_dir(folder).unwrap() {
        holds(&fs::read(entry.unwrap().path()).unwrap());
        tried += 1;
    }
    assert!(tried > 0, "no bytes are kept");
}
