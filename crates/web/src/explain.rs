//! What a finding or a word means, and what each grade looks like.

use crossread_core::findings::{CATALOGUE, find};
use crossread_core::glossary;
use crossread_core::words::{Agglutination, Grade};
use maud::html;

use crate::address;
use crate::answer::{Answer, Problem};
use crate::drawn;

/// A finding or a word.
pub(crate) fn word(word: &str) -> Result<Answer, Problem> {
    let (finding, term) = (find(word), glossary::find(word));
    if finding.is_none() && term.is_none() {
        return Err(Problem::NoPage);
    }
    Answer::page(
        word.to_owned(),
        html! {
            h1 { (word) }
            @if let Some(meta) = finding {
                p.big { (meta.title) }
                p { "Effect: " (meta.effects.iter().map(|effect| effect.word()).collect::<Vec<_>>().join(", ")) "." }
                p { (meta.text) }
                p { strong { "Next: " } (meta.next_step) }
                h2 { "Sources" }
                ul { @for source in meta.sources { li { (source) } } }
            }
            @if let Some(term) = term {
                p { (term.meaning) }
                p { "Source: " (term.source) "." }
            }
            h2 { "Every finding" }
            ul.plain { @for meta in CATALOGUE {
                li { a href=(address::of(["explain", meta.slug])) { (meta.slug) } " - " (meta.title) }
            } }
        },
    )
}

/// Every grade with what is seen.
pub(crate) fn grades() -> Result<Answer, Problem> {
    Answer::page(
        "Grades",
        html! {
            h1 { "Grades" }
            p { "Look at the fluid for hemolysis first, before the button moves. Then tilt slowly, do not \
                shake: a weak reaction falls apart." }
            div.wide { table {
                thead { tr { th scope="col" { "Grade" } th scope="col" { "Keys" } th scope="col" { "What is seen" } (drawn::heads()) } }
                tbody {
                    @for grade in Grade::ALL {
                        tr {
                            th scope="row" { (grade) }
                            td { @for key in keys(*grade) { kbd { (key) } " " } }
                            td { (seen(*grade)) }
                            (drawn::all(*grade))
                        }
                    }
                    tr {
                        th scope="row" { (Agglutination::UNREADABLE) }
                        td { kbd { "x" } }
                        td colspan="5" { "Somebody looked, and no grade can be given. Never invent one: repeat the mixture." }
                    }
                }
            } }
            p { "Stacks of cells (rouleaux) look like clumps to the eye: look under the microscope, enter the \
                pattern with " kbd { "p" } ", and read again after saline replacement." }
        },
    )
}

/// The keys that enter a grade.
fn keys(grade: Grade) -> &'static [&'static str] {
    match grade {
        Grade::G0 => &["0"],
        Grade::Rough => &["m", "m"],
        Grade::Micro => &["m"],
        Grade::W => &["w"],
        Grade::G1w => &["1", "w"],
        Grade::G1 => &["1"],
        Grade::G1s => &["1", "s"],
        Grade::G2w => &["2", "w"],
        Grade::G2 => &["2"],
        Grade::G2s => &["2", "s"],
        Grade::G3 => &["3"],
        Grade::G3s => &["3", "s"],
        Grade::G4 => &["4"],
    }
}

/// What is seen in a tube at a grade: the descriptions of the vocabulary, for somebody who looks.
pub(crate) fn seen(grade: Grade) -> &'static str {
    match grade {
        Grade::G0 => "The button comes off as an even cloud; no clump.",
        Grade::Rough => "No clump by eye; a rare clump of cells under the microscope.",
        Grade::Micro => "No clump by eye; a few clumps in most fields under the microscope.",
        Grade::W => "Tiny clumps that can just be seen, in a cloudy red background.",
        Grade::G1w => "Very small clumps in a cloudy red background.",
        Grade::G1 => "Small clumps and free cells in a cloudy red background.",
        Grade::G1s => "Medium and small clumps with free cells between.",
        Grade::G2w => "Medium and small clumps, less cloudy.",
        Grade::G2 => "Medium clumps and some large ones in a clear background.",
        Grade::G2s => "Medium clumps and hardly a free cell.",
        Grade::G3 => "Several large clumps in a clear background.",
        Grade::G3s => "A few very large clumps in a clear background.",
        Grade::G4 => "One solid clump, no free cell.",
    }
}

#[cfg(test)]
mod tests {
    use super::{CATALOGUE, Grade, glossary, keys, word};

    #[test]
    fn every_finding_and_word_has_a_page() {
        for meta in CATALOGUE {
            assert!(word(meta.slug).is_ok());
        }
        for term in glossary::TERMS {
            assert!(word(term.word).is_ok(), "{}", term.word);
        }
        assert!(word("no-such-thing").is_err());
    }

    #[test]
    fn every_grade_has_keys_of_its_own() {
        let all: std::collections::BTreeSet<_> =
            Grade::ALL.iter().map(|grade| keys(*grade)).collect();
        assert_eq!(all.len(), Grade::ALL.len());
    }
}
