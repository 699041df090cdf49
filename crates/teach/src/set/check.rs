//! The check of a set: every fault at once, and each key computed anew.

use std::collections::{BTreeMap, BTreeSet};

use crossread_core::Protocols;
use crossread_core::document::{Digest, format_of};

use super::ask::Answer;
use super::item::{Item, Kind};
use super::key::{self, Interpreted, Truth};
use super::{FORMAT, Set, WATERMARK};
use crate::fault::{Fault, Faults, nearest};

/// A set that was checked: every key is what is shown or what the engine makes of it. Only the
/// check makes one.
#[derive(Clone, Debug)]
pub struct Exercise {
    set: Set,
    runs: BTreeMap<String, Interpreted>,
    truths: BTreeMap<String, Truth>,
    protocols: Protocols,
    digest: Digest,
}

impl Exercise {
    /// Checks a document and takes the set out of it.
    ///
    /// ```
    /// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
    /// # use lesson::*;
    /// let document = drawings().set().to_json();
    /// let exercise = Exercise::from_json(document.as_bytes(), Protocols::shipped())?;
    /// assert_eq!(exercise.set().items.len(), 6);
    /// // A key that is not what the drawing shows.
    /// let key = &exercise.set().items[0].key;
    /// let other = exercise.set().items[0].choices.iter().find(|choice| *choice != key);
    /// let other = format!("\"key\": \"{}\"", other.ok_or("one choice")?);
    /// let wrong = document.replacen(&format!("\"key\": \"{key}\""), &other, 1);
    /// assert!(Exercise::from_json(wrong.as_bytes(), Protocols::shipped()).is_err());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// All faults of the document at once; of one that is not JSON, or whose form is wrong, the
    /// first.
    pub fn from_json(document: &[u8], protocols: &Protocols) -> Result<Self, Faults> {
        let read: Result<Set, _> = serde_json::from_slice(document);
        let set = read.map_err(|error| {
            let other = format_of(document).filter(|format| format != FORMAT);
            let said = error.to_string();
            let said = said.split(" at line ").next().unwrap_or_default().to_owned();
            Faults::one(Fault {
                line: u64::try_from(error.line()).ok(),
                column: u64::try_from(error.column()).ok(),
                at: String::new(),
                expected: format!("a set of exercises, `{FORMAT}`"),
                found: other.map_or(said, |other| format!("a document that says it is `{other}`")),
                hint: Some("make one with `crossread exercise make`".to_owned()),
            })
        })?;
        Self::checked(set, protocols, Digest::of(document))
    }

    /// Checks a set that was just made.
    ///
    /// # Errors
    /// All faults at once.
    pub(crate) fn of(set: Set, protocols: &Protocols) -> Result<Self, Faults> {
        let digest = Digest::of(set.to_json().as_bytes());
        Self::checked(set, protocols, digest)
    }

    fn checked(set: Set, protocols: &Protocols, digest: Digest) -> Result<Self, Faults> {
        let mut check = Check { set: &set, protocols, faults: Vec::new() };
        check.head();
        let runs = check.runs();
        let truths = check.items(&runs);
        let faults = check.faults;
        match Faults::any(faults) {
            Some(faults) => Err(faults),
            None => Ok(Self { set, runs, truths, protocols: protocols.clone(), digest }),
        }
    }

    /// The set.
    pub fn set(&self) -> &Set {
        &self.set
    }

    /// SHA-256 of its document.
    pub fn digest(&self) -> Digest {
        self.digest
    }

    /// The protocols that it was checked with.
    pub(crate) fn protocols(&self) -> &Protocols {
        &self.protocols
    }

