//! One worksheet, as its entries tell it.

use crossread_core::Worksheet;
use crossread_core::document::{Faults, Id, List, Text, Time};
use crossread_core::protocol::{Look, Protocols};
use crossread_core::words::{Answer, Product, Test};
use crossread_core::worksheet::{FORMAT, draft};

use crate::canonical::canonical;
use crate::entry::{Entry, Seq};
use crate::error::JournalError;
use crate::event::{
    Cell, ClericallyChecked, ControlsNoted, DonorAdded, EmergencyReleased, Ended, Event, Handed,
    Issued, Kind, Known, LookBegun, Note, Observed, OutcomeMeasured, Override, ReadingEntered,
    Released, Returned, SampleAdded, SegmentChecked, SetupNoted, Started, StepDone, Task,
    TaskRaised, WorksheetOpened,
};

/// Something that was entered, and whether it still counts.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Entered<T> {
    /// Its entry.
    pub seq: Seq,
    /// When it was entered.
    pub at: Time,
    /// Who entered it.
    pub by: Text,
    /// What was entered.
    pub value: T,
    /// The entry that it replaces, if it amends one.
    pub replaces: Option<Seq>,
    /// How it was taken back, if it was.
    pub taken_back: Option<TakenBack>,
}

/// How an entry was taken back.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct TakenBack {
    /// The entry of the retraction.
    pub seq: Seq,
    /// When.
    pub at: Time,
    /// By whom.
    pub by: Text,
    /// Why.
    pub reason: Text,
    /// When, by whom and why by a worksheet that was written elsewhere, if it was taken over.
    pub told: Option<draft::Retracted>,
    /// The entry that stands in its place, if one does.
    pub replaced_by: Option<Seq>,
}

impl<T> Entered<T> {
    fn new(entry: &Entry, value: T) -> Self {
        let Entry { seq, at, by, replaces, .. } = entry;
        Self { seq: *seq, at: *at, by: by.clone(), value, replaces: *replaces, taken_back: None }
    }

    /// Whether it still counts.
    pub fn stands(&self) -> bool {
        self.taken_back.is_none()
    }
}

/// One worksheet: everything that was entered on it, in the order of the entries, with what was
/// taken back.
///
/// ```
/// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
/// # use night::*;
/// let sheet = issued().sheet(&id("WS-1"))?;
/// let donor = sheet.donor(&id("D-091")).ok_or("no donor")?;
/// assert_eq!((donor.by.as_str(), donor.at), ("KT", time("02:45")));
/// assert!(sheet.readings.iter().all(|reading| reading.stands()));
/// assert_eq!(sheet.last_issued().map(|issued| issued.value.revision), Some(1));
/// assert!(!sheet.changed_since_issue() && !sheet.is_blind());
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Sheet {
    /// Its id.
    pub id: Id,
    /// How it was opened; more than once if the opening was amended.
    pub opened: Vec<Entered<WorksheetOpened>>,
    /// The samples.
    pub samples: Vec<Entered<SampleAdded>>,
    /// The donors; an amended donor keeps its place.
    pub donors: Vec<Entered<DonorAdded>>,
    /// How the mixtures were made; the last that stands counts.
    pub setups: Vec<Entered<SetupNoted>>,
    /// The reagents' own controls; the last that stands count.
    pub controls: Vec<Entered<ControlsNoted>>,
    /// The readings.
    pub readings: Vec<Entered<ReadingEntered>>,
    /// The looks that were begun and are not finished, the last of each person in each mixture.
    pub looks: Vec<Entered<LookBegun>>,
    /// The steps that clocks run from.
    pub steps: Vec<Entered<StepDone>>,
    /// Free text.
    pub notes: Vec<Entered<Note>>,
    /// The checks at the segments.
    pub segments: Vec<Entered<SegmentChecked>>,
    /// The interpretations that were issued, by revision.
    pub issued: Vec<Entered<Issued>>,
    /// Who else was given one.
    pub handed: Vec<Entered<Handed>>,
    /// The releases.
    pub releases: Vec<Entered<Released>>,
    /// The emergency releases.
    pub emergency_releases: Vec<Entered<EmergencyReleased>>,
    /// The units that came back.
    pub returned: Vec<Entered<Returned>>,
    /// The transfusions that were started.
    pub started: Vec<Entered<Started>>,
    /// What was seen while they ran.
    pub observed: Vec<Entered<Observed>>,
    /// How they ended.
    pub ended: Vec<Entered<Ended>>,
    /// The PCV after them.
    pub outcomes: Vec<Entered<OutcomeMeasured>>,
    /// The clerical checks.
    pub clerical_checks: Vec<Entered<ClericallyChecked>>,
    /// The tasks, with the entry that closed each.
    pub tasks: Vec<(Entered<TaskRaised>, Option<Seq>)>,
    /// Whether first readings are shown although the second reader has not entered.
    pub unblinded: bool,
    /// The last entry.
    pub last: Seq,
    /// The last entry that can change what the worksheet comes to.
    pub changed: Seq,
}

