use std::io::{BufWriter, Write};

use crossread_core::embed::{self, Explanation};

use super::interpret::json;
use crate::cli::{Explain, Format};
use crate::exit::{self, Failure};
use crate::text::paragraph;

pub(crate) fn run(asked: &Explain) -> Result<u8, Failure> {
    let explained = embed::explain(&asked.word.join(" "))?;
    let explained = explained.map_err(|unknown| Failure::misuse(unknown.to_string()))?;
    let mut out = BufWriter::new(anstream::stdout().lock());
    match asked.format {
        Format::Text => {
            for (number, meaning) in explained.iter().enumerate() {
                if number > 0 {
                    writeln!(out)?;
                }
                tell(&mut out, meaning)?;
            }
        }
        Format::Json => json(&mut out, &explained, true)?,
        Format::Ndjson => json(&mut out, &explained, false)?,
    }
    out.flush()?;
    Ok(exit::RELEASABLE)
}

fn tell(out: &mut dyn Write, meaning: &Explanation) -> Result<(), Failure> {
    match meaning {
        Explanation::Finding { slug, title, effects, text, next_step, sources, .. } => {
            writeln!(out, "{slug} (a finding)")?;
            let effects: Vec<_> = effects.iter().map(|effect| effect.word()).collect();
            paragraph(out, "    ", "    ", &format!("{title}; effect: {}", effects.join(", ")))?;
            writeln!(out)?;
            paragraph(out, "    ", "    ", text)?;
            writeln!(out)?;
            paragraph(out, "    Next: ", "    ", next_step)?;
            writeln!(out, "\n    Sources")?;
            for source in *sources {
                paragraph(out, "    - ", "      ", source)?;
            }
        }
        Explanation::Word { word, meaning, source, .. } => {
            writeln!(out, "{word} (a word of the trade)")?;
            paragraph(out, "    ", "    ", meaning)?;
            paragraph(out, "    - ", "      ", source)?;
        }
        Explanation::Fault { code, meaning, .. } => {
            writeln!(out, "{code} (a fault of a document)")?;
            paragraph(out, "    ", "    ", meaning)?;
        }
        Explanation::Rule { path, protocol, value, note, source, .. } => {
            paragraph(out, "", "    ", &format!("{path} (a key of protocol {protocol})"))?;
            paragraph(out, "    = ", "      ", value)?;
            paragraph(out, "    ", "    ", note)?;
            paragraph(out, "    - ", "      ", source)?;
        }
    }
    Ok(())
}
