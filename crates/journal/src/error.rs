//! What can go wrong, and what is refused.

use crossread_core::care::Check;
use crossread_core::document::{Faults, Id};
use thiserror::Error;

use crate::entry::Seq;
use crate::known::Warning;

/// Why something was not done. Nothing was written when one of these is returned.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum JournalError {
    /// A rule says no.
    #[error(transparent)]
    Refused(#[from] Refusal),
    /// What was handed in is at fault. The places are those of the part that was handed in.
    #[error("what was entered is at fault")]
    Faults(Faults),
    /// No such entry, worksheet, animal or task.
    #[error("the journal has no {what} {name}")]
    Unknown {
        /// What was looked for.
        what: &'static str,
        /// Its id.
        name: String,
    },
    /// The file is not a journal.
    #[error("{place} is no journal: {why}")]
    NotAJournal {
        /// The file, or the database.
        place: String,
        /// What is wrong.
        why: String,
    },
    /// The file was not closed, and lies where nothing can be written.
    #[error(
        "{0} was not closed: what was written last lies in the file beside it that ends in `-wal`, and cannot be read where nothing can be written; copy both into one folder that can be written, and open the copy"
    )]
    NotClosed(String),
    /// A journal is there already.
    #[error("{0} holds something already, and a journal never overwrites anything")]
    Exists(String),
    /// Somebody else was writing for too long.
    #[error("somebody else has been writing for {0} seconds; try again")]
    Busy(u64),
    /// There is no room left.
    #[error(
        "there is no room left to write: nothing of this was recorded, nothing earlier is lost"
    )]
    Full,
    /// The journal can be read and not written.
    #[error("the journal can only be read: nothing of this was recorded")]
    ReadOnly,
    /// An entry is not as it was written.
    #[error("entry {seq} is damaged: {what}")]
    Damaged {
        /// Which entry.
        seq: Seq,
        /// What is wrong.
        what: String,
    },
    /// A line of an export cannot be taken over.
    #[error("line {line}: {what}")]
    Import {
        /// The line, from 1.
        line: u64,
        /// What is wrong, and a hint.
        what: String,
    },
    /// An entry could not be put into canonical form.
    #[error("the entry cannot be written as JSON: {0}")]
    Unwritable(#[source] serde_json::Error),
    /// Reading or writing broke off.
    #[error("reading or writing broke off: {0}")]
    Io(#[from] std::io::Error),
    /// The embedded database failed.
    #[error("the journal's file: {0}")]
    Sqlite(#[source] rusqlite::Error),
    /// The server failed.
    #[error("the journal's server: {0}")]
    Postgres(#[source] postgres::Error),
}

impl JournalError {
    pub(crate) fn damaged(seq: Seq, what: impl Into<String>) -> Self {
        Self::Damaged { seq, what: what.into() }
    }

    pub(crate) fn unknown(what: &'static str, name: &(impl ToString + ?Sized)) -> Self {
        Self::Unknown { what, name: name.to_string() }
    }
}

/// Why the journal does not write something. Each says what to do.
#[derive(Clone, Debug, PartialEq, Error)]
#[non_exhaustive]
pub enum Refusal {
    /// The recipient has only its id.
    #[error("{0} has one identifier: give its name too, or a named override with a reason")]
    OneIdentifier(Id),
    /// The id of an animal has no digit, and may not be unique.
    #[error(
        "{0} has no digit: an animal's id is a number of its own, a name is not enough; give the number, or a named override with a reason"
    )]
    IdWithoutDigit(Id),
    /// The label of a sample is not that of the animal.
    #[error(
        "sample {sample}: the label says `{label}`, and the animal is `{animal}`: draw and label a new sample, or give a named override with a reason"
    )]
    LabelDisagrees {
        /// The sample.
        sample: Id,
        /// What the label says.
        label: String,
        /// The animal's id.
        animal: Id,
    },
    /// Nobody wrote what stands on the label.
    #[error(
        "sample {0}: read the id off the label (`label_id`), or give a named override with a reason"
    )]
    LabelNotRead(Id),
    /// The protocol rejects the sample.
    #[error(
        "sample {0} is rejected by the protocol for its hemolysis: draw a new one, or give a named override with a reason"
    )]
    SampleRejected(Id),
    /// There are warnings nobody took note of.
    #[error("{} of this animal to take note of first, by name: {}", count(.0.len(), "warning"), list(.0))]
    Warnings(Vec<Warning>),
    /// Another worksheet has the id.
    #[error("there is a worksheet {0} already")]
    WorksheetExists(Id),
    /// The journal has no first entry.
    #[error("the journal was not begun: take over an export, or make a new one")]
    NotBegun,
    /// A time that lies in the future.
    #[error("{0} lies after the time of the entry")]
    InTheFuture(&'static str),
    /// A reading at another time than now.
    #[error(
        "the reading was seen at another time than it is entered: mark it as transcribed from paper, with the reader's name"
    )]
    NotTranscribed,
    /// Nobody says when it was read.
    #[error("say when the mixture was read")]
    TimeMissing,
    /// Nobody says who read.
    #[error("say who read the mixture")]
    ReaderMissing,
    /// The unit's number was mistyped twice at the segment.
    #[error(
        "the row of {0} is locked, because the unit's number was typed wrong twice at the segment: amend the donor's entry, or have another person type it"
    )]
    Locked(Id),
    /// The entry cannot be taken back.
    #[error("entry {0} cannot be taken back: {1}")]
    NotRetractable(Seq, &'static str),
    /// What replaces an entry is of another kind or worksheet.
    #[error("an amendment of entry {0} must be of the same kind and about the same thing")]
    NotAnAmendment(Seq),
    /// Without the entry the worksheet would contradict itself.
    #[error(
        "entry {0} cannot be taken back: other entries rest on it; take those back first, or amend it"
    )]
    RestsOnIt(Seq),
    /// Whoever amends the reading does not see what it holds.
    #[error(
        "entry {0} waits for the second reader, so an amendment could drop what it does not show: take it back with a reason and enter the whole look again, or wait"
    )]
    AmendsSealed(Seq),
    /// There are mixtures that the second reader has not read.
    #[error("the second reader has not read {}: let them read, or unblind the worksheet with a reason", list(.0))]
    SecondReaderMissing(Vec<String>),
    /// A look was begun and not finished.
    #[error(
        "{by} began to enter a look at {of} and has not finished (entry {seq}): finish it, or take the entry back with a reason"
    )]
    LookBegun {
        /// The entry of what was seen so far.
        seq: Seq,
        /// Who began.
        by: String,
        /// Which mixture.
        of: String,
    },
    /// A check before spiking was not answered yes.
    #[error("{asked} {}", .check.otherwise())]
    CheckOpen {
        /// The check.
        check: Check,
        /// What is asked, by the rules of the worksheet.
        asked: String,
    },
    /// A PCV that no animal has.
    #[error("{0}")]
    NotAPcv(String),
    /// The temperature before was not taken.
    #[error("write the temperature before it begins: a fever is judged against it")]
    BaselineMissing,
    /// The unit was started already.
    #[error("unit {0} was started already")]
    AlreadyStarted(Id),
    /// The transfusion does not run.
    #[error("the transfusion of entry {0} does not run")]
    NotRunning(Seq),
    /// The rules say nothing of transfusions.
    #[error("{0}")]
    NoCare(String),
    /// An animal reacted to the unit.
    #[error("unit {unit} is barred for every animal: one reacted to it (entry {reaction})")]
    Barred {
        /// The unit.
        unit: Id,
        /// The entry of the reaction.
        reaction: Seq,
    },
    /// There is no donor.
    #[error("there is nothing to interpret yet: add a donor")]
    NothingToInterpret,
    /// No interpretation was issued.
    #[error("no interpretation was issued for {0}: issue one first")]
    NotIssued(Id),
    /// The worksheet changed since it was issued.
    #[error("the worksheet changed after revision {0} was issued: issue it again first")]
    ChangedSinceIssue(u32),
    /// The verdict does not allow a release.
    #[error("{donor} is {verdict}: {headline}")]
    NotReleasable {
        /// The donor.
        donor: Id,
        /// The verdict, in words.
        verdict: &'static str,
        /// Its sentence.
        headline: String,
    },
    /// The interpretation does not hold any more.
    #[error("the crossmatch of {donor} held until {until}: crossmatch again with new samples")]
    Expired {
        /// The donor.
        donor: Id,
        /// Until when.
        until: String,
    },
    /// By what was written later than this clock says, it does not hold any more.
    #[error(
        "{what}, and entry {seq} was written at {at}, later than this clock says it is now: set the clock right; if entry {seq} was written by a wrong clock, write a note under the right one and open a new worksheet"
    )]
    ClockBehind {
        /// What ended, and when.
        what: String,
        /// The entry that was written later.
        seq: Seq,
        /// When it was written.
        at: String,
    },
    /// Nobody wrote when the samples were drawn.
    #[error(
        "nobody wrote when the samples for {0} were drawn, so nobody knows how long the crossmatch holds"
    )]
    ValidityUnknown(Id),
    /// The release lies before what it rests on.
    #[error(
        "the release lies before the interpretation it rests on, which was issued at {0}: set the clock right"
    )]
    BeforeIssue(String),
    /// The start lies before the release.
    #[error("the start lies before the release it rests on, of {0}: set the clock right")]
    BeforeRelease(String),
    /// A unit that came back was not looked at since.
    #[error(
        "unit {unit} came back (entry {returned}): look at it again and amend the donor's entry with what you see, type its number at the segment again, and issue again"
    )]
    CameBack {
        /// The unit.
        unit: Id,
        /// The entry of its return.
        returned: Seq,
    },
    /// The donor has no unit.
    #[error("{0} has no unit number: amend the donor's entry")]
    NoUnit(Id),
    /// The unit has expired, or nobody wrote when it does.
    #[error("unit {unit} of {donor}: {why}")]
    UnitNotFit {
        /// The donor.
        donor: Id,
        /// The unit.
        unit: Id,
        /// What is wrong.
        why: String,
    },
    /// The segment was not checked.
    #[error("type the last characters of unit {0} at its segment first")]
    SegmentNotChecked(Id),
    /// What was typed is not the end of the identifier.
    #[error(
        "the last {0} characters of the {1} do not agree: `{2}` was typed; go back to the {1} and look again"
    )]
    TypedWrong(usize, &'static str, String),
    /// A name is missing.
    #[error("name {0}")]
    NameMissing(&'static str),
    /// The unit is released already.
    #[error("unit {unit} was released in entry {release} and has not come back")]
    AlreadyReleased {
        /// The unit.
        unit: Id,
        /// The release.
        release: Seq,
    },
    /// An animal's types disagree.
    #[error(
        "{animal}: {system} was {earlier} before and is {now} now: possible wrong blood in tube; draw a new sample, type it, and record that this settles it"
    )]
    TypesDisagree {
        /// The animal.
        animal: Id,
        /// The blood group system.
        system: &'static str,
        /// The earlier result.
        earlier: &'static str,
        /// The later one.
        now: &'static str,
    },
    /// The recipient reacted to a transfusion after the interpretation was issued.
    #[error(
        "{animal} reacted to a transfusion after this was decided (entry {seq}): look at it, and issue and release again before another unit is given"
    )]
    ReactionSince {
        /// The animal.
        animal: Id,
        /// The entry of the reaction.
        seq: Seq,
    },
    /// A completed crossmatch is no emergency release.
    #[error("the crossmatch of {0} is complete and releasable: release it as usual")]
    Completed(Id),
    /// An incompatible unit.
    #[error("{donor} is incompatible: {headline} An emergency release is for what was not tested")]
    Incompatible {
        /// The donor.
        donor: Id,
        /// The verdict's sentence.
        headline: String,
    },
    /// The task was closed before.
    #[error("task {0} is closed already")]
    TaskClosed(Seq),
    /// The release was answered before.
    #[error("the unit of entry {0} came back already")]
    AlreadyReturned(Seq),
    /// An event that only the journal itself writes.
    #[error("{0} is not entered by hand: there is a call of its own")]
    NotByHand(&'static str),
    /// The journal is not empty.
    #[error("an export is taken over into an empty journal only")]
    NotEmpty,
    /// There are blind readings in what would be handed out.
    #[error("first readings of {} wait for the second reader, and an export would show them: let them read, or unblind with a reason", list(.0))]
    Blind(Vec<Id>),
}

/// Whether a name or a reason says something: it has a letter or a digit.
pub(crate) fn says(text: &str, what: &'static str) -> Result<(), Refusal> {
    if is_blank(text) { Err(Refusal::NameMissing(what)) } else { Ok(()) }
}

/// Whether a text has neither letter nor digit. It may have characters that nobody sees.
pub(crate) fn is_blank(text: &str) -> bool {
    !text.chars().any(char::is_alphanumeric)
}

fn count(number: usize, what: &str) -> String {
    if number == 1 { format!("there is 1 {what}") } else { format!("there are {number} {what}s") }
}

fn list<T: ToString>(items: &[T]) -> String {
    items.iter().map(T::to_string).collect::<Vec<_>>().join("; ")
}
