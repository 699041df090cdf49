//! Starting a worksheet: the recipient, what happened to it before, the rules; and an animal's past.

use crossread_core::document::{Id, Text};
use crossread_core::protocol::Protocol;
use crossread_core::words::{Method, Species};
use crossread_core::worksheet::draft;
use crossread_journal::{JournalError, Opening, Override, ProtocolName, Refusal, Request, Warning};
use maud::{Markup, html};

use crate::answer::{Answer, Problem};
use crate::ask::{Ask, Fields};
use crate::fields::{HISTORY, RECIPIENT, spoken};
use crate::form::{document, draw, filled};
use crate::{address, shell};

/// The form, empty or with what the journal knows of an animal.
pub(crate) fn page(ask: &Ask<'_>) -> Result<Answer, Problem> {
    let known = ask.query.get("recipient");
    let mut given = match Id::new(known) {
        Some(id) => last_told(ask, &id)?,
        None => Fields::default(),
    };
    given.set("worksheet", &next_id(ask)?);
    shown(ask, &given, None, &[])
}

/// What was told of an animal when it was last a recipient. Its history is asked anew.
fn last_told(ask: &Ask<'_>, id: &Id) -> Result<Fields, Problem> {
    let mut journal = ask.bench.journal();
    let (past, _) = journal.animal(id)?;
    let told = match past.worksheets.last() {
        Some(last) => journal.sheet(last)?.opening().map(|opened| opened.value.recipient.clone()),
        None => None,
    };
    let document = told.and_then(|told| serde_json::to_value(told).ok());
    Ok(if let Some(document) = document {
        filled(RECIPIENT, &document)
    } else {
        let mut fields = Fields::default();
        fields.set("id", id.as_str());
        fields
    })
}

/// An id that no worksheet has: the day, and a number.
fn next_id(ask: &Ask<'_>) -> Result<String, Problem> {
    let day = ask.bench.now()?.date().to_string();
    let mut journal = ask.bench.journal();
    for number in 1..=999_u32 {
        let proposed = format!("{day}-{number:02}");
        let Some(id) = Id::new(&proposed) else { continue };
        match journal.sheet(&id) {
            Err(JournalError::Unknown { .. }) => return Ok(proposed),
            Ok(_) => {}
            Err(error) => return Err(error.into()),
        }
    }
    Ok(String::new())
}

fn shown(
    ask: &Ask<'_>,
    given: &Fields,
    problem: Option<&Problem>,
    warnings: &[Warning],
) -> Result<Answer, Problem> {
    let title = if warnings.is_empty() { "New worksheet" } else { "Before you go on" };
    Answer::page(
        title,
        html! {
            h1 { (title) }
            @if let Some(problem) = problem { (problem.shown()) }
            @if warnings.is_empty() {
                form.short method="get" action="/start" {
                    label for="known" { "Was it here before? Its number fills the form in" }
                    div.row {
                        input #known name="recipient" type="text" autocomplete="off"
                            value=(given.get("id"));
                        button { "Fill in" }
                    }
                }
            }
            form.sheet method="post" action="/start" {
                (shell::token(ask))
                @if warnings.is_empty() { (questions(ask, given)) }
                @else { (to_be_noted(ask, given, warnings)) }
            }
        },
    )
}

