//! The small rule as plain tables, written from the manual and not taken from the library. Every
//! engine gets its text made of these.

/// The patterns of major, minor, recipient autocontrol and donor autocontrol, row 0 first, each
/// with the verdict for packed cells when nothing else is noticed than these four.
pub const ROWS: [(&str, &str); 16] = [
    ("----", "compatible"),
    ("+---", "incompatible"),
    ("-+--", "compatible_with_caveats"),
    ("--+-", "indeterminate"),
    ("---+", "compatible_with_caveats"),
    ("++--", "incompatible"),
    ("+-+-", "indeterminate"),
    ("-++-", "indeterminate"),
    ("+--+", "incompatible"),
    ("-+-+", "compatible_with_caveats"),
    ("--++", "indeterminate"),
    ("+++-", "indeterminate"),
    ("++-+", "incompatible"),
    ("+-++", "indeterminate"),
    ("-+++", "indeterminate"),
    ("++++", "indeterminate"),
];

/// The verdict of a major that reacts so much more than the recipient autocontrol, or lyses.
pub const OWN: &str = "incompatible";
/// So many half steps more.
pub const MARGIN: i64 = 4;
/// What a lysed major counts as: more than any grade, by more than the margin.
pub const LYSED: i64 = 16;

/// The grades with their main grade in half steps.
pub const HALF_STEPS: [(&str, i64); 13] = [
    ("0", 0),
    ("rough", 1),
    ("micro", 1),
    ("w", 1),
    ("1+w", 2),
    ("1+", 2),
    ("1+s", 2),
    ("2+w", 4),
    ("2+", 4),
    ("2+s", 4),
    ("3+", 6),
    ("3+s", 6),
    ("4+", 8),
];

/// The words of a summary.
pub const SUMMARIES: [&str; 5] = ["not_read", "void", "negative", "doubtful", "reactive"];

/// The fields of a question with the four summaries, in the order of the patterns.
pub const FOUR: [&str; 4] = ["major", "minor", "recipient_auto", "donor_auto"];

/// Row and verdict by the sum of what reacts: major 1, minor 2, recipient autocontrol 4, donor
/// autocontrol 8.
pub fn by_sum() -> [(usize, &'static str); 16] {
    std::array::from_fn(|sum| {
        let signs = [1, 2, 4, 8].map(|bit| if sum & bit > 0 { '+' } else { '-' });
        let row = ROWS.iter().position(|(pattern, _)| pattern.chars().eq(signs)).unwrap();
        (row, ROWS[row].1)
    })
}

/// The rows, bit n for row n, in which a test has this sign.
pub fn rows_with(test: usize, sign: u8) -> u16 {
    let has = |(pattern, _): &(&str, &str)| pattern.as_bytes()[test] == sign;
    (0..).zip(&ROWS).filter(|(_, row)| has(row)).map(|(number, _)| 1 << number).sum()
}

/// Asks one test after the other whether it is reactive, negative or neither, down to the rows.
/// `ask` makes of a test and its three ways on what the engine's language writes for it.
pub fn tree<T>(ask: &dyn Fn(&str, [T; 3]) -> T, leaf: &dyn Fn(u16) -> T) -> T {
    fn below<T>(
        test: usize,
        rows: u16,
        ask: &dyn Fn(&str, [T; 3]) -> T,
        leaf: &dyn Fn(u16) -> T,
    ) -> T {
        let Some(name) = FOUR.get(test) else { return leaf(rows) };
        let ways = [rows & rows_with(test, b'+'), rows & rows_with(test, b'-'), rows];
        ask(name, ways.map(|rows| below(test + 1, rows, ask, leaf)))
    }
    below(0, u16::MAX, ask, leaf)
}

/// A question's conclusion and rows as one expression each, in the syntax that CEL and the decision
/// engine share but for their signs for "and" and "or".
pub fn expressions(and: &str, or: &str) -> [String; 3] {
    let conclusion = |test: &str, auto: &str, saline: &str| {
        format!(
            r#"{test} == "reactive" ? ({test}_standing == "own" ? "reactive" : {test}_standing == "own_in_cells" ? "reactive_cells" : "unresolved") : {test} == "negative" ? (({auto} == "reactive" {or} {auto} == "doubtful") {and} (rule == "unresolved" {or} (rule == "caveat_if_saline_control_reactive" {and} {saline} == false)) ? "unresolved" : "nonreactive") : {test} == "doubtful" ? "unresolved" : {test}"#
        )
    };
    [
        conclusion("major", "recipient_auto", "recipient_saline_explains"),
        conclusion("minor", "donor_auto", "donor_saline_explains"),
        tree(
            &|test, [reactive, negative, neither]| {
                format!(
                    r#"({test} == "reactive" ? {reactive} : {test} == "negative" ? {negative} : {neither})"#
                )
            },
            &|rows| rows.to_string(),
        ),
    ]
}
