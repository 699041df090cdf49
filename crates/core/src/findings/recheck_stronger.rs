//! The recheck showed a stronger reaction than the first look.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "recheck-stronger",
    title: "recheck stronger than the first look",
    text: "The recheck showed a stronger reaction than the first look. Rouleaux grows weaker in \
           saline, not stronger; an antibody that was blocked in neat plasma, or a badly mixed \
           tube, can do this. The stronger reading counts.",
    next_step: "Keep the stronger grade, repeat the test also with plasma diluted in saline, and \
                have a second person read it.",
    sources: &[
        "Judd WJ et al., 1988, Discrepancies in reverse ABO typing due to prozone, Transfusion",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::RecheckStronger, Effect::Note)
}