    /// An item by its id.
    ///
    /// ```
    /// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
    /// # use lesson::*;
    /// let exercise = drawings();
    /// let first = &exercise.set().items[0];
    /// assert_eq!(exercise.item(&first.id), Some(first));
    /// assert_eq!(exercise.item("no such item"), None);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn item(&self, id: &str) -> Option<&Item> {
        self.set.items.iter().find(|item| item.id == id)
    }

    /// The run of an item with what the engine makes of it.
    ///
    /// ```
    /// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
    /// # use lesson::*;
    /// let exercise = runs();
    /// let item = &exercise.set().items[0];
    /// let run = exercise.run_of(item).ok_or("no run")?;
    /// let donor = item.donor.as_deref().ok_or("no donor")?;
    /// assert!(run.pair(donor).is_some());
    /// // A single drawing belongs to no run.
    /// let drawings = drawings();
    /// assert!(drawings.run_of(&drawings.set().items[0]).is_none());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn run_of(&self, item: &Item) -> Option<&Interpreted> {
        self.runs.get(item.run.as_deref()?)
    }

    /// What is right about an item.
    ///
    /// ```
    /// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
    /// # use lesson::*;
    /// let exercise = drawings();
    /// let item = &exercise.set().items[0];
    /// assert_eq!(exercise.truth(item).map(|truth| truth.key.word()), Some(item.key.clone()));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn truth(&self, item: &Item) -> Option<&Truth> {
        self.truths.get(&item.id)
    }
}

struct Check<'a> {
    set: &'a Set,
    protocols: &'a Protocols,
    faults: Vec<Fault>,
}