fn questions(ask: &Ask<'_>, given: &Fields) -> Markup {
    let method = given.get("method");
    let rules = given.get("protocol");
    html! {
        fieldset {
            legend { "The animal that needs blood" }
            (draw(RECIPIENT, given))
        }
        fieldset {
            legend { "What happened before" }
            p { "No answer means unknown, and unknown counts as exposed." }
            (draw(HISTORY, given))
        }
        fieldset {
            legend { "The run" }
            div.fields {
                div.field {
                    label for="worksheet" { "Worksheet" }
                    input #worksheet name="worksheet" type="text" autocomplete="off"
                        value=(given.get("worksheet"));
                }
                div.field {
                    label for="method" { "Read in" }
                    select #method name="method" {
                        @for one in Method::ALL {
                            option value=(one) selected[one.word() == method] { (method_said(*one)) }
                        }
                    }
                }
                div.field {
                    label for="protocol" { "Rules" }
                    select #protocol name="protocol" {
                        option value="" { "those for its species" }
                        @for one in ask.bench.protocols.iter() {
                            @let name = protocol_name(one);
                            option value=(name) selected[name == rules] {
                                (one.id()) " " (one.version()) " ("
                                (one.species().iter().map(|species| species.word()).collect::<Vec<_>>().join(", "))
                                ")"
                            }
                        }
                    }
                }
                div.field {
                    label for="request-by" { "Asked for by" }
                    input #request-by name="request/by" type="text" autocomplete="off"
                        value=(given.get("request/by"));
                }
                div.field {
                    label for="request-recipient" { "Number on the request" }
                    input #request-recipient name="request/recipient" type="text" autocomplete="off"
                        value=(given.get("request/recipient"));
                }
                div.field {
                    label for="request-text" { "What for, how soon" }
                    input #request-text name="request/text" type="text" autocomplete="off"
                        value=(given.get("request/text"));
                }
            }
            label.check {
                input type="checkbox" name="second_reader" value="yes"
                    checked[given.get("second_reader") == "yes"];
                "Every mixture is read by a second person, who does not see the first one's values"
            }
        }
        details {
            summary { "Only one identifier?" }
            p { "An animal needs a number and a name. If there is only one, somebody answers for it." }
            (answering(given))
        }
        button.main { "Open the worksheet" }
    }
}

/// Who answers for going on in spite of a refusal, and why.
pub(crate) fn answering(given: &Fields) -> Markup {
    html! {
        div.fields {
            div.field {
                label for="override-by" { "Who decides it" }
                input #override-by name="override/by" type="text" autocomplete="off"
                    value=(given.get("override/by"));
            }
            div.field {
                label for="override-reason" { "Why" }
                input #override-reason name="override/reason" type="text" autocomplete="off"
                    value=(given.get("override/reason"));
            }
        }
    }
}

/// The decision to go on in spite of a refusal, if somebody made one.
pub(crate) fn overridden(form: &Fields) -> Option<Override> {
    let (by, reason) = (form.get("override/by"), form.get("override/reason"));
    let any = !by.is_empty() || !reason.is_empty();
    any.then(|| Override { by: Text::from(by), reason: Text::from(reason) })
}

fn to_be_noted(ask: &Ask<'_>, given: &Fields, warnings: &[Warning]) -> Markup {
    let person = ask.person.as_deref().unwrap_or_default();
    html! {
        p { "Of " strong { (given.get("id")) " " (given.get("name")) } " the journal knows:" }
        @for (number, warning) in warnings.iter().enumerate() {
            label.warning for=(format!("noted-{number}")) {
                input id=(format!("noted-{number}")) type="checkbox" name="noted" value=(warning);
                span { (warning) }
            }
        }
        p { "Tick each. Your name, " strong { (person) } ", goes on the record with it." }
        // Everything that was filled in, so that nothing is asked twice.
        @for (name, value) in given.iter().filter(|(name, _)| *name != "noted" && *name != "form_token") {
            input type="hidden" name=(name) value=(value);
        }
        button.main { "I have taken note: open the worksheet" }
        p { a href="/" { "Leave it" } }
    }
}

fn method_said(method: Method) -> &'static str {
    match method {
        Method::Tube => "tubes",
        Method::Slide => "slides",
        Method::Gel => "gel columns",
    }
}

fn protocol_name(protocol: &Protocol) -> String {
    format!("{} {}", protocol.id(), protocol.version())
}

