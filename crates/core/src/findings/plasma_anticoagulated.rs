//! A plasma that decides came from a tube with anticoagulant.

use super::{Meta, Pair, Raised};
use crate::words::{Complement, Effect};

pub(super) const META: Meta = Meta {
    slug: "plasma-anticoagulated",
    title: "plasma from an anticoagulated tube",
    text: "The plasma came from a tube with anticoagulant. EDTA and citrate take away the calcium \
           that complement needs, so an antibody that lyses cells may show nothing. No hemolysis \
           in these tubes does not mean that there is no such antibody; agglutination is nearly \
           always seen as usual.",
    next_step: "Write on the report that lysis was tested without active complement. Where lysis \
                matters, repeat with fresh serum or added complement.",
    sources: &[
        "AABB Technical Manual, from memory",
        "Judd WJ et al., 1988, Discrepancies in reverse ABO typing due to prozone, Transfusion",
    ],
    effects: &[Effect::Note, Effect::Caveat],
};

pub(super) fn raise(pair: &Pair<'_>) -> Option<Raised> {
    if pair.run.worksheet.setup().complement == Some(Complement::Added) {
        return None;
    }
    let of_owner = |owner| pair.deciding_plasma().filter(move |(_, sample)| sample.of == owner);
    let shown = pair
        .deciding_plasma_owners()
        .filter(|owner| !pair.has_serum(*owner))
        .flat_map(of_owner);
    Raised::if_any(pair.rules().anticoagulant_lysis.into(), shown.map(|(at, _)| at))
}
