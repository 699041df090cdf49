//! Whatever is called in whatever order, legal or not: the record stays good, what is refused
//! changes nothing, and no unit is released that the engine does not find releasable.
//!
//! `PROPTEST_CASES` says how many sequences.

mod acts;
mod known;
mod night;
mod words;

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use crossread_core::document::{Digest, Id, List, Time};
use crossread_core::interpretation::Answer;
use crossread_core::words::{Answer as Answered, Inspection, Verdict};
use crossread_core::worksheet::draft;
use crossread_journal::{Event, Head, Journal, JournalError, Location, Past, Refusal, Sheet};
use proptest::prelude::*;
use proptest::test_runner::TestRunner;

use self::acts::{Act, acts};
use self::known::interpreted;
use self::night::Night;
use self::words::{DONORS, RECIPIENTS, WORKSHEETS};
use crate::bench::id;

impl Night {
    /// Does it, and looks whether everything holds that always holds.
    fn step(&mut self, act: &Act) {
        let before = self.journal.head().unwrap();
        let (owed, spikable) = (self.releasable(), self.spikable());
        let done = self.try_to(act);
        let after = self.journal.head().unwrap();
        // A clean reading is three calls, of which the first may be done and the next refused.
        let in_parts = matches!(act, Act::ReadClean { .. });
        match &done {
            Ok(()) if matches!(act, Act::Wait(_)) => assert_eq!(after, before),
            Ok(()) => assert!(after.seq > before.seq, "{act:?} was done, and nothing is written"),
            Err(
                JournalError::Refused(_) | JournalError::Faults(_) | JournalError::Unknown { .. },
            ) => {
                assert!(
                    in_parts || after == before,
                    "{act:?} was refused, and something is written"
                );
            }
            Err(error) => panic!("{act:?}: {error:?}"),
        }
        *self.seen.entry(if done.is_ok() { "done" } else { "refused" }).or_default() += 1;
        let verified = self.journal.verify(Some(before)).unwrap();
        assert!(verified.is_good(), "{act:?}: {verified:?}");
        assert_eq!((verified.head, verified.entries), (after, after.seq));
        for seq in before.seq + 1..=after.seq {
            let entry = self.journal.entry(seq).unwrap();
            let kind = entry.event.kind().word();
            *self.seen.entry(kind).or_default() += 1;
            self.written.push((seq, kind));
            if let Event::Released(released) = &entry.event {
                let pair = (entry.worksheet.clone().unwrap(), released.donor.clone());
                assert!(owed.contains(&pair), "{act:?} released {released:?}; {owed:?}");
            }
            if let Event::Started(started) = &entry.event {
                let allowed = spikable.contains(&started.release);
                assert!(allowed, "{act:?} started {started:?}; {spikable:?}");
            }
        }
        self.is_remembered(after);
        self.knowing_frees_nothing();
    }

    /// A journal that is opened anew, and so reads everything again, tells the same of every sheet.
    fn is_remembered(&mut self, head: Head) {
        let mut again = Journal::open(&self.place).unwrap();
        assert_eq!(again.head().unwrap(), head);
        for name in WORKSHEETS {
            let (here, there) = (self.journal.sheet(&id(name)), again.sheet(&id(name)));
            assert_eq!(here.ok(), there.ok(), "{name}");
        }
        for animal in RECIPIENTS.iter().chain(&DONORS) {
            let (here, there) = (self.journal.animal(&id(animal)), again.animal(&id(animal)));
            assert_eq!(here.unwrap(), there.unwrap(), "{animal}");
        }
    }

