//! A deciding test was read at room temperature and in no other deciding phase.

use super::{Meta, Pair, Raised};
use crate::words::{Effect, Phase};

pub(super) const META: Meta = Meta {
    slug: "only-room-read",
    title: "read at room temperature only",
    text: "The test was read at room temperature only. That finds cold-reacting antibodies well, \
           but antibodies that react at body temperature, often the ones that matter, can stay \
           unseen. A negative at room temperature does not speak for 37 °C.",
    next_step: "Incubate a second mixture at 37 °C and read it, hemolysis first; if that cannot be \
                done, write room temperature only on the report.",
    sources: &[
        "Silvestre-Ferreira AC, Pastor J, 2010, Feline neonatal isoerythrolysis and the importance \
         of feline blood types, Vet Med Int 2010:753726, table 5 (table and abstract read, the rest \
         cited from memory)",
        "AABB Technical Manual, from memory",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let shown = pair.deciding_tests().filter(|test| {
        let read = |phase| pair.first_looks(*test, phase).next().is_some();
        let elsewhere = pair.run.deciding_phases().filter(|phase| *phase != Phase::Room);
        read(Phase::Room) && !elsewhere.into_iter().any(read)
    });
    let shown = shown.flat_map(|test| pair.first_looks(test, Phase::Room));
    Raised::if_any(Effect::Caveat, shown.map(|(at, _)| at))
}
