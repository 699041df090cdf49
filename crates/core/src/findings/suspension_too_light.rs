//! The cell suspension was thinner than the protocol's range.

use super::{Meta, Pair, Raised};
use crate::document::Pointer;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "suspension-too-light",
    title: "cell suspension too thin",
    text: "The cell suspension was thinner than the protocol's range. With few cells a weak \
           reaction is hard to see and is easily graded too low. A clear reaction stands.",
    next_step: "Make a new suspension inside the protocol's range, write down its percentage, and \
                repeat the tests that read negative or weak.",
    sources: &[
        "US Army Medical Department Center and School, subcourse MD0845, Immunohematology and \
         Blood Banking I, pp. 2-19 and 2-20",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let percent = pair.run.worksheet.setup().cells_percent?;
    let (least, _) = pair.run.conditions.of_method.cells_percent?;
    let at = Pointer::Setup("cells_percent");
    (percent < least).then(|| Raised::new(Effect::Caveat, [at]))
}
