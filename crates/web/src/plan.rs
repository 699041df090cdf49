//! Preparing: what to mix, in rack order, with volumes.

use crossread_core::document::Id;
use crossread_core::prepare::{Available, plan};
use crossread_journal::JournalError;
use maud::html;

use crate::answer::{Answer, Problem, sentence};
use crate::ask::Ask;
use crate::{address, shell};

/// The page.
pub(crate) fn page(ask: &Ask<'_>, id: &Id) -> Result<Answer, Problem> {
    let mut journal = ask.bench.journal();
    let kept = match crossread_print::Kept::of(&mut journal, id) {
        Ok(kept) => kept,
        Err(JournalError::Unknown { .. } | JournalError::Faults(_)) => {
            drop(journal);
            return no_donor(id);
        }
        Err(error) => return Err(error.into()),
    };
    drop(journal);
    let plasma = ask.query.get("plasma");
    let available = Available {
        recipient_plasma_ul: plasma.parse().ok(),
        optional_tests: ask.query.get("all") == "yes",
    };
    let planned = plan(&kept.worksheet, &kept.protocol, available);
    let paper = |which: &str| address::of(["worksheets", id.as_str(), "paper", which]);
    Answer::page(
        format!("{id}: prepare"),
        html! {
            (shell::tabs(id.as_str(), "plan"))
            h1 { "Prepare" }
            p {
                a.button href=(paper("labels")) target="_blank" { "Print the labels" } " "
                a.button href=(paper("blank")) target="_blank" { "Print the worksheet to fill in" }
            }
            form.short method="get" {
                label for="plasma" { "The recipient's plasma, µL" }
                div.row {
                    input #plasma name="plasma" type="text" inputmode="numeric" value=(plasma) autocomplete="off";
                    button { "Work out" }
                }
                label.check {
                    input type="checkbox" name="all" value="yes" checked[available.optional_tests];
                    "with the tests that the rules leave open"
                }
                @if !plasma.is_empty() && available.recipient_plasma_ul.is_none() {
                    p.problem role="alert" { "Write whole microliters, such as 300." }
                }
            }
            @match &planned {
                Err(missing) => {
                    p { (sentence(&missing.to_string())) " "
                        a href=(format!("{}#setup", address::sheet(id.as_str(), ""))) { "How the mixtures are made" } }
                },
                Ok(planned) => {
                    @if let Some(enough) = planned.plasma() { p.big role="status" { (sentence(&enough)) } }
                    h2 { "In rack order" }
                    div.wide { table {
                        thead { tr {
                            th scope="col" { "Place" } th scope="col" { "Mixture" }
                            th scope="col" { "Plasma or saline, µL" } th scope="col" { "Suspension, µL" }
                            th scope="col" { "Read" }
                        } }
                        tbody { @for mixture in &planned.mixtures { tr {
                            td { strong { (mixture.number) } }
                            th scope="row" {
                                (mixture.test.spoken())
                                @if let Some(donor) = &mixture.donor { " of " (donor) }
                            }
                            td { (mixture.fluid_ul) }
                            td { (mixture.cells_ul) }
                            td { (mixture.phases.iter().map(|phase| phase.spoken()).collect::<Vec<_>>().join(", ")) }
                        } } }
                    } }
                    h2 { "Of each animal" }
                    div.wide { table {
                        thead { tr {
                            th scope="col" { "Animal" } th scope="col" { "Plasma, µL" }
                            th scope="col" { "Suspension, µL" } th scope="col" { "Packed cells for it, µL" }
                        } }
                        tbody { @for animal in &planned.animals { tr {
                            th scope="row" { (animal.animal) }
                            td { (animal.plasma_ul) }
                            td { (animal.suspension_ul) }
                            td { @match &animal.packed_cells_ul { Some(cells) => (cells), None => "" } }
                        } } }
                    } }
                    @if planned.saline_ul > 0 { p { "Saline for the saline controls: " (planned.saline_ul) " µL." } }
                },
            }
            p { a.button.main href=(address::sheet(id.as_str(), "read")) { "Read" } }
        },
    )
}

/// What is shown before there is a donor.
pub(crate) fn no_donor(id: &Id) -> Result<Answer, Problem> {
    Answer::page(
        id.to_string(),
        html! {
            (shell::tabs(id.as_str(), ""))
            h1 { "No donor yet" }
            p.big { "Add a donor first." }
            p { a.button.main href=(format!("{}#donor", address::sheet(id.as_str(), ""))) { "Add a donor" } }
        },
    )
}
