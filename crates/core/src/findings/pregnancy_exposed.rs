//! In this species pregnancy can raise antibodies, and the recipient may have been pregnant.

use super::{Meta, Pair, Raised};
use crate::document::Pointer;
use crate::words::{Answer, Effect};

pub(super) const META: Meta = Meta {
    slug: "pregnancy-exposed",
    title: "recipient exposed by pregnancy, or not known",
    text: "In this species pregnancy can raise antibodies against red cells, and the recipient has \
           been pregnant or it is not known. Antibodies can then be there without any transfusion. \
           A clean crossmatch shows only that this method saw none.",
    next_step: "Ask about earlier offspring and sick newborns, write down the answer, and add an \
                antibody screen or a lysis test where one can be had.",
    sources: &[
        "Bailey E, 1982, Prevalence of anti-red blood cell antibodies in the serum and colostrum \
         of mares and its relationship to neonatal isoerythrolysis, Am J Vet Res",
        "Equine Clinical Medicine, Surgery and Reproduction, 2nd ed., p. 1036, table 9.2",
    ],
    effects: &[Effect::Note, Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    if !pair.rules().pregnancy_sensitises || !pair.product().has_red_cells() {
        return None;
    }
    let effect = match pair.recipient().animal.pregnant {
        Answer::Yes => Effect::Caveat,
        Answer::Unknown => Effect::Note,
        Answer::Never => return None,
    };
    Some(Raised::new(effect, [Pointer::RecipientHistory("pregnant")]))
}
