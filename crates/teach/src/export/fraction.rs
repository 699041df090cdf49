//! The parts of a mark that Moodle knows.

/// Parts of the full mark that Moodle can give for an answer, and how its files write them, in
/// percent.
///
/// # Source
/// Moodle, `question/engine/bank.php`, list of fractions (read): p/q for q up to 6, tenths, 1/q for
/// q up to 10, and 1/20. On import an answer with any other part is refused, with the usual
/// settings.
const KNOWN: [(u64, u64, &str); 21] = [
    (0, 1, "0"),
    (1, 20, "5"),
    (1, 10, "10"),
    (1, 9, "11.11111"),
    (1, 8, "12.5"),
    (1, 7, "14.28571"),
    (1, 6, "16.66667"),
    (1, 5, "20"),
    (1, 4, "25"),
    (3, 10, "30"),
    (1, 3, "33.33333"),
    (2, 5, "40"),
    (1, 2, "50"),
    (3, 5, "60"),
    (2, 3, "66.66667"),
    (7, 10, "70"),
    (3, 4, "75"),
    (4, 5, "80"),
    (5, 6, "83.33333"),
    (9, 10, "90"),
    (1, 1, "100"),
];

/// `score` of `full` in percent as Moodle writes it, if it is a part that Moodle knows.
pub(super) fn percent(score: u32, full: u32) -> Option<&'static str> {
    let [score, full] = [score, full].map(u64::from);
    let same =
        |&&(part, whole, _): &&(u64, u64, &str)| score.checked_mul(whole) == full.checked_mul(part);
    KNOWN.iter().find(same).map(|&(_, _, written)| written)
}

#[cfg(test)]
mod tests {
    use super::{KNOWN, percent};

    #[test]
    fn a_part_that_moodle_knows_is_written_as_moodle_writes_it() {
        for (score, full, written) in [
            (0, 100, "0"),
            (50, 100, "50"),
            (100, 100, "100"),
            (100, 300, "33.33333"),
            (5, 40, "12.5"),
        ] {
            assert_eq!(percent(score, full), Some(written));
        }
    }

    #[test]
    fn no_other_part_passes() {
        let known: Vec<u32> = (0..=100).filter(|&score| percent(score, 100).is_some()).collect();
        assert_eq!(known, [0, 5, 10, 20, 25, 30, 40, 50, 60, 70, 75, 80, 90, 100]);
    }

    #[test]
    fn the_list_is_the_one_that_the_source_describes() {
        let mut described: Vec<(u64, u64)> = (1..=6)
            .flat_map(|q| (0..=q).map(move |p| (p, q)))
            .chain((0..=10).map(|p| (p, 10)))
            .chain((1..=10).map(|q| (1, q)))
            .chain([(1, 20)])
            .collect();
        // Of 60 is a whole number for every part but sevenths, eighths and ninths; 2520 for all.
        described.sort_by_key(|(p, q)| p * 2520 / q);
        described.dedup_by_key(|(p, q)| *p * 2520 / *q);
        let listed: Vec<u64> = KNOWN.iter().map(|(p, q, _)| p * 2520 / q).collect();
        assert_eq!(listed, described.iter().map(|(p, q)| p * 2520 / q).collect::<Vec<_>>());
    }

    #[test]
    fn each_is_written_to_five_places() {
        for (part, whole, written) in KNOWN {
            let (units, places) = written.split_once('.').unwrap_or((written, ""));
            let value: u64 = format!("{units}{places:0<5}").parse().unwrap();
            assert!(value.abs_diff(part * 10_000_000 / whole) <= 1, "{written}");
        }
    }
}
