//! The recipient is DEA 1 negative and the donor is DEA 1 positive or weak.

use super::{Meta, Pair, Raised};
use crate::protocol::TypeRules;
use crate::words::{Effect, System};

pub(super) const META: Meta = Meta {
    slug: "dog-dea1-mismatch",
    title: "DEA 1 mismatch",
    text: "The recipient is DEA 1 negative and the donor DEA 1 positive or weak. Dogs have no \
           natural antibody against DEA 1, so a first such transfusion is silent in the \
           crossmatch, but it can sensitize the dog against later ones. A clean crossmatch is no \
           type match.",
    next_step: "Choose a DEA 1 negative donor if there is one; if not, the veterinarian decides, \
                and the exposure goes into the dog's record.",
    sources: &[
        "Guidetti M et al., 2019, Alloimmunization of a dog erythrocyte antigen 1- dog transfused \
         with weakly dog erythrocyte antigen 1+ blood, J Vet Intern Med 33:2037",
        "Joint Trauma System, clinical practice guideline on military working dogs, transfusion \
         chapter",
        "World Small Animal Veterinary Association, 2017, Congress proceedings, transfusion \
         lecture, pp. 134-135",
    ],
    effects: &[Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let applies = pair.rules().type_rules == TypeRules::Dog && pair.product().has_red_cells();
    (applies && pair.brings_antigen(System::Dea1))
        .then(|| Raised::new(Effect::Caveat, pair.types_at(System::Dea1)))
}
