use super::Pair;
use crate::document::Pointer;
use crate::words::{Conclusion, Summary, Test};

/// The pairs of a worksheet whose majors say something together.
#[derive(Debug)]
pub(crate) struct Panel<'p, 'r> {
    pairs: Vec<&'p Pair<'r>>,
}

impl<'p, 'r> Panel<'p, 'r> {
    /// The pairs with red cells whose major was read and can be used, if they are enough.
    pub(crate) fn of(pairs: &'p [Pair<'r>]) -> Option<Self> {
        let said = |pair: &&Pair<'_>| match pair.major.conclusion {
            Conclusion::NotRead | Conclusion::Void => false,
            Conclusion::Nonreactive
            | Conclusion::Unresolved
            | Conclusion::ReactiveCells
            | Conclusion::Reactive => pair.product().has_red_cells(),
        };
        let pairs: Vec<_> = pairs.iter().filter(said).collect();
        let least = pairs.first()?.rules().panel_min_donors;
        (u32::try_from(pairs.len()).is_ok_and(|count| count >= least)).then_some(Self { pairs })
    }

    pub(super) fn all(&self, holds: impl Fn(&Pair<'_>) -> bool) -> bool {
        self.pairs.iter().all(|pair| holds(pair))
    }

    pub(super) fn count(&self, holds: impl Fn(&Pair<'_>) -> bool) -> usize {
        self.pairs.iter().filter(|pair| holds(pair)).count()
    }

    pub(super) fn recipient_auto(&self) -> Summary {
        self.pairs.first().map_or(Summary::NotRead, |pair| pair.summed(Test::RecipientAuto).summary)
    }

    pub(super) fn donors(&self) -> Vec<Pointer> {
        self.donors_that(|_| true)
    }

    pub(super) fn donors_that(&self, holds: impl Fn(&Pair<'_>) -> bool) -> Vec<Pointer> {
        let those = self.pairs.iter().filter(|pair| holds(pair));
        those.map(|pair| Pointer::Donor(pair.number)).collect()
    }
}
