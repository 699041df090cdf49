//! What the server holds: the journal, the protocols, the clock, the session.

use std::fmt;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use crossread_core::document::Time;
use crossread_core::protocol::Protocols;
use crossread_journal::{Journal, JournalError};

use crate::answer::Problem;
use crate::server::CannotServe;

/// Says what time it is, with the offset of this place.
pub type Clock = Box<dyn Fn() -> Option<Time> + Send + Sync>;

/// How far the clock on the wall may run from the machine's own before a page says so.
const JUMP: Duration = Duration::from_mins(2);

/// What the server holds.
///
/// ```
/// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/../journal/docs/night.rs")); }
/// # use night::*;
/// use crossread_core::document::Time;
/// use crossread_web::{Bench, Server};
///
/// # let folder = tempfile::tempdir()?;
/// # let place = Location::from(folder.path().join("night.journal").as_path());
/// # let journal = Journal::create(&place, "Brindlemoor Animal Hospital", &kt("02:40"))?;
/// // A clock that stands still, as a test has it; at the bench it is `Bench::system_clock()`.
/// let clock = Box::new(|| Time::new("2026-03-01T02:45:00+01:00"));
/// let bench = Bench::new(journal, Protocols::shipped().clone(), clock)?;
/// let server = Server::bind(bench, 0)?;
/// assert!(server.address().starts_with("http://127.0.0.1:"));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
pub struct Bench {
    journal: Mutex<Journal>,
    pub(crate) protocols: Protocols,
    pub(crate) hospital: String,
    clock: Clock,
    started: (Instant, Option<Time>),
    /// What the address carries that is printed.
    pub(crate) token: String,
    /// What every form carries.
    pub(crate) form_token: String,
}

impl fmt::Debug for Bench {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Bench").field("hospital", &self.hospital).finish_non_exhaustive()
    }
}

impl Bench {
    /// A bench over an open journal, with the protocols that new worksheets may name.
    ///
    /// # Errors
    /// If the journal cannot be read, or the machine gives no random numbers.
    pub fn new(
        mut journal: Journal,
        protocols: Protocols,
        clock: Clock,
    ) -> Result<Self, CannotServe> {
        let hospital = journal.of()?.to_string();
        let started = (Instant::now(), clock());
        Ok(Self {
            journal: Mutex::new(journal),
            protocols,
            hospital,
            clock,
            started,
            token: random()?,
            form_token: random()?,
        })
    }

    /// The clock of this machine and its time zone, to the millisecond.
    ///
    /// ```
    /// # use crossread_web::Bench;
    /// let clock = Bench::system_clock();
    /// let (first, second) = (clock().unwrap(), clock().unwrap());
    /// assert!(first.instant() <= second.instant());
    /// ```
    pub fn system_clock() -> Clock {
        Box::new(|| {
            let now = jiff::ZonedDateTime::now();
            Time::new(&now.strftime("%Y-%m-%dT%H:%M:%S%.3f%:z").to_string())
        })
    }

    /// The journal, while nobody else in this server uses it.
    pub(crate) fn journal(&self) -> MutexGuard<'_, Journal> {
        // A handler that failed left nothing half done: each call is one transaction.
        self.journal.lock().unwrap_or_else(PoisonError::into_inner)
    }

    pub(crate) fn now(&self) -> Result<Time, Problem> {
        (self.clock)().ok_or_else(|| Problem::Told("the clock shows no time".to_owned()))
    }

    /// Whether the clock was set while the server ran.
    pub(crate) fn clock_jumped(&self) -> bool {
        let (began, Some(then)) = &self.started else { return false };
        let Ok(now) = self.now() else { return true };
        let ran = began.elapsed();
        let shown = now.instant().duration_since(then.instant());
        let Ok(shown) = Duration::try_from(shown) else { return true };
        shown.abs_diff(ran) > JUMP
    }
}

/// 128 random bits in hexadecimal.
fn random() -> Result<String, CannotServe> {
    let mut bytes = [0; 16];
    getrandom::fill(&mut bytes).map_err(|error| CannotServe::Random(error.to_string()))?;
    Ok(format!("{:032x}", u128::from_be_bytes(bytes)))
}

impl From<JournalError> for CannotServe {
    fn from(error: JournalError) -> Self {
        Self::Journal(error)
    }
}
