//! Messages to and from other programs: FHIR R5 and HL7 version 2.5.1.

use std::io::{BufWriter, Write as _};
use std::num::NonZeroU32;

use clap::{Args, ValueEnum};
use crossread_core::document::Time;
use crossread_core::interpretation::Issued;
use crossread_core::{Worksheet, interpret};
use crossread_exchange::{CannotConvert, Message, from_fhir, from_hl7, to_fhir, to_hl7};

use super::interpret::json;
use super::journal::{now, time};
use crate::exit::{self, Failure};
use crate::{input, text};

/// Write a crossmatch as a message for other programs, or read one back.
///
/// A message holds the interpretation, the animals, the units and every reading, and no samples,
/// histories, blood types or setup: it cannot be interpreted again. Reading one back gives a JSON
/// document; whatever in it is not known is an error.
#[derive(Debug, Args)]
#[command(group = clap::ArgGroup::new("way").required(true))]
pub(crate) struct Convert {
    /// The worksheet, or the message to read; `-` is the standard input.
    file: String,
    /// Write the worksheet and what it comes to as this.
    #[arg(long, value_enum, group = "way", value_name = "FORMAT")]
    to: Option<As>,
    /// Read a message that was written so.
    #[arg(long, value_enum, group = "way", value_name = "FORMAT")]
    from: Option<As>,
    /// What was issued for this very worksheet; left out, it is interpreted now.
    #[arg(long, value_name = "FILE", conflicts_with = "from")]
    interpretation: Option<String>,
    /// A local protocol that the worksheet may name; may be given several times.
    #[arg(long, value_name = "FILE", conflicts_with = "from")]
    protocol: Vec<String>,
    /// When the message is sent; left out, now.
    #[arg(long, value_name = "TIME", value_parser = time, conflicts_with = "from")]
    at: Option<Time>,
    /// The how manieth message it is that is sent of this worksheet; from 2 on it is sent as a
    /// correction.
    #[arg(long, value_name = "N", default_value = "1", conflicts_with = "from")]
    revision: NonZeroU32,
    /// End with status 0 also when a donor may not be released.
    #[arg(long)]
    exit_zero: bool,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum As {
    /// FHIR R5, a Bundle in JSON.
    Fhir,
    /// HL7 version 2.5.1, ORU^R01.
    Hl7,
}

pub(crate) fn run(asked: &Convert) -> Result<u8, Failure> {
    let document = input::document(&asked.file)?;
    let name = input::name(&asked.file);
    let mut out = BufWriter::new(std::io::stdout().lock());
    let message = match (asked.from, asked.to) {
        (Some(from), _) => {
            let message = match from {
                As::Fhir => from_fhir(&document),
                As::Hl7 => from_hl7(&document),
            };
            let message = message.map_err(|why| told(name, &why))?;
            json(&mut out, &message, true)?;
            message
        }
        (None, to) => {
            let message = message(asked, name, &document)?;
            let at = asked.at.map_or_else(now, Ok)?;
            match to {
                Some(As::Hl7) => {
                    let written = to_hl7(&message, at).map_err(|why| told(name, &why))?;
                    out.write_all(written.as_bytes())?;
                }
                Some(As::Fhir) | None => {
                    let written = to_fhir(&message, at).map_err(|why| told(name, &why))?;
                    json(&mut out, &written, true)?;
                }
            }
            message
        }
    };
    out.flush()?;
    let mut pairs = message.interpretation().pairs().iter();
    let releasable = pairs.all(|pair| pair.verdict.is_releasable());
    Ok(if releasable || asked.exit_zero { exit::RELEASABLE } else { exit::NOT_RELEASABLE })
}

fn message(asked: &Convert, name: &str, document: &[u8]) -> Result<Message, Failure> {
    let issued = if let Some(file) = &asked.interpretation {
        let issued = input::document(file)?;
        Issued::from_json(&issued).map_err(|faults| {
            let told = input::tell(input::name(file), &issued, &faults);
            let message = format!("{} is no interpretation", input::name(file));
            told.map_or_else(Failure::from, |()| Failure::new(exit::MALFORMED, message))
        })?
    } else {
        interpreted(asked, name, document)?
    };
    let message = Message::new(document, issued).map_err(|why| told(name, &why))?;
    Ok(message.revised(asked.revision))
}

fn interpreted(asked: &Convert, name: &str, document: &[u8]) -> Result<Issued, Failure> {
    let protocols = input::protocols(&asked.protocol)?;
    let worksheet = Worksheet::from_json(document, &protocols).map_err(|faults| {
        let told = input::tell(name, document, &faults);
        let message = "a worksheet at fault is not converted";
        told.map_or_else(Failure::from, |()| Failure::new(exit::MALFORMED, message))
    })?;
    let named = worksheet.protocol();
    let protocol = protocols.get(&named.id, &named.version);
    let protocol = protocol.ok_or_else(|| Failure::new(exit::PROGRAM, "the protocol is gone"))?;
    let answer = serde_json::to_vec(&interpret(&worksheet, protocol))?;
    Issued::from_json(&answer).map_err(|faults| {
        let message = format!("what was interpreted cannot be read back: {faults}");
        Failure::new(exit::PROGRAM, message)
    })
}

/// Tells every reason on the error stream.
fn told(name: &str, why: &CannotConvert) -> Failure {
    let mut out = anstream::stderr().lock();
    let lines = why
        .as_slice()
        .iter()
        .try_for_each(|wrong| text::paragraph(&mut out, "", "    ", &format!("{name}: {wrong}")));
    let count = why.as_slice().len();
    let plural = if count == 1 { "" } else { "s" };
    let message = format!("{name} cannot be converted: {count} reason{plural}");
    lines.map_or_else(Failure::from, |()| Failure::new(exit::MALFORMED, message))
}
