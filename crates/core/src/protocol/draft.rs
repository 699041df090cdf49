//! A protocol as it is written in a document: each value with its source and a note.
//!
//! ```
//! use crossread_core::Protocols;
//!
//! let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine");
//! let document = dog.ok_or("no such protocol")?.document();
//! let rule = document.reactive_from.as_ref().ok_or("no such rule")?;
//! assert_eq!(rule.value.map(|grade| grade.word()), Some("w"));
//! # Ok::<_, &str>(())
//! ```

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Serialize;
use serde::de::{Deserialize, Deserializer, MapAccess, Visitor};

use super::words::{
    Advice, CheckCellsMissing, HemolysisRule, NegativeTestRule, PhaseRole, Remark, TestRole,
    TypeRules,
};
use crate::document::{Hundredths, Id, List, Part, Text, Thousandths, Walk, Whole, document};
use crate::words::{Grade, Product, Species, System};

document! {
    /// The local rules of a crossmatch: thresholds and requirements, each with its source.
    Protocol {
        required {
            /// Always `crossread.protocol/1`.
            format: Text,
            /// The protocol's id.
            id: Id,
            /// Its version. A changed value is a new version.
            version: Id,
            /// The species of recipient that it is meant for, at least one.
            species: List<Species>,
            /// Full citations by key.
            sources: Sources,
            /// The methods that may be used, each with its rules.
            methods: Methods,
            /// A grade from here on is a reaction.
            reactive_from: Rule<Grade>,
            /// A grade from here on, below `reactive_from`, is doubtful.
            doubtful_from: Rule<Grade>,
            /// Hemolysis from here on is a reaction, unless it was there before.
            hemolysis_from: Rule<Whole<1, 4>>,
            /// Plasma with hemolysis from here on cannot show a negative.
            hemolysis_reject_from: Rule<Whole<1, 4>>,
            /// By so many half grades must a test exceed a reactive autocontrol to count as a reaction of its own.
            auto_margin_half_steps: Rule<Whole<0, 8>>,
            /// What a negative test is worth beside a reactive autocontrol of its plasma.
            negative_test_with_reactive_auto: Rule<NegativeTestRule>,
            /// The strongest grade that rouleaux may reach; stronger dispersal is implausible.
            dispersal_up_to: Rule<Grade>,
            /// Parts of saline to 1 part of mixture that a dilution may have.
            saline_parts: Rule<Range<Whole<1, 1000>>>,
            /// The weakest grade that check cells may have.
            check_cells_min: Rule<Grade>,
            /// What a negative antiglobulin reading without check cells is worth.
            check_cells_missing: Rule<CheckCellsMissing>,
            /// By so many half grades may a control miss its expected grade.
            control_tolerance_half_steps: Rule<Whole<0, 8>>,
            /// The strongest grade that counts as weak.
            weak_up_to: Rule<Grade>,
            /// Hours from drawing until a sample is too old.
            sample_max_hours: SampleHours,
            /// Hours over which the readings of one run may spread.
            run_max_hours: Rule<Whole<1, 8760>>,
            /// Days for which a transfusion counts as recent.
            recent_transfusion_days: Rule<Whole<0, 36_500>>,
            /// Days after a transfusion from which the recipient may be sensitized.
            sensitised_after_days: Rule<Whole<0, 36_500>>,
            /// Lipemia from here on is told.
            lipemia_from: Rule<Whole<1, 3>>,
            /// Icterus from here on is told.
            icterus_from: Rule<Whole<1, 3>>,
            /// The least plasma for one volume of packed cells.
            plasma_ratio_min: Rule<Whole<0, 10_000>>,
            /// The least number of donors that say something together.
            panel_min_donors: Rule<Whole<1, 24>>,
            /// Whether a pregnancy can sensitize.
            pregnancy_sensitises: Rule<bool>,
            /// What anticoagulated plasma does to a verdict, as it cannot show lysis.
            anticoagulant_lysis: Rule<Remark>,
            /// Whether lysis must have been testable.
            lysis_must_be_testable: Rule<bool>,
            /// Whose blood types are compared.
            type_rules: Rule<TypeRules>,
            /// What the minor does to a verdict for packed cells.
            minor_with_packed_cells: Rule<MinorEffects>,
        }
        optional {
            /// When a crossmatch is advised; asked before there is one, and never by a verdict.
            need: NeedRules,
            /// How a transfusion is planned and watched; never asked by a verdict.
            care: CareRules,
        }
    }
}

document! {
    /// When a crossmatch is advised. The days after a transfusion are `sensitised_after_days`.
    NeedRules {
        required {
            /// Whether one is advised before a first transfusion.
            first_transfusion: Rule<Advice>,
            /// Whether one is advised before every later transfusion, however soon.
            before_every_later_transfusion: Rule<bool>,
            /// With which products a minor is advised besides.
            minor_with: Rule<List<Product>>,
            /// The blood group systems in which recipient and donor are typed.
            type_in: Rule<List<System>>,
        }
        optional {}
    }
}

