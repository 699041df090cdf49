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
    /// The citation of its source, or `local choice`.
    pub source: String,
}

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

    pub(super) fn sourced<T>(
        &self,
        rule: &'static str,
        of: Option<&Rule<T>>,
        value: String,
    ) -> Sourced {
        let key = of.and_then(|of| of.source.as_ref()).map_or("choice", |key| key.as_str());
        let cited = self.protocol.document().sources.as_ref().and_then(|all| all.get(key));
        Sourced { rule, value, source: cited.unwrap_or("local choice").to_owned() }
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
