//! The few words inside a picture, as lines: no font is needed, so they look the same everywhere.

use super::plane::Px;

/// Width with the gap behind it, in hundredths of a unit, and the line of a letter. The small
/// letters are 6 units high; y is 0 on the base line.
fn letter(letter: char) -> (i64, &'static str) {
    match letter {
        'a' => (700, "M4.6-6V0M4.6-3A2.3 3 0 1 0 0-3A2.3 3 0 1 0 4.6-3"),
        'c' => (580, "M4.2-5Q3.4-6 2.3-6A2.3 3 0 0 0 2.3 0Q3.4 0 4.2-1"),
        'd' => (700, "M4.6-9V0M4.6-3A2.3 3 0 1 0 0-3A2.3 3 0 1 0 4.6-3"),
        'e' => (640, "M.1-3.2H4.5Q4.4-6 2.3-6A2.3 3 0 0 0 2.3 0Q3.6 0 4.3-1"),
        'g' => (700, "M4.6-6V1Q4.6 3 2.3 3Q.9 3 .2 2.2M4.6-3A2.3 3 0 1 0 0-3A2.3 3 0 1 0 4.6-3"),
        'i' => (230, "M0-6V0M0-8.4V-8.3"),
        'l' => (230, "M0-9V0"),
        'm' => (970, "M0-6V0M0-3.4Q.4-6 2-6Q3.7-6 3.7-3.6V0M3.7-3.4Q4.1-6 5.7-6Q7.4-6 7.4-3.6V0"),
        'n' => (670, "M0-6V0M0-3.4Q.4-6 2.4-6Q4.4-6 4.4-3.6V0"),
        'o' => (690, "M2.3-6A2.3 3 0 1 0 2.3 0A2.3 3 0 1 0 2.3-6"),
        'r' => (470, "M0-6V0M0-3.4Q.6-6 3-6"),
        's' => {
            (600, "M3.7-5.1Q3.1-6 2-6Q.3-6 .3-4.5Q.3-3.4 2-3Q3.8-2.6 3.8-1.5Q3.8 0 2 0Q.7 0 0-1")
        }
        't' => (500, "M1.3-8.2V-1.6Q1.3 0 2.6 0H3.2M-.2-6H3.2"),
        'w' => (870, "M0-6L1.7 0L3.3-5L5 0L6.6-6"),
        'µ' => (720, "M0-6V3M0-2.4Q0 0 2.1 0Q4 0 4.5-2.4M4.5-6V-.8Q4.5 0 5.1 0"),
        '0' => (690, "M2.3-9A2.3 4.5 0 1 0 2.3 0A2.3 4.5 0 1 0 2.3-9"),
        '1' => (460, "M.2-7.4L2.2-9V0"),
        '2' => (690, "M.2-7Q.6-9 2.4-9Q4.4-9 4.4-6.8Q4.4-5.4 0 0H4.7"),
        '3' => (
            680,
            "M.3-8.2Q1.2-9 2.3-9Q4.2-9 4.2-7Q4.2-5 1.8-4.9Q4.5-4.8 4.5-2.4Q4.5 0 2.2 0Q.8 0 0-1",
        ),
        '4' => (700, "M3.6 0V-9L0-2.8H4.9"),
        _ => (360, ""),
    }
}

/// How wide a word is at a size (the height of its small letters), in hundredths of a pixel.
fn width(word: &str, size: i64) -> i64 {
    word.chars().map(|each| letter(each).0 * size / 600).sum()
}

/// The lines of a word, its letters being of the first size.
pub(super) fn lines(word: &str) -> String {
    let mut lines = String::new();
    let mut pen = 0;
    for each in word.chars() {
        let (advance, line) = letter(each);
        if !line.is_empty() {
            lines += &format!("<path d=\"{line}\" transform=\"translate({})\"/>", Px(pen));
        }
        pen += advance;
    }
    lines
}

/// A word whose base line begins at x, y. Lengths in hundredths of a pixel.
pub(super) fn from(word: &str, x: i64, y: i64, size: i64, color: &str) -> String {
    let lines = lines(word);
    format!(
        "<g fill=\"none\" stroke=\"{color}\" stroke-width=\"1\" stroke-linecap=\"round\" \
         stroke-linejoin=\"round\" transform=\"translate({} {})scale({}.{:03})\">{lines}</g>",
        Px(x),
        Px(y),
        size / 600,
        size % 600 * 1000 / 600,
    )
}

/// A word around x.
pub(super) fn around(word: &str, x: i64, y: i64, size: i64, color: &str) -> String {
    from(word, x - width(word, size) / 2, y, size, color)
}

/// A word that ends at x.
pub(super) fn up_to(word: &str, x: i64, y: i64, size: i64, color: &str) -> String {
    from(word, x - width(word, size), y, size, color)
}
