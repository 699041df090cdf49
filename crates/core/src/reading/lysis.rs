use super::class::Class;
use super::reason::{Reason, Reasons};
use crate::protocol::Rules;

/// What the hemolysis of a mixture stands for beside the hemolysis that was there before.
pub(super) fn lysis(
    hemolysis: Option<u32>,
    baseline: u32,
    rules: &Rules,
    reasons: &mut Reasons,
) -> Class {
    match hemolysis {
        Some(seen) if rules.is_lysis(hemolysis) && seen > baseline => Class::Reactive,
        Some(_) if rules.is_lysis(hemolysis) => {
            reasons.add(Reason::HemolysisMasked);
            Class::Doubtful
        }
        Some(_) | None => Class::Negative,
    }
}
