//! What is not exported, and what is said about it.

use crossread_teach::export::{CannotExport, gift, items_csv, keys_csv, moodle_xml, qti21, qti30};
use crossread_teach::question::Question;
use rstest::rstest;

use super::sample::{SET, TITLE, all, in_words, with_pictures};

type Change = fn(&mut Vec<Question>);

fn said(result: Result<Vec<u8>, CannotExport>) -> String {
    result.unwrap_err().to_string()
}

#[rstest]
#[case::empty_set(|set: &mut Vec<Question>| set.clear(), "the set has no question")]
#[case::id(|set: &mut Vec<Question>| set[1].id = " ".into(), "question 2 (``), id: expected a text, found nothing")]
#[case::long_id(
    |set: &mut Vec<Question>| set[0].id = "q".repeat(101),
    "question 1 (`qqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqq…`), id: expected at most 100 characters, found 101"
)]
#[case::same_id(
    |set: &mut Vec<Question>| set[1].id = "q1 ".into(),
    "question 2 (`q1`): question 1 has the same id; give each its own"
)]
#[case::prompt(
    |set: &mut Vec<Question>| set[0].prompt = "a\u{0}b".into(),
    "question 1 (`q1`), prompt: expected no control character, found U+0000; take it out"
)]
#[case::text_of_a_choice(
    |set: &mut Vec<Question>| set[0].choices[2].text = String::new(),
    "question 1 (`q1`), text of choice 3: expected a text, found nothing"
)]
#[case::id_of_a_choice(
    |set: &mut Vec<Question>| set[0].choices[2].id = "a\nb".into(),
    "question 1 (`q1`), id of choice 3: expected no control character, found U+000A; take it out"
)]
#[case::feedback(
    |set: &mut Vec<Question>| set[0].choices[1].feedback = "\u{1b}[2J".into(),
    "question 1 (`q1`), feedback of choice 2: expected no control character, found U+001B; take it out"
)]
#[case::one_choice(
    |set: &mut Vec<Question>| set[1].choices.drain(..2).for_each(drop),
    "question 2 (`q_2+`): expected at least 2 choices, found 1"
)]
#[case::same_choice_id(
    |set: &mut Vec<Question>| set[0].choices[2].id = "no".into(),
    "question 1 (`q1`): choices 1 and 3 have the same id; give each its own"
)]
#[case::same_text(
    |set: &mut Vec<Question>| set[0].choices[2].text = "Yes ".into(),
    "question 1 (`q1`): choices 2 and 3 have the same text; say how they differ"
)]
#[case::no_key(
    |set: &mut Vec<Question>| set[0].choices[0].is_key = false,
    "question 1 (`q1`): expected 1 choice that is the key, found 0"
)]
#[case::two_keys(
    |set: &mut Vec<Question>| set[0].choices[2].is_key = true,
    "question 1 (`q1`): expected 1 choice that is the key, found 2"
)]
#[case::key_earns_nothing(
    |set: &mut Vec<Question>| set[0].choices[0].score_hundredths = 0,
    "question 1 (`q1`): expected a key that earns something, found a score of 0"
)]
#[case::key_is_critical(
    |set: &mut Vec<Question>| set[0].choices[0].is_critical = true,
    "question 1 (`q1`): expected a key that is no critical error, found one that is"
)]
#[case::outscored(
    |set: &mut Vec<Question>| set[0].choices[2].score_hundredths = 105,
    "question 1 (`q1`), choice 3: expected a score below the key's 1, found 1.05"
)]
#[case::as_good_as_the_key(
    |set: &mut Vec<Question>| set[0].choices[2].score_hundredths = 100,
    "question 1 (`q1`), choice 3: expected a score below the key's 1, found 1"
)]
#[case::critical_earns(
    |set: &mut Vec<Question>| set[0].choices[1].score_hundredths = 1,
    "question 1 (`q1`), choice 2: expected a score of 0 for a critical error, found 0.01"
)]
#[case::same_picture(
    |set: &mut Vec<Question>| set[2].pictures[1].name = "left".into(),
    "question 3 (`columns`): pictures 1 and 2 have the same name; give each its own"
)]
#[case::no_description(
    |set: &mut Vec<Question>| set[2].pictures[1].alt = String::new(),
    "question 3 (`columns`), description of picture 2: expected a text, found nothing"
)]
#[case::no_drawing(
    |set: &mut Vec<Question>| set[2].pictures[0].svg = "<html/>".into(),
    "question 3 (`columns`), picture 1: expected an SVG, found `html`"
)]
fn no_format_takes_it(#[case] change: Change, #[case] message: &str) {
    let mut set = all();
    change(&mut set);
    for write in [qti21, qti30, moodle_xml, gift, items_csv, keys_csv] {
        assert_eq!(said(write(TITLE, SET, &set)), message);
    }
}

