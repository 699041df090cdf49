//! The animals of a worksheet: recipient, donors, samples, how the mixtures are made.

use crossread_core::document::{Id, Text};
use crossread_core::worksheet::draft;
use crossread_journal::{
    ControlsNoted, DonorAdded, Event, Known, Note, SampleAdded, SetupNoted, Sheet, TYPED_AGAIN,
};
use maud::{Markup, html};
use serde_json::Value;

use crate::answer::{Answer, Problem};
use crate::ask::{Ask, Fields};
use crate::fields::{CONTROLS, DONOR, Field, HISTORY, RECIPIENT, SAMPLE, SETUP, spoken};
use crate::form::{document, draw, filled};
use crate::start::{answering, overridden};
use crate::{address, shell};

/// What is added with a form of this page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Part {
    Donor,
    Sample,
    Setup,
    Controls,
}

impl Part {
    fn of(word: &str) -> Result<Self, Problem> {
        match word {
            "donor" => Ok(Self::Donor),
            "sample" => Ok(Self::Sample),
            "setup" => Ok(Self::Setup),
            "controls" => Ok(Self::Controls),
            _ => Err(Problem::NoPage),
        }
    }

    fn word(self) -> &'static str {
        match self {
            Self::Donor => "donor",
            Self::Sample => "sample",
            Self::Setup => "setup",
            Self::Controls => "controls",
        }
    }

    /// Its fields.
    pub(crate) fn fields(self) -> &'static [Field] {
        match self {
            Self::Donor => DONOR,
            Self::Sample => SAMPLE,
            Self::Setup => SETUP,
            Self::Controls => CONTROLS,
        }
    }

    /// What was filled in, as the event that is entered.
    pub(crate) fn event(self, form: &Fields) -> Result<Event, Problem> {
        let text = document(self.fields(), form).to_string();
        let document = text.as_bytes();
        let event = match self {
            Self::Donor => draft::Donor::from_json(document).map(|donor| {
                let overridden = overridden(form);
                Event::from(DonorAdded { donor, known: Known::default(), overridden })
            }),
            Self::Sample => draft::Sample::from_json(document)
                .map(|sample| Event::from(SampleAdded { sample, overridden: overridden(form) })),
            Self::Setup => {
                draft::Setup::from_json(document).map(|setup| Event::from(SetupNoted { setup }))
            }
            Self::Controls => draft::ReagentControls::from_json(document)
                .map(|controls| Event::from(ControlsNoted { controls })),
        };
        event.map_err(Problem::Faults)
    }

    /// Whether somebody can answer for going on in spite of a refusal.
    pub(crate) fn can_be_overridden(self) -> bool {
        matches!(self, Self::Donor | Self::Sample)
    }
}

/// A form that was sent and not taken, or was taken with something to be said.
struct Sent<'s> {
    part: Part,
    given: &'s Fields,
    problem: Option<&'s Problem>,
    notices: &'s [Text],
}

/// The page.
pub(crate) fn page(ask: &Ask<'_>, id: &Id) -> Result<Answer, Problem> {
    shown(ask, id, None)
}

/// Adds what was filled in.
pub(crate) fn add(ask: &Ask<'_>, id: &Id, part: &str) -> Result<Answer, Problem> {
    let part = Part::of(part)?;
    let writer = ask.writer()?;
    let added = part
        .event(&ask.form)
        .and_then(|event| Ok(ask.bench.journal().enter(&writer, id, event)?));
    match added {
        Ok(written) if written.notices.is_empty() => {
            let to = format!("{}#{}", address::sheet(id.as_str(), ""), part.word());
            Ok(Answer::GoTo(to))
        }
        Ok(written) => {
            let none = Fields::default();
            let sent = Sent { part, given: &none, problem: None, notices: &written.notices };
            shown(ask, id, Some(&sent))
        }
        Err(Problem::WhoIsThere) => Err(Problem::WhoIsThere),
        Err(problem) => {
            let sent = Sent { part, given: &ask.form, problem: Some(&problem), notices: &[] };
            shown(ask, id, Some(&sent))
        }
    }
}