impl Sheet {
    /// The worksheet that an entry opens.
    pub(crate) fn open(entry: &Entry) -> Option<Self> {
        let (Some(id), Event::WorksheetOpened(_)) = (&entry.worksheet, &entry.event) else {
            return None;
        };
        let mut sheet = Self {
            id: id.clone(),
            opened: Vec::new(),
            samples: Vec::new(),
            donors: Vec::new(),
            setups: Vec::new(),
            controls: Vec::new(),
            readings: Vec::new(),
            looks: Vec::new(),
            steps: Vec::new(),
            notes: Vec::new(),
            segments: Vec::new(),
            issued: Vec::new(),
            handed: Vec::new(),
            releases: Vec::new(),
            emergency_releases: Vec::new(),
            returned: Vec::new(),
            started: Vec::new(),
            observed: Vec::new(),
            ended: Vec::new(),
            outcomes: Vec::new(),
            clerical_checks: Vec::new(),
            tasks: Vec::new(),
            unblinded: false,
            last: 0,
            changed: 0,
        };
        sheet.apply(entry);
        Some(sheet)
    }

    /// Lays one more entry over the worksheet.
    pub(crate) fn apply(&mut self, entry: &Entry) {
        self.last = entry.seq;
        match &entry.event {
            Event::WorksheetOpened(opened) => {
                place(&mut self.opened, Entered::new(entry, opened.clone()));
            }
            Event::SampleAdded(added) => {
                place(&mut self.samples, Entered::new(entry, added.clone()));
            }
            Event::DonorAdded(added) => {
                place(&mut self.donors, Entered::new(entry, added.clone()));
            }
            Event::SetupNoted(noted) => {
                place(&mut self.setups, Entered::new(entry, noted.clone()));
            }
            Event::ControlsNoted(noted) => {
                place(&mut self.controls, Entered::new(entry, noted.clone()));
            }
            Event::ReadingEntered(entered) => {
                // Both stay in view, the later one last.
                self.mark_replaced(entry);
                if let (false, Some(of)) = (entered.transcribed, cell(&entered.reading)) {
                    self.end_look(&of, entry.by.as_str());
                }
                self.readings.push(Entered::new(entry, entered.clone()));
            }
            Event::LookBegun(begun) => {
                self.end_look(&begun.of, entry.by.as_str());
                if !begun.is_empty() {
                    self.looks.push(Entered::new(entry, begun.clone()));
                }
            }
            Event::StepDone(done) => {
                self.steps.push(Entered::new(entry, done.clone()));
            }
            Event::Retraction(retraction) => {
                let taken = TakenBack {
                    seq: entry.seq,
                    at: entry.at,
                    by: entry.by.clone(),
                    reason: retraction.reason.clone(),
                    told: retraction.told.clone(),
                    replaced_by: None,
                };
                self.take_back(retraction.of, &taken);
            }
            Event::Unblinded(_) => {
                self.unblinded = true;
            }
            Event::Note(note) => {
                self.notes.push(Entered::new(entry, note.clone()));
            }
            Event::SegmentChecked(checked) => {
                self.segments.push(Entered::new(entry, checked.clone()));
            }
            Event::Issued(issued) => {
                self.issued.push(Entered::new(entry, issued.clone()));
            }
            Event::Handed(handed) => {
                self.handed.push(Entered::new(entry, handed.clone()));
            }
            Event::Released(released) => {
                self.releases.push(Entered::new(entry, released.clone()));
            }
            Event::EmergencyReleased(released) => {
                self.emergency_releases.push(Entered::new(entry, released.clone()));
            }
            Event::Returned(returned) => {
                self.returned.push(Entered::new(entry, returned.clone()));
            }
            Event::Started(started) => {
                self.started.push(Entered::new(entry, started.clone()));
            }
            Event::Observed(observed) => {
                self.observed.push(Entered::new(entry, observed.clone()));
            }
            Event::Ended(ended) => {
                self.ended.push(Entered::new(entry, ended.clone()));
            }
            Event::OutcomeMeasured(outcome) => {
                self.outcomes.push(Entered::new(entry, outcome.clone()));
            }
            Event::ClericallyChecked(checked) => {
                self.clerical_checks.push(Entered::new(entry, checked.clone()));
            }
            Event::TaskRaised(raised) => {
                self.tasks.push((Entered::new(entry, raised.clone()), None));
            }
            Event::TaskClosed(closed) => {
                let task = self.tasks.iter_mut().find(|(task, _)| task.seq == closed.task);
                if let Some((_, by)) = task {
                    by.get_or_insert(entry.seq);
                }
            }
            Event::JournalOpened(_)
            | Event::ProtocolRecorded(_)
            | Event::Transfused(_)
            | Event::Reacted(_)
            | Event::Typed(_) => {}
        }
        if entry.event.kind().changes() {
            self.changed = entry.seq;
        }
    }

