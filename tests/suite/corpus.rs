//! The corpus beside its committed verdicts: no verdict changes unseen.

use std::sync::LazyLock;

use crossread_core::findings::CATALOGUE;
use crossread_core::words::{Method, Product, Verdict};
use crossread_tests::corpus::{
    Corpus, PATH, Verdicts, WORKSHEETS, changes, differences, regenerated,
};

use crate::engine::text;

static CORPUS: LazyLock<Corpus> = LazyLock::new(Corpus::new);

/// What the worksheets come to now; worked out once for all tests.
static NOW: LazyLock<Verdicts> = LazyLock::new(|| CORPUS.verdicts());

/// Each finding is raised at least so often.
const OFTEN: u64 = 20;

#[test]
fn no_verdict_of_the_corpus_changes_unseen() {
    let committed = Verdicts::from_text(&text(PATH)).unwrap();
    let differences = differences(&committed, &NOW, &CORPUS);
    assert!(
        differences.is_empty(),
        "\n{}\n\nIf that is meant, write a line under *Verdict changes* in CHANGELOG.md that says \
         which verdicts changed and by which finding, and run `cargo regenerate corpus`.",
        differences.join("\n")
    );
    assert!(committed == *NOW, "the committed file differs in what is not told above");
}

#[test]
fn every_answer_is_written_on_one_line_as_serde_writes_it() {
    let mut line = Vec::new();
    for worksheet in 0..WORKSHEETS {
        let answer = CORPUS.answer(worksheet);
        line.clear();
        answer.write_line(&mut line).unwrap();
        assert!(line == serde_json::to_vec(&answer).unwrap(), "worksheet {worksheet}");
    }
}

#[test]
fn the_committed_file_is_small_and_as_it_would_be_written() {
    let committed = text(PATH);
    assert!(committed.len() < 300_000, "{} bytes", committed.len());
    let written = committed.lines().find_map(|line| line.strip_prefix("changes ")).unwrap();
    assert!(committed == Verdicts::from_text(&committed).unwrap().to_text(written));
}

#[test]
#[expect(clippy::print_stdout, reason = "says what the corpus covers")]
fn the_corpus_covers_every_method_product_verdict_protocol_and_finding() {
    for (what, count) in &NOW.counts {
        println!("{count:>7} {what}");
    }
    let all = |kind: &str| NOW.counts.keys().filter(|what| what.starts_with(kind)).count();
    assert_eq!(all("method "), Method::ALL.len());
    assert_eq!(all("product "), Product::ALL.len());
    assert_eq!(all("verdict "), Verdict::ALL.len());
    assert_eq!(all("protocol "), 24);
    assert_eq!(NOW.worksheets.len() as u64, WORKSHEETS);
    let raised = CATALOGUE.iter().map(|of| (of.slug, NOW.raised(of.slug)));
    let seldom: Vec<_> = raised.filter(|(_, times)| *times < OFTEN).collect();
    assert!(seldom.is_empty(), "raised less than {OFTEN} times: {seldom:?}");
}

/// The corpus with the verdict of the first donor of this worksheet another one.
fn with_another_verdict(worksheet: usize) -> (Verdicts, String, char) {
    let mut committed = NOW.clone();
    let now = committed.worksheets[worksheet].clone();
    let now = now.split_once(':').unwrap().0.to_owned();
    let digit = if now.starts_with('5') { '0' } else { '5' };
    committed.worksheets[worksheet].replace_range(0..1, &digit.to_string());
    "0123456789abcdef".clone_into(&mut committed.hashes[worksheet / 100]);
    (committed, now, digit)
}

#[test]
fn a_changed_verdict_is_told_with_the_findings_at_work() {
    for worksheet in [0, 777, 19_999] {
        let (committed, now, _) = with_another_verdict(worksheet);
        let told = differences(&committed, &NOW, &CORPUS).join("\n");
        let old = committed.worksheets[worksheet].split_once(':').unwrap().0;
        let start = format!("worksheet {worksheet}: verdicts {old}");
        assert!(told.contains(&format!("{start} -> {now}\n    D-1: ")), "{told}");
        let pair = &CORPUS.answer(worksheet as u64).pairs[0];
        let decides = |word: &str| told.contains(word);
        let greatest = pair.findings.first().unwrap();
        assert!(decides(greatest.slug) && decides(pair.verdict.word()), "{told}");
        assert!(told.contains("1 of 20000 worksheets have other answers"), "{told}");
        assert!(told.contains("1 of 200 blocks have another hash"), "{told}");
    }
    let mut committed = NOW.clone();
    *committed.counts.get_mut("finding serology-only note").unwrap() += 1;
    let told = differences(&committed, &NOW, &CORPUS);
    assert_eq!(told.len(), 1);
    assert!(told[0].starts_with("finding serology-only note: "), "{told:?}");
}

/// Other findings, times or order under the same verdict are told by the worksheet too.
#[test]
fn a_change_under_the_same_verdict_is_told_with_its_worksheet() {
    let mut committed = NOW.clone();
    let entry = committed.worksheets[777].clone();
    let (digits, _) = entry.split_once(':').unwrap();
    committed.worksheets[777] = format!("{digits}:zzzz");
    let told = differences(&committed, &NOW, &CORPUS).join("\n");
    assert!(told.contains(&format!("worksheet 777: verdicts {digits} as before")), "{told}");
    assert!(told.contains("serology-only"), "{told}");
    let changelog = "# Changelog\n\n### Verdict changes\n\n- x\n";
    assert!(regenerated(Some(&committed.to_text(&changes(changelog))), &NOW, changelog).is_err());
}

#[test]
fn verdicts_are_not_committed_before_the_changelog_says_so() {
    let before = "# Changelog\n\n## 1.1\n\n- x\n\n### Verdict changes\n\nNone.\n";
    let said = before.replace("None.", "None.\n\n- `major-reactive` from 1+ on.");
    let (committed, ..) = with_another_verdict(5);
    let text = committed.to_text(&changes(before));
    let refused = regenerated(Some(&text), &NOW, before).unwrap_err().to_string();
    assert!(refused.contains("Verdict changes"), "{refused}");
    // Another section does not count.
    assert!(regenerated(Some(&text), &NOW, &before.replace("- x", "- y")).is_err());
    let written = regenerated(Some(&text), &NOW, &said).unwrap();
    assert_eq!(written, NOW.to_text(&changes(&said)));
    // Without a change nothing stands in the way.
    assert!(regenerated(Some(&NOW.to_text(&changes(before))), &NOW, before).is_ok());
    // But a file that is gone, or an old line that is.
    assert!(regenerated(None, &NOW, before).is_err());
    assert!(regenerated(Some(""), &NOW, &said).is_err());
    let text = committed.to_text(&changes(&said));
    assert!(regenerated(Some(&text), &NOW, &said.replace("1+ on", "2+ on")).is_err());
    let more = said.replace("1+ on.", "1+ on.\n- another");
    assert!(regenerated(Some(&text), &NOW, &more).is_ok());
}
