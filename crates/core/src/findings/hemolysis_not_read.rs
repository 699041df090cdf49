//! It is not recorded whether the supernatant was red.

use super::{Meta, Pair, Raised};
use crate::reading::Reason;
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "hemolysis-not-read",
    title: "hemolysis not read",
    text: "The test is negative for clumping, but it is not recorded whether the supernatant was \
           red. Hemolysis is a positive reaction and can be the only one, so the test is not \
           finished. Once the button is shaken, it can no longer be judged.",
    next_step: "Look at the supernatant before the button is disturbed and write down its grade; \
                if the tube was shaken, set up a fresh one.",
    sources: &[
        "Silvestre-Ferreira AC, Pastor J, 2010, Feline neonatal isoerythrolysis and the importance \
         of feline blood types, Vet Med Int 2010:753726, table 5 (table and abstract read, the rest \
         cited from memory)",
        "US Army Medical Department Center and School, subcourse MD0845, Immunohematology and \
         Blood Banking I, pp. 2-19 and 2-20",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    pair.because(Reason::HemolysisNotRead, Effect::Note)
}
