//! What the journal knows of an animal from before, and what must be shown of it first.

use std::fmt;

use crossread_core::document::{Date, Hundredths, Id, Text, Time};
use crossread_core::prepare::Exact;
use crossread_core::words::{Answer, System, TypeResult};
use crossread_core::worksheet::draft;
use serde::Serialize;

use crate::entry::{Entry, Seq};
use crate::event::{Event, Known};

/// Everything that entries tell of an animal's past.
#[derive(Clone, Debug, Default, PartialEq)]
#[non_exhaustive]
pub struct Past {
    /// When it was transfused, or a unit was released for it and has not come back.
    pub transfusions: Vec<Happened>,
    /// When it reacted to a transfusion.
    pub reactions: Vec<Happened>,
    /// Donors that were incompatible with it as the recipient.
    pub incompatible: Vec<Incompatible>,
    /// Worksheets on which its autocontrol reacted, fully or doubtfully.
    pub autocontrols: Vec<(Id, Seq)>,
    /// Worksheets whose readings wait for the second reader.
    pub awaited: Vec<(Id, Seq)>,
    /// Its types, in the order in which they were entered.
    pub types: Vec<TypedThen>,
    /// The worksheets on which it is the recipient.
    pub worksheets: Vec<Id>,
}

/// Something that happened to an animal.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Happened {
    /// The day.
    pub on: Date,
    /// The entry.
    pub seq: Seq,
    /// What is known of it.
    pub text: Text,
}

/// A donor that was incompatible.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Incompatible {
    /// The donor.
    pub donor: Id,
    /// The worksheet.
    pub worksheet: Id,
    /// The last entry that it rests on.
    pub seq: Seq,
    /// Whether it was told when the worksheet was opened, and not read on it.
    pub told: bool,
}

/// A typing result, and where it was entered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct TypedThen {
    /// The blood group system.
    pub system: System,
    /// The result.
    pub result: TypeResult,
    /// The day of the typing, if it was written.
    pub on: Option<Date>,
    /// The entry.
    pub seq: Seq,
    /// Whether it settles a disagreement of those before it.
    pub settles: bool,
}

impl TypedThen {
    fn of(result: &draft::BloodType, seq: Seq, settles: bool) -> Option<Self> {
        Some(Self { system: result.system?, result: result.result?, on: result.on, seq, settles })
    }
}

/// Something about an animal that must be taken note of, by name, before anything else.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "warning", rename_all = "snake_case")]
#[non_exhaustive]
pub enum Warning {
    /// Results of typing disagree: possible wrong blood in tube.
    TypesDisagree {
        /// The animal.
        animal: Id,
        /// The blood group system.
        system: System,
        /// The earlier result.
        earlier: TypeResult,
        /// Its entry, if it is not among what is told now.
        seq: Option<Seq>,
        /// The later result.
        now: TypeResult,
    },
    /// A donor was incompatible.
    Incompatible(Incompatible),
    /// The animal reacted to a transfusion.
    Reaction(Happened),
    /// The animal's autocontrol reacted.
    AutocontrolReactive {
        /// The worksheet.
        worksheet: Id,
        /// The last entry that it rests on.
        seq: Seq,
    },
    /// The animal was transfused.
    Transfused(Happened),
    /// Readings of an earlier worksheet wait for the second reader, so that nothing is told of it.
    Awaited {
        /// The worksheet.
        worksheet: Id,
        /// Its last entry.
        seq: Seq,
    },
    /// What was told now contradicts the journal.
    Contradicted {
        /// What was told.
        told: Text,
        /// The entry that says otherwise.
        seq: Seq,
    },
}

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TypesDisagree { animal, system, earlier, seq, now } => {
                let (animal, system) = (animal.as_str(), system.word());
                let (earlier, now) = (earlier.word(), now.word());
                write!(f, "STOP: {animal} was {system} {earlier}")?;
                if let Some(seq) = seq {
                    write!(f, " (entry {seq})")?;
                }
                write!(f, " and is {now} now: possible wrong blood in tube")
            }
            Self::Incompatible(Incompatible { donor, worksheet, seq, told }) => write!(
                f,
                "donor {} was {} on worksheet {} (entry {seq})",
                donor.as_str(),
                if *told { "told to be incompatible" } else { "incompatible" },
                worksheet.as_str()
            ),
            Self::Reaction(Happened { on, seq, text }) => {
                write!(f, "reaction to a transfusion on {on}: {} (entry {seq})", text.as_str())
            }
            Self::AutocontrolReactive { worksheet, seq } => {
                write!(f, "autocontrol reacted on worksheet {} (entry {seq})", worksheet.as_str())
            }
            Self::Transfused(Happened { on, seq, text }) => {
                write!(f, "transfused on {on}: {} (entry {seq})", text.as_str())
            }
            Self::Awaited { worksheet, seq } => write!(
                f,
                "readings of worksheet {} wait for the second reader (entry {seq})",
                worksheet.as_str()
            ),
            Self::Contradicted { told, seq } => {
                write!(f, "told now: {}; entry {seq} says otherwise", told.as_str())
            }
        }
    }
}