    /// Worksheet and donor of every pair that may be released now, found without the journal's own
    /// rules: by the engine on the worksheet as it stands and as it was issued, and on what the
    /// recipient's past adds to it.
    fn releasable(&mut self) -> Vec<(Id, Id)> {
        let mut found = Vec::new();
        for sheet in self.sheets() {
            let now = self.latest(sheet.opened[0].seq - 1);
            let Ok(view) = self.journal.view(&sheet.id) else { continue };
            let Some(issued) = sheet.issued.last() else { continue };
            let hash = Digest::of(&view.document).to_string();
            if issued.value.interpretation["worksheet"]["sha256"] != hash.as_str() {
                continue;
            }
            let recipient = sheet.recipient().unwrap();
            let (past, _) = self.journal.animal(recipient).unwrap();
            if past.reactions.iter().any(|reaction| reaction.seq > issued.seq) {
                continue;
            }
            let (stands, knowing) =
                (interpreted(&view.document), interpreted(&with_past(&view.document, &past)));
            let allows = |answer: &Answer| {
                answer.releasable && answer.valid_until.is_some_and(|until| now.instant() <= until)
            };
            for (stands, knowing) in stands.pairs.iter().zip(&knowing.pairs) {
                let fit = self.is_fit(&sheet, &stands.donor, now);
                if fit && allows(stands) && allows(knowing) {
                    found.push((sheet.id.clone(), stands.donor.clone()));
                }
            }
        }
        found
    }

    /// Whether a donor's unit may be used by how it looks, by its day, and by what happened to it:
    /// no animal reacted to it, and it was looked at since it last came back.
    fn is_fit(&mut self, sheet: &Sheet, donor: &Id, now: Time) -> bool {
        let Some(entered) = sheet.donor(donor) else { return false };
        let Some(unit) = &entered.value.donor.unit else { return false };
        let looked_at = unit.inspection == Some(Inspection::Normal)
            && unit.expires_on.is_some_and(|day| day >= now.date());
        let mut gone = BTreeMap::new();
        let (mut barred, mut returned) = (false, 0);
        let mut taken_back = BTreeSet::new();
        let head = self.journal.head().unwrap().seq;
        let entries: Vec<_> = (1..=head).map(|seq| self.journal.entry(seq).unwrap()).collect();
        for entry in &entries {
            if let Event::Retraction(retraction) = &entry.event {
                taken_back.insert(retraction.of);
            }
        }
        for entry in &entries {
            match &entry.event {
                Event::Released(of) => drop(gone.insert(entry.seq, of.unit.clone())),
                Event::EmergencyReleased(of) => drop(gone.insert(entry.seq, of.unit.clone())),
                Event::Returned(back) if gone.get(&back.release) == unit.number.as_ref() => {
                    returned = entry.seq;
                }
                Event::Reacted(of) if of.unit.is_some() && of.unit == unit.number => {
                    barred |= !taken_back.contains(&entry.seq);
                }
                _ => {}
            }
        }
        looked_at && !barred && entered.seq > returned
    }

    /// The releases whose unit may be spiked now, found without the journal's own rules: not
    /// returned, not spiked, the unit fit, no reaction since, and the worksheet as it stands
    /// allows it, or, for what was released in an emergency, does not forbid it.
    fn spikable(&mut self) -> BTreeSet<u64> {
        let mut found = BTreeSet::new();
        for sheet in self.sheets() {
            let now = self.latest(sheet.opened[0].seq - 1);
            let Ok(view) = self.journal.view(&sheet.id) else { continue };
            let (past, _) = self.journal.animal(sheet.recipient().unwrap()).unwrap();
            let stands = interpreted(&view.document);
            let ordinary = sheet.releases.iter().map(|of| {
                let until = of.value.valid_until.as_str().parse::<jiff::Timestamp>().unwrap();
                (of.seq, of.at, of.value.donor.clone(), of.value.unit.clone(), Some(until))
            });
            let hurried = sheet
                .emergency_releases
                .iter()
                .map(|of| (of.seq, of.at, of.value.donor.clone(), of.value.unit.clone(), None));
            for (release, at, donor, unit, until) in ordinary.chain(hurried).collect::<Vec<_>>() {
                let back = sheet.returned.iter().any(|back| back.value.release == release);
                let spiked = sheet.started.iter().any(|start| start.value.release == release);
                let reacted = past.reactions.iter().any(|reaction| reaction.seq > release);
                let Some(pair) = stands.pairs.iter().find(|pair| pair.donor == donor) else {
                    continue;
                };
                let allowed = match until {
                    Some(until) => {
                        let now = now.instant();
                        let ends = pair.valid_until;
                        pair.releasable && now <= until && ends.is_some_and(|ends| now <= ends)
                    }
                    None => pair.verdict != Verdict::Incompatible,
                };
                let named = sheet.unit(&donor).and_then(|unit| unit.number.clone());
                if !back
                    && !spiked
                    && !reacted
                    && allowed
                    && named == Some(unit)
                    && self.now().instant() >= at.instant()
                    && self.is_fit(&sheet, &donor, now)
                {
                    found.insert(release);
                }
            }
        }
        found
    }

