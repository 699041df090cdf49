//! How a run ends. The numbers are a promise; 65 to 74 are those of BSD's `sysexits.h`.

use std::any::Any;
use std::io;
use std::panic::{self, AssertUnwindSafe, PanicHookInfo};
use std::process::ExitCode;

use crossread_core::embed::{Broken, Outcome};

use crate::text;

/// Every donor may be released by the verdict.
pub(crate) const RELEASABLE: u8 = 0;
/// At least one donor may not.
pub(crate) const NOT_RELEASABLE: u8 = 1;
/// Two files that were compared differ.
pub(crate) const DIFFER: u8 = 1;
/// The command was called in a way that it does not know.
pub(crate) const MISUSE: u8 = 2;
/// A document is at fault.
pub(crate) const MALFORMED: u8 = 65;
/// A file is not there or cannot be read.
pub(crate) const MISSING: u8 = 66;
/// The program itself is at fault.
pub(crate) const PROGRAM: u8 = 70;
/// A file cannot be written.
pub(crate) const CANNOT_WRITE: u8 = 73;
/// Reading or writing broke off. Also when whoever read the output stopped reading: what was not
/// told must not count as "every donor may be released".
pub(crate) const IO: u8 = 74;

/// Why a verb could not do its work.
#[derive(Debug)]
pub(crate) struct Failure {
    pub(crate) status: u8,
    /// What to say on the error stream, if anything.
    message: Option<String>,
    /// It concerns one of the files only, so that the others can still be done.
    one_file: bool,
}

impl Failure {
    pub(crate) fn new(status: u8, message: impl Into<String>) -> Self {
        Self { status, message: Some(message.into()), one_file: false }
    }

    /// A file that is not there, or that cannot be read to its end.
    pub(crate) fn of_file(status: u8, message: impl Into<String>) -> Self {
        Self { status, message: Some(message.into()), one_file: true }
    }

    /// A panic of a thread, which was told when it happened.
    pub(crate) fn panicked() -> Self {
        Self { status: PROGRAM, message: None, one_file: false }
    }

    pub(crate) fn misuse(message: impl Into<String>) -> Self {
        Self::new(MISUSE, message)
    }

    /// Says on the error stream what there is to say, and gives the status.
    pub(crate) fn tell(self) -> u8 {
        if let Some(message) = self.message {
            // If even this cannot be written, the status says it.
            text::line(&mut anstream::stderr().lock(), &format!("crossread: {message}"))
                .unwrap_or_default();
        }
        self.status
    }
}

impl From<io::Error> for Failure {
    fn from(error: io::Error) -> Self {
        // Whoever reads the output may stop at any time; that needs no message.
        let quiet = error.kind() == io::ErrorKind::BrokenPipe;
        let message = (!quiet).then(|| format!("cannot write the output: {error}"));
        Self { status: IO, message, one_file: false }
    }
}

impl From<serde_json::Error> for Failure {
    fn from(error: serde_json::Error) -> Self {
        Self::from(io::Error::from(error))
    }
}

impl From<Broken> for Failure {
    fn from(broken: Broken) -> Self {
        Self::new(PROGRAM, broken.to_string())
    }
}

/// The status of what became of a worksheet.
pub(crate) fn of(outcome: Outcome) -> u8 {
    match outcome {
        Outcome::Releasable => RELEASABLE,
        Outcome::NotReleasable => NOT_RELEASABLE,
        Outcome::Faulty => MALFORMED,
    }
}

/// The gravest of what was met so far. What could not be judged is graver than a verdict.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Gravest(u8);

impl Gravest {
    pub(crate) fn add(&mut self, status: u8) {
        self.0 = self.0.max(status);
    }

    pub(crate) fn status(self) -> u8 {
        self.0
    }
}

/// Does the same for every file and gives the gravest status. A file that cannot be read is told,
/// and the others are done.
pub(crate) fn each(
    files: &[String],
    mut work: impl FnMut(&str) -> Result<u8, Failure>,
) -> Result<u8, Failure> {
    let mut gravest = Gravest::default();
    for file in files {
        gravest.add(match work(file) {
            Err(failure) if failure.one_file => failure.tell(),
            other => other?,
        });
    }
    Ok(gravest.status())
}

pub(crate) fn code(status: u8) -> ExitCode {
    ExitCode::from(status)
}

/// Does the work of the program. A panic in it is told as a fault of the program, once, in one
/// plain message, and has the status for that.
pub(crate) fn guarded(work: impl FnOnce() -> u8) -> u8 {
    let before = panic::take_hook();
    panic::set_hook(Box::new(|panicked: &PanicHookInfo<'_>| {
        let place = panicked.location().map(ToString::to_string);
        let message = fault_of_the_program(panicked.payload(), place.as_deref());
        // If even this cannot be written, the status says it.
        text::line(&mut anstream::stderr().lock(), &message).unwrap_or_default();
    }));
    let status = panic::catch_unwind(AssertUnwindSafe(work)).unwrap_or(PROGRAM);
    panic::set_hook(before);
    status
}

fn fault_of_the_program(payload: &dyn Any, place: Option<&str>) -> String {
    let said = payload.downcast_ref::<&str>().copied();
    let said = said.or_else(|| payload.downcast_ref::<String>().map(String::as_str));
    format!(
        "crossread: this is a fault of the program, not of your files; what it printed may lack \
         answers; please report it: {} ({})",
        said.unwrap_or("no reason given"),
        place.unwrap_or("no place known")
    )
}

#[cfg(test)]
mod tests {
    use super::{Failure, IO, MALFORMED, MISSING, PROGRAM, each, fault_of_the_program, guarded};

    #[test]
    fn a_panic_is_a_fault_of_the_program() {
        assert_eq!(guarded(|| 65), 65);
        assert_eq!(guarded(|| panic!("a rule met what it does not know")), PROGRAM);
        assert_eq!(guarded(|| std::panic::panic_any(7)), PROGRAM);
    }

    #[test]
    fn the_message_says_whose_fault_it_is_and_where() {
        let text = fault_of_the_program(&"out of range", Some("src/a.rs:3:4"));
        assert!(text.starts_with("crossread: this is a fault of the program"), "{text}");
        assert!(text.ends_with("please report it: out of range (src/a.rs:3:4)"), "{text}");
        assert!(fault_of_the_program(&"made".to_owned(), None).contains("made"));
        assert!(fault_of_the_program(&7, None).contains("no reason given"));
    }

    #[test]
    fn one_file_does_not_stop_the_others_and_the_gravest_status_stays() {
        let files: Vec<_> = ["a", "missing", "b", "bad"].map(str::to_owned).into();
        let mut done = Vec::new();
        let ended = each(&files, |file| {
            done.push(file.to_owned());
            match file {
                "missing" => Err(Failure::of_file(MISSING, "not there")),
                "bad" => Ok(MALFORMED),
                _ => Ok(0),
            }
        });
        assert_eq!(ended.unwrap(), MISSING);
        assert_eq!(done, files);
        let mut tries = 0;
        let stopped = each(&files, |_| {
            tries += 1;
            Err(Failure::new(IO, "the output is gone"))
        });
        assert_eq!((stopped.unwrap_err().status, tries), (IO, 1));
    }
}