impl Past {
    /// Takes from an entry what it tells of the animal, apart from what its worksheets came to.
    pub(crate) fn take(&mut self, animal: &Id, entry: &Entry) {
        let is = |id: &Option<Id>| id.as_ref() == Some(animal);
        match &entry.event {
            Event::WorksheetOpened(opened) if is(&opened.recipient.id) => {
                self.types(
                    opened.recipient.types.iter().flat_map(crossread_core::document::List::iter),
                    entry.seq,
                );
                if let Some(id) = &entry.worksheet
                    && !self.worksheets.contains(id)
                {
                    self.worksheets.push(id.clone());
                }
                let history = opened.recipient.history.as_ref();
                if let Some(history) = history {
                    let with = history.incompatible_with.iter();
                    for (_, donor) in with.flat_map(crossread_core::document::List::iter) {
                        self.incompatible.extend(entry.worksheet.clone().map(|worksheet| {
                            let (donor, seq) = (donor.clone(), entry.seq);
                            Incompatible { donor, worksheet, seq, told: true }
                        }));
                    }
                    self.told(
                        history.transfused,
                        history.last_transfused_on,
                        history.reaction,
                        entry,
                    );
                }
            }
            Event::DonorAdded(added) if is(&added.donor.id) => {
                self.types(
                    added.donor.types.iter().flat_map(crossread_core::document::List::iter),
                    entry.seq,
                );
                let history = added.donor.history.as_ref();
                if let Some(history) = history {
                    self.told(
                        history.transfused,
                        history.last_transfused_on,
                        history.reaction,
                        entry,
                    );
                }
            }
            Event::Released(released) if released.recipient == *animal => {
                let text = format!(
                    "{} of {}, unit {}, was released",
                    released.product.spoken(),
                    released.donor.as_str(),
                    released.unit.as_str()
                );
                self.transfused(entry.at.date(), entry.seq, &text);
            }
            Event::EmergencyReleased(released) if released.recipient == *animal => {
                let text = format!(
                    "{} of {}, unit {}, was released before the crossmatch was completed",
                    released.product.spoken(),
                    released.donor.as_str(),
                    released.unit.as_str()
                );
                self.transfused(entry.at.date(), entry.seq, &text);
            }
            Event::Transfused(transfused) if transfused.animal == *animal => {
                let from = transfused.donor.as_ref().map(|id| format!(" of {}", id.as_str()));
                let text = transfused.text.as_ref().map(|text| format!("; {}", text.as_str()));
                let what = transfused.product.spoken();
                let (from, text) = (from.unwrap_or_default(), text.unwrap_or_default());
                self.transfused(transfused.at.date(), entry.seq, &format!("{what}{from}{text}"));
            }
            Event::Reacted(reacted) if reacted.animal == *animal => {
                let (on, seq) = (reacted.at.date(), entry.seq);
                self.reactions.push(Happened { on, seq, text: reacted.text.clone() });
            }
            Event::Typed(typed) if typed.animal == *animal => {
                let settles = typed.settled_by.is_some();
                self.types.extend(TypedThen::of(&typed.result, entry.seq, settles));
            }
            Event::WorksheetOpened(_)
            | Event::DonorAdded(_)
            | Event::Released(_)
            | Event::EmergencyReleased(_)
            | Event::Transfused(_)
            | Event::Reacted(_)
            | Event::Typed(_)
            | Event::JournalOpened(_)
            | Event::ProtocolRecorded(_)
            | Event::SampleAdded(_)
            | Event::SetupNoted(_)
            | Event::ControlsNoted(_)
            | Event::ReadingEntered(_)
            | Event::Retraction(_)
            | Event::Note(_)
            | Event::SegmentChecked(_)
            | Event::Unblinded(_)
            | Event::Issued(_)
            | Event::Handed(_)
            | Event::Returned(_)
            | Event::ClericallyChecked(_)
            | Event::TaskRaised(_)
            | Event::LookBegun(_)
            | Event::Started(_)
            | Event::Observed(_)
            | Event::Ended(_)
            | Event::OutcomeMeasured(_)
            | Event::StepDone(_)
            | Event::TaskClosed(_) => {}
        }
    }

