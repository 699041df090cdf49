//! How a run ends. The numbers are a promise; 65 to 74 are those of BSD's `sysexits.h`.

use std::io;
use std::process::ExitCode;

/// Every donor may be released by the verdict.
pub(crate) const RELEASABLE: u8 = 0;
/// At least one donor may not.
pub(crate) const NOT_RELEASABLE: u8 = 1;
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
    pub(crate) message: Option<String>,
}

impl Failure {
    pub(crate) fn new(status: u8, message: impl Into<String>) -> Self {
        Self { status, message: Some(message.into()) }
    }

    pub(crate) fn misuse(message: impl Into<String>) -> Self {
        Self::new(MISUSE, message)
    }
}

impl From<io::Error> for Failure {
    fn from(error: io::Error) -> Self {
        // Whoever reads the output may stop at any time; that needs no message.
        let quiet = error.kind() == io::ErrorKind::BrokenPipe;
        Self { status: IO, message: (!quiet).then(|| format!("cannot write the output: {error}")) }
    }
}

impl From<serde_json::Error> for Failure {
    fn from(error: serde_json::Error) -> Self {
        Self::from(io::Error::from(error))
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

pub(crate) fn code(status: u8) -> ExitCode {
    ExitCode::from(status)
}
