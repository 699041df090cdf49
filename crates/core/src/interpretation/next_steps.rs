use crate::document::Pointer;
use crate::findings::{Finding, Pair};
use crate::words::{Condition, Effect, Test, Verdict};

/// What to do, the most pressing first.
///
/// A unit that may be released needs what its caveats ask for, and the standing words. A result
/// that must be finished, repeated or worked up also needs what the reasons behind it ask for. A
/// unit that must not be given needs no advice on how to read it better. What is known of the
/// illness comes last: it shapes next steps, never a verdict.
pub(super) fn next_steps(
    pair: &Pair<'_>,
    verdict: Verdict,
    findings: &[Finding],
) -> Vec<&'static str> {
    let asks = |finding: &Finding| {
        let of_readings = finding.rests_on.iter().any(|at| is_reading(*at));
        finding.effect > Effect::Note
            || match verdict {
                Verdict::Compatible | Verdict::CompatibleWithCaveats => {
                    finding.slug == "serology-only"
                }
                Verdict::Incomplete | Verdict::Indeterminate | Verdict::Invalid => of_readings,
                Verdict::Incompatible => false,
            }
    };
    let mut steps = Vec::with_capacity(findings.len());
    let mut add = |step: &'static str| {
        if !steps.contains(&step) {
            steps.push(step);
        }
    };
    for finding in findings.iter().filter(|finding| asks(finding)) {
        add(finding.next_step);
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

/// Whether something rests on what was seen, and not on what is missing.
fn is_reading(at: Pointer) -> bool {
    match at {
        Pointer::Reading(_) => true,
        Pointer::Recipient
        | Pointer::RecipientHistory(_)
        | Pointer::RecipientType(_)
        | Pointer::Donor(_)
        | Pointer::DonorHistory(..)
        | Pointer::DonorType(..)
        | Pointer::DonorField(..)
        | Pointer::Sample(_)
        | Pointer::Setup(_)
        | Pointer::Lot(_)
        | Pointer::Control(_)
        | Pointer::Protocol => false,
    }
}
