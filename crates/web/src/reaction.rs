//! After a reaction: the work-up, the identifiers compared, the pair tested again and set beside the
//! first result, and what the veterinarian makes of it.

use crossread_core::care::{self, CaseDefinition, Imputability, Severity};
use crossread_core::document::{Id, Text};
use crossread_core::protocol::Protocol;
use crossread_journal::{
    Compared, Event, Journal, Kind as Written, Note, Place, Reacted, ReadOff, Retest, RetestSample,
    SideBySide, Warning,
};
use crossread_print::ReleasedUnit;
use maud::{Markup, html};

use crate::answer::Problem;
use crate::ask::{Ask, Fields};
use crate::fields::{Field, Kind};
use crate::form::draw;
use crate::{address, shell};

/// What the veterinarian says of a reaction. Nothing is filled in for them.
const CLASSES: &[Field] = &[
    Field::new("veterinarian", "Veterinarian", Kind::Text),
    Field::new(
        "definition",
        "Fits the definition of its kind",
        Kind::OneOf(<CaseDefinition as strum::VariantNames>::VARIANTS),
    ),
    Field::new("severity", "Severity", Kind::OneOf(<Severity as strum::VariantNames>::VARIANTS)),
    Field::new(
        "imputability",
        "Brought about by the transfusion",
        Kind::OneOf(<Imputability as strum::VariantNames>::VARIANTS),
    ),
];

/// Every identifier that is read off again, and where.
const IDENTIFIERS: [(Place, &str); 11] = [
    (Place::Request, "recipient"),
    (Place::Request, "recipient name"),
    (Place::Sample, "recipient"),
    (Place::Sample, "recipient name"),
    (Place::Unit, "unit"),
    (Place::Unit, "donor"),
    (Place::Report, "recipient"),
    (Place::Report, "recipient name"),
    (Place::Report, "unit"),
    (Place::Report, "donor"),
    (Place::Report, "worksheet"),
];

/// The two samples with which a pair is tested again, and the field of the new worksheet's number.
const SAMPLES: [(RetestSample, &str, &str); 2] = [
    (RetestSample::BeforeTransfusion, "worksheet_before", "with the sample from before"),
    (RetestSample::AfterTransfusion, "worksheet_after", "with a sample from after"),
];

/// What the journal has of reactions to a unit.
pub(crate) struct After {
    /// Each reaction: when it was written down, by whom, what.
    reactions: Vec<(crossread_core::document::Time, Text, Reacted)>,
    /// The worksheets that test the pair again, with the result beside the first one, or why there is
    /// none yet.
    retests: Vec<(Id, RetestSample, Result<Vec<SideBySide>, String>)>,
    warnings: Vec<Warning>,
}

impl After {
    /// Looks up what there is.
    pub(crate) fn of(journal: &mut Journal, unit: &ReleasedUnit<'_>) -> Result<Self, Problem> {
        let (mut reactions, mut worksheets) = (Vec::new(), Vec::new());
        for of in journal.units_of(&unit.donor)? {
            if of.what == Written::Reacted.word() && of.unit.as_ref() == Some(&unit.number) {
                let entry = journal.entry(of.seq)?;
                if let Event::Reacted(reacted) = entry.event {
                    reactions.push((entry.at, entry.by, reacted));
                }
            }
            worksheets.extend(of.worksheet.filter(|id| *id != unit.sheet.id));
        }
        worksheets.sort();
        worksheets.dedup();
        let mut retests = Vec::new();
        for id in worksheets {
            let sheet = journal.sheet(&id)?;
            let again = sheet.opening().and_then(|opened| opened.value.retest_of.clone());
            let again = again.filter(|of| of.worksheet == unit.sheet.id && of.donor == unit.donor);
            if let Some(again) = again {
                let beside = journal.side_by_side(&unit.sheet.id, &id, &unit.donor);
                retests.push((id, again.sample, beside.map_err(|why| why.to_string())));
            }
        }
        let told = unit.sheet.opening().map(|opened| opened.value.recipient.clone());
        let warnings = told.map(|told| journal.warnings(&told)).transpose()?.unwrap_or_default();
        Ok(Self { reactions, retests, warnings })
    }

