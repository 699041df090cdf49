//! A worksheet as it is written in a document: its fields and their values, not yet checked
//! against each other and against a protocol.
//!
//! ```standalone_crate
//! use crossread_core::words::Phase;
//! use crossread_core::worksheet::draft::{Reading, Worksheet};
//!
//! let document = include_bytes!("../../../../examples/clean-run/worksheet.json");
//! let draft = Worksheet::from_json(document)?;
//! assert_eq!(draft.readings.ok_or("no readings")?.len(), 12);
//! // A part can be a document of its own, as a form hands it over.
//! let part = br#"{ "test": "recipient_auto", "phase": "room", "agglutination": "0",
//!                  "hemolysis": 0, "at": "2026-03-13T20:10:55+01:00" }"#;
//! assert_eq!(Reading::from_json(part)?.phase, Some(Phase::Room));
//! # Ok::<_, Box<dyn std::error::Error>>(())
//! ```

use crate::document::{Date, Faults, Hundredths, Id, List, Text, Time, Whole, document, read};
use crate::words::{
    Agglutination, Answer, Anticoagulant, Artefact, Complement, Condition, Grade, Hemolysis,
    Inspection, Method, Pattern, Phase, Product, Recheck, SampleRole, Species, Storage, System,
    Test, TypeResult,
};

document! {
    /// Everything written down for one recipient, one method and one or more donors.
    Worksheet {
        required {
            /// Always `crossread.worksheet/1`.
            format: Text,
            /// The worksheet's own id.
            id: Id,
            /// The local rules by which it was run.
            protocol: ProtocolRef,
            /// Tube, slide or gel column.
            method: Method,
            /// The animal that needs blood.
            recipient: Recipient,
            /// The possible donors, 1 to 24.
            donors: List<Donor>,
            /// Every look at every mixture, in any order.
            readings: List<Reading>,
        }
        optional {
            /// The blood samples that the mixtures were made from.
            samples: List<Sample>,
            /// How the mixtures were made.
            setup: Setup,
            /// The reagents' own controls.
            reagent_controls: ReagentControls,
            /// Free text, never interpreted.
            remarks: Text,
        }
    }
}

document! {
    /// The id and version of a protocol.
    ProtocolRef {
        required {
            /// Its id, such as `dog-routine`.
            id: Id,
            /// Its version, such as `1.0.0`.
            version: Id,
        }
        optional {}
    }
}

document! {
    /// The animal that needs blood.
    Recipient {
        required {
            /// Unique among the animals of the worksheet.
            id: Id,
            /// The species.
            species: Species,
        }
        optional {
            /// What the animal is called.
            name: Text,
            /// The breed.
            breed: Text,
            /// Body weight in kg, over 0, to 2000, at most two decimal places.
            weight_kg: Hundredths<2000>,
            /// Blood typing results; several in one system are allowed.
            types: List<BloodType>,
            /// What happened to the animal before.
            history: RecipientHistory,
            /// What is known of its illness; shapes next steps, never a verdict.
            conditions: List<Condition>,
            /// Who decided to go on with it in spite of a refusal, and why.
            decision: Decision,
        }
    }
}

document! {
    /// One possible donor and the product of its blood.
    Donor {
        required {
            /// Unique among the animals of the worksheet.
            id: Id,
            /// The species.
            species: Species,
            /// What would be given.
            product: Product,
        }
        optional {
            /// What the animal is called.
            name: Text,
            /// The breed.
            breed: Text,
            /// Blood typing results; several in one system are allowed.
            types: List<BloodType>,
            /// What happened to the animal before.
            history: DonorHistory,
            /// The unit of blood, if there is one already.
            unit: Unit,
            /// Who decided to go on with it in spite of a refusal, and why.
            decision: Decision,
        }
    }
}

document! {
    /// A person's decision to go on with an animal or a sample in spite of a refusal: one identifier
    /// only, a label that nobody read, a sample that would be rejected.
    Decision {
        required {
            /// Who decided.
            by: Text,
            /// Why.
            reason: Text,
        }
        optional {}
    }
}

document! {
    /// One blood typing result.
    BloodType {
        required {
            /// The blood group system.
            system: System,
            /// The result: `A`, `B`, `AB` in the system `AB`, else `positive`, `weak`, `negative`.
            result: TypeResult,
        }
        optional {
            /// The day of the typing.
            on: Date,
        }
    }
}

document! {
    /// What happened to the recipient before. An answer left out is `unknown`, never `never`.
    RecipientHistory {
        required {}
        optional {
            /// Ever transfused.
            transfused: Answer,
            /// The day of the last transfusion; only with `transfused` `yes`.
            last_transfused_on: Date,
            /// Ever pregnant.
            pregnant: Answer,
            /// Ever a reaction to a transfusion.
            reaction: Answer,
            /// Ids of donors that were incompatible before.
            incompatible_with: List<Id>,
        }
    }
}

document! {
    /// What happened to a donor before. An answer left out is `unknown`, never `never`.
    DonorHistory {
        required {}
        optional {
            /// Ever transfused.
            transfused: Answer,
            /// The day of the last transfusion; only with `transfused` `yes`.
            last_transfused_on: Date,
            /// Ever pregnant.
            pregnant: Answer,
            /// Ever a reaction to a transfusion.
            reaction: Answer,
        }
    }
}

document! {
    /// The unit of blood.
    Unit {
        required {
            /// The unit's number.
            number: Id,
        }
        optional {
            /// The last day on which it may be used.
            expires_on: Date,
            /// What it looked like.
            inspection: Inspection,
        }
    }
}