    fn mark_replaced(&mut self, entry: &Entry) {
        let replaced = self.readings.iter_mut().find(|reading| Some(reading.seq) == entry.replaces);
        if let Some(taken) = replaced.and_then(|reading| reading.taken_back.as_mut()) {
            taken.replaced_by = Some(entry.seq);
        }
    }

    /// Marks an entry as taken back.
    fn take_back(&mut self, of: Seq, taken: &TakenBack) {
        fn mark<T>(all: &mut [Entered<T>], of: Seq, taken: &TakenBack) {
            if let Some(entered) = all.iter_mut().find(|entered| entered.seq == of) {
                entered.taken_back.get_or_insert_with(|| taken.clone());
            }
        }
        mark(&mut self.opened, of, taken);
        mark(&mut self.samples, of, taken);
        mark(&mut self.donors, of, taken);
        mark(&mut self.setups, of, taken);
        mark(&mut self.controls, of, taken);
        mark(&mut self.readings, of, taken);
        self.looks.retain(|begun| begun.seq != of);
    }

    /// How it is opened now.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let sheet = opened().sheet(&id("WS-1"))?;
    /// let opened = sheet.opening().ok_or("not opened")?;
    /// assert_eq!(opened.value.protocol.id, id("dog-routine"));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn opening(&self) -> Option<&Entered<WorksheetOpened>> {
        self.opened.iter().rev().find(|opened| opened.stands())
    }

    /// The recipient's id.
    pub fn recipient(&self) -> Option<&Id> {
        self.opening()?.value.recipient.id.as_ref()
    }

    /// The donors that stand.
    pub fn donors(&self) -> impl Iterator<Item = &Entered<DonorAdded>> {
        self.donors.iter().filter(|donor| donor.stands())
    }

    /// A donor that stands, by its id.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let sheet = read().sheet(&id("WS-1"))?;
    /// assert!(sheet.donor(&id("D-091")).is_some());
    /// assert!(sheet.donor(&id("D-092")).is_none());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn donor(&self, id: &Id) -> Option<&Entered<DonorAdded>> {
        self.donors().find(|donor| donor.value.donor.id.as_ref() == Some(id))
    }

    /// What would be given of a donor.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// # use crossread_core::words::Product;
    /// let sheet = read().sheet(&id("WS-1"))?;
    /// assert_eq!(sheet.product(&id("D-091")), Some(Product::PackedCells));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn product(&self, donor: &Id) -> Option<Product> {
        self.donor(donor)?.value.donor.product
    }

    /// The unit of a donor.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let sheet = read().sheet(&id("WS-1"))?;
    /// let unit = sheet.unit(&id("D-091")).ok_or("no unit")?;
    /// assert_eq!(unit.number, Some(id("U-5512")));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn unit(&self, donor: &Id) -> Option<&draft::Unit> {
        self.donor(donor)?.value.donor.unit.as_ref()
    }

    /// Whether mixtures are read by a second person who must not see the first one's values.
    pub fn is_blind(&self) -> bool {
        !self.unblinded && self.opening().is_some_and(|opened| opened.value.second_reader)
    }

    /// Whether a reading's values are not given out: its mixture is to be read by a second person,
    /// and was not yet.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = begun();
    /// journal.open_worksheet(&kt("02:41"), &opening("WS-1", true), Protocols::shipped())?;
    /// journal.enter(&kt("03:28"), &id("WS-1"), look(None, "w"))?;
    /// let sheet = journal.sheet(&id("WS-1"))?;
    /// assert!(sheet.is_blind() && sheet.is_sealed(&sheet.readings[0]));
    /// assert_eq!(sheet.readings[0].value.reading.agglutination, None);
    /// // LM looked too, without having seen it.
    /// journal.enter(&Writer::new("LM", time("03:29")), &id("WS-1"), look(None, "w"))?;
    /// let sheet = journal.sheet(&id("WS-1"))?;
    /// assert!(!sheet.is_sealed(&sheet.readings[0]));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn is_sealed(&self, reading: &Entered<ReadingEntered>) -> bool {
        self.is_cell_sealed(cell(&reading.value.reading).as_ref())
    }

    /// Whether an entry is a reading whose values are not given out.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = begun();
    /// journal.open_worksheet(&kt("02:41"), &opening("WS-1", true), Protocols::shipped())?;
    /// let reading = journal.enter(&kt("03:28"), &id("WS-1"), look(None, "w"))?.seq;
    /// assert!(journal.sheet(&id("WS-1"))?.is_entry_sealed(reading));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn is_entry_sealed(&self, seq: Seq) -> bool {
        self.readings.iter().any(|reading| reading.seq == seq && self.is_withheld(reading))
    }

    pub(crate) fn is_cell_sealed(&self, of: Option<&Cell>) -> bool {
        self.is_blind() && self.readers(of) < 2 && !self.is_given_up(of)
    }

    /// Whether every look at a mixture was taken back, and an interpretation was issued without one.
    fn is_given_up(&self, of: Option<&Cell>) -> bool {
        let Some(issued) = self.last_issued() else { return false };
        let mut looks =
            self.readings.iter().filter(|look| cell(&look.value.reading).as_ref() == of);
        looks.all(|look| !look.stands() && look.seq < issued.seq)
    }

    /// Whether a reading is left out of what is given out: it is sealed, or it is a recheck of a
    /// look that is.
    fn is_withheld(&self, reading: &Entered<ReadingEntered>) -> bool {
        let first = cell(&reading.value.reading).map(|cell| Cell { after: None, ..cell });
        self.is_sealed(reading) || self.is_cell_sealed(first.as_ref())
    }

    /// Whether a look that bears on a donor is not given out.
    pub(crate) fn waits(&self, donor: &Id) -> bool {
        self.readings
            .iter()
            .filter(|reading| reading.stands() && self.is_withheld(reading))
            .any(|reading| reading.value.reading.donor.as_ref().is_none_or(|of| of == donor))
    }

    /// How many different people have a standing reading of a mixture.
    fn readers(&self, of: Option<&Cell>) -> usize {
        let mut readers: Vec<String> = self
            .readings
            .iter()
            .filter(|reading| reading.stands() && cell(&reading.value.reading).as_ref() == of)
            .map(|reading| crate::terms::person(reader(reading)))
            .collect();
        readers.sort();
        readers.dedup();
        readers.len()
    }

    /// Whether what was seen in a look that is not finished is not given out to others.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// # use crossread_core::words::{Hemolysis, Phase, Test};
    /// let mut journal = opened();
    /// let of = Cell::new(Test::RecipientAuto, None, Phase::Room);
    /// let look = LookBegun { hemolysis: Hemolysis::new(1), ..LookBegun::new(of) };
    /// journal.begin_look(&kt("03:10"), &id("WS-1"), &look)?;
    /// // One reader: everybody may see how far it is. With two it would not be in the list.
    /// let sheet = journal.sheet(&id("WS-1"))?;
    /// assert!(!sheet.is_look_sealed(&sheet.looks[0]));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn is_look_sealed(&self, begun: &Entered<LookBegun>) -> bool {
        self.is_cell_sealed(Some(&begun.value.of))
    }

    /// The mixtures that wait for the second reader.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = begun();
    /// journal.open_worksheet(&kt("02:41"), &opening("WS-1", true), Protocols::shipped())?;
    /// journal.enter(&kt("03:28"), &id("WS-1"), look(None, "w"))?;
    /// let awaited = journal.sheet(&id("WS-1"))?.awaited();
    /// assert_eq!(awaited[0].to_string(), "recipient autocontrol at 37 °C");
    /// // Until then nothing is issued.
    /// let refused = journal.issue(&kt("03:34"), &id("WS-1"), "Dr Vane");
    /// assert!(refused.is_err());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn awaited(&self) -> Vec<Cell> {
        let mut awaited: Vec<Cell> = self
            .readings
            .iter()
            .filter(|reading| reading.stands() && self.is_sealed(reading))
            .filter_map(|reading| cell(&reading.value.reading))
            .collect();
        awaited.sort();
        awaited.dedup();
        awaited
    }

    /// The last interpretation that was issued.
    pub fn last_issued(&self) -> Option<&Entered<Issued>> {
        self.issued.last()
    }

    /// Whether something was entered after the last interpretation that could change it.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = issued();
    /// journal.enter(&kt("03:35"), &id("WS-1"), Note { text: "saline was fresh".into() })?;
    /// assert!(!journal.sheet(&id("WS-1"))?.changed_since_issue());
    /// journal.enter(&kt("03:36"), &id("WS-1"), look(None, "1+"))?;
    /// assert!(journal.sheet(&id("WS-1"))?.changed_since_issue());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn changed_since_issue(&self) -> bool {
        self.last_issued().is_none_or(|issued| issued.seq < self.changed)
    }

    /// Everyone who was given a revision: by whom it was issued to, and handed to later.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = issued();
    /// let first = journal.seq;
    /// journal.hand(&kt("03:35"), &id("WS-1"), "LM")?;
    /// let sheet = journal.sheet(&id("WS-1"))?;
    /// let holders: Vec<_> = sheet.holders(first).map(|of| of.as_str()).collect();
    /// assert_eq!(holders, ["Dr Vane", "LM"]);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn holders(&self, issued: Seq) -> impl Iterator<Item = &Text> {
        let first = self.issued.iter().filter(move |entry| entry.seq == issued);
        let later = self.handed.iter().filter(move |entry| entry.value.issued == issued);
        first.map(|entry| &entry.value.to).chain(later.map(|entry| &entry.value.to))
    }

    /// The tasks that are open.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = issued();
    /// let reading = journal.sheet(&id("WS-1"))?.readings[1].seq;
    /// let task = journal.retract(&kt("03:36"), reading, "it was the tube beside")?.raised[0];
    /// let sheet = journal.sheet(&id("WS-1"))?;
    /// assert_eq!(sheet.open_tasks().map(|task| task.seq).collect::<Vec<_>>(), [task]);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn open_tasks(&self) -> impl Iterator<Item = &Entered<TaskRaised>> {
        self.tasks.iter().filter(|(_, closed)| closed.is_none()).map(|(task, _)| task)
    }

    /// The open tasks of a kind about a donor.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = opened();
    /// journal.enter(&kt("02:45"), &id("WS-1"), donor())?;
    /// let reason = "PCV 8 %, no time to incubate".into();
    /// let emergency = EmergencyRelease { release: release(), reason };
    /// let task = journal.release_in_emergency(&kt("02:50"), &emergency)?.raised[0];
    /// let sheet = journal.sheet(&id("WS-1"))?;
    /// let open: Vec<_> = sheet.open_tasks_of(Task::FinishCrossmatch, &id("D-091")).collect();
    /// assert_eq!(open, [task]);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn open_tasks_of(&self, task: Task, donor: &Id) -> impl Iterator<Item = Seq> {
        self.open_tasks()
            .filter(move |raised| {
                raised.value.task == task && raised.value.donor.as_ref() == Some(donor)
            })
            .map(|raised| raised.seq)
    }

    /// Whether a donor's row is locked: the last two attempts at the segment were wrong, and nobody
    /// has typed it right or amended the donor since.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// let mut journal = opened();
    /// let (worksheet, donor_id) = (id("WS-1"), id("D-091"));
    /// journal.enter(&kt("02:45"), &worksheet, donor())?;
    /// journal.check_segment(&kt("03:29"), &worksheet, &donor_id, "5521")?;
    /// journal.check_segment(&kt("03:30"), &worksheet, &donor_id, "5521")?;
    /// assert!(journal.sheet(&worksheet)?.is_locked(&donor_id));
    /// // Another person may try.
    /// let lm = Writer::new("LM", time("03:31"));
    /// assert!(journal.check_segment(&kt("03:31"), &worksheet, &donor_id, "5512").is_err());
    /// assert!(journal.check_segment(&lm, &worksheet, &donor_id, "5512")?.agrees);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn is_locked(&self, donor: &Id) -> bool {
        self.wrong_attempts(donor).nth(1).is_some()
    }

    /// The wrong attempts at the segment of a donor since the last right one, the last first.
    pub(crate) fn wrong_attempts(
        &self,
        donor: &Id,
    ) -> impl Iterator<Item = &Entered<SegmentChecked>> {
        self.attempts(donor).rev().take_while(|attempt| !attempt.value.agrees)
    }

    /// Whether the unit's number was typed again at the segment, and was right.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/night.rs")); }
    /// # use night::*;
    /// assert!(read().sheet(&id("WS-1"))?.is_segment_checked(&id("D-091")));
    /// assert!(!opened().sheet(&id("WS-1"))?.is_segment_checked(&id("D-091")));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn is_segment_checked(&self, donor: &Id) -> bool {
        self.attempts(donor).next_back().is_some_and(|attempt| attempt.value.agrees)
    }

    /// The attempts at the segment of a donor since its entry.
    pub(crate) fn attempts(
        &self,
        donor: &Id,
    ) -> impl DoubleEndedIterator<Item = &Entered<SegmentChecked>> {
        let since = self.donor(donor).map_or(Seq::MAX, |donor| donor.seq);
        let donor = donor.clone();
        self.segments
            .iter()
            .filter(move |attempt| attempt.value.donor == donor && attempt.seq > since)
    }

    /// The document of the worksheet as it stands, in canonical form, with the entry of each of its
    /// readings.
    ///
    /// `recipient` and `donor` are what the journal knows beside what it knew when they were
    /// entered.
    pub(crate) fn document(
        &self,
        recipient: &Known,
        donor: &dyn Fn(&Id) -> Known,
        readings: Readings<'_>,
    ) -> Result<(Vec<u8>, Vec<Seq>), JournalError> {
        let Some(opened) = self.opening() else {
            return Err(JournalError::unknown("opening of worksheet", &self.id));
        };
        let opened = &opened.value;
        let drawn: Vec<Time> = self
            .samples
            .iter()
            .filter(|sample| sample.stands())
            .filter(|sample| sample.value.sample.of == opened.recipient.id)
            .filter_map(|sample| sample.value.sample.drawn_at)
            .collect();
        let mut animal = opened.recipient.clone();
        let known = opened.known.with(recipient);
        known.lay_over_recipient(&mut animal, &drawn);
        animal.decision = animal.decision.or_else(|| decision(opened.overridden.as_ref()));
        let donors = self.donors().map(|entered| {
            let mut told = entered.value.donor.clone();
            let known = told.id.as_ref().map(donor).unwrap_or_default();
            entered.value.known.with(&known).lay_over_donor(&mut told);
            let decided = decision(entered.value.overridden.as_ref());
            told.decision = told.decision.or(decided);
            told
        });
        let is_shown = |reading: &&Entered<ReadingEntered>| match readings {
            Readings::All => true,
            Readings::GivenOut => !self.is_withheld(reading),
            Readings::Without(donors) => {
                let of = &reading.value.reading;
                let crosses = matches!(of.test, Some(Test::Major | Test::Minor));
                let left_out = of.donor.as_ref().is_some_and(|donor| donors.contains(donor));
                !(self.is_withheld(reading) || crosses && left_out)
            }
        };
        let shown: Vec<_> = self.readings.iter().filter(is_shown).collect();
        let readings = shown.iter().map(|entered| {
            let mut reading = entered.value.reading.clone();
            reading.retracted = entered.taken_back.as_ref().map(|taken| {
                taken.told.clone().unwrap_or_else(|| draft::Retracted {
                    at: Some(taken.at),
                    by: Some(taken.by.clone()),
                    reason: Some(taken.reason.clone()),
                })
            });
            reading
        });
        let samples: List<draft::Sample> = self
            .samples
            .iter()
            .filter(|sample| sample.stands())
            .map(|entered| {
                let mut sample = entered.value.sample.clone();
                let decided = decision(entered.value.overridden.as_ref());
                sample.decision = sample.decision.or(decided);
                sample
            })
            .collect();
        let last = |all: &[Entered<SetupNoted>]| {
            all.iter().rev().find(|entered| entered.stands()).map(|e| e.value.setup.clone())
        };
        let controls = self.controls.iter().rev().find(|controls| controls.stands());
        let worksheet = draft::Worksheet {
            format: Some(Text::from(FORMAT)),
            id: Some(self.id.clone()),
            protocol: Some(draft::ProtocolRef {
                id: Some(opened.protocol.id.clone()),
                version: Some(opened.protocol.version.clone()),
            }),
            method: Some(opened.method),
            recipient: Some(animal),
            donors: Some(donors.collect()),
            readings: Some(readings.collect()),
            samples: (!samples.is_empty()).then_some(samples),
            setup: last(&self.setups),
            reagent_controls: controls.map(|controls| controls.value.controls.clone()),
            remarks: None,
        };
        let document = canonical(&worksheet).map_err(JournalError::Unwritable)?.into_bytes();
        Ok((document, shown.iter().map(|reading| reading.seq).collect()))
    }
}