    /// What the journal laid over the worksheets makes no pair better.
    fn knowing_frees_nothing(&mut self) {
        for sheet in self.sheets() {
            self.knowing_is_no_better(&sheet);
        }
    }

    /// The export of an import of an export is the export.
    fn goes_round(&mut self) {
        let mut export = Vec::new();
        let mut exported = self.journal.export(&mut export);
        if let Err(JournalError::Refused(Refusal::Blind(sheets))) = &exported {
            for sheet in sheets {
                assert!(!self.journal.sheet(sheet).unwrap().awaited().is_empty());
                let writer = self.by("KT");
                self.journal.unblind(&writer, sheet, "to be exported").unwrap();
            }
            export.clear();
            exported = self.journal.export(&mut export);
        }
        let head = exported.unwrap();
        let place = Location::from(self.folder.path().join("copy.journal").as_path());
        let mut copy = Journal::create_empty(&place).unwrap();
        assert_eq!(copy.import(&mut export.as_slice()).unwrap().head, head);
        assert!(copy.verify(Some(head)).unwrap().is_good());
        for name in WORKSHEETS {
            assert_eq!(copy.sheet(&id(name)).ok(), self.journal.sheet(&id(name)).ok());
        }
        let mut again = Vec::new();
        copy.export(&mut again).unwrap();
        assert_eq!(again, export);
    }
}

/// A worksheet's document with what is known of the recipient's transfusions, reactions and
/// incompatible donors.
fn with_past(document: &[u8], past: &Past) -> Vec<u8> {
    let mut told: draft::Worksheet = serde_json::from_slice(document).unwrap();
    let mut recipient = told.recipient.take().unwrap();
    let mut history = recipient.history.take().unwrap_or_default();
    if let Some(last) = past.transfusions.iter().map(|happened| happened.on).max() {
        // Transfused and nobody knows when is the worst already.
        if history.transfused == Some(Answered::Never) || history.last_transfused_on.is_some() {
            history.last_transfused_on = history.last_transfused_on.max(Some(last));
        }
        history.transfused = Some(Answered::Yes);
    }
    if !past.reactions.is_empty() {
        history.reaction = Some(Answered::Yes);
    }
    let mut with: BTreeSet<Id> = past.incompatible.iter().map(|pair| pair.donor.clone()).collect();
    with.extend(history.incompatible_with.iter().flat_map(List::iter).map(|(_, id)| id.clone()));
    history.incompatible_with = Some(with.into_iter().collect());
    recipient.history = Some(history);
    told.recipient = Some(recipient);
    serde_json::to_vec(&told).unwrap()
}

fn cases(usual: u32) -> u32 {
    std::env::var("PROPTEST_CASES").ok().and_then(|cases| cases.parse().ok()).unwrap_or(usual)
}

#[test]
fn what_always_holds() {
    let config =
        ProptestConfig { cases: cases(32), failure_persistence: None, ..ProptestConfig::default() };
    let (all, seen) = (config.cases, RefCell::new(BTreeMap::<&str, u32>::new()));
    TestRunner::new(config)
        .run(&acts(), |acts| {
            let mut night = Night::new();
            for act in &acts {
                night.step(act);
            }
            night.goes_round();
            for (what, count) in night.seen {
                *seen.borrow_mut().entry(what).or_default() += count;
            }
            Ok(())
        })
        .unwrap();
    // They do come to what is asked here.
    let seen = seen.into_inner();
    println!("in {all} sequences: {seen:?}");
    for what in [
        "done",
        "refused",
        "release",
        "emergency_release",
        "interpretation_issued",
        "transfusion_started",
    ] {
        assert!(seen.contains_key(what), "{what}: {seen:?}");
    }
}