    pub(crate) fn shown(
        &self,
        ask: &Ask<'_>,
        unit: &ReleasedUnit<'_>,
        protocol: &Protocol,
    ) -> Markup {
        if self.reactions.is_empty() {
            return html! {};
        }
        let steps = care::work_up(protocol).unwrap_or_default();
        html! {
            h2 { "After a reaction" }
            ul { @for (at, by, reacted) in &self.reactions {
                li { strong { "Reaction" } " of " (reacted.animal) ", written down " (shell::clock(*at)) " by " (by) ": " (reacted.text) }
            } }
            ol { @for (step, from) in &steps {
                li { (step) @if let Some(from) = from { " (" (from.source) ")" } }
            } }
            p { a href=(address::of(["units", unit.donor.as_str()])) { "All units of " (unit.donor) } }
            (clerical(ask, unit))
            (self.again(ask, unit))
            (classes(ask, unit))
        }
    }

    /// The pair tested again, beside the first result.
    fn again(&self, ask: &Ask<'_>, unit: &ReleasedUnit<'_>) -> Markup {
        let open = |sample| !self.retests.iter().any(|(_, of, _)| *of == sample);
        let filled = |name| if ask.posts { ask.form.get(name) } else { "" };
        html! {
            h3 { "The pair tested again" }
            @for (id, sample, beside) in &self.retests {
                @let said = SAMPLES.iter().find(|(of, _, _)| of == sample).map_or("", |(_, _, said)| said);
                h4 { a href=(address::sheet(id.as_str(), "")) { (id) } ", " (said) }
                @match beside {
                    Err(why) => p { "There is nothing to set beside the first result yet: " (why) },
                    Ok(rows) => {
                        div.wide { table {
                            thead { tr {
                                th scope="col" { "What" } th scope="col" { (unit.sheet.id) } th scope="col" { (id) } th scope="col" { "" }
                            } }
                            tbody { @for row in rows { tr {
                                th scope="row" { (row.what) }
                                td { (row.first) } td { (row.second) }
                                td { @if row.changed { strong { "changed" } } }
                            } } }
                        } }
                        p { "What changed is said, and not why: the order of two results is no cause." }
                    },
                }
            }
            @if SAMPLES.iter().any(|(sample, _, _)| open(*sample)) {
                form.short method="post" {
                    (shell::token(ask))
                    input type="hidden" name="do" value="retest";
                    @for (number, warning) in self.warnings.iter().enumerate() {
                        label.warning for=(format!("noted-{number}")) {
                            input id=(format!("noted-{number}")) type="checkbox" name="noted" value=(warning);
                            span { (warning) }
                        }
                    }
                    @for (sample, name, said) in SAMPLES { @if open(sample) {
                        label for=(name) { "Test the pair again, " (said) ": the new worksheet's number" }
                        input id=(name) name=(name) type="text" autocomplete="off" value=(filled(name));
                    } }
                    button { "Open" }
                }
            }
        }
    }
}

/// The identifiers as they were read off, and as the record has them.
fn clerical(ask: &Ask<'_>, unit: &ReleasedUnit<'_>) -> Markup {
    let checks = unit.sheet.clerical_checks.iter().filter(|of| of.value.donor == unit.donor);
    html! {
        h3 { "Identifiers compared" }
        @for check in checks {
            p { (shell::clock(check.at)) " by " (check.by) ":" }
            ul { @for of in &check.value.compared {
                @let place: &'static str = of.place.into();
                @let recorded = of.recorded.as_ref().map_or("nothing", Text::as_str);
                li { (place) ", " (of.what) ": "
                    @if of.agrees { "agrees, " (recorded) }
                    @else { strong { "DIFFERS: the record has " (recorded) ", and " (of.read) " was read" } } }
            } }
            @let left = left_out(&check.value.compared);
            @if !left.is_empty() { p { "Not read off: " (left) "." } }
        }
        form.sheet method="post" {
            (shell::token(ask))
            input type="hidden" name="do" value="clerical";
            p { "Read each off where it stands; do not copy it from here." }
            div.fields { @for (place, what) in IDENTIFIERS {
                @let name = name_of(place, what);
                @let place: &'static str = place.into();
                div.field {
                    label for=(name) { (place) ": " (what) }
                    input id=(name) name=(name) type="text" autocomplete="off" spellcheck="false";
                }
            } }
            button { "Compare" }
        }
    }
}

/// The identifiers that nobody read off.
fn left_out(compared: &[Compared]) -> String {
    let read =
        |place, what: &str| compared.iter().any(|of| of.place == place && of.what.as_str() == what);
    let left = IDENTIFIERS.iter().filter(|(place, what)| !read(*place, what));
    let left = left.map(|(place, what)| {
        let place: &'static str = place.into();
        format!("{place}: {what}")
    });
    left.collect::<Vec<_>>().join(", ")
}

