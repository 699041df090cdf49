//! The negative reagent control reacted or could not be read.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "negative-control-reactive",
    title: "negative reagent control reactive",
    text: "The negative reagent control reacted or could not be read, though nothing should react \
           in it. Positive readings of this run cannot be believed, because something other than \
           an antibody may cause them; they are not thereby negative. Negative readings stand, \
           with this remark.",
    next_step: "Repeat the reagent controls with fresh reagent and clean tubes, then repeat every \
                test of the run that reacted.",
    sources: &[
        "United States, Code of Federal Regulations, title 21, section 606.65, Supplies and \
         reagents, from memory",
        "AABB Technical Manual, from memory",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::NegativeControlReactive, Effect::Caveat)
}
