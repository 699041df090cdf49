//! The cells were washed fewer times than the protocol asks for.

use super::{Meta, Pair, Raised};
use crate::document::Pointer;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "washes-few",
    title: "too few washes",
    text: "The cells were washed fewer times than the protocol asks for. Plasma left on them can \
           form rouleaux, use up antiglobulin, and leave loose clumps standing that washing would \
           undo. A reaction may be false, and so may a negative antiglobulin test.",
    next_step: "Wash the cells the full number of times, take off all supernatant each time, and \
                repeat the tests.",
    sources: &[
        "Comparative study of immunohematological tests with canine blood samples submitted for a \
         direct antiglobulin (Coombs') test, 2021, Canine Med Genet, doi \
         10.1186/s40575-021-00107-0",
        "BCSH-NIBSC, 1993, Anti-D reference reagent for antiglobulin tests, Transfus Med 3:143",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let washes = pair.run.worksheet.setup().washes?;
    let least = pair.run.conditions.of_method.washes_min?;
    (washes < least).then(|| Raised::new(Effect::Caveat, [Pointer::Setup("washes")]))
}