fn shown(ask: &Ask<'_>, id: &Id, sent: Option<&Sent<'_>>) -> Result<Answer, Problem> {
    let sheet = ask.bench.journal().sheet(id)?;
    let opened = sheet.opening().ok_or(Problem::NoPage)?;
    let recipient = &opened.value.recipient;
    let told = serde_json::to_value(recipient).ok();
    let part = |part: Part, title: &str, open: bool, given: &Fields| {
        let of_this = sent.filter(|sent| sent.part == part);
        let given = of_this.filter(|sent| sent.problem.is_some()).map_or(given, |sent| sent.given);
        html! {
            @if let Some(sent) = of_this {
                @if let Some(problem) = sent.problem { (problem.shown()) }
                @for notice in sent.notices { p.warning role="alert" { (notice) } }
            }
            details open[open || of_this.is_some()] {
                summary { (title) }
                form.sheet method="post"
                    action=(address::of(["worksheets", id.as_str(), "add", part.word()])) {
                    (shell::token(ask))
                    (draw(part.fields(), given))
                    @if part.can_be_overridden() {
                        details {
                            summary { "It is refused, and somebody answers for it" }
                            (answering(given))
                        }
                    }
                    button.main { "Record" }
                }
            }
        }
    };
    let setup = sheet.setups.iter().rev().find(|setup| setup.stands());
    let setup_now = setup.and_then(|setup| serde_json::to_value(&setup.value.setup).ok());
    let setup_given = setup_now.as_ref().map(|now| filled(SETUP, now)).unwrap_or_default();
    let controls = sheet.controls.iter().rev().find(|controls| controls.stands());
    let no_donor = sheet.donors().next().is_none();
    let without = without_sample(&sheet);
    Answer::page(
        format!("{id}: animals"),
        html! {
            (shell::tabs(id.as_str(), ""))
            h1 { "For " (named(recipient.id.as_ref(), recipient.name.as_ref())) }
            section aria-labelledby="recipient" {
                h2 #recipient { "Recipient" }
                (facts(RECIPIENT, told.as_ref()))
            (facts(HISTORY, told.as_ref()))
                @if !opened.value.known.is_empty() {
                    p { "The journal adds what it knows of this animal (entries "
                        (opened.value.known.from.iter().map(ToString::to_string).collect::<Vec<_>>().join(", "))
                        ")." }
                }
                p { "Rules " (opened.value.protocol.id) " " (opened.value.protocol.version) ", "
                    (opened.value.method) ". "
                    a href=(entry(id, opened.seq)) { "Correct" }
                    @if let Some(id) = &recipient.id {
                        " " a href=(address::of(["animals", id.as_str()])) { "Its past" }
                    } }
            }
            section aria-labelledby="donor" {
                h2 #donor { "Donors" }
                @for donor in sheet.donors() { (donor_shown(ask, &sheet, donor)) }
                (part(Part::Donor, "Add a donor", no_donor, &donor_like(recipient)))
            }
            section aria-labelledby="sample" {
                h2 #sample { "Samples" }
                ul { @for sample in sheet.samples.iter().filter(|sample| sample.stands()) {
                    @let of = &sample.value.sample;
                    li {
                        strong { (of.id.as_ref().map(Id::as_str).unwrap_or_default()) }
                        " of " (of.of.as_ref().map(Id::as_str).unwrap_or_default()) ": "
                        (facts(SAMPLE, serde_json::to_value(of).ok().as_ref()))
                        a href=(entry(id, sample.seq)) { "Correct" }
                    }
                } }
                @if !without.is_empty() {
                    p { "No sample yet of " (without.join(", ")) "." }
                }
                (part(Part::Sample, "Add a sample", !no_donor && !without.is_empty(), &sample_like(&without)))
            }
            section aria-labelledby="setup" {
                h2 #setup { "How the mixtures are made" }
                (facts(SETUP, setup_now.as_ref()))
                (part(Part::Setup, if setup.is_some() { "Change" } else { "Fill in" }, false, &setup_given))
            }
            section aria-labelledby="controls" {
                h2 #controls { "The reagents' own controls" }
                @if let Some(controls) = controls {
                    (facts(CONTROLS, serde_json::to_value(&controls.value.controls).ok().as_ref()))
                }
                (part(Part::Controls, "Fill in", false, &Fields::default()))
            }
            section aria-labelledby="notes" {
                h2 #notes { "Notes" }
                ul { @for note in &sheet.notes {
                    li { (shell::clock(note.at)) " " strong { (note.by) } ": " (note.value.text) }
                } }
                form.short method="post" action=(address::sheet(id.as_str(), "note")) {
                    (shell::token(ask))
                    label for="note" { "Add a note" }
                    div.row { input #note name="text" type="text" autocomplete="off"; button { "Record" } }
                }
            }
            @if !no_donor {
                p { a.button.main href=(address::sheet(id.as_str(), "plan")) { "Prepare" } " "
                    a.button.main href=(address::sheet(id.as_str(), "read")) { "Read" } }
            }
        },
    )
}

/// The page of an entry.
pub(crate) fn entry(id: &Id, seq: u64) -> String {
    address::of(["worksheets", id.as_str(), "entries", &seq.to_string()])
}

/// A donor like those before: of the recipient's species.
fn donor_like(recipient: &draft::Recipient) -> Fields {
    let mut given = Fields::default();
    if let Some(species) = recipient.species {
        given.set("species", species.word());
    }
    given
}

/// A sample of the first animal that has none.
fn sample_like(without: &[String]) -> Fields {
    let mut given = Fields::default();
    if let Some(animal) = without.first() {
        given.set("id", &format!("S-{animal}"));
        given.set("of", animal);
    }
    given
}

/// The animals of which there is no sample.
fn without_sample(sheet: &Sheet) -> Vec<String> {
    let donors = sheet.donors().filter_map(|donor| donor.value.donor.id.as_ref());
    let animals = sheet.recipient().into_iter().chain(donors);
    let has = |animal: &Id| {
        let standing = sheet.samples.iter().filter(|sample| sample.stands());
        standing.filter_map(|sample| sample.value.sample.of.as_ref()).any(|of| of == animal)
    };
    animals.filter(|animal| !has(animal)).map(ToString::to_string).collect()
}

/// An animal by its number and its name.
pub(crate) fn named(id: Option<&Id>, name: Option<&Text>) -> String {
    let id = id.map(ToString::to_string).unwrap_or_default();
    match name {
        Some(name) => format!("{id} {name}"),
        None => id,
    }
}

fn donor_shown(
    ask: &Ask<'_>,
    sheet: &Sheet,
    donor: &crossread_journal::Entered<DonorAdded>,
) -> Markup {
    let of = &donor.value.donor;
    let Some(id) = &of.id else { return html! {} };
    let unit = of.unit.as_ref().and_then(|unit| unit.number.as_ref());
    html! {
        div.card {
            h3 { (named(Some(id), of.name.as_ref())) }
            (facts(DONOR, serde_json::to_value(of).ok().as_ref()))
            p { a href=(entry(&sheet.id, donor.seq)) { "Correct" } }
            @if let Some(unit) = unit {
                @if sheet.is_segment_checked(id) {
                    p.good { "The segment agrees with unit " (unit) "." }
                } @else {
                    @if sheet.is_locked(id) {
                        p.warning { "Locked: the number was typed wrong twice. Correct the donor's entry, or \
                            have another person type it." }
                    }
                    form.short method="post" action=(address::sheet(sheet.id.as_str(), "segment")) {
                        (shell::token(ask))
                        input type="hidden" name="donor" value=(id);
                        label for=(format!("segment-{}", donor.seq)) {
                            "At the segment: type the last " (TYPED_AGAIN) " characters of the unit's number"
                        }
                        div.row {
                            input.again id=(format!("segment-{}", donor.seq)) name="typed" type="text"
                                autocomplete="off" spellcheck="false" size="8";
                            button { "Check" }
                        }
                    }
                }
            }
        }
    }
}

/// What a document holds, in the order of its form.
pub(crate) fn facts(fields: &[Field], document: Option<&Value>) -> Markup {
    let Some(document) = document else { return html! {} };
    let given = filled(fields, document);
    let values = fields.iter().map(|field| {
        let all: Vec<_> = given.all(field.at).map(spoken).collect();
        (field.label, all.join(", ").replace('T', " "), field)
    });
    html! {
        dl.facts { @for (label, value, _) in values.filter(|(_, value, _)| !value.is_empty()) {
            div { dt { (label) @if !label.ends_with('?') { ":" } } dd { (value) } }
        } }
    }
}

/// The end of a unit's number was typed at its segment.
pub(crate) fn segment(ask: &Ask<'_>, id: &Id) -> Result<Answer, Problem> {
    let donor = ask.form.id("donor")?;
    let mut journal = ask.bench.journal();
    let checked = journal.check_segment(&ask.writer()?, id, &donor, ask.form.get("typed"))?;
    if checked.agrees {
        return Ok(Answer::GoTo(format!("{}#donor", address::sheet(id.as_str(), ""))));
    }
    Err(Problem::Told(format!(
        "{donor}: what was typed is not the end of the unit's number. It is on the record. Go back \
         to the segment and look again"
    )))
}

/// A note.
pub(crate) fn note(ask: &Ask<'_>, id: &Id) -> Result<Answer, Problem> {
    let text = ask.form.get("text");
    if text.is_empty() {
        return Err(Problem::Missing("the note"));
    }
    ask.bench.journal().enter(&ask.writer()?, id, Note { text: Text::from(text) })?;
    Ok(Answer::GoTo(format!("{}#notes", address::sheet(id.as_str(), ""))))
}
