//! The front page names every kind of entry.

use crossread_journal::Kind;
use strum::VariantArray as _;

#[test]
fn every_kind_is_documented() {
    let page = include_str!("../../README.md");
    for kind in Kind::VARIANTS {
        assert!(page.contains(&format!("`{}`", kind.word())), "{}", kind.word());
    }
}