document! {
    /// How a transfusion is planned and watched. The veterinarian decides what, how much and
    /// whether.
    CareRules {
        required {
            /// Blood in the body, mL for each kg of body weight.
            blood_volume_ml_per_kg: Rule<Range<Hundredths<200>>>,
            /// Whole blood for each percent of PCV, mL/kg: the rule of thumb.
            whole_blood_ml_per_kg_per_percent: Rule<Range<Hundredths<20>>>,
            /// Packed cells for each percent of PCV, mL/kg: the rule of thumb.
            packed_cells_ml_per_kg_per_percent: Rule<Range<Hundredths<20>>>,
            /// By so many percent may the formula and the rule of thumb lie apart before it is told.
            formula_apart_percent: Rule<Whole<0, 1000>>,
            /// What is given slowly at first, mL/kg.
            start_ml_per_kg: Rule<Thousandths<10>>,
            /// Over how many minutes.
            start_min: Rule<Whole<1, 240>>,
            /// The rate after that, mL/kg/h.
            rate_ml_per_kg_h: Rule<Range<Hundredths<100>>>,
            /// The rate for an animal with a weak heart or weak kidneys, mL/kg/h.
            slow_rate_ml_per_kg_h: Rule<Range<Hundredths<100>>>,
            /// Minutes within which a unit, or a portion of it, has run in.
            max_min: Rule<Whole<1, 1440>>,
            /// Hours for which what stays of an opened unit may be kept in the refrigerator.
            opened_hours: Rule<Whole<0, 168>>,
            /// The warmest that a unit may be, °C.
            warm_max_c: Rule<Hundredths<45>>,
            /// The pores of the ordinary filter, µm.
            filter_um: Rule<Range<Whole<1, 1000>>>,
            /// The pores of the fine filter for small volumes, µm.
            fine_filter_um: Rule<Range<Whole<1, 1000>>>,
            /// The volume up to which a fine filter is used, and after which it is changed, mL.
            fine_filter_ml: Rule<Whole<1, 1000>>,
            /// The most fine filters, one after the other; a volume that takes more has the ordinary one.
            fine_filters_max: Rule<Whole<1, 100>>,
            /// When the animal is looked at, at least one step; the last one holds to the end.
            watch: Rule<List<WatchStep>>,
            /// A temperature above this, °C, together with `fever_rise_c`, is a fever.
            fever_from_c: Rule<Hundredths<45>>,
            /// A rise above the baseline by more than this, °C.
            fever_rise_c: Rule<Hundredths<10>>,
            /// Hours after the end at which the PCV is measured.
            outcome_h: Rule<List<Whole<0, 720>>>,
            /// Days for which unit, segments and the sample from before are kept.
            keep_days: Rule<Whole<1, 3660>>,
        }
        optional {}
    }
}

document! {
    /// How often the animal is looked at, up to a time from the start.
    WatchStep {
        required {
            /// Up to so many minutes from the start.
            until_min: Whole<1, 1440>,
            /// Every so many minutes.
            every_min: Whole<1, 1440>,
        }
        optional {}
    }
}

document! {
    /// One value with its source.
    Rule<T> {
        required {
            /// The value.
            value: T,
            /// A key of `sources`, or `choice`.
            source: Id,
            /// What the value does, and why it is this one.
            note: Text,
        }
        optional {}
    }
}

document! {
    /// From `lo` to `hi`, both included.
    Range<T> {
        required {
            /// The least.
            lo: T,
            /// The greatest, not below `lo`.
            hi: T,
        }
        optional {}
    }
}

document! {
    /// The methods that a protocol allows.
    Methods {
        required {}
        optional {
            /// Rules for tubes.
            tube: Method,
            /// Rules for slides.
            slide: Method,
            /// Rules for gel columns.
            gel: Method,
        }
    }
}

document! {
    /// The rules of one method.
    Method {
        required {
            /// The phases that are used, and what each is for; at least one `required` or `one_of`.
            phases: Rule<PhaseRoles>,
            /// The tests, and which must be read.
            tests: Rule<TestRoles>,
            /// Whether hemolysis must be looked for.
            hemolysis: Rule<HemolysisRule>,
        }
        optional {
            /// Seconds from mixing within which a slide is read.
            seconds: Rule<Range<Whole<0, 86_400>>>,
            /// Seconds after which a reading counts as delayed.
            late_after_seconds: Rule<Whole<0, 86_400>>,
            /// Red cells in the suspension, percent by volume.
            cells_percent: Rule<Range<Hundredths<100>>>,
            /// The least number of washes.
            washes_min: Rule<Whole<0, 20>>,
            /// Minutes of incubation at each phase.
            incubation_min: Rule<IncubationRanges>,
        }
    }
}

