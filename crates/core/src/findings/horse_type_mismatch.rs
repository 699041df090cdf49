//! The donor horse has a red cell factor that the recipient lacks.

use super::{Meta, Pair, Raised};
use crate::protocol::TypeRules;
use crate::words::{Effect, System};

pub(super) const META: Meta = Meta {
    slug: "horse-type-mismatch",
    title: "horse blood types do not match",
    text: "The donor has a red cell factor (Aa, Ca or Qa) that the recipient lacks. Horses readily \
           form antibody against Aa and Qa, and some carry antibody against Aa or Ca without known \
           exposure. A clean crossmatch does not say that the recipient will not form one.",
    next_step: "Prefer a donor without that factor; if there is none, record the exposure, and \
                crossmatch before every later transfusion.",
    sources: &[
        "Wong PL et al., 1986, Clinical survey of antibodies against red blood cells in horses \
         after homologous blood transfusion, Am J Vet Res 47:2566",
        "Cornell University College of Veterinary Medicine, clinical pathology modules, Equine \
         blood groups",
        "Tizard IR, Veterinary Immunology, 10th ed., p. 1030, table 31.1 (page read, the rest cited \
         from memory)",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    if pair.rules().type_rules != TypeRules::Horse || !pair.product().has_red_cells() {
        return None;
    }
    let shown = [System::Aa, System::Ca, System::Qa]
        .into_iter()
        .filter(|system| pair.brings_antigen(*system))
        .flat_map(|system| pair.types_at(system));
    Raised::if_any(Effect::Caveat, shown)
}