fn name_of(place: Place, what: &str) -> String {
    let place: &'static str = place.into();
    format!("{place}-{}", what.replace(' ', "-"))
}

/// What the veterinarian made of it, and the form for it.
fn classes(ask: &Ask<'_>, unit: &ReleasedUnit<'_>) -> Markup {
    let begins = note_of(&unit.number);
    let said = unit.sheet.notes.iter().filter(|note| note.stands());
    html! {
        h3 { "What the veterinarian makes of it" }
        ul { @for note in said.filter(|note| note.value.text.as_str().starts_with(&begins)) {
            li { (shell::clock(note.at)) " by " (note.by) ": " (note.value.text) }
        } }
        form.sheet method="post" {
            (shell::token(ask))
            input type="hidden" name="do" value="classify";
            (draw(CLASSES, &Fields::default()))
            button { "Record" }
        }
    }
}

/// How a note on a reaction to a unit begins.
fn note_of(unit: &Id) -> String {
    format!("Reaction to unit {unit}: ")
}

/// Writes down what the veterinarian says: the three axes, each of which may be left out.
pub(crate) fn classify(ask: &Ask<'_>, id: &Id, release: u64) -> Result<(), Problem> {
    let form = &ask.form;
    let veterinarian = form.get("veterinarian");
    if veterinarian.is_empty() {
        return Err(Problem::Missing("the veterinarian's name"));
    }
    let word = |name: &'static str, known: &[&str]| match form.get(name) {
        "" => Ok(None),
        word if known.contains(&word) => Ok(Some(word.replace('_', " "))),
        _ => Err(Problem::Missing(name)),
    };
    let axes = [
        ("case definition", word("definition", <CaseDefinition as strum::VariantNames>::VARIANTS)?),
        ("severity", word("severity", <Severity as strum::VariantNames>::VARIANTS)?),
        ("imputability", word("imputability", <Imputability as strum::VariantNames>::VARIANTS)?),
    ];
    let said = axes.iter().filter_map(|(axis, word)| Some(format!("{axis} {}", word.as_ref()?)));
    let said: Vec<String> = said.collect();
    if said.is_empty() {
        return Err(Problem::Missing("what the veterinarian says of it"));
    }
    let mut journal = ask.bench.journal();
    let sheet = journal.sheet(id)?;
    let unit = ReleasedUnit::of(&sheet, release).ok_or(Problem::NoPage)?;
    let text = format!("{}{}. Says {veterinarian}.", note_of(&unit.number), said.join(", "));
    let note = Note { text: Text::from(text.as_str()) };
    journal.enter(&ask.writer()?, id, note)?;
    Ok(())
}

/// Compares what was read off with the record.
pub(crate) fn compare(ask: &Ask<'_>, id: &Id, release: u64) -> Result<(), Problem> {
    let read = IDENTIFIERS.iter().filter_map(|(place, what)| {
        let name = name_of(*place, what);
        let read = ask.form.get(&name);
        let off = ReadOff { place: *place, what: Text::from(*what), read: Text::from(read) };
        (!read.is_empty()).then_some(off)
    });
    let read: Vec<ReadOff> = read.collect();
    let mut journal = ask.bench.journal();
    let sheet = journal.sheet(id)?;
    let unit = ReleasedUnit::of(&sheet, release).ok_or(Problem::NoPage)?;
    journal.clerical_check(&ask.writer()?, id, &unit.donor, &read)?;
    Ok(())
}

/// Opens the worksheets that test the pair again, when the animal's warnings were taken note of.
pub(crate) fn retest(ask: &Ask<'_>, id: &Id, release: u64) -> Result<(), Problem> {
    let writer = ask.writer()?;
    let mut journal = ask.bench.journal();
    let sheet = journal.sheet(id)?;
    let donor = ReleasedUnit::of(&sheet, release).ok_or(Problem::NoPage)?.donor;
    let noted: Vec<Text> = ask.form.all("noted").map(Text::from).collect();
    let asked = SAMPLES.iter().filter(|(_, name, _)| !ask.form.get(name).is_empty());
    let mut opened = false;
    for (sample, name, _) in asked {
        let again = Retest { worksheet: id.clone(), donor: donor.clone(), sample: *sample };
        journal.retest(&writer, &ask.form.id(name)?, &again, &noted)?;
        opened = true;
    }
    if opened { Ok(()) } else { Err(Problem::Missing("the new worksheet's number")) }
}
