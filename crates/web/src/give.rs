//! Issuing an interpretation, and releasing a unit.

use crossread_core::document::{Id, Text};
use crossread_journal::{EmergencyRelease, Release, TYPED_AGAIN};
use maud::{Markup, html};

use crate::animals::named;
use crate::answer::{Answer, Problem};
use crate::ask::{Ask, Fields};
use crate::{address, shell, verdict};

/// Issues what the worksheet comes to.
pub(crate) fn issue(ask: &Ask<'_>, id: &Id) -> Result<Answer, Problem> {
    ask.bench.journal().issue(&ask.writer()?, id, ask.form.get("to"))?;
    Ok(Answer::GoTo(format!("{}#issue", address::sheet(id.as_str(), "verdict"))))
}

/// An issued interpretation was given to a further person.
pub(crate) fn hand(ask: &Ask<'_>, id: &Id) -> Result<Answer, Problem> {
    ask.bench.journal().hand(&ask.writer()?, id, ask.form.get("to"))?;
    Ok(Answer::GoTo(format!("{}#issue", address::sheet(id.as_str(), "verdict"))))
}

/// A released unit came back.
pub(crate) fn take_back(ask: &Ask<'_>, id: &Id) -> Result<Answer, Problem> {
    let release = ask.form.number("release")?;
    ask.bench.journal().take_unit_back(&ask.writer()?, release, ask.form.get("reason"))?;
    Ok(Answer::GoTo(format!("{}#given", address::sheet(id.as_str(), "verdict"))))
}

/// The page on which the unit of a donor is released.
pub(crate) fn page(ask: &Ask<'_>, id: &Id, donor: &str) -> Result<Answer, Problem> {
    shown(ask, id, donor, None)
}

fn shown(
    ask: &Ask<'_>,
    id: &Id,
    donor: &str,
    problem: Option<&Problem>,
) -> Result<Answer, Problem> {
    let donor = Id::new(donor).ok_or(Problem::NoPage)?;
    let mut journal = ask.bench.journal();
    let sheet = journal.sheet(id)?;
    let interpretation = journal.interpretation(id)?;
    drop(journal);
    let of = &sheet.donor(&donor).ok_or(Problem::NoPage)?.value.donor;
    let unit = sheet.unit(&donor).and_then(|unit| unit.number.as_ref());
    let recipient = sheet.opening().map(|opened| &opened.value.recipient);
    let recipient =
        recipient.map(|told| named(told.id.as_ref(), told.name.as_ref())).unwrap_or_default();
    let pair = interpretation.pairs.iter().find(|pair| pair.donor == donor);
    let given = &ask.form;
    let emergency = given.get("emergency") == "yes";
    Answer::page(
        format!("Release the unit of {donor}"),
        html! {
            (shell::tabs(id.as_str(), ""))
            h1 { "Release the unit of " (named(of.id.as_ref(), of.name.as_ref())) }
            @if let Some(problem) = problem { (problem.shown()) }
            @if let Some(pair) = pair {
                p.big { strong { (pair.verdict.spoken().to_uppercase()) } " for " (recipient) ". " (pair.headline) }
            }
            (verdict::standing())
            form.sheet method="post" {
                (shell::token(ask))
                (again(unit, given))
                div.fields {
                    (asked("to", "Who receives the unit", given))
                    (asked("veterinarian", "The veterinarian who decided it", given))
                }
                button.main { "Release" }
                details open[emergency] {
                    summary { "The animal cannot wait" }
                    p { "CROSSMATCH NOT COMPLETED is printed over it, with what was not tested. The tests stay \
                        owed. What was found incompatible is not released this way." }
                    (asked("reason", "Why it cannot wait", given))
                    button name="emergency" value="yes" { "Release before the crossmatch is completed" }
                }
            }
        },
    )
}

/// The identifiers, typed again.
fn again(unit: Option<&Id>, given: &Fields) -> Markup {
    let typed = |name: &str, label: &str| {
        html! {
            div.field {
                label for=(name) { (label) }
                input.again id=(name) name=(name) type="text" autocomplete="off" spellcheck="false"
                    size="8" value=(given.get(name));
            }
        }
    };
    html! {
        @match unit {
            Some(unit) => p { "Unit " strong { (unit) } ". Read both off the bag and the animal, not off the screen." },
            None => p.warning { "The donor's entry has no unit number." },
        }
        div.fields {
            (typed("typed_recipient", &format!("Last {TYPED_AGAIN} characters of the animal's number")))
            (typed("typed_unit", &format!("Last {TYPED_AGAIN} characters of the unit's number")))
        }
    }
}

fn asked(name: &str, label: &str, given: &Fields) -> Markup {
    html! {
        div.field {
            label for=(name) { (label) }
            input id=(name) name=(name) type="text" autocomplete="off" value=(given.get(name));
        }
    }
}

/// Releases the unit, or says why not.
pub(crate) fn release(ask: &Ask<'_>, id: &Id, donor: &str) -> Result<Answer, Problem> {
    let writer = ask.writer()?;
    let text = |name: &str| Text::from(ask.form.get(name));
    let release = Release {
        worksheet: id.clone(),
        donor: Id::new(donor).ok_or(Problem::NoPage)?,
        to: text("to"),
        veterinarian: text("veterinarian"),
        typed_recipient: text("typed_recipient"),
        typed_unit: text("typed_unit"),
    };
    let mut journal = ask.bench.journal();
    let released = if ask.form.get("emergency") == "yes" {
        let emergency = EmergencyRelease { release, reason: text("reason") };
        journal.release_in_emergency(&writer, &emergency)
    } else {
        journal.release(&writer, &release)
    };
    drop(journal);
    match released {
        Ok(_) => Ok(Answer::GoTo(format!("{}#given", address::sheet(id.as_str(), "verdict")))),
        Err(error) => shown(ask, id, donor, Some(&Problem::from(error))),
    }
}
