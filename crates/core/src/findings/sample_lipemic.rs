//! The plasma or serum is milky with fat.

use super::{Meta, Pair, Raised};
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "sample-lipemic",
    title: "sample lipemic",
    text: "The plasma or serum is milky with fat. Turbid fluid hides faint hemolysis and can be \
           taken for the cloud of a weak reaction. The red cells themselves are not affected once \
           they are washed.",
    next_step: "Draw again after fasting if there is time; otherwise wash the cells well and judge \
                every tube against the autocontrol.",
    sources: &[
        "An update on blood typing, crossmatching, and doing no harm in transfusing dogs and cats, \
         Veterinary Medicine, p. 3",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let from = pair.rules().lipemia_from;
    let shown = pair
        .deciding_plasma()
        .filter(|(_, sample)| sample.lipemia.is_some_and(|lipemia| lipemia >= from));
    Raised::if_any(Effect::Caveat, shown.map(|(at, _)| at))
}
