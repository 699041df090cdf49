//! What a set exercises of the catalogue of findings.

use crossread_core::findings::CATALOGUE;
use crossread_core::words::{Effect, Verdict};
use serde::Serialize;

use super::ask::Ask;
use super::check::Exercise;
use super::recipe::UNREACHABLE;

/// How a finding is exercised.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "how", rename_all = "snake_case")]
#[non_exhaustive]
pub enum How {
    /// It decides the verdict of a run.
    Decisive {
        /// The run.
        run: String,
        /// The item that asks for it, if one does.
        #[serde(skip_serializing_if = "Option::is_none")]
        asked: Option<String>,
    },
    /// It is there in a run, and does not decide.
    Present {
        /// The run.
        run: String,
        /// The item that asks for it, if one does.
        #[serde(skip_serializing_if = "Option::is_none")]
        asked: Option<String>,
    },
    /// It is in no run of the set.
    Missing {
        /// Why, if it cannot be in any.
        #[serde(skip_serializing_if = "Option::is_none")]
        because: Option<String>,
    },
}

/// One finding of the catalogue.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Covered {
    /// Its slug.
    pub slug: &'static str,
    /// How it is exercised.
    #[serde(flatten)]
    pub how: How,
}

/// Every finding of the catalogue, by slug.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Coverage {
    /// The findings.
    pub findings: Vec<Covered>,
}

impl Coverage {
    /// What a set exercises. `why_not` is asked for findings that are in no run.
    pub(crate) fn of(exercise: &Exercise, why_not: &dyn Fn(&str) -> Option<String>) -> Self {
        let mut findings: Vec<_> = CATALOGUE
            .iter()
            .map(|meta| Covered { slug: meta.slug, how: how(exercise, meta.slug, why_not) })
            .collect();
        findings.sort_by_key(|covered| covered.slug);
        Self { findings }
    }

    /// How many are in a run of the set.
    ///
    /// ```
    /// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
    /// # use lesson::*;
    /// # use crossread_core::findings::CATALOGUE;
    /// let made = make(&wanted(Kind::Text, 4), Protocols::shipped())?;
    /// let missing = made.coverage.missing().count();
    /// assert_eq!(made.coverage.reached() + missing, CATALOGUE.len());
    /// // Every answer says what serology cannot tell.
    /// assert!(made.coverage.missing().all(|(slug, _)| slug != "serology-only"));
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn reached(&self) -> usize {
        let missing = |covered: &&Covered| !matches!(covered.how, How::Missing { .. });
        self.findings.iter().filter(missing).count()
    }

    /// The findings that are in no run, each with why, if it cannot be in any.
    pub fn missing(&self) -> impl Iterator<Item = (&'static str, Option<&str>)> {
        self.findings.iter().filter_map(|covered| match &covered.how {
            How::Missing { because } => Some((covered.slug, because.as_deref())),
            How::Decisive { .. } | How::Present { .. } => None,
        })
    }
}

/// Why a finding cannot be in any set, if that is so whatever the rules.
pub(super) fn never(slug: &str) -> Option<String> {
    UNREACHABLE.iter().find(|(named, _)| *named == slug).map(|(_, why)| (*why).to_owned())
}

fn how(exercise: &Exercise, slug: &str, why_not: &dyn Fn(&str) -> Option<String>) -> How {
    let set = exercise.set();
    let asked = set.items.iter().find(|item| item.ask == Ask::Finding && item.key == slug);
    let asks = asked.map(|item| item.id.clone());
    let mut present = None;
    // The run that is asked about comes first.
    let first = asked.and_then(|item| item.run.as_deref());
    let runs = set.runs.iter().filter(|run| first.is_none_or(|first| run.id == first));
    for run in runs {
        let of_run = set.items.iter().find(|item| item.run.as_deref() == Some(&run.id));
        let Some(interpreted) = of_run.and_then(|item| exercise.run_of(item)) else { continue };
        for pair in &interpreted.interpretation.pairs {
            for (found, effect) in interpreted.findings(pair.donor.as_str()) {
                if found != slug {
                    continue;
                }
                if effect > Effect::Note && Verdict::from(effect) == pair.verdict {
                    return How::Decisive { run: run.id.clone(), asked: asks };
                }
                present.get_or_insert_with(|| run.id.clone());
            }
        }
    }
    match present {
        Some(run) => How::Present { run, asked: asks },
        None => How::Missing { because: why_not(slug) },
    }
}