#[test]
fn everything_is_said_at_once() {
    let mut set = all();
    set[0].choices[0].is_key = false;
    set[1].prompt.clear();
    set[1].choices[2].text = "3+".into();
    let said = said(qti30("", "a\tb", &set));
    assert_eq!(
        said,
        "title of the set: expected a text, found nothing\n\
         id of the set: expected no control character, found U+0009; take it out\n\
         question 1 (`q1`): expected 1 choice that is the key, found 0\n\
         question 2 (`q_2+`), prompt: expected a text, found nothing\n\
         question 2 (`q_2+`): choices 2 and 3 have the same text; say how they differ"
    );
}

#[test]
fn f62_gift_refuses_what_it_cannot_say() {
    let mut set = all();
    set[0].choices[0].score_hundredths = 200;
    set[1].choices[1].feedback = "as &&058; would".into();
    set[1].choices[1].score_hundredths = 35;
    assert_eq!(
        said(gift(TITLE, SET, &set)),
        "question 1 (`q1`) is worth 2, and in GIFT every question is worth 1; export Moodle XML or \
         QTI\n\
         question 2 (`q_2+`), feedback of choice 2: GIFT cannot hold `&&058;`, Moodle would read \
         another character; export Moodle XML or QTI\n\
         question 3 (`columns`) has 2 picture(s), and GIFT holds text only; export Moodle XML or \
         QTI, or leave the question out\n\
         question 2 (`q_2+`), choice 2: 0.35 of 1 is no part that Moodle knows; it knows tenths, \
         p/q up to 6, 1/7, 1/8, 1/9 and 1/20 of the full mark"
    );
}

#[test]
fn moodle_refuses_a_part_that_it_does_not_know() {
    let mut set = in_words();
    set[0].choices[0].score_hundredths = 300;
    set[0].choices[2].score_hundredths = 100; // A third.
    assert!(moodle_xml(TITLE, SET, &set).is_ok());
    set[0].choices[2].score_hundredths = 99;
    assert_eq!(
        said(moodle_xml(TITLE, SET, &set)),
        "question 1 (`q1`), choice 3: 0.99 of 3 is no part that Moodle knows; it knows tenths, p/q \
         up to 6, 1/7, 1/8, 1/9 and 1/20 of the full mark"
    );
}

#[cfg(not(feature = "png"))]
#[test]
fn a_picture_is_never_left_out_where_png_cannot_be_made() {
    for write in [qti21, moodle_xml] {
        assert_eq!(
            said(write(TITLE, SET, &[with_pictures()])),
            "question 1 (`columns`) has a picture, and this build cannot make PNG; build with the \
             feature `png`, or export QTI 3.0, which holds SVG"
        );
        assert!(write(TITLE, SET, &in_words()).is_ok());
    }
}

#[cfg(feature = "png")]
#[test]
fn letters_that_need_a_font_are_not_left_out_of_a_png() {
    let mut question = with_pictures();
    question.pictures[1].svg = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 9 9\">\
                                <text>drawing</text></svg>"
        .to_owned();
    for write in [qti21, moodle_xml] {
        assert_eq!(
            said(write(TITLE, SET, std::slice::from_ref(&question))),
            "question 1 (`columns`), picture 2: expected letters drawn as paths, found a `text`: no \
             font goes into PNG"
        );
    }
    assert!(qti30(TITLE, SET, &[question]).is_ok());
}
