//! Whether a crossmatch is advised: `need`.

use std::io::Write as _;

use clap::Args;
use crossread_core::document::{Date, Time};
use crossread_core::need::{Case, need};
use crossread_core::words::{Answer, Product, Species, System};

use crate::exit::{self, Failure};
use crate::verbs::journal::{Shape, date, json, now, time, word};
use crate::{input, text};

/// Say whether a crossmatch is advised for a recipient and a product, which tests, by which rule.
///
/// What is not said is not known, and counts as exposed.
#[derive(Debug, Args)]
pub(crate) struct Need {
    /// The recipient's species.
    #[arg(value_parser = word::<Species>)]
    species: Species,
    /// What would be given.
    #[arg(value_parser = word::<Product>)]
    product: Product,
    /// Ever transfused: never, yes or unknown.
    #[arg(long, value_parser = word::<Answer>)]
    transfused: Option<Answer>,
    /// When the last transfusion began.
    #[arg(long, value_parser = time)]
    last_transfused_at: Option<Time>,
    /// The day of the last transfusion.
    #[arg(long, value_parser = date, conflicts_with = "last_transfused_at")]
    last_transfused_on: Option<Date>,
    /// Ever pregnant: never, yes or unknown.
    #[arg(long, value_parser = word::<Answer>)]
    pregnant: Option<Answer>,
    /// Ever a reaction to a transfusion: never, yes or unknown.
    #[arg(long, value_parser = word::<Answer>)]
    reaction: Option<Answer>,
    /// A donor was incompatible before.
    #[arg(long)]
    earlier_incompatible: bool,
    /// A blood group system in which the recipient is typed; may be given several times.
    #[arg(long, value_parser = word::<System>)]
    typed_in: Vec<System>,
    /// The rules: a file, or the id of a protocol that ships; left out, the one that ships for the
    /// species.
    #[arg(long, value_name = "PROTOCOL")]
    protocol: Option<String>,
    /// The time to ask for in place of the clock's.
    #[arg(long, value_parser = time)]
    now: Option<Time>,
    /// How to print.
    #[arg(long, value_enum, default_value_t = Shape::Text)]
    format: Shape,
}

pub(crate) fn run(asked: &Need) -> Result<u8, Failure> {
    let protocol = input::protocol_for(asked.species, asked.protocol.as_deref())?;
    let case = Case {
        species: Some(asked.species),
        product: Some(asked.product),
        transfused: asked.transfused,
        last_transfused_at: asked.last_transfused_at,
        last_transfused_on: asked.last_transfused_on,
        pregnant: asked.pregnant,
        reaction: asked.reaction,
        earlier_incompatible: asked.earlier_incompatible,
        typed_in: asked.typed_in.clone(),
    };
    let at = asked.now.map_or_else(now, Ok)?;
    let found = need(&case, &protocol, at).map_err(|error| Failure::misuse(error.to_string()))?;
    if asked.format != Shape::Text {
        json(asked.format, &found)?;
        return Ok(exit::RELEASABLE);
    }
    let mut out = anstream::stdout().lock();
    writeln!(out, "by the rules {} {}", found.protocol, found.version)?;
    for test in &found.tests {
        let advised = if test.advised { "advised" } else { "not advised" };
        writeln!(out, "{}: {advised}", test.test.spoken())?;
        for because in &test.because {
            let said = format!("{} ({}: {})", because.text, because.rule, because.value);
            text::paragraph(&mut out, "  because ", "          ", &said)?;
            text::paragraph(&mut out, "          source: ", "          ", &because.source)?;
        }
    }
    if !found.type_in.is_empty() {
        let systems: Vec<_> = found.type_in.iter().map(|system| system.word()).collect();
        writeln!(out, "type recipient and donor in: {}", systems.join(", "))?;
    }
    if let Some(from) = found.sensitized_from {
        let due = if found.is_due { "reckoned with by now" } else { "not yet reckoned with" };
        let said = format!(
            "antibody after the last transfusion: from {from} on, {due}; a crossmatch from before \
             that no longer holds"
        );
        text::paragraph(&mut out, "", "  ", &said)?;
    }
    let cautions = "Advice, not a requirement: local rules and the veterinarian decide.";
    text::paragraph(&mut out, "", "", cautions)?;
    Ok(exit::RELEASABLE)
}
