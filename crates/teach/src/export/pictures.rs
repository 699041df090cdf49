//! The pictures of a set as PNG.

use super::checked::Set;
use super::refused::Reason;

/// The PNGs of each question, in order, and why there is not one for every picture.
///
/// Drawing is most of the work of an export, so it is spread over all processors.
#[cfg(feature = "png")]
pub(super) fn pngs(set: &Set<'_>, reasons: &mut Vec<Reason>) -> Vec<Vec<Vec<u8>>> {
    use rayon::prelude::*;

    let drawn: Vec<Vec<Result<Vec<u8>, String>>> = set
        .items
        .par_iter()
        .map(|item| item.pictures.iter().map(|one| super::png::png(one.svg, one.size)).collect())
        .collect();
    let mut good = Vec::new();
    for (item, drawn) in set.items.iter().zip(drawn) {
        let mut of_item = Vec::new();
        for (picture, one) in (1..).zip(drawn) {
            match one {
                Ok(bytes) => of_item.push(bytes),
                Err(fault) => {
                    reasons.push(Reason::Picture { question: item.which.clone(), picture, fault });
                }
            }
        }
        good.push(of_item);
    }
    good
}

/// Without a renderer: nothing, and why.
#[cfg(not(feature = "png"))]
pub(super) fn pngs(set: &Set<'_>, reasons: &mut Vec<Reason>) -> Vec<Vec<Vec<u8>>> {
    let drawn = set.items.iter().filter(|item| !item.pictures.is_empty());
    reasons.extend(drawn.map(|item| Reason::NoPng { question: item.which.clone() }));
    set.items.iter().map(|_| Vec::new()).collect()
}
