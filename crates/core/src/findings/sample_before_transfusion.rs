//! The recipient's sample was drawn before its last transfusion.

use super::{Meta, Pair, Raised};
use crate::words::Effect;
use crate::worksheet::Owner;

pub(super) const META: Meta = Meta {
    slug: "sample-before-transfusion",
    title: "sample drawn before the last transfusion",
    text: "The recipient's sample was drawn before its last transfusion. A transfusion can raise \
           new antibodies within days, and they cannot be in this tube. The result describes the \
           animal before that transfusion, not now.",
    next_step: "Repeat the tests with a sample drawn now; hold the unit until then. Keep the old \
                sample for the work-up of a reaction.",
    sources: &[
        "Herter L et al., 2022, Alloimmunization in dogs after transfusion: a serial cross-match \
         study, J Vet Intern Med",
        "United States, Code of Federal Regulations, title 21, section 606.151, Compatibility \
         testing",
    ],
    effects: &[Effect::Invalid],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    let transfused_on = pair.recipient().animal.last_transfused_on?;
    if !pair.product().has_red_cells() {
        return None;
    }
    let shown = pair
        .deciding_plasma()
        .filter(|(_, sample)| sample.of == Owner::Recipient)
        .filter(|(_, sample)| sample.drawn_at.is_some_and(|drawn| drawn.date() < transfused_on));
    Raised::if_any(Effect::Invalid, shown.map(|(at, _)| at))
}
