/// Words longer than this are not compared: a hint is for a slip of the finger.
const LONGEST: usize = 40;

/// The known word nearest to what was written, if one is near enough to be meant.
pub(crate) fn nearest(written: &str, known: &[&'static str]) -> Option<&'static str> {
    if written.len() > LONGEST {
        return None;
    }
    let wanted = written.trim().to_lowercase().replace([' ', '-'], "_");
    let (distance, word) = known
        .iter()
        .map(|word| {
            let spelled = word.to_lowercase().replace([' ', '-'], "_");
            (strsim::osa_distance(&wanted, &spelled), *word)
        })
        .min()?;
    let near_enough = wanted.chars().count().max(word.len()).saturating_div(3).max(1);
    (distance <= near_enough).then_some(word)
}

#[cfg(test)]
mod tests {
    use super::nearest;

    const PHASES: &[&str] = &["room", "warm_37c", "antiglobulin", "cold_4c"];

    #[test]
    fn a_slip_is_recognized() {
        assert_eq!(nearest("warm-37C", PHASES), Some("warm_37c"));
        assert_eq!(nearest("antiglobin", PHASES), Some("antiglobulin"));
        assert_eq!(nearest("rom", PHASES), Some("room"));
    }

    #[test]
    fn something_else_is_not() {
        assert_eq!(nearest("Thursday", PHASES), None);
        assert_eq!(nearest(&"room".repeat(100_000), PHASES), None);
    }
}