/// Which readings stand in a document.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Readings<'d> {
    /// All of them, for what is not handed out, or when nothing waits for the second reader.
    All,
    /// Those that are given out.
    GivenOut,
    /// Those, and of these donors neither major nor minor.
    Without(&'d [Id]),
}

impl Kind {
    /// Whether such an entry can change what its worksheet comes to, and so puts an issued
    /// interpretation out of date.
    pub(crate) fn changes(self) -> bool {
        match self {
            Self::WorksheetOpened
            | Self::SampleAdded
            | Self::DonorAdded
            | Self::SetupNoted
            | Self::ControlsNoted
            | Self::ReadingEntered
            | Self::Retraction
            | Self::Unblinded => true,
            Self::JournalOpened
            | Self::ProtocolRecorded
            | Self::Note
            | Self::LookBegun
            | Self::StepDone
            | Self::SegmentChecked
            | Self::Issued
            | Self::Handed
            | Self::Released
            | Self::EmergencyReleased
            | Self::Returned
            | Self::Started
            | Self::Observed
            | Self::Ended
            | Self::OutcomeMeasured
            | Self::Transfused
            | Self::Reacted
            | Self::Typed
            | Self::ClericallyChecked
            | Self::TaskRaised
            | Self::TaskClosed => false,
        }
    }
}

