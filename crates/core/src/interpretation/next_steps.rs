use crate::findings::{Finding, Pair};
use crate::words::{Condition, Effect, Test, Verdict};

/// What to do, the most pressing first.
///
/// A unit that may be released needs what its caveats ask for; one that may not also needs what the
/// reasons behind its findings ask for. What is known of the illness comes last: it shapes next
/// steps, never a verdict.
pub(super) fn next_steps(
    pair: &Pair<'_>,
    verdict: Verdict,
    findings: &[Finding],
) -> Vec<&'static str> {
    let least = if verdict.is_releasable() { Effect::Caveat } else { Effect::Note };
    let mut steps = Vec::with_capacity(findings.len());
    let mut add = |step: &'static str| {
        if !steps.contains(&step) {
            steps.push(step);
        }
    };
    for finding in findings {
        if finding.effect >= least || finding.slug == "serology-only" {
            add(finding.next_step);
        }
    }
    let control = pair.summed(Test::RecipientAuto).summary.is_reactive_or_doubtful();
    let major = pair.summed(Test::Major).summary.is_reactive_or_doubtful();
    for condition in &pair.recipient().conditions {
        match condition {
            Condition::ImmuneHemolysis if control => add(
                "Tell the veterinarian that with immune hemolysis every donor may react; rank the \
                 donors by reaction and leave the choice, the rate and the watch to the \
                 veterinarian.",
            ),
            Condition::HighGlobulin | Condition::PlasmaExpander if control || major => add(
                "Think of rouleaux: replace the plasma by saline in the reacting tubes, read them \
                 again, and write it beside the first readings.",
            ),
            Condition::DrugSuspected if control => add(
                "Tell the veterinarian which drugs the animal gets: some make its own cells react.",
            ),
            Condition::ImmuneHemolysis
            | Condition::HighGlobulin
            | Condition::PlasmaExpander
            | Condition::DrugSuspected => {}
        }
    }
    steps
}
