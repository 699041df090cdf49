use std::fs;
use std::io::Write as _;
use std::path::PathBuf;

use clap::Args;
use crossread_journal::{Journal, Location, Writer};
use crossread_web::{Bench, CannotServe, Server};
use etcetera::BaseStrategy as _;

use super::demo;
use crate::exit::{self, Failure};
use crate::input;
use crate::verbs::journal::now;

/// Open the page at the bench: a server on this machine only, for a browser on it.
#[derive(Debug, Args)]
pub(crate) struct Serve {
    /// The journal: a file, or the URL of a database. Without one, the journal of this user, which
    /// is made when there is none.
    #[arg(short, long, value_name = "PLACE", conflicts_with = "demo")]
    journal: Option<String>,
    /// Begin with the night of an invented hospital, in a temporary folder.
    #[arg(long)]
    demo: bool,
    /// Whose journal it is, if one is made.
    #[arg(long, value_name = "NAME", default_value = "this hospital")]
    of: String,
    /// The port on 127.0.0.1; 0 is any free one.
    #[arg(long, default_value_t = 0)]
    port: u16,
    /// Open the browser.
    #[arg(long)]
    open: bool,
    /// A local protocol that worksheets may name; may be given several times.
    #[arg(long, value_name = "FILE")]
    protocol: Vec<String>,
}

pub(crate) fn run(asked: &Serve) -> Result<u8, Failure> {
    let protocols = input::protocols(&asked.protocol)?;
    let (journal, place) = match (&asked.journal, asked.demo) {
        (_, true) => {
            let (journal, folder) = demo::night(&protocols)?;
            (journal, folder.display().to_string())
        }
        (Some(place), _) => (opened(&Location::new(place), asked)?, without_secret(place)),
        (None, _) => {
            let file = of_this_user()?;
            (opened(&Location::from(file.as_path()), asked)?, file.display().to_string())
        }
    };
    let bench = Bench::new(journal, protocols, Bench::system_clock())?;
    let server = Server::bind(bench, asked.port)?;
    let address = server.address();
    let mut out = std::io::stdout().lock();
    writeln!(out, "Journal: {place}\nOpen:    {address}\nEnd it with Ctrl-C.")?;
    out.flush()?;
    drop(out);
    if asked.open
        && let Err(error) = open::that_detached(&address)
    {
        writeln!(anstream::stderr(), "the browser did not open ({error}): open the address above")?;
    }
    server.run()?;
    Ok(exit::RELEASABLE)
}

/// The place of a journal as it may be shown: of a URL, without the name and the password in it.
fn without_secret(place: &str) -> String {
    match place.split_once("://") {
        Some((scheme, rest)) => {
            let host = rest.rsplit_once('@').map_or(rest, |(_, host)| host);
            let host = host.split_once('?').map_or(host, |(host, _)| host);
            format!("{scheme}://{host}")
        }
        None => place.to_owned(),
    }
}

/// Opens a journal, or makes one where there is none.
fn opened(place: &Location, asked: &Serve) -> Result<Journal, Failure> {
    let is_missing = matches!(place, Location::File(file) if !file.exists());
    if !is_missing {
        return Ok(Journal::open(place)?);
    }
    let writer = Writer::new("crossread serve", now()?);
    let journal = Journal::create(place, &asked.of, &writer)?;
    writeln!(anstream::stderr(), "There was no journal there: a new one was made.")?;
    Ok(journal)
}

/// The file of this user's journal, in the folder that the platform keeps for such data.
fn of_this_user() -> Result<PathBuf, Failure> {
    let no_folder = |error: &dyn std::fmt::Display| {
        Failure::new(
            exit::CANNOT_WRITE,
            format!("no folder for a journal: {error}; name one with --journal"),
        )
    };
    let strategy = etcetera::choose_base_strategy().map_err(|error| no_folder(&error))?;
    let folder = strategy.data_dir().join("crossread");
    fs::create_dir_all(&folder).map_err(|error| no_folder(&error))?;
    Ok(folder.join("crossread.journal"))
}

impl From<CannotServe> for Failure {
    fn from(error: CannotServe) -> Self {
        if let CannotServe::Journal(error) = error {
            return error.into();
        }
        Self::new(exit::IO, error.to_string())
    }
}

#[cfg(test)]
mod tests {
    use super::without_secret;

    #[test]
    fn no_password_is_shown() {
        for (place, shown) in [
            ("night.journal", "night.journal"),
            ("postgres://127.0.0.1:5432/bench", "postgres://127.0.0.1:5432/bench"),
            ("postgres://kt:p@ss@127.0.0.1/bench?password=p", "postgres://127.0.0.1/bench"),
        ] {
            assert_eq!(without_secret(place), shown);
        }
    }
}