document! {
    /// What each phase is for; a phase left out is not used.
    PhaseRoles {
        required {}
        optional {
            /// At room temperature.
            room: PhaseRole,
            /// At 37 °C.
            warm_37c: PhaseRole,
            /// After antiglobulin.
            antiglobulin: PhaseRole,
            /// At 4 °C.
            cold_4c: PhaseRole,
        }
    }
}

document! {
    /// Which tests must be read. The major is always required, saline controls never.
    TestRoles {
        required {
            /// Recipient plasma with donor cells; always `required`.
            major: TestRole,
            /// Donor plasma with recipient cells.
            minor: TestRole,
            /// Recipient plasma with recipient cells.
            recipient_auto: TestRole,
            /// Donor plasma with donor cells.
            donor_auto: TestRole,
            /// Saline with recipient cells; always `optional`.
            recipient_saline: TestRole,
            /// Saline with donor cells; always `optional`.
            donor_saline: TestRole,
        }
        optional {}
    }
}

document! {
    /// Minutes of incubation at each phase.
    IncubationRanges {
        required {}
        optional {
            /// At room temperature.
            room: Range<Whole<0, 1440>>,
            /// At 37 °C.
            warm_37c: Range<Whole<0, 1440>>,
            /// Before antiglobulin.
            antiglobulin: Range<Whole<0, 1440>>,
            /// At 4 °C.
            cold_4c: Range<Whole<0, 1440>>,
        }
    }
}

document! {
    /// Hours from drawing until a sample is too old, by what the animal was exposed to.
    SampleHours {
        required {
            /// For an animal that may have been sensitized.
            exposed: Rule<StorageHours>,
            /// For an animal that was not.
            naive: Rule<StorageHours>,
        }
        optional {}
    }
}

document! {
    /// Hours by where the sample was kept.
    StorageHours {
        required {
            /// At room temperature.
            room: Whole<1, 8760>,
            /// In the refrigerator.
            fridge: Whole<1, 8760>,
        }
        optional {}
    }
}

document! {
    /// What each conclusion of the minor does to a verdict for packed cells.
    MinorEffects {
        required {
            /// The minor reacted.
            reactive: Remark,
            /// The minor cannot be told apart.
            unresolved: Remark,
            /// The minor cannot be used.
            void: Remark,
            /// The minor was not read.
            not_read: Remark,
        }
        optional {}
    }
}

/// Full citations by key.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(transparent)]
pub struct Sources(BTreeMap<String, Text>);

impl Sources {
    /// The citation of a key.
    ///
    /// ```
    /// # use crossread_core::Protocols;
    /// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
    /// let sources = dog.document().sources.as_ref().unwrap();
    /// assert!(sources.get("cotter2019").unwrap().starts_with("Cotter SM."));
    /// assert_eq!(sources.get("choice"), None);
    /// ```
    pub fn get(&self, key: &str) -> Option<&str> {
        self.0.get(key).map(Text::as_str)
    }

    /// Every key with its citation, in the order of the keys.
    ///
    /// ```
    /// # use crossread_core::Protocols;
    /// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
    /// let sources = dog.document().sources.as_ref().unwrap();
    /// assert_eq!(sources.iter().next().unwrap().0, "aabb2002");
    /// ```
    pub fn iter(&self) -> impl Iterator<Item = (&str, &str)> {
        self.0.iter().map(|(key, citation)| (key.as_str(), citation.as_str()))
    }
}

impl<'d> Deserialize<'d> for Sources {
    fn deserialize<D: Deserializer<'d>>(deserializer: D) -> Result<Self, D::Error> {
        struct Entries;
        impl<'d> Visitor<'d> for Entries {
            type Value = Sources;

            fn expecting(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                formatter.write_str("an object")
            }

            fn visit_map<A: MapAccess<'d>>(self, mut map: A) -> Result<Sources, A::Error> {
                let mut sources = BTreeMap::new();
                while let Some((key, citation)) = map.next_entry()? {
                    if sources.insert(key, citation).is_some() {
                        return Err(serde::de::Error::custom("a key twice"));
                    }
                }
                Ok(Sources(sources))
            }
        }
        deserializer.deserialize_map(Entries)
    }
}

impl Part for Sources {
    fn take(walk: &mut Walk<'_>) -> Option<Self> {
        let mut sources = BTreeMap::new();
        walk.map(|walk, key| {
            if let Some(citation) = Part::take(walk) {
                sources.insert(key.to_owned(), citation);
            }
        })?;
        Some(Self(sources))
    }
}