/// A person's decision to go on, as it stands in a worksheet.
fn decision(overridden: Option<&Override>) -> Option<draft::Decision> {
    let Override { by, reason } = overridden?;
    Some(draft::Decision { by: Some(by.clone()), reason: Some(reason.clone()) })
}

/// Puts what was entered in its place: after what it replaces, or at the end.
fn place<T>(all: &mut Vec<Entered<T>>, entered: Entered<T>) {
    let replaced = all.iter().position(|other| Some(other.seq) == entered.replaces);
    let Some(replaced) = replaced else {
        all.push(entered);
        return;
    };
    if let Some(taken) = all.get_mut(replaced).and_then(|other| other.taken_back.as_mut()) {
        taken.replaced_by = Some(entered.seq);
    }
    all.insert(replaced.saturating_add(1), entered);
}

/// The mixture that a reading is of.
pub(crate) fn cell(reading: &draft::Reading) -> Option<Cell> {
    Some(Cell {
        test: reading.test?,
        donor: reading.donor.clone(),
        phase: reading.phase?,
        after: reading.after,
    })
}

/// Who saw what was entered.
pub(crate) fn reader(reading: &Entered<ReadingEntered>) -> &str {
    reading.value.reading.by.as_ref().unwrap_or(&reading.by).as_str()
}

