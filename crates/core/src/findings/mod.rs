//! The catalogue of findings: what the engine can notice, one file each.
//!
//! A finding's slug is its file's name, its heading in `FINDINGS.md`, its fixture's name and what
//! `crossread explain` is asked for. Nothing outside this folder decides an effect, and the list
//! below is the only one.
//!
//! ```
//! use crossread_core::findings::{CATALOGUE, find};
//! use crossread_core::words::Effect;
//!
//! let rouleaux = find("rouleaux-dispersed").ok_or("no such finding")?;
//! assert_eq!(rouleaux.title, "rouleaux dispersed by a recheck");
//! assert_eq!(rouleaux.effects, [Effect::Caveat]);
//! // Whoever shows the catalogue shows where it is from.
//! assert!(CATALOGUE.iter().all(|meta| !meta.sources.is_empty()));
//! # Ok::<_, &str>(())
//! ```

mod pair;
mod panel;

use schemars::JsonSchema;
use serde::Serialize;

pub(crate) use pair::{Pair, Phases, Transfusion, animal_at, type_at};
pub(crate) use panel::Panel;

use crate::document::{Pointer, on_one_line};
use crate::words::Effect;

/// What a finding says of itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Meta {
    /// Its name.
    pub slug: &'static str,
    /// What was noticed: a fragment without a full stop.
    pub title: &'static str,
    /// What it means, in two or three sentences.
    pub text: &'static str,
    /// What to do, in the imperative.
    pub next_step: &'static str,
    /// Published sources, or "common practice".
    pub sources: &'static [&'static str],
    /// The effects that it can have, from the least to the greatest.
    pub effects: &'static [Effect],
}

/// That a finding holds: with which effect, and what shows it.
#[derive(Clone, Debug)]
pub(crate) struct Raised {
    pub(crate) effect: Effect,
    pub(crate) rests_on: Vec<Pointer>,
}

impl Raised {
    fn new(effect: Effect, rests_on: impl IntoIterator<Item = Pointer>) -> Self {
        Self { effect, rests_on: rests_on.into_iter().collect() }
    }

    /// Holds if anything shows it.
    fn if_any(effect: Effect, rests_on: impl IntoIterator<Item = Pointer>) -> Option<Self> {
        let raised = Self::new(effect, rests_on);
        (!raised.rests_on.is_empty()).then_some(raised)
    }
}

on_one_line! {
    /// One thing that was noticed, as it is told.
    #[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
    #[schemars(deny_unknown_fields)]
    #[non_exhaustive]
    pub struct Finding {
        /// Its name, stable over versions.
        pub slug: &'static str,
        /// What it does to the verdict.
        pub effect: Effect,
        /// What was noticed: a fragment without a full stop.
        pub title: &'static str,
        /// What it means, in two or three sentences.
        pub text: &'static str,
        /// What to do, in the imperative.
        pub next_step: &'static str,
        /// What of the worksheet shows it.
        pub rests_on: Vec<Pointer>,
        /// Published sources, or "common practice".
        pub sources: &'static [&'static str],
    }
}

impl Finding {
    fn new(meta: &Meta, raised: Raised) -> Self {
        Self {
            slug: meta.slug,
            effect: raised.effect,
            title: meta.title,
            text: meta.text,
            next_step: meta.next_step,
            rests_on: raised.rests_on,
            sources: meta.sources,
        }
    }
}

/// Declares the catalogue: the modules, and what is asked of each pair and of the panel.
macro_rules! catalogue {
    (
        pair { $($pair:ident,)+ }
        panel { $($panel:ident,)+ }
    ) => {
        $(mod $pair;)+
        $(mod $panel;)+

        /// Every finding, in the order of the slugs within pairs and panel.
        pub const CATALOGUE: &[Meta] = &[$($pair::META,)+ $($panel::META,)+];

        /// What is noticed of one pair, the greatest effect first, then by slug.
        pub(crate) fn of_pair(pair: &Pair<'_>) -> Vec<Finding> {
            let mut findings = Vec::with_capacity(16);
            $(if let Some(raised) = $pair::raise(pair) {
                findings.push(Finding::new(&$pair::META, raised));
            })+
            findings.sort_by(|a, b| b.effect.cmp(&a.effect).then(a.slug.cmp(b.slug)));
            findings
        }

        /// What is noticed of all pairs together, by slug.
        pub(crate) fn of_panel(panel: &Panel<'_, '_>) -> Vec<Finding> {
            let mut findings = Vec::new();
            $(if let Some(raised) = $panel::raise(panel) {
                findings.push(Finding::new(&$panel::META, raised));
            })+
            findings
        }
    };
}

