//! What was read and what a finding rests on, in words.

use crossread_core::document::{Pointer, Text, Time};
use crossread_core::findings::Finding;
use crossread_core::interpretation::OfRecord;
use crossread_core::words::{Effect, Recheck, State};
use crossread_core::worksheet::{Animal, Reading};
use crossread_core::{Protocol, Worksheet};
use jiff::Timestamp;
use jiff::tz::{Offset, TimeZone};

/// The moment as a clock with this offset shows it. What is left off never makes it later.
pub(super) fn clock(instant: Timestamp, offset: Offset, form: &str) -> String {
    instant.to_zoned_datetime(TimeZone::fixed(offset)).strftime(form).to_string()
}

/// Puts what stands on a worksheet into words.
pub(super) struct Evidence<'w> {
    worksheet: &'w Worksheet,
    protocol: &'w Protocol,
    /// How the time of a reading is written: with its date if not all are of one day.
    time: &'static str,
}

impl<'w> Evidence<'w> {
    pub(super) fn of(worksheet: &'w Worksheet, protocol: &'w Protocol) -> Self {
        let mut dates = worksheet.readings().iter().map(|reading| reading.at.date());
        let first = dates.next();
        let one_day = dates.all(|date| Some(date) == first);
        Self { worksheet, protocol, time: if one_day { "%H:%M" } else { "%Y-%m-%d %H:%M" } }
    }

    /// What a mixture came to at one phase, without the name of the test.
    pub(super) fn of_record(&self, record: &OfRecord) -> String {
        let grade = record.grade.map_or("no grade", |grade| grade.word());
        let came_to = match record.state {
            State::Absent => ", not read",
            State::Unread => ", hemolysis not read",
            State::Void => ", not usable",
            State::Negative => "",
            State::Doubtful => ", doubtful",
            State::Reactive => ", reactive",
        };
        let of_method = self.protocol.method(self.worksheet.method());
        let role = of_method.and_then(|rules| rules.role(record.phase));
        let decides = role.is_some_and(crossread_core::protocol::PhaseRole::is_deciding);
        let aside = if decides { "" } else { " (this phase does not decide)" };
        let (phase, red) = (record.phase.spoken(), hemolysis(record.hemolysis));
        format!("{grade} {phase}{red}{came_to}{aside}")
    }

    /// What shows a finding, each in words; of a note to one donor, the readings only. A donor is
    /// named unless it is the one spoken of.
    pub(super) fn of_finding(&self, finding: &Finding, donor: Option<usize>) -> Vec<String> {
        let in_full = donor.is_none() || finding.effect > Effect::Note;
        let itself = donor.map(Pointer::Donor);
        // Something is missing, and there is nothing to point at but the donor.
        if finding.rests_on.iter().all(|at| Some(*at) == itself) {
            return Vec::new();
        }
        let shown = finding.rests_on.iter();
        let shown = shown.filter(|at| in_full || matches!(at, Pointer::Reading(_)));
        shown.map(|at| self.pointed_at(*at, donor)).collect()
    }

    fn pointed_at(&self, at: Pointer, spoken_of: Option<usize>) -> String {
        let sheet = self.worksheet;
        let recipient = &sheet.recipient().animal;
        let donor = |index: usize| sheet.donors().get(index).map(|donor| &donor.animal);
        let spoken = match at {
            Pointer::Reading(index) => {
                sheet.readings().get(index).map(|reading| self.reading(reading, spoken_of))
            }
            Pointer::Recipient => Some(format!("recipient {}", animal(recipient))),
            Pointer::RecipientHistory(field) => Some(format!("recipient's {}", plain(field))),
            Pointer::RecipientType(index) => {
                blood_type(recipient, index).map(|of| format!("recipient's type, {of}"))
            }
            Pointer::Donor(index) => donor(index).map(|of| format!("donor {}", animal(of))),
            Pointer::DonorHistory(_, field) | Pointer::DonorField(_, field) => {
                Some(format!("donor's {}", plain(field)))
            }
            Pointer::DonorType(index, of) => donor(index)
                .and_then(|donor| blood_type(donor, of))
                .map(|of| format!("donor's type, {of}")),
            Pointer::Sample(index) => {
                sheet.samples().get(index).map(|sample| format!("sample {}", sample.id.as_str()))
            }
            Pointer::Setup(field) => Some(format!("setup, {}", plain(field))),
            Pointer::Lot(index) => sheet.setup().lots.get(index).map(|lot| {
                format!("lot {} of {}", text(lot.number.as_ref()), text(lot.what.as_ref()))
            }),
            Pointer::Control(which) => Some(format!("{which} reagent control")),
            Pointer::Protocol => Some("the protocol that the worksheet names".to_owned()),
            // The core may learn to point at more.
            _ => None,
        };
        spoken.unwrap_or_else(|| at.to_string())
    }

    /// A reading as one would say it.
    fn reading(&self, reading: &Reading, spoken_of: Option<usize>) -> String {
        let other = reading.donor.filter(|donor| Some(*donor) != spoken_of);
        let donor = other.and_then(|donor| self.worksheet.donors().get(donor));
        let donor = donor.map(|donor| format!(" with {}", donor.animal.id.as_str()));
        let after = reading.after.map(|after| match after {
            Recheck::SalineReplacement => " after saline replacement".to_owned(),
            Recheck::SalineDilution => reading.saline_parts.map_or_else(
                || " after dilution".to_owned(),
                |parts| format!(" after dilution with {parts} parts of saline"),
            ),
            Recheck::Wash => " after washing".to_owned(),
        });
        let by = reading.by.as_ref().map(|by| format!(" by {}", by.as_str()));
        let retracted = reading.retracted.as_ref().map(|retracted| {
            let (by, why) = (text(retracted.by.as_ref()), text(retracted.reason.as_ref()));
            format!("; taken back by {by}: {why}")
        });
        format!(
            "{}{} {} {}{}{}, read {}{}{}",
            reading.test.spoken(),
            donor.unwrap_or_default(),
            reading.agglutination.word(),
            reading.phase.spoken(),
            hemolysis(reading.hemolysis),
            after.unwrap_or_default(),
            self.read_at(reading.at),
            by.unwrap_or_default(),
            retracted.unwrap_or_default(),
        )
    }

    fn read_at(&self, at: Time) -> String {
        clock(at.instant(), at.offset(), self.time)
    }
}

/// Hemolysis, if there was any.
fn hemolysis(grade: Option<u32>) -> String {
    let seen = grade.filter(|grade| *grade > 0);
    seen.map(|grade| format!(" with hemolysis {grade}")).unwrap_or_default()
}

fn animal(animal: &Animal) -> String {
    format!("{}, {}", animal.id.as_str(), animal.species)
}

fn blood_type(animal: &Animal, index: usize) -> Option<String> {
    animal.types.get(index).map(|of| format!("{} {}", of.system, of.result))
}

fn text(text: Option<&Text>) -> &str {
    text.map_or("not recorded", Text::as_str)
}

/// A field of the format as one would say it.
fn plain(field: &str) -> String {
    field.replace('_', " ").replace('/', ", ")
}