/// What was seen, for comparing two people's looks.
pub(crate) fn look(reading: &draft::Reading) -> Option<Look> {
    Some((reading.agglutination?, reading.hemolysis.map(crossread_core::document::Whole::get)))
}

/// A worksheet as it stands: its document, the checked worksheet, and where its readings are
/// entered.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct View {
    /// The document, in canonical form (RFC 8785).
    pub document: Vec<u8>,
    /// The checked worksheet.
    pub worksheet: Worksheet,
    /// The entry of each reading, in the order of the document.
    pub readings: Vec<Seq>,
}

impl View {
    pub(crate) fn of(
        (document, readings): (Vec<u8>, Vec<Seq>),
        protocols: &Protocols,
    ) -> Result<Self, Faults> {
        let worksheet = Worksheet::from_json(&document, protocols)?;
        Ok(Self { document, worksheet, readings })
    }
}

impl Known {
    /// What two sources know together.
    pub(crate) fn with(&self, other: &Self) -> Self {
        let mut both = self.clone();
        both.transfused = both.transfused.or(other.transfused);
        both.reaction = both.reaction.or(other.reaction);
        both.last_transfused_on = both.last_transfused_on.max(other.last_transfused_on);
        for id in &other.incompatible_with {
            if !both.incompatible_with.contains(id) {
                both.incompatible_with.push(id.clone());
            }
        }
        for result in &other.types {
            if !both.types.contains(result) {
                both.types.push(result.clone());
            }
        }
        for seq in &other.from {
            if !both.from.contains(seq) {
                both.from.push(*seq);
            }
        }
        both
    }

