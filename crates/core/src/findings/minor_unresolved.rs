//! The minor was read, but its meaning is open.

use super::{Meta, Pair, Raised};
use crate::words::{Conclusion, Effect, Test};

pub(super) const META: Meta = Meta {
    slug: "minor-unresolved",
    title: "minor crossmatch unresolved",
    text: "The minor was read, but its meaning is open: it is doubtful, or the recipient's own \
           cells or the donor's autocontrol may cause the result or hide another. A donor antibody \
           is neither shown nor excluded. It matters most where much donor plasma is given.",
    next_step: "Hold whole blood and plasma of this donor. Wash the recipient's cells again in \
                warm saline, and repeat the minor beside both autocontrols and the recipient \
                saline control.",
    sources: &[
        "Vap LM et al., 2012, ASVCP quality assurance guidelines (section 2.8, crossmatching), Vet \
         Clin Pathol 41:8",
        "MacNeill AL et al., 2019, The utility of diagnostic tests for immune-mediated hemolytic \
         anemia, Vet Clin Pathol 48(S1):7",
    ],
    effects: &[Effect::Note, Effect::Caveat, Effect::Indeterminate],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    match pair.minor.conclusion {
        Conclusion::Unresolved | Conclusion::ReactiveCells => {}
        Conclusion::NotRead | Conclusion::Void | Conclusion::Nonreactive | Conclusion::Reactive => {
            return None;
        }
    }
    let effect = pair.effect_of_minor(
        pair.is_deciding(Test::Minor),
        Effect::Indeterminate,
        pair.rules().minor_with_packed_cells.unresolved,
    );
    Some(Raised::new(effect, pair.reacting(Test::Minor)))
}