impl Check<'_> {
    fn fault(
        &mut self,
        at: String,
        expected: &str,
        found: impl Into<String>,
        hint: Option<String>,
    ) {
        self.faults.push(Fault {
            line: None,
            column: None,
            at,
            expected: expected.to_owned(),
            found: found.into(),
            hint,
        });
    }

    fn head(&mut self) {
        let set = self.set;
        for (at, expected, found) in [
            ("/format", FORMAT, &set.format),
            ("/watermark", WATERMARK, &set.watermark),
            ("/scheme", crate::chance::SCHEME, &set.scheme),
        ] {
            if found != expected {
                self.fault(at.to_owned(), &format!("`{expected}`"), format!("`{found}`"), None);
            }
        }
        if set.near_hundredths > 100 {
            let found = set.near_hundredths.to_string();
            self.fault("/near_hundredths".to_owned(), "a score from 0 to 100", found, None);
        }
        if set.items.is_empty() {
            self.fault("/items".to_owned(), "at least one item", "none", None);
        }
        if set.id.is_empty() {
            self.fault("/id".to_owned(), "text that is not empty", "nothing", None);
        }
        let ids = set.items.iter().map(|item| item.id.as_str());
        self.unique("items", ids.collect());
        self.unique("runs", set.runs.iter().map(|run| run.id.as_str()).collect());
    }

    fn unique(&mut self, what: &str, ids: Vec<&str>) {
        let mut met = BTreeSet::new();
        for (number, id) in ids.into_iter().enumerate() {
            if id.is_empty() || !met.insert(id) {
                let found = format!("`{id}`");
                self.fault(format!("/{what}/{number}/id"), "an id of its own", found, None);
            }
        }
    }

    fn runs(&mut self) -> BTreeMap<String, Interpreted> {
        let mut runs = BTreeMap::new();
        for (number, run) in self.set.runs.iter().enumerate() {
            let at = format!("/runs/{number}/worksheet");
            let format = run.worksheet.format.as_ref().map_or("", |format| format.as_str());
            if format != key::OF_EXERCISE {
                let expected = format!("`{}`", key::OF_EXERCISE);
                self.fault(format!("{at}/format"), &expected, format!("`{format}`"), None);
            }
            match run.interpreted(self.protocols) {
                Ok(interpreted) => {
                    runs.insert(run.id.clone(), interpreted);
                }
                Err(None) => {
                    self.fault(format!("{at}/protocol"), "a protocol at hand", "none", None);
                }
                Err(Some(faults)) => {
                    for fault in faults.as_slice() {
                        let found = fault.found.clone();
                        let hint = fault.hint.clone();
                        self.fault(format!("{at}{}", fault.pointer), &fault.expected, found, hint);
                    }
                }
            }
        }
        runs
    }

    fn items(&mut self, runs: &BTreeMap<String, Interpreted>) -> BTreeMap<String, Truth> {
        let mut truths = BTreeMap::new();
        for (number, item) in self.set.items.iter().enumerate() {
            let at = format!("/items/{number}");
            if item.rules.among(self.protocols).is_none() {
                let found = format!(
                    "{} {} with SHA-256 {}",
                    item.rules.id, item.rules.version, item.rules.sha256
                );
                let hint = "give the protocol that the set was made with: --protocol FILE";
                let expected = "a protocol at hand, with the same hash";
                self.fault(format!("{at}/rules"), expected, found, Some(hint.to_owned()));
            }
            self.choices(item, &at);
            match self.truth(item, &at, runs) {
                Some(truth) if truth.key.word() != item.key => {
                    let expected = format!("`{}`, which is what it comes to", truth.key.word());
                    let hint = "a key is never changed by hand; make the set anew".to_owned();
                    self.fault(
                        format!("{at}/key"),
                        &expected,
                        format!("`{}`", item.key),
                        Some(hint),
                    );
                }
                Some(truth) => {
                    truths.insert(item.id.clone(), truth);
                }
                None => {}
            }
        }
        truths
    }

    fn choices(&mut self, item: &Item, at: &str) {
        let known: Vec<String> =
            item.ask.answers(self.set.scale).iter().map(Answer::word).collect();
        let mut met = BTreeSet::new();
        for (number, choice) in item.choices.iter().enumerate() {
            if !known.contains(choice) || !met.insert(choice) {
                let hint = nearest(choice, known.iter().map(String::as_str));
                let hint = hint.map(|near| format!("did you mean `{near}`?"));
                let expected = format!("an answer about {}, once", item.ask);
                self.fault(
                    format!("{at}/choices/{number}"),
                    &expected,
                    format!("`{choice}`"),
                    hint,
                );
            }
        }
        for (list, words) in
            [("experts", item.experts.as_slice()), ("key", std::slice::from_ref(&item.key))]
        {
            for word in words {
                if !item.choices.contains(word) {
                    self.fault(
                        format!("{at}/{list}"),
                        "one of the choices",
                        format!("`{word}`"),
                        None,
                    );
                }
            }
        }
    }

    fn truth(
        &mut self,
        item: &Item,
        at: &str,
        runs: &BTreeMap<String, Interpreted>,
    ) -> Option<Truth> {
        let truth = match (item.kind, &item.shown, &item.run) {
            (Kind::Picture, Some(shown), None) => key::of_picture(item.ask, shown, self.set.scale),
            (Kind::Run | Kind::Text, None, Some(run)) => {
                let Some(interpreted) = runs.get(run) else {
                    if !self.set.runs.iter().any(|known| known.id == *run) {
                        let ids = self.set.runs.iter().map(|known| known.id.as_str());
                        let hint = nearest(run, ids).map(|near| format!("did you mean `{near}`?"));
                        self.fault(
                            format!("{at}/run"),
                            "a run of the set",
                            format!("`{run}`"),
                            hint,
                        );
                    }
                    return None;
                };
                let named = interpreted.worksheet.protocol();
                if named.digest != item.rules.sha256 {
                    let expected = "the rules of the run's worksheet";
                    let found = format!("{} {}", item.rules.id, item.rules.version);
                    self.fault(format!("{at}/rules"), expected, found, None);
                }
                let donor = item.donor.as_deref().unwrap_or_default();
                if interpreted.pair(donor).is_none() {
                    let expected = "a donor of the run";
                    self.fault(format!("{at}/donor"), expected, format!("`{donor}`"), None);
                    return None;
                }
                key::of_run(item, interpreted)
            }
            (Kind::Picture | Kind::Run | Kind::Text, _, _) => None,
        };
        if truth.is_none() {
            let expected = "one right answer among the choices to what the item shows";
            let found = "a question that does not fit, or that has none or several";
            self.fault(at.to_owned(), expected, found, None);
        }
        truth
    }
}
