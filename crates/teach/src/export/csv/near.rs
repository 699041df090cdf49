//! What may have been meant.

use crate::export::shown::shown;

/// Words longer than this are not compared: a hint is for a slip of the finger.
const LONGEST: usize = 40;

/// `did you mean …`, if one of the known words is near enough to be meant.
pub(super) fn meant<'a>(written: &str, known: impl Iterator<Item = &'a str>) -> Option<String> {
    if written.chars().count() > LONGEST {
        return None;
    }
    let wanted = written.to_lowercase();
    let (distance, word) =
        known.map(|word| (strsim::osa_distance(&wanted, &word.to_lowercase()), word)).min()?;
    let longer = wanted.chars().count().max(word.chars().count());
    (distance <= longer.saturating_div(3).max(1)).then(|| format!("did you mean {}?", shown(word)))
}

#[cfg(test)]
mod tests {
    use super::meant;

    #[test]
    fn a_slip_is_recognized_and_something_else_is_not() {
        let known = || ["0", "1+", "2+", "mixed field"].into_iter();
        assert_eq!(meant("mixd field", known()).as_deref(), Some("did you mean `mixed field`?"));
        assert_eq!(meant("1", known()).as_deref(), Some("did you mean `0`?"));
        assert_eq!(meant("Thursday", known()), None);
        assert_eq!(meant(&"mixed field".repeat(9), known()), None);
    }
}
