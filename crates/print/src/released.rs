//! A released unit of a journal, as pages and paper name it.

use crossread_core::Protocol;
use crossread_core::care::Order;
use crossread_core::document::{Id, Time};
use crossread_core::words::Product;
use crossread_journal::{Entered, Running, Seq, Sheet, Started};
use jiff::Timestamp;
use jiff::tz::TimeZone;

use crate::TransfusionSheet;
use crate::clock::{clock, clocks, day_and_clock};

/// A release of a worksheet, with what was done with its unit.
///
/// ```
/// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/../journal/docs/night.rs")); }
/// # use night::*;
/// use crossread_print::ReleasedUnit;
/// use jiff::tz::TimeZone;
///
/// let mut journal = released();
/// let release = journal.seq;
/// let sheet = journal.sheet(&id("WS-1"))?;
/// let unit = ReleasedUnit::of(&sheet, release).ok_or("no such release")?;
/// assert_eq!(unit.said(), "U-5512 of D-091, packed cells");
/// assert_eq!(unit.recipient(), "R-3107 Juniper");
/// assert!(unit.validity(&TimeZone::UTC).starts_with("valid until 2026-03-"));
/// assert!(unit.started().is_none());
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct ReleasedUnit<'s> {
    /// The worksheet.
    pub sheet: &'s Sheet,
    /// The entry of the release.
    pub release: Seq,
    /// The donor.
    pub donor: Id,
    /// The unit's number.
    pub number: Id,
    /// What was released.
    pub product: Product,
    validity: Validity,
}

/// What is to be done about a unit that runs: which looks were missed, and when the next one is due.
///
/// ```
/// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/../journal/docs/night.rs")); }
/// # use night::*;
/// # use crossread_print::running_said;
/// # use jiff::tz::TimeZone;
/// let runs = &running().running()?[0];
/// let said = running_said(runs, time("03:56"), &TimeZone::UTC);
/// assert!(said.contains("LOOK NOW: due 02:55."));
/// assert!(said.contains("Next look at 03:00."));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
pub fn running_said(of: &Running, now: Time, zone: &TimeZone) -> String {
    let since = day_and_clock(of.started.at.instant(), zone);
    let mut said = format!("unit {} runs into {} since {since}.", of.unit, of.recipient);
    let missed = of.missed(now);
    if !missed.is_empty() {
        said.push_str(&format!(" LOOK NOW: due {}.", clocks(&missed, zone).join(", ")));
    }
    match of.next(now) {
        Some(next) => said.push_str(&format!(" Next look at {}.", clock(next, zone))),
        None => said.push_str(" Its time is over: end it, or write down why it runs on."),
    }
    said
}

#[derive(Clone, Debug)]
enum Validity {
    /// Until when the release holds, as it was written.
    Until(String),
    /// What an emergency release says in the place of it.
    Headline(String),
}

impl<'s> ReleasedUnit<'s> {
    /// The unit of a release, if the worksheet has it.
    pub fn of(sheet: &'s Sheet, release: Seq) -> Option<Self> {
        if let Some(of) = sheet.releases.iter().find(|of| of.seq == release) {
            let of = &of.value;
            let validity = Validity::Until(of.valid_until.to_string());
            let (donor, number) = (of.donor.clone(), of.unit.clone());
            return Some(Self { sheet, release, donor, number, product: of.product, validity });
        }
        let of = &sheet.emergency_releases.iter().find(|of| of.seq == release)?.value;
        let validity = Validity::Headline(of.headline.to_string());
        let (donor, number) = (of.donor.clone(), of.unit.clone());
        Some(Self { sheet, release, donor, number, product: of.product, validity })
    }

    /// How it was started, if it was.
    pub fn started(&self) -> Option<&'s Entered<Started>> {
        self.sheet.started.iter().find(|of| of.value.release == self.release)
    }

    /// The animal, by its number and its name.
    pub fn recipient(&self) -> String {
        let told = self.sheet.opening().map(|opened| &opened.value.recipient);
        let id = told.and_then(|told| told.id.as_ref()).map(ToString::to_string);
        let name = told.and_then(|told| told.name.as_ref()).map(ToString::to_string);
        [id, name].into_iter().flatten().collect::<Vec<_>>().join(" ")
    }

    /// The unit, its donor and its product.
    pub fn said(&self) -> String {
        format!("{} of {}, {}", self.number, self.donor, self.product.spoken())
    }

    /// Until when the release holds, or that the crossmatch was not completed.
    pub fn validity(&self, zone: &TimeZone) -> String {
        match &self.validity {
            Validity::Headline(said) => said.clone(),
            Validity::Until(written) => {
                let until: Result<Timestamp, _> = written.parse();
                let until = until.map(|until| day_and_clock(until, zone));
                format!("valid until {}", until.unwrap_or_else(|_unread| written.clone()))
            }
        }
    }

    /// Its transfusion sheet. The times run from the spiking on, if it was spiked.
    ///
    /// ```
    /// # mod night { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/../journal/docs/night.rs")); }
    /// # use night::*;
    /// # use crossread_core::{care::Order, words::Product};
    /// # use crossread_print::{ReleasedUnit, text};
    /// # use jiff::tz::TimeZone;
    /// # let order = Order {
    /// #     weight: "9.5".parse()?, pcv_now: "15".parse()?, pcv_target: "25".parse()?,
    /// #     product: Product::PackedCells, product_pcv: "60".parse()?, volume: Some("140".parse()?),
    /// #     slowly: false, drops_per_ml: None, begins: None,
    /// # };
    /// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine");
    /// # let dog = dog.ok_or("no such protocol")?;
    /// let mut journal = released();
    /// let release = journal.seq;
    /// let sheet = journal.sheet(&id("WS-1"))?;
    /// let unit = ReleasedUnit::of(&sheet, release).ok_or("no such release")?;
    /// let paper = unit.paper(&order, dog, "Brindlemoor Animal Hospital", TimeZone::UTC);
    /// assert!(text(&paper.document()?).contains("U-5512 of D-091, packed cells"));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn paper<'o>(
        &self,
        order: &'o Order,
        protocol: &'o Protocol,
        hospital: &str,
        zone: TimeZone,
    ) -> TransfusionSheet<'o> {
        TransfusionSheet {
            hospital: hospital.to_owned(),
            worksheet: self.sheet.id.to_string(),
            recipient: self.recipient(),
            unit: self.said(),
            release: self.validity(&zone),
            order,
            protocol,
            zone,
            part: 1,
        }
    }
}