    /// Takes away what a retracted entry told.
    pub(crate) fn without(&mut self, retracted: &[Seq]) {
        let gone = |seq: Seq| retracted.contains(&seq);
        self.types.retain(|typed| !gone(typed.seq));
        self.transfusions.retain(|happened| !gone(happened.seq));
        self.reactions.retain(|happened| !gone(happened.seq));
        self.incompatible.retain(|pair| !pair.told || !gone(pair.seq));
    }

    /// Adds the PCV after a transfusion to what is known of it.
    pub(crate) fn came_of(&mut self, started: Seq, hours: u32, pcv: Hundredths<80>) {
        // A start and the transfusion that it is are written in one transaction, in that order.
        let given = started.saturating_add(1);
        if let Some(happened) = self.transfusions.iter_mut().find(|of| of.seq == given) {
            let pcv = Exact::hundredths(pcv.hundredths());
            let said = format!("{}; PCV {pcv} % {hours} h after", happened.text);
            happened.text = Text::from(said.as_str());
        }
    }

    /// Takes what some entries tell of transfusions for no later than a day.
    pub(crate) fn given_by(&mut self, entries: &[Seq], day: Date) {
        for happened in &mut self.transfusions {
            if entries.contains(&happened.seq) {
                happened.on = happened.on.min(day);
            }
        }
    }

    fn told(
        &mut self,
        transfused: Option<Answer>,
        on: Option<Date>,
        reaction: Option<Answer>,
        entry: &Entry,
    ) {
        if transfused == Some(Answer::Yes) {
            let (text, on) = match on {
                Some(on) => ("as it was told", on),
                // The day is not known; the day it was told is the latest that it can be.
                None => ("as it was told, the day unknown and no later than this", entry.at.date()),
            };
            let known = self.transfusions.iter().any(|happened| happened.on == on);
            if !known {
                self.transfused(on, entry.seq, text);
            }
        }
        if reaction == Some(Answer::Yes) {
            let text = Text::from("as it was told, no later than this day");
            self.reactions.push(Happened { on: entry.at.date(), seq: entry.seq, text });
        }
    }

    fn transfused(&mut self, on: Date, seq: Seq, text: &str) {
        self.transfusions.push(Happened { on, seq, text: Text::from(text) });
    }

    fn types<'t>(
        &mut self,
        results: impl Iterator<Item = (usize, &'t draft::BloodType)>,
        seq: Seq,
    ) {
        self.types.extend(results.filter_map(|(_, result)| TypedThen::of(result, seq, false)));
    }

    /// The results that count in a system: those since the last that settled a disagreement.
    fn counting(&self, system: System) -> impl Iterator<Item = &TypedThen> {
        let of = move |typed: &&TypedThen| typed.system == system;
        let settled = self.types.iter().filter(of).rfind(|typed| typed.settles);
        let since = settled.map_or(0, |typed| typed.seq);
        self.types.iter().filter(of).filter(move |typed| typed.seq >= since)
    }

