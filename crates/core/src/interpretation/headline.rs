use std::fmt::Write as _;

use crate::findings::{Finding, Pair};
use crate::words::{Conclusion, Effect, Summary, Test, Verdict};

/// The answer in a sentence or two: what to do with the unit, what decided, what was seen.
pub(super) fn headline(pair: &Pair<'_>, verdict: Verdict, findings: &[Finding]) -> String {
    let mut line = String::with_capacity(160);
    line.push_str(match verdict {
        Verdict::Compatible => "No reaction was found.",
        Verdict::CompatibleWithCaveats => "No reaction that decides; know the caveats before use.",
        Verdict::Incomplete => "Finish reading before use.",
        Verdict::Indeterminate => "Do not give yet; work it up.",
        Verdict::Invalid => "Do not use this result; repeat.",
        Verdict::Incompatible => "Do not give.",
    });
    line.push(' ');
    let decides = if pair.is_deciding(Test::Major) { Test::Major } else { Test::Minor };
    let shown = reacting_test(pair, verdict).unwrap_or(decides);
    let decisive = findings.iter().filter(|finding| Verdict::from(finding.effect) == verdict);
    let mut decisive = decisive.filter(|finding| finding.effect > Effect::Note);
    if reacting_test(pair, verdict).is_some() {
        capitalized(&mut line, shown.spoken());
        line.push_str(" reacted");
        seen(&mut line, pair, shown);
    } else {
        if let Some(first) = decisive.next() {
            capitalized(&mut line, first.title);
            let more = decisive.count();
            if more > 0 {
                // Writing to a string cannot fail.
                let _ = write!(line, " (and {more} more)");
            }
            line.push_str("; ");
            line.push_str(shown.spoken());
        } else {
            capitalized(&mut line, shown.spoken());
        }
        seen(&mut line, pair, shown);
    }
    let control = if shown == Test::Minor { Test::DonorAuto } else { Test::RecipientAuto };
    line.push_str("; ");
    line.push_str(control.spoken());
    seen(&mut line, pair, control);
    line.push('.');
    line
}

/// The test whose reaction is the reason for an incompatible verdict.
fn reacting_test(pair: &Pair<'_>, verdict: Verdict) -> Option<Test> {
    let reacted = |conclusion| match conclusion {
        Conclusion::Reactive | Conclusion::ReactiveCells => true,
        Conclusion::NotRead
        | Conclusion::Void
        | Conclusion::Nonreactive
        | Conclusion::Unresolved => false,
    };
    if verdict != Verdict::Incompatible {
        return None;
    }
    if pair.is_deciding(Test::Major) && reacted(pair.major.conclusion) {
        return Some(Test::Major);
    }
    let minor = pair.is_deciding(Test::Minor) && pair.minor.conclusion == Conclusion::Reactive;
    minor.then_some(Test::Minor)
}

fn capitalized(line: &mut String, fragment: &str) {
    let mut characters = fragment.chars();
    line.extend(characters.next().into_iter().flat_map(char::to_uppercase));
    line.push_str(characters.as_str());
}

/// What was seen of a test: its strongest grade and where, and its hemolysis if there was any.
fn seen(line: &mut String, pair: &Pair<'_>, test: Test) {
    let summed = pair.summed(test);
    match (summed.strongest, summed.summary) {
        (Some((grade, phase)), _) => {
            let _ = write!(line, " {} {}", grade.word(), phase.spoken());
        }
        (None, Summary::Void) => line.push_str(" unreadable"),
        (None, Summary::NotRead | Summary::Negative | Summary::Doubtful | Summary::Reactive) => {
            line.push_str(" not read");
        }
    }
    if let Some(hemolysis) = summed.hemolysis.filter(|hemolysis| *hemolysis > 0) {
        let _ = write!(line, " with hemolysis {hemolysis}");
    }
}