/// The finding that every answer has: what serology cannot tell.
pub(crate) const STANDING: &str = serology_only::META.slug;

/// What a finding says of itself, by its slug.
///
/// ```
/// # use crossread_core::findings::find;
/// assert_eq!(find("slide-dried").unwrap().title, "slide dried");
/// assert_eq!(find("slide dried"), None);
/// ```
pub fn find(slug: &str) -> Option<&'static Meta> {
    CATALOGUE.iter().find(|meta| meta.slug == slug)
}

catalogue! {
    pair {
        accepted_by_decision,
        artefact_false_negative,
        artefact_false_positive,
        artefact_spoils_reading,
        autocontrol_explains,
        autocontrol_missing,
        autocontrol_reactive_test_negative,
        cat_type_contradiction,
        cat_type_mismatch,
        cat_type_second_choice,
        cat_type_unknown,
        check_cells_failed,
        check_cells_missing,
        dilution_too_high,
        dilution_too_low,
        dispersal_implausible,
        dispersal_unexplained,
        dog_dea1_mismatch,
        dog_type_unknown,
        donor_autocontrol_doubtful,
        donor_autocontrol_not_read,
        donor_autocontrol_reactive,
        donor_autocontrol_void,
        donor_cells_reactive,
        donor_exposed,
        earlier_incompatible,
        earlier_reaction,
        earlier_transfusion,
        hemolysis_masked,
        hemolysis_not_assessed,
        hemolysis_not_read,
        history_unknown,
        horse_type_mismatch,
        inconsistent_controls,
        incubation_long,
        incubation_short,
        informative_phase_reactive,
        label_mismatch,
        lot_expired,
        lysis_not_testable,
        major_not_read,
        major_reactive,
        major_unresolved,
        major_void,
        minor_not_read,
        minor_reactive,
        minor_unresolved,
        minor_void,
        mixed_field_autocontrol,
        mixed_field_major,
        negative_control_reactive,
        no_antiglobulin_phase,
        only_room_read,
        plasma_anticoagulated,
        plasma_ratio_low,
        positive_control_failed,
        pregnancy_exposed,
        protocol_differs,
        reaction_below_cut_off,
        readers_disagree,
        reading_delayed,
        reading_early,
        reading_late,
        reading_retracted,
        reading_time_unknown,
        reading_unreadable,
        readings_far_apart,
        recheck_not_counted,
        recheck_not_valid,
        recheck_stronger,
        recipient_autocontrol_doubtful,
        recipient_autocontrol_not_read,
        recipient_autocontrol_reactive,
        recipient_autocontrol_void,
        rouleaux_dispersed,
        rouleaux_not_rechecked,
        rouleaux_partial,
        saline_control_void,
        saline_controls_reactive,
        sample_age_unknown,
        sample_agglutinated,
        sample_before_transfusion,
        sample_clotted,
        sample_drawn_after_reading,
        sample_hemolysis,
        sample_icteric,
        sample_lipemic,
        sample_look_unknown,
        sample_not_recorded,
        sample_rejected,
        sample_too_old,
        serology_only,
        slide_dried,
        species_differ,
        suspension_too_heavy,
        suspension_too_light,
        transfused_recently,
        type_discrepant,
        type_impossible,
        unit_expired,
        unit_not_inspected,
        unit_unfit,
        washes_few,
    }
    panel {
        every_donor_reactive,
        every_donor_with_autocontrol,
        every_reaction_weak,
        one_donor_reactive,
    }
}
