use super::Controls;
use crate::words::{Product, Summary, Test};

/// Whether the saline controls of both sides reacted. Two sick animals at once are improbable, so
/// the fault lies in saline, glass or temperature.
pub(super) fn saline_controls_reactive(
    recipient: Summary,
    donors: impl Iterator<Item = Summary>,
) -> bool {
    let mut told = donors.filter(|donor| match donor {
        Summary::Reactive | Summary::Doubtful | Summary::Negative => true,
        Summary::Void | Summary::NotRead => false,
    });
    // Both: there is a donor's control, and all of them reacted.
    let first = told.next();
    recipient == Summary::Reactive
        && first == Some(Summary::Reactive)
        && told.all(|donor| donor == Summary::Reactive)
}

/// Whether a control contradicts a mixture that holds the same cells: cells that clump in saline
/// must clump in plasma too.
pub(crate) fn inconsistent(summary: impl Fn(Test) -> Summary, product: Product) -> bool {
    product.deciding_tests().iter().any(|test| {
        Controls::of(*test).is_some_and(|controls| {
            let contradicts = |saline, test| {
                summary(saline).is_reactive_or_doubtful() && summary(test) != Summary::Reactive
            };
            contradicts(controls.cell_saline, *test)
                || contradicts(controls.plasma_saline, controls.plasma_auto)
        })
    })
}
