//! Whether everything is good, looked at by two threads at once.
//!
//! A good journal is what is nearly always found, and the longest to look at. Which entry is the
//! first bad one is not asked here: for that it is read again, in order.

use std::ops::RangeInclusive;
use std::sync::atomic::{AtomicU64, Ordering};
use std::thread;

use super::Chain;
use super::sum::{Index, Sum};
use crate::entry::{Head, Seq};
use crate::error::JournalError;
use crate::store::{Rows, Store};

/// How many entries a thread takes at a time.
const PART: u64 = 512;

/// Whether every entry and the index are as they were written. With another connection to the same
/// store, a second thread looks what is wrong with the store, and then takes its share of entries.
pub(super) fn is_good(
    rows: &mut dyn Rows,
    other: Option<Box<dyn Store>>,
    faults: &mut Option<Vec<String>>,
) -> Result<Option<Head>, JournalError> {
    let head = rows.head()?;
    let parts = Parts { next: AtomicU64::new(1), last: head.seq };
    let mut terms = Sum::default();
    let mut index = Index::beside(&terms);
    let theirs = terms.empty();
    let good = thread::scope(|scope| {
        let Some(other) = other else { return parts.all(rows, &mut index, &mut terms) };
        let beside = thread::Builder::new().spawn_scoped(scope, || parts.beside(other, theirs))?;
        let mine = parts.all(rows, &mut index, &mut terms).inspect_err(|_| parts.stop())?;
        let broke_off = |_| std::io::Error::other("looking at the entries broke off");
        let Beside { faults: found, good, terms: their_terms } =
            beside.join().map_err(broke_off)??;
        *faults = Some(found);
        terms.join(&their_terms);
        Ok::<_, JournalError>(mine && good)
    })?;
    let indexed = index.sum.equals(&terms) && index.unordered.is_none();
    Ok((good && indexed).then_some(head))
}

/// What the second thread found.
struct Beside {
    faults: Vec<String>,
    good: bool,
    terms: Sum,
}

/// The entries, to be taken in parts.
struct Parts {
    next: AtomicU64,
    last: Seq,
}

impl Parts {
    /// The next entries that nobody has taken.
    fn take(&self) -> Option<RangeInclusive<Seq>> {
        let from = self.next.fetch_add(PART, Ordering::Relaxed);
        let to = from.saturating_add(PART).saturating_sub(1).min(self.last);
        (from <= to).then_some(from..=to)
    }

    /// Nothing more is taken.
    fn stop(&self) {
        self.next.store(self.last.saturating_add(1), Ordering::Relaxed);
    }

    /// What the first thread looks at: the index, its share of the entries, and that none stands
    /// where none should.
    fn all(
        &self,
        rows: &mut dyn Rows,
        index: &mut Index,
        terms: &mut Sum,
    ) -> Result<bool, JournalError> {
        rows.all_terms(&mut |term| index.add(term))?;
        let mut good = self.share(rows, terms)?;
        let beyond = if self.last == 0 { 0 } else { self.last.saturating_add(1) };
        rows.scan(beyond..=Seq::MAX, &mut |_| {
            good = false;
            Ok(false)
        })?;
        Ok(good)
    }

    fn beside(&self, mut store: Box<dyn Store>, mut terms: Sum) -> Result<Beside, JournalError> {
        let faults = store.faults()?;
        let mut good = false;
        store.read(&mut |rows| {
            good = self.share(rows, &mut terms)?;
            Ok(())
        })?;
        Ok(Beside { faults, good, terms })
    }

    /// Looks at parts until there are no more.
    fn share(&self, rows: &mut dyn Rows, terms: &mut Sum) -> Result<bool, JournalError> {
        while let Some(part) = self.take() {
            if !is_part_good(rows, &part, terms)? {
                self.stop();
                return Ok(false);
            }
        }
        Ok(true)
    }
}

/// Whether the entries of a part are good, and follow the entry before them. Whether that one has
/// the hash that it says it has is asked where it belongs.
fn is_part_good(
    rows: &mut dyn Rows,
    part: &RangeInclusive<Seq>,
    terms: &mut Sum,
) -> Result<bool, JournalError> {
    let before = part.start().saturating_sub(1);
    let mut chain = Chain { last: Head::NONE, terms };
    let mut good = true;
    rows.scan(before..=*part.end(), &mut |row| {
        good = if row.seq == before && before > chain.last.seq {
            chain.last.seq = before;
            row.sha256.map(|sha256| chain.last.sha256 = sha256).is_some()
        } else {
            chain.add(&row).is_ok()
        };
        Ok(good)
    })?;
    Ok(good && chain.last.seq == *part.end())
}
