//! The set as a test of QTI: its items in order, and the sums over them.

use super::item::{CRITICAL, SCORE};
use super::version::Version;
use crate::export::checked::Set;
use crate::export::identifier::{identifier, reserved};
use crate::export::xml::Tag;

/// The test; `hrefs` are where the items lie, in their order.
pub(super) fn test(version: Version, set: &Set<'_>, hrefs: &[String]) -> Tag {
    let sums = [(SCORE, "float"), (CRITICAL, "integer")];
    let declared = sums.map(|(outcome, kind)| {
        let named = [("identifier", outcome), ("cardinality", "single"), ("baseType", kind)];
        let zero = version.tag("defaultValue").tag(version.tag("value").text("0"));
        version.with("outcomeDeclaration", named).tag(zero)
    });
    let summed = sums.map(|(outcome, kind)| {
        let over = [("variableIdentifier", outcome), ("baseType", kind)];
        version
            .with("setOutcomeValue", [("identifier", outcome)])
            .tag(version.tag("sum").tag(version.with("testVariables", over)))
    });
    let items = set.items.iter().zip(hrefs).map(|(item, href)| {
        let id = identifier(&item.which.id);
        version.with("assessmentItemRef", [("identifier", &id), ("href", href)])
    });
    let [part, section] = ["part", "section"].map(reserved);
    let part =
        [("identifier", &*part), ("navigationMode", "nonlinear"), ("submissionMode", "individual")];
    let section = [("identifier", &*section), ("title", &*set.title), ("visible", "true")];
    // Feedback is hidden unless this says that it is shown, and a critical error must be seen.
    let shown = [("maxAttempts", "1"), ("showFeedback", "true")];
    version
        .root("assessmentTest", [("identifier", &identifier(&set.id)), ("title", &set.title)])
        .tags(declared)
        .tag(
            version
                .with("testPart", part)
                .tag(version.with("itemSessionControl", shown))
                .tag(version.with("assessmentSection", section).tags(items)),
        )
        .tag(version.tag("outcomeProcessing").tags(summed))
}
