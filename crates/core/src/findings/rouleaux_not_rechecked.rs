//! Stacked cells were seen, and no recheck that counts was made.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "rouleaux-not-rechecked",
    title: "stacks seen, no recheck that counts",
    text: "Stacked cells were seen, and no recheck that counts was made. Stacks suggest rouleaux, \
           but suspicion never clears a reaction: agglutination can lie between the stacks. It \
           stays doubtful until a recheck is recorded.",
    next_step: "Re-spin, take off all plasma, add the same volume of saline, re-suspend, read \
                again; write it beside the first reading.",
    sources: &[
        "Nova Scotia Community College, Transfusion (open course book), Saline replacement for \
         rouleaux",
        "Casenave P et al., 2019, Modified stall-side crossmatch for transfusions in horses, J Vet \
         Intern Med (abstract read, the rest cited from memory)",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::RouleauxNotRechecked, Effect::Note)
}