    /// The first disagreement of types in each system, `now` being told now.
    pub(crate) fn disagreements(&self, animal: &Id, now: &[TypedThen]) -> Vec<Warning> {
        let mut found = Vec::new();
        for system in System::ALL {
            let told = now.iter().filter(|typed| typed.system == *system);
            let all: Vec<_> = self.counting(*system).chain(told).collect();
            let Some(first) = all.first() else { continue };
            let other = all.iter().find(|typed| !typed.result.agrees_with(first.result));
            if let Some(other) = other {
                found.push(Warning::TypesDisagree {
                    animal: animal.clone(),
                    system: *system,
                    earlier: first.result,
                    seq: (first.seq != 0).then_some(first.seq),
                    now: other.result,
                });
            }
        }
        found
    }

    /// What is laid over what was told of the animal: nothing that could make a verdict better.
    pub(crate) fn known(&self, told: &[TypedThen]) -> Known {
        let last = self.transfusions.iter().map(|happened| happened.on).max();
        let mut incompatible_with = Vec::new();
        for pair in &self.incompatible {
            if !incompatible_with.contains(&pair.donor) {
                incompatible_with.push(pair.donor.clone());
            }
        }
        let types = System::ALL.iter().flat_map(|system| self.counting(*system)).filter(|typed| {
            told.iter()
                .any(|now| now.system == typed.system && !now.result.agrees_with(typed.result))
        });
        let types: Vec<_> = types.collect();
        let mut from: Vec<Seq> = self.transfusions.iter().map(|happened| happened.seq).collect();
        from.extend(self.reactions.iter().map(|happened| happened.seq));
        from.extend(self.incompatible.iter().map(|pair| pair.seq));
        from.extend(types.iter().map(|typed| typed.seq));
        from.sort_unstable();
        from.dedup();
        Known {
            transfused: last.map(|_| Answer::Yes),
            last_transfused_on: last,
            reaction: (!self.reactions.is_empty()).then_some(Answer::Yes),
            incompatible_with,
            types: types
                .into_iter()
                .map(|typed| draft::BloodType {
                    system: Some(typed.system),
                    result: Some(typed.result),
                    on: typed.on,
                })
                .collect(),
            from,
        }
    }

    /// What must be shown before anything else, the gravest first.
    pub(crate) fn warnings(&self, animal: &Id, told: &[TypedThen]) -> Vec<Warning> {
        let mut warnings = self.disagreements(animal, told);
        warnings.extend(self.incompatible.iter().cloned().map(Warning::Incompatible));
        warnings.extend(self.reactions.iter().cloned().map(Warning::Reaction));
        warnings.extend(self.autocontrols.iter().map(|(worksheet, seq)| {
            Warning::AutocontrolReactive { worksheet: worksheet.clone(), seq: *seq }
        }));
        warnings.extend(self.transfusions.iter().cloned().map(Warning::Transfused));
        warnings.extend(
            self.awaited.iter().map(|(worksheet, seq)| Warning::Awaited {
                worksheet: worksheet.clone(),
                seq: *seq,
            }),
        );
        warnings
    }
}

/// The types that are told now.
pub(crate) fn told_types(
    types: Option<&crossread_core::document::List<draft::BloodType>>,
) -> Vec<TypedThen> {
    let all = types.into_iter().flat_map(crossread_core::document::List::iter);
    all.filter_map(|(_, result)| TypedThen::of(result, 0, false)).collect()
}

/// What was told now of transfusions and reactions, and the journal knows better.
pub(crate) fn contradictions(
    past: &Past,
    transfused: Option<Answer>,
    reaction: Option<Answer>,
) -> Vec<Warning> {
    let mut found = Vec::new();
    let told = |text: &str, seq: Seq| Warning::Contradicted { told: Text::from(text), seq };
    if let (Some(Answer::Never), Some(happened)) = (transfused, past.transfusions.first()) {
        found.push(told("never transfused", happened.seq));
    }
    if let (Some(Answer::Never), Some(happened)) = (reaction, past.reactions.first()) {
        found.push(told("never a reaction", happened.seq));
    }
    found
}

/// Whether a time lies after another.
pub(crate) fn is_after(time: Time, other: Time) -> bool {
    time.instant() > other.instant()
}