document! {
    /// One blood sample.
    Sample {
        required {
            /// Unique among the samples of the worksheet.
            id: Id,
            /// The id of the animal that it was drawn from.
            of: Id,
            /// What of it is used.
            role: SampleRole,
        }
        optional {
            /// The tube it was drawn into.
            tube: Anticoagulant,
            /// When it was drawn.
            drawn_at: Time,
            /// Where it was kept.
            stored: Storage,
            /// How red the plasma is, 0 to 4.
            hemolysis: Hemolysis,
            /// How milky the plasma is, 0 to 3.
            lipemia: Whole<0, 3>,
            /// How yellow the plasma is, 0 to 3.
            icterus: Whole<0, 3>,
            /// Whether there are clots.
            clots: bool,
            /// Whether the cells clump in the sample itself.
            agglutinated: bool,
            /// The animal id that stands on the label.
            label_id: Id,
            /// Who decided to go on with it in spite of a refusal, and why.
            decision: Decision,
        }
    }
}

document! {
    /// How the mixtures were made.
    Setup {
        required {}
        optional {
            /// Red cells in the suspension, percent by volume, over 0, to 100, at most two decimal places.
            cells_percent: Hundredths<100>,
            /// How often the cells were washed, 0 to 20.
            washes: Whole<0, 20>,
            /// Plasma in one mixture, 1 to 10000 µL.
            plasma_ul: Whole<1, 10_000>,
            /// Cell suspension in one mixture, 1 to 10000 µL.
            cells_ul: Whole<1, 10_000>,
            /// Incubation at each phase, 0 to 1440 minutes.
            incubation_min: Incubation,
            /// Whether complement could act; left out means `none`.
            complement: Complement,
            /// The lots of what was used.
            lots: List<Lot>,
        }
    }
}

document! {
    /// Minutes of incubation at each phase.
    Incubation {
        required {}
        optional {
            /// At room temperature, 0 to 1440 minutes.
            room: Whole<0, 1440>,
            /// At 37 °C, 0 to 1440 minutes.
            warm_37c: Whole<0, 1440>,
            /// Before antiglobulin, 0 to 1440 minutes; left out means that of `warm_37c`.
            antiglobulin: Whole<0, 1440>,
            /// At 4 °C, 0 to 1440 minutes.
            cold_4c: Whole<0, 1440>,
        }
    }
}

document! {
    /// One lot of something used.
    Lot {
        required {
            /// What it is.
            what: Text,
        }
        optional {
            /// The lot's number.
            number: Text,
            /// The last day on which it may be used.
            expires_on: Date,
        }
    }
}

document! {
    /// The reagents' own controls.
    ReagentControls {
        required {}
        optional {
            /// The control that must react.
            positive: PositiveControl,
            /// The control that must not react.
            negative: NegativeControl,
        }
    }
}

document! {
    /// The control that must react.
    PositiveControl {
        required {
            /// The grade it should have.
            expected: Grade,
            /// What was seen.
            read: Agglutination,
        }
        optional {}
    }
}

document! {
    /// The control that must not react.
    NegativeControl {
        required {
            /// What was seen.
            read: Agglutination,
        }
        optional {}
    }
}

document! {
    /// One look at one tube, slide or gel column.
    Reading {
        required {
            /// Which mixture.
            test: Test,
            /// At which step.
            phase: Phase,
            /// How strongly the cells clump, or `unreadable`.
            agglutination: Agglutination,
            /// When it was seen.
            at: Time,
        }
        optional {
            /// The donor's id, for the tests that have one.
            donor: Id,
            /// What was done before this look; left out for a first look.
            after: Recheck,
            /// Parts of saline to 1 part of the mixture; only, and always, with `saline_dilution`.
            saline_parts: Whole<1, { u32::MAX }>,
            /// How red the fluid is, 0 to 4; left out if nobody looked.
            hemolysis: Hemolysis,
            /// The shape of what is clumped.
            pattern: Pattern,
            /// Two populations of cells, one clumped and one free: a flag, never a grade.
            mixed_field: bool,
            /// How strongly the check cells clumped; only at `antiglobulin`.
            check_cells: Grade,
            /// Seconds since mixing (slide) or since the spin (tube, gel), 0 to 86400.
            seconds: Whole<0, 86_400>,
            /// Whether the edge had dried; only on slides.
            dried: bool,
            /// What spoils the reading.
            artefacts: List<Artefact>,
            /// Who saw it.
            by: Text,
            /// Taken back, by whom and why; the reading stays on the record.
            retracted: Retracted,
        }
    }
}

document! {
    /// Why and by whom a reading was taken back.
    Retracted {
        required {
            /// When.
            at: Time,
            /// By whom.
            by: Text,
            /// Why.
            reason: Text,
        }
        optional {}
    }
}

/// Lets a part of a worksheet be read from a document of its own.
macro_rules! parts {
    ($($part:ident)*) => {$(
        impl $part {
            /// Reads the form of this part from a document of its own. What it says is not checked
            /// against anything else; see [the page](self) for an example.
            ///
            /// # Errors
            /// All faults of its form at once, each with its place.
            ///
            /// ```
            #[doc = concat!("# use crossread_core::worksheet::draft::", stringify!($part), ";")]
            #[doc = concat!("let faults = ", stringify!($part), "::from_json(b\"[]\").unwrap_err();")]
            /// assert_eq!(faults.as_slice()[0].expected, "an object");
            /// ```
            pub fn from_json(document: &[u8]) -> Result<Self, Faults> {
                read::<Self>(document)?.into_parts()
            }
        }
    )*};
}

parts! { Worksheet Recipient Donor Sample Setup ReagentControls Reading BloodType }
