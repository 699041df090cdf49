//! Scores, and the feedback that is written for a choice.

use crate::question::Choice;

/// What the feedback of a critical error begins with.
pub(super) const CRITICAL: &str = "Critical error";

/// Hundredths as a decimal without needless zeros: 100 is `1`, 50 is `0.5`.
pub(super) fn decimal(hundredths: u32) -> String {
    let full = two_places(hundredths);
    full.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Hundredths with both places: 50 is `0.50`.
pub(super) fn two_places(hundredths: u32) -> String {
    format!("{}.{:02}", hundredths / 100, hundredths % 100)
}

/// What is told after the choice; empty if nothing is.
pub(super) fn told(choice: &Choice) -> String {
    match (choice.is_critical, choice.feedback.is_empty()) {
        (false, _) => choice.feedback.clone(),
        (true, true) => format!("{CRITICAL}."),
        (true, false) => format!("{CRITICAL}: {}", choice.feedback),
    }
}

#[cfg(test)]
mod tests {
    use super::{decimal, two_places};

    #[test]
    fn decimals_are_exact() {
        for (hundredths, short, long) in [
            (0, "0", "0.00"),
            (5, "0.05", "0.05"),
            (50, "0.5", "0.50"),
            (100, "1", "1.00"),
            (1000, "10", "10.00"),
            (1010, "10.1", "10.10"),
            (u32::MAX, "42949672.95", "42949672.95"),
        ] {
            assert_eq!(decimal(hundredths), short);
            assert_eq!(two_places(hundredths), long);
        }
    }
}
