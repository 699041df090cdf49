//! Every donor reacted, and so did the recipient's own control.

use super::{Meta, Pair, Panel, Raised};
use crate::words::{Conclusion, Effect, Summary};

pub(super) const META: Meta = Meta {
    slug: "every-donor-with-autocontrol",
    title: "every donor reactive, and the autocontrol too",
    text: "Every donor reacted or is unresolved, and the recipient's own control reacted too. One \
           cause in the recipient, such as autoantibody or rouleaux, is likelier than many \
           unsuitable donors. Antibody against single donors may hide underneath; least reactive \
           is a ranking, never a verdict.",
    next_step: "Before testing more donors, recheck all mixtures by saline replacement and repeat \
                them warm with washed cells; do a direct antiglobulin test.",
    sources: &[
        "World Small Animal Veterinary Association, 2017, Congress proceedings, transfusion \
         lecture, pp. 134-135",
        "Petz LD, 2003, on least incompatible units in autoimmune hemolytic anemia, Transfusion \
         43:1503, from memory",
    ],
    effects: &[Effect::Note],
};

pub(super) fn raise(panel: &Panel<'_, '_>) -> Option<Raised> {
    let reacts = |pair: &Pair<'_>| match pair.major.conclusion {
        Conclusion::Reactive | Conclusion::ReactiveCells | Conclusion::Unresolved => true,
        Conclusion::NotRead | Conclusion::Void | Conclusion::Nonreactive => false,
    };
    (panel.recipient_auto() == Summary::Reactive && panel.all(reacts))
        .then(|| Raised::new(Effect::Note, panel.donors()))
}
