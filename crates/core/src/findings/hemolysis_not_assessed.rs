//! Hemolysis was not looked for in a deciding test, or the method cannot show it.

use super::{Meta, Pair, Raised};
use crate::words::Effect;

pub(super) const META: Meta = Meta {
    slug: "hemolysis-not-assessed",
    title: "hemolysis not assessed",
    text: "Hemolysis was not looked for, or the method cannot show it. Some antibodies break cells \
           without clumping them; in horses and ruminants this is common. The verdict rests on \
           agglutination alone and says nothing about lysis.",
    next_step: "Add a tube test and read the supernatant against a white background before \
                shaking; if that cannot be done, write hemolysis not assessed on the report.",
    sources: &[
        "Luethy D et al., 2016, Comparison of tube, gel, and immunochromatographic strip methods \
         for evaluation of blood transfusion compatibility in horses, J Vet Intern Med 30:1864",
        "Tizard IR, Veterinary Immunology, 10th ed., p. 1030, table 31.1 (page read, the rest cited \
         from memory)",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let looks = |test| {
        pair.run.deciding_phases().flat_map(move |phase| pair.first_looks(test, phase))
    };
    let shown = pair
        .deciding_tests()
        .filter(|test| looks(*test).all(|(_, look)| look.hemolysis.is_none()))
        .flat_map(looks);
    Raised::if_any(Effect::Caveat, shown.map(|(at, _)| at))
}
