//! Comparing the terms of the entries with those of the index, without keeping either.

use std::hash::{BuildHasher as _, DefaultHasher, Hasher as _, RandomState};

use crate::entry::Seq;
use crate::store::RawTerm;

/// What many terms come to, whatever their order. The hash is keyed anew each time, so that nobody
/// can choose terms that come to the same.
#[derive(Default)]
pub(super) struct Sum {
    keys: RandomState,
    hashes: u64,
    terms: u64,
    /// Field and value as bytes.
    named: Vec<u8>,
}

impl Sum {
    /// A sum of no terms that can be compared with this one.
    pub(super) fn empty(&self) -> Self {
        Self { keys: self.keys.clone(), ..Self::default() }
    }

    pub(super) fn add(&mut self, term: RawTerm<'_>) {
        let RawTerm { field, value, seq } = term;
        let named = self.named(field, value);
        self.add_at(named, seq);
    }

    /// The beginning of the hash of a term.
    fn named(&mut self, field: &[u8], value: &[u8]) -> DefaultHasher {
        // No field and no value of an entry has this byte.
        self.named.clear();
        self.named.extend_from_slice(field);
        self.named.push(0xff);
        self.named.extend_from_slice(value);
        let mut hasher = self.keys.build_hasher();
        hasher.write(&self.named);
        hasher
    }

    fn add_at(&mut self, mut named: DefaultHasher, seq: Seq) {
        named.write(&seq.to_le_bytes());
        self.hashes = self.hashes.wrapping_add(named.finish());
        self.terms = self.terms.wrapping_add(1);
    }

    /// Adds the terms of another.
    pub(super) fn join(&mut self, other: &Self) {
        self.hashes = self.hashes.wrapping_add(other.hashes);
        self.terms = self.terms.wrapping_add(other.terms);
    }

    pub(super) fn equals(&self, other: &Self) -> bool {
        (self.hashes, self.terms) == (other.hashes, other.terms)
    }
}

/// The terms of the index, which come in order.
pub(super) struct Index {
    pub(super) sum: Sum,
    field: Vec<u8>,
    value: Vec<u8>,
    seq: Seq,
    /// The beginning of the hash of all terms with this field and value.
    named: DefaultHasher,
    /// The entry of the first term that is out of order.
    pub(super) unordered: Option<Seq>,
}

impl Index {
    /// No terms yet, to be compared with a sum.
    pub(super) fn beside(sum: &Sum) -> Self {
        let mut sum = sum.empty();
        let named = sum.named(&[], &[]);
        let (field, value) = (Vec::new(), Vec::new());
        Self { sum, field, value, seq: 0, named, unordered: None }
    }

    pub(super) fn add(&mut self, term: RawTerm<'_>) {
        let RawTerm { field, value, seq } = term;
        // Many terms stand together that differ in their place only.
        if field == self.field && value == self.value {
            if seq <= self.seq {
                self.unordered.get_or_insert(seq);
            }
        } else {
            if (field, value) < (&self.field, &self.value) {
                self.unordered.get_or_insert(seq);
            }
            field.clone_into(&mut self.field);
            value.clone_into(&mut self.value);
            self.named = self.sum.named(field, value);
        }
        self.seq = seq;
        self.sum.add_at(self.named.clone(), seq);
    }
}
