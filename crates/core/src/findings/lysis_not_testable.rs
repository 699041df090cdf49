//! This run could not show lysis, which matters in this species.

use super::{Meta, Pair, Raised};
use crate::protocol::PhaseRole;
use crate::words::{Complement, Effect, Method};

pub(super) const META: Meta = Meta {
    slug: "lysis-not-testable",
    title: "lysis could not be tested",
    text: "In this species many antibodies lyse cells rather than clump them, and this run could \
           not show lysis: because of the method, of missing hemolysis readings, or for lack of \
           active complement. The result holds for agglutination only.",
    next_step: "Repeat the deciding test in tubes with fresh serum or added complement and read \
                hemolysis, or send it to a laboratory that can; else state agglutination only.",
    sources: &[
        "Tizard IR, Veterinary Immunology, 10th ed., p. 1030, table 31.1 (page read, the rest cited \
         from memory)",
        "Luethy D et al., 2016, Comparison of tube, gel, and immunochromatographic strip methods \
         for evaluation of blood transfusion compatibility in horses, J Vet Intern Med 30:1864",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let run = pair.run;
    let no_look = || {
        pair.deciding_tests().any(|test| {
            run.phases()
                .filter(|phase| run.conditions.of_method.role(*phase) == Some(PhaseRole::Required))
                .any(|phase| pair.first_looks(test, phase).all(|(_, look)| look.hemolysis.is_none()))
        })
    };
    let no_complement = || match run.worksheet.setup().complement {
        None | Some(Complement::None) => true,
        Some(Complement::FreshSerum) => {
            pair.deciding_plasma_owners().any(|owner| !pair.has_serum(owner))
        }
        Some(Complement::Added) => false,
    };
    let untestable = pair.rules().lysis_must_be_testable
        && (run.worksheet.method() != Method::Tube || no_look() || no_complement());
    untestable.then(|| Raised::new(Effect::Caveat, pair.donor_itself()))
}