    fn lay_over_recipient(&self, recipient: &mut draft::Recipient, drawn: &[Time]) {
        let mut told = recipient.history.take().unwrap_or_default();
        let sure = told.transfused == Some(Answer::Never) || told.last_transfused_on.is_some();
        if self.transfused.is_some() {
            told.transfused = self.transfused;
            // Who does not know when the animal was last transfused may not know of a later time
            // than the journal's, and counts as transfused of late. The journal's day is laid over
            // only where it cannot make that look longer ago, or where a sample is older than it.
            let known = self.last_transfused_on;
            let older = |day| drawn.iter().any(|drawn| drawn.date() < day);
            if sure || known.is_some_and(older) {
                told.last_transfused_on = told.last_transfused_on.max(known);
            }
        }
        told.reaction = self.reaction.or(told.reaction);
        if !self.incompatible_with.is_empty() {
            let mut ids: Vec<Id> = told
                .incompatible_with
                .iter()
                .flat_map(List::iter)
                .map(|(_, id)| id.clone())
                .collect();
            ids.extend(
                self.incompatible_with
                    .iter()
                    .filter(|id| !ids.contains(id))
                    .cloned()
                    .collect::<Vec<_>>(),
            );
            told.incompatible_with = Some(ids.into_iter().collect());
        }
        if told != draft::RecipientHistory::default() {
            recipient.history = Some(told);
        }
        recipient.types = self.with_types(recipient.types.take());
    }

    fn lay_over_donor(&self, donor: &mut draft::Donor) {
        let mut told = donor.history.take().unwrap_or_default();
        if self.transfused.is_some() {
            told.transfused = self.transfused;
            told.last_transfused_on = told.last_transfused_on.max(self.last_transfused_on);
        }
        told.reaction = self.reaction.or(told.reaction);
        if told != draft::DonorHistory::default() {
            donor.history = Some(told);
        }
        donor.types = self.with_types(donor.types.take());
    }

    fn with_types(&self, told: Option<List<draft::BloodType>>) -> Option<List<draft::BloodType>> {
        if self.types.is_empty() {
            return told;
        }
        let told = told.iter().flat_map(List::iter).map(|(_, result)| result.clone());
        Some(told.chain(self.types.iter().cloned()).collect())
    }
}
