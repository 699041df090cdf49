//! Everything about one reader, or about a class, in the order in which it should be read.

use serde::Serialize;

use super::alpha::{Metric, alpha};
use super::bias::Bias;
use super::bootstrap::Bootstrap;
use super::cases::{Cases, Figure};
use super::decisions::Decisions;
use super::fault::{Fault, Faults};
use super::fleiss::fleiss;
use super::gwet::{Gwet, gwet, gwet_of_table};
use super::interval::{Confidence, Interval};
use super::kappa::{Kappa, kappa, kappa_value};
use super::pairs::Pairs;
use super::panel::Panel;
use super::scale::Cut;
use super::share::Share;
use super::symmetry::Symmetry;
use super::undefined::{Undefined, written};
use super::weighting::Weighting;

/// One reader against the key, or one look against another: first what would have been decided.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct ReaderReport {
    /// The items with a key and a reading.
    pub cases: Cases,
    /// The items that were left out because one of them is missing.
    pub left_out: u32,
    /// What the readings would have decided.
    pub decisions: Decisions,
    /// How often the grade is the same.
    pub exact: Share,
    /// How often the grade is the same or its neighbor.
    pub within_one: Share,
    /// Cohen's kappa, unweighted.
    pub unweighted: Kappa,
    /// Cohen's kappa with linear weights.
    pub linear: Kappa,
    /// Cohen's kappa with quadratic weights.
    pub quadratic: Kappa,
    /// The interval of the quadratic kappa from resampling.
    #[serde(serialize_with = "written")]
    pub quadratic_resampled: Result<Interval, Undefined>,
    /// Gwet's AC1.
    pub ac1: Gwet,
    /// Gwet's AC2 with quadratic weights.
    pub ac2: Gwet,
    /// Whether the reader grades too high or too low.
    pub bias: Bias,
    /// Whether the differences lean one way.
    pub symmetry: Symmetry,
}

impl ReaderReport {
    /// Everything about these pairs.
    ///
    /// ```
    /// # use crossread_teach::statistics::*;
    /// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
    /// let key = [0, 0, 1, 2, 3, 4, 4].map(Some);
    /// let read = [Some(0), Some(0), Some(0), Some(2), Some(4), Some(4), None];
    /// let pairs = Pairs::new(&scale, &key, &read)?;
    /// let table = pairs.table();
    /// let bootstrap = Bootstrap::new(200, 42, 0)?;
    /// let report = ReaderReport::new(&pairs, scale.cut(1)?, Confidence::P95, &bootstrap);
    /// assert_eq!((report.cases.count(), report.left_out), (6, 1));
    /// assert_eq!((report.decisions.missed, report.decisions.false_alarms), (1, 0));
    /// assert_eq!(report.within_one.hits, 6);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn new(pairs: &Pairs, cut: Cut, confidence: Confidence, bootstrap: &Bootstrap) -> Self {
        let table = pairs.table();
        let quadratic = |table: &_| kappa_value(table, &Weighting::Quadratic);
        Self {
            cases: table.cases(),
            left_out: pairs.left_out(),
            decisions: table.decisions(cut, confidence),
            exact: table.exact(confidence),
            within_one: table.within_one(confidence),
            unweighted: kappa(&table, &Weighting::Unweighted, confidence),
            linear: kappa(&table, &Weighting::Linear, confidence),
            quadratic: kappa(&table, &Weighting::Quadratic, confidence),
            quadratic_resampled: bootstrap.pairs(pairs, quadratic).percentile(confidence),
            ac1: gwet_of_table(&table, &Weighting::Unweighted, confidence),
            ac2: gwet_of_table(&table, &Weighting::Quadratic, confidence),
            bias: table.bias(confidence),
            symmetry: table.symmetry(),
        }
    }
}

/// A class: each reader against the key, and the readers among themselves.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct ClassReport {
    /// Each reader against the key, in the order of the panel.
    pub readers: Vec<ReaderReport>,
    /// Krippendorff's alpha, ordinal: the readers among themselves, the key left aside.
    pub alpha: Figure,
    /// Its interval from resampling items.
    #[serde(serialize_with = "written")]
    pub alpha_resampled: Result<Interval, Undefined>,
    /// Gwet's AC2 with quadratic weights.
    pub ac2: Gwet,
    /// Fleiss' kappa, which does not know that grades have an order.
    pub fleiss: Figure,
}

impl ClassReport {
    /// Everything about a class, with the key of each item.
    ///
    /// ```
    /// # use crossread_teach::statistics::*;
    /// let scale = Scale::new(["0", "1+", "2+", "3+", "4+"])?;
    /// let (anna, ben) = ([0, 0, 1, 2, 4], [0, 0, 1, 2, 3]);
    /// let panel = Panel::by_reader(&scale, &[anna.map(Some), ben.map(Some)])?;
    /// let bootstrap = Bootstrap::new(200, 42, 0)?;
    /// let key = [0, 0, 1, 2, 4].map(Some);
    /// let report = ClassReport::new(&panel, &key, scale.cut(1)?, Confidence::P95, &bootstrap)?;
    /// assert_eq!(report.readers.len(), 2);
    /// assert_eq!(report.alpha.value, alpha(&panel, Metric::Ordinal).value);
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// All of: a key of another length than the items, a key that is no grade of the scale.
    pub fn new(
        panel: &Panel,
        key: &[Option<u8>],
        cut: Cut,
        confidence: Confidence,
        bootstrap: &Bootstrap,
    ) -> Result<Self, Faults> {
        let mut faults = Vec::new();
        let (expected, found) = (panel.items(), key.len());
        if found != expected {
            faults.push(Fault::Length { what: "key", place: 1, expected, found });
        }
        let most = panel.scale().last();
        for (grade, item) in key.iter().zip(1..) {
            match *grade {
                Some(found) if found > most => faults.push(Fault::Key { item, found, most }),
                Some(_) | None => {}
            }
        }
        Faults::unless(faults, || {
            let against_key = |reader| {
                let pairs = key.iter().copied().zip(panel.reader(reader));
                let pairs = Pairs::of(panel.scale(), pairs);
                ReaderReport::new(&pairs, cut, confidence, bootstrap)
            };
            let ordinal = |panel: &_| alpha(panel, Metric::Ordinal).value;
            Self {
                readers: (0..panel.readers()).map(against_key).collect(),
                alpha: alpha(panel, Metric::Ordinal),
                alpha_resampled: bootstrap.items(panel, ordinal).percentile(confidence),
                ac2: gwet(panel, &Weighting::Quadratic, confidence),
                fleiss: fleiss(panel),
            }
        })
    }
}
