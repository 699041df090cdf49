//! One reader against themselves: items shown again without saying so.

use std::collections::BTreeMap;

use super::fault::Faults;
use super::pairs::{Pairs, check};
use super::panel::Panel;
use super::scale::Scale;

/// What one reader read of items that were shown more than once.
///
/// The figures for two readers hold for the first look against the second; those for a panel take
/// every look.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Repeats {
    scale: Scale,
    /// The looks at each item that was shown more than once.
    looks: Vec<Vec<Option<u8>>>,
    once: u32,
}

impl Repeats {
    /// Finds the repeats among a reader's readings, handed in in the order they were made, each
    /// with the item it is of.
    ///
    /// ```
    /// # use crossread_teach::statistics::{Confidence, Repeats, Scale};
    /// let scale = Scale::new(["0", "1+", "2+"])?;
    /// // Two drawings were shown again without saying so.
    /// let looks = [("a", Some(0)), ("b", Some(2)), ("c", Some(1)), ("b", Some(1)), ("a", Some(0))];
    /// let repeats = Repeats::find(&scale, &looks)?;
    /// assert_eq!((repeats.items(), repeats.once()), (2, 1));
    /// assert_eq!(repeats.pairs().table().exact(Confidence::P95).hits, 1);
    /// # Ok::<_, crossread_teach::statistics::Faults>(())
    /// ```
    ///
    /// # Errors
    /// All readings that are no grade of the scale, by their place in the order.
    pub fn find<I: Ord>(scale: &Scale, readings: &[(I, Option<u8>)]) -> Result<Self, Faults> {
        let mut faults = Vec::new();
        let grades: Vec<Option<u8>> = readings.iter().map(|(_, reading)| *reading).collect();
        check(scale, 1, &grades, &mut faults);
        Faults::unless(faults, || {
            let mut by_item: BTreeMap<&I, Vec<Option<u8>>> = BTreeMap::new();
            for (item, reading) in readings {
                by_item.entry(item).or_default().push(*reading);
            }
            let (mut looks, mut once) = (Vec::new(), 0_u32);
            for item in by_item.into_values() {
                if item.len() > 1 {
                    looks.push(item);
                } else {
                    once = once.saturating_add(1);
                }
            }
            Self { scale: scale.clone(), looks, once }
        })
    }

    /// How many items were shown more than once.
    pub fn items(&self) -> usize {
        self.looks.len()
    }

    /// How many items were shown once; they say nothing here.
    pub fn once(&self) -> u32 {
        self.once
    }

    /// The first look at each item against the second, by the order of the items.
    pub fn pairs(&self) -> Pairs {
        let look = |item: &[Option<u8>], which: usize| item.get(which).copied().flatten();
        Pairs::of(&self.scale, self.looks.iter().map(|item| (look(item, 0), look(item, 1))))
    }

    /// Every look, as if each were another reader.
    pub fn panel(&self) -> Panel {
        let most = self.looks.iter().map(Vec::len).max().unwrap_or_default();
        let looks = self
            .looks
            .iter()
            .flat_map(|item| (0..most).map(move |which| item.get(which).copied().flatten()));
        Panel::of(&self.scale, most, looks)
    }
}
