//! A deciding test was read later after the spin than the protocol allows.

use super::{Meta, Pair, Raised};
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "reading-delayed",
    title: "read too long after the spin",
    text: "A reading was made later after the spin than the protocol allows. Weak clumps fall \
           apart while a tube stands, so a weak reaction may have been missed. A reaction that was \
           seen stands.",
    next_step: "Set up a fresh tube, spin it and read it at once; keep the first reading in the \
                record.",
    sources: &["AABB Technical Manual, from memory"],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let late = pair.run.conditions.of_method.late_after_seconds?;
    let shown = pair
        .first_looks_of_deciding()
        .filter(|(_, look)| look.seconds.is_some_and(|seconds| seconds > late));
    Raised::if_any(Effect::Caveat, shown.map(|(at, _)| at))
}
