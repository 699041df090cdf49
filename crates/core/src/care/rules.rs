//! The `care` section of a protocol, value by value with its source.

use schemars::JsonSchema;
use serde::Serialize;

use super::plan::CannotCare;
use crate::document::{Decimals, Whole};
use crate::prepare::Exact;
use crate::protocol::Protocol;
use crate::protocol::draft::{CareRules, Range, Rule};

/// A value of the protocol, with where it comes from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct Sourced {
    /// Its key in the protocol.
    pub rule: &'static str,
    /// The value there, with its unit.
    pub value: String,
    /// The citation of its source, or that it is a local choice.
    pub source: String,
}

/// What stands in the place of a citation where the protocol names no source.
const CHOICE: &str = "Local choice of the protocol";

/// The section, and the protocol whose sources it names.
#[derive(Clone, Copy)]
pub(super) struct Rules<'p> {
    pub(super) protocol: &'p Protocol,
    pub(super) care: &'p CareRules,
}

impl<'p> Rules<'p> {
    pub(super) fn of(protocol: &'p Protocol) -> Result<Self, CannotCare> {
        let care = protocol.document().care.as_ref().ok_or(CannotCare::NoSection)?;
        Ok(Self { protocol, care })
    }

    fn sourced<T>(&self, rule: &'static str, of: Option<&Rule<T>>, value: String) -> Sourced {
        let key = of.and_then(|of| of.source.as_ref()).map_or("choice", |key| key.as_str());
        let cited = self.protocol.document().sources.as_ref().and_then(|all| all.get(key));
        Sourced { rule, value, source: cited.unwrap_or(CHOICE).to_owned() }
    }

    /// A value with decimals, and its unit.
    pub(super) fn number<const PLACES: u32, const MOST: u32>(
        &self,
        rule: &'static str,
        of: Option<&Rule<Decimals<PLACES, MOST>>>,
        unit: &str,
    ) -> Result<Sourced, CannotCare> {
        let value = format!("{} {unit}", Self::one(of)?);
        Ok(self.sourced(rule, of, value))
    }

    /// A whole number, and its unit.
    pub(super) fn count<const LO: u32, const HI: u32>(
        &self,
        rule: &'static str,
        of: Option<&Rule<Whole<LO, HI>>>,
        unit: &str,
    ) -> Result<Sourced, CannotCare> {
        let value = format!("{} {unit}", Self::whole(of)?);
        Ok(self.sourced(rule, of, value))
    }

    /// A range of values with decimals, and its unit.
    pub(super) fn range<const PLACES: u32, const MOST: u32>(
        &self,
        rule: &'static str,
        of: Option<&Rule<Range<Decimals<PLACES, MOST>>>>,
        unit: &str,
    ) -> Result<Sourced, CannotCare> {
        let (lo, hi) = Self::ends(of)?;
        let value = if lo == hi { format!("{lo} {unit}") } else { format!("{lo} to {hi} {unit}") };
        Ok(self.sourced(rule, of, value))
    }

    /// A range of whole numbers, and its unit.
    pub(super) fn counts<const LO: u32, const HI: u32>(
        &self,
        rule: &'static str,
        of: Option<&Rule<Range<Whole<LO, HI>>>>,
        unit: &str,
    ) -> Result<Sourced, CannotCare> {
        let (lo, hi) = Self::whole_ends(of)?;
        Ok(self.sourced(rule, of, format!("{lo} to {hi} {unit}")))
    }

    /// When the animal is looked at.
    pub(super) fn watch(&self) -> Result<Sourced, CannotCare> {
        let steps = self.steps()?;
        let said = steps.iter().map(|(until, every)| format!("every {every} min to {until} min"));
        let said = said.collect::<Vec<_>>().join(", ");
        Ok(self.sourced("care.watch", self.care.watch.as_ref(), said))
    }

    /// The steps of the watch: until so many minutes, every so many.
    pub(super) fn steps(&self) -> Result<Vec<(u32, u32)>, CannotCare> {
        let steps = self.care.watch.as_ref().and_then(|rule| rule.value.as_ref());
        let steps = steps.ok_or(CannotCare::NoSection)?.iter();
        let step = steps.map(|(_, step)| Some((step.until_min?.get(), step.every_min?.get())));
        step.collect::<Option<_>>().ok_or(CannotCare::NoSection)
    }

    /// When the PCV is measured after the end.
    pub(super) fn outcome(&self) -> Result<Sourced, CannotCare> {
        let hours = self.outcome_hours()?.into_iter().map(|hours| hours.to_string());
        let said = format!("{} h after the end", hours.collect::<Vec<_>>().join(" and "));
        Ok(self.sourced("care.outcome_h", self.care.outcome_h.as_ref(), said))
    }

    /// The same as numbers.
    pub(super) fn outcome_hours(&self) -> Result<Vec<u32>, CannotCare> {
        let hours = self.care.outcome_h.as_ref().and_then(|rule| rule.value.as_ref());
        let hours = hours.ok_or(CannotCare::NoSection)?.iter();
        Ok(hours.map(|(_, hours)| hours.get()).collect())
    }

    /// How long what a reaction is worked up with is kept.
    pub(super) fn keep(&self) -> Result<Sourced, CannotCare> {
        self.count("care.keep_days", self.care.keep_days.as_ref(), "days")
    }

    /// The ends of a range of whole numbers.
    pub(super) fn whole_ends<const LO: u32, const HI: u32>(
        of: Option<&Rule<Range<Whole<LO, HI>>>>,
    ) -> Result<(u32, u32), CannotCare> {
        let range = of.and_then(|rule| rule.value.as_ref());
        let ends = range.and_then(|range| Some((range.lo?.get(), range.hi?.get())));
        ends.ok_or(CannotCare::NoSection)
    }

    /// The ends of a range.
    pub(super) fn ends<const PLACES: u32, const MOST: u32>(
        of: Option<&Rule<Range<Decimals<PLACES, MOST>>>>,
    ) -> Result<(Exact, Exact), CannotCare> {
        let range = of.and_then(|rule| rule.value.as_ref());
        let ends = range.and_then(|range| Some((range.lo?, range.hi?)));
        let (lo, hi) = ends.ok_or(CannotCare::NoSection)?;
        Ok((lo.into(), hi.into()))
    }

    pub(super) fn one<const PLACES: u32, const MOST: u32>(
        of: Option<&Rule<Decimals<PLACES, MOST>>>,
    ) -> Result<Exact, CannotCare> {
        let value = of.and_then(|rule| rule.value).ok_or(CannotCare::NoSection)?;
        Ok(value.into())
    }

    pub(super) fn whole<const LO: u32, const HI: u32>(
        of: Option<&Rule<Whole<LO, HI>>>,
    ) -> Result<u32, CannotCare> {
        of.and_then(|rule| rule.value).map(Whole::get).ok_or(CannotCare::NoSection)
    }
}
