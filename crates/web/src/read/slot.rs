//! A mixture at a phase, as a form and an address carry it.

use crossread_core::document::Id;
use crossread_journal::Cell;

/// `test|phase|after|donor`, with `-` for none; the donor's id may have any character.
pub(crate) fn written(of: &Cell) -> String {
    let after = of.after.map_or("-", |after| after.word());
    let donor = of.donor.as_ref().map_or("", Id::as_str);
    format!("{}|{}|{after}|{donor}", of.test, of.phase)
}

/// Reads it back.
pub(crate) fn read(written: &str) -> Option<Cell> {
    let mut parts = written.splitn(4, '|');
    let (test, phase, after) = (parts.next()?, parts.next()?, parts.next()?);
    let after = if after == "-" { None } else { Some(after.parse().ok()?) };
    Some(Cell::new(test.parse().ok()?, Id::new(parts.next()?), phase.parse().ok()?).after(after))
}

#[cfg(test)]
mod tests {
    use crossread_core::document::Id;
    use crossread_core::words::{Phase, Recheck, Test};
    use crossread_journal::Cell;

    use super::{read, written};

    #[test]
    fn every_mixture_is_read_back() {
        let donors = [None, Id::new("D-091"), Id::new("a|b|-|\u{e9} ")];
        let afters = [None, Some(Recheck::SalineReplacement), Some(Recheck::Wash)];
        for test in Test::ALL {
            for phase in Phase::ALL {
                for (donor, after) in donors.iter().zip(afters) {
                    let of = Cell::new(*test, donor.clone(), *phase).after(after);
                    assert_eq!(read(&written(&of)), Some(of));
                }
            }
        }
        for wrong in ["", "major", "major|room|-", "major|hot|-|D-1", "x|room|-|D-1"] {
            assert_eq!(read(wrong), None, "{wrong}");
        }
    }
}