/// Opens the worksheet, or shows what stands against it.
pub(crate) fn open(ask: &Ask<'_>) -> Result<Answer, Problem> {
    let writer = ask.writer()?;
    let opening = match opening(ask) {
        Ok(opening) => opening,
        Err(problem) => return shown(ask, &ask.form, Some(&problem), &[]),
    };
    let opened = ask.bench.journal().open_worksheet(&writer, &opening, &ask.bench.protocols);
    match opened {
        Ok(_) => Ok(Answer::GoTo(address::sheet(opening.worksheet.as_str(), ""))),
        Err(JournalError::Refused(Refusal::Warnings(warnings))) => {
            shown(ask, &ask.form, None, &warnings)
        }
        Err(error) => shown(ask, &ask.form, Some(&Problem::from(error)), &[]),
    }
}

/// The rules that were chosen, or the only ones that are for the species.
fn rules<'b>(
    ask: &Ask<'b>,
    chosen: &str,
    species: Option<Species>,
) -> Result<&'b Protocol, Problem> {
    let all = ask.bench.protocols.iter();
    let mut fitting = all.filter(|protocol| match species {
        _ if !chosen.is_empty() => protocol_name(protocol) == chosen,
        Some(species) => protocol.species().contains(&species),
        None => false,
    });
    match (fitting.next(), fitting.next()) {
        (Some(one), None) => Ok(one),
        _ => Err(Problem::Missing("the rules: choose them by name")),
    }
}

fn opening(ask: &Ask<'_>) -> Result<Opening, Problem> {
    let form = &ask.form;
    let mut recipient = document(RECIPIENT, form);
    if let (Some(recipient), serde_json::Value::Object(history)) =
        (recipient.as_object_mut(), document(HISTORY, form))
    {
        recipient.extend(history);
    }
    let recipient =
        draft::Recipient::from_json(recipient.to_string().as_bytes()).map_err(Problem::Faults)?;
    let protocol = rules(ask, form.get("protocol"), recipient.species)?;
    let text = |name: &str| Some(form.get(name)).filter(|text| !text.is_empty());
    let request = Request {
        recipient: text("request/recipient").and_then(Id::new),
        by: text("request/by").map(Text::from),
        text: text("request/text").map(Text::from),
    };
    Ok(Opening {
        worksheet: form.id("worksheet")?,
        protocol: ProtocolName { id: protocol.id().clone(), version: protocol.version().clone() },
        method: form.get("method").parse().map_err(|_unknown| Problem::Missing("the method"))?,
        recipient,
        request: (request != Request::default()).then_some(request),
        acknowledged: form.all("noted").map(Text::from).collect(),
        second_reader: form.get("second_reader") == "yes",
        overridden: overridden(form),
    })
}

/// An animal's past.
pub(crate) fn animal(ask: &Ask<'_>, id: &str) -> Result<Answer, Problem> {
    let id = Id::new(id).ok_or(Problem::NoPage)?;
    let (past, warnings) = ask.bench.journal().animal(&id)?;
    Answer::page(
        id.to_string(),
        html! {
            h1 { (id) }
            @if past.is_empty() { p.none { "The journal knows nothing of this animal." } }
            @for warning in &warnings { p.warning { (warning) } }
            @if !past.types.is_empty() {
                h2 { "Blood types" }
                ul { @for typed in &past.types {
                    li {
                        (typed.system) " " (spoken(typed.result.word()))
                        @if let Some(day) = typed.on { ", " (day) }
                        ", entry " (typed.seq)
                        @if typed.settles { ", settles what disagreed before" }
                    }
                } }
            }
            @if !past.worksheets.is_empty() {
                h2 { "Worksheets as the recipient" }
                p { "What was compatible then is no release now." }
                ul.plain { @for sheet in past.worksheets.iter().rev() {
                    li { a href=(address::sheet(sheet.as_str(), "verdict")) { (sheet) } }
                } }
            }
            p { a.button href=(format!("/start?recipient={}", address::value(id.as_str()))) {
                "New worksheet for " (id)
            } }
        },
    )
}
