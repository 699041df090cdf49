//! Every donor tested reacted in the major.

use super::{Meta, Panel, Raised};
use crate::words::{Conclusion, Effect};

pub(super) const META: Meta = Meta {
    slug: "every-donor-reactive",
    title: "every donor reactive",
    text: "Every donor tested reacted in the major, and the controls do not explain it. The \
           recipient may carry an antibody against a factor that nearly all donors have, or \
           several antibodies. More donors taken at random are then likely to react as well; the \
           least reactive of them is not thereby compatible.",
    next_step: "Look for donors among relatives and breed-mates, tell the veterinarian early, and \
                ask a reference laboratory to identify the antibody.",
    sources: &[
        "Blais MC et al., 2007, Canine Dal blood type: a red cell antigen lacking in some \
         Dalmatians, J Vet Intern Med 21:281",
        "Callan MB et al., 1995, Hemolytic transfusion reactions in a dog with an alloantibody to \
         a common antigen, J Vet Intern Med 9:277",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(panel: &Panel<'_, '_>) -> Option<Raised> {
    panel
        .all(|pair| pair.major.conclusion == Conclusion::Reactive)
        .then(|| Raised::new(Effect::Note, panel.donors()))
}
