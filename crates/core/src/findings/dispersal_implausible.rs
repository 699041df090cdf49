//! Clumping was gone after a recheck, but too strong or too contested for rouleaux.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "dispersal-implausible",
    title: "dispersal implausible",
    text: "Clumping was gone after a recheck, but it had been stronger than rouleaux usually is, \
           or another recheck still showed it. A cold reaction that warmed up, a mixing fault or a \
           reading error is as likely. It stays doubtful and is not cleared.",
    next_step: "Repeat test and recheck with fresh tubes at a checked temperature, and with a \
                second reader.",
    sources: &[
        "University of Alberta, transfusion medicine teaching modules, Resolving discrepancies \
         (rouleaux)",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::DispersalImplausible, Effect::Note)
}
