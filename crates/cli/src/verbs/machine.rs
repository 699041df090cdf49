use std::fs;
use std::io::{self, Write as _};
use std::path::Path;

use clap::{Command, CommandFactory as _};
use clap_complete::Shell;
use crossread_core::schema::{PUBLISHED, Published};

use crate::cli::Cli;
use crate::exit::{self, Failure};

/// Every schema that is published.
pub(crate) fn schemas() -> impl Iterator<Item = Published> {
    PUBLISHED.into_iter().chain([crossread_journal::schema::PUBLISHED])
}

pub(crate) fn schema(name: &str) -> Result<u8, Failure> {
    let schema = schemas().find(|schema| schema.name == name);
    let schema = schema.ok_or_else(|| Failure::misuse(format!("no schema is called {name}")))?;
    io::stdout().lock().write_all(schema.to_json()?.as_bytes())?;
    Ok(exit::RELEASABLE)
}

pub(crate) fn completions(shell: Shell) -> Result<u8, Failure> {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Cli::command(), "crossread", &mut script);
    io::stdout().lock().write_all(&script)?;
    Ok(exit::RELEASABLE)
}

pub(crate) fn man(folder: Option<&Path>) -> Result<u8, Failure> {
    let command = Cli::command();
    let Some(folder) = folder else {
        io::stdout().lock().write_all(&page(command)?)?;
        return Ok(exit::RELEASABLE);
    };
    let cannot_write = |error: io::Error| {
        Failure::new(exit::CANNOT_WRITE, format!("cannot write into {}: {error}", folder.display()))
    };
    fs::write(folder.join("crossread.1"), page(command.clone())?).map_err(cannot_write)?;
    for verb in command.get_subcommands() {
        let name = format!("crossread-{}", verb.get_name());
        let file = folder.join(format!("{name}.1"));
        fs::write(file, page(verb.clone().display_name(name))?).map_err(cannot_write)?;
    }
    Ok(exit::RELEASABLE)
}

fn page(command: Command) -> io::Result<Vec<u8>> {
    let mut page = Vec::new();
    clap_mangen::Man::new(command).render(&mut page)?;
    Ok(page)
}
