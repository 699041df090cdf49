//! What is asked before a unit is spiked, what is looked for while it runs, and the work-up of a
//! reaction.

use super::plan::CannotCare;
use super::rules::{Rules, Sourced};
use crate::protocol::Protocol;
use crate::words::word;

word! {
    /// Something that is answered by name before a unit is spiked.
    Check is "a check before spiking" {
        /// The release is still valid.
        Release = "release",
        /// Unit and animal were identified again.
        Identity = "identity",
        /// The unit was looked at.
        Inspected = "inspected",
        /// The unit is not too warm.
        NotTooWarm = "not_too_warm",
        /// The right filter is in the line.
        Filter = "filter",
        /// The line carries nothing else.
        OwnLine = "own_line",
        /// No calcium and no drug is in it.
        NoCalcium = "no_calcium",
        /// The baseline was taken.
        Baseline = "baseline",
    }
}

impl Check {
    fn question(self) -> &'static str {
        match self {
            Self::Release => "Is the release still valid, and for this animal?",
            Self::Identity => {
                "Were the unit's and the animal's numbers read off both and compared?"
            }
            Self::Inspected => "Was the unit looked at now: color, clots, gas, leaks?",
            Self::NotTooWarm => "Was it never warmed above the limit of the protocol?",
            Self::Filter => "Is the filter for this volume in the line, new for this unit?",
            Self::OwnLine => "Does the line carry blood and saline only?",
            Self::NoCalcium => "Is no calcium-containing fluid and no drug in the line?",
            Self::Baseline => "Were temperature, heart rate, breathing, gums and PCV taken?",
        }
    }

    /// What is asked, with the protocol's own limit in it where there is one. `yes` is the answer
    /// that lets it go on.
    ///
    /// ```
    /// # use crossread_core::{Protocols, care::Check};
    /// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
    /// assert_eq!(Check::NotTooWarm.asked(dog)?, "Was it never warmed above 37 °C?");
    /// assert_eq!(Check::Filter.otherwise(), "Put the filter in first.");
    /// # Ok::<_, crossread_core::care::CannotCare>(())
    /// ```
    ///
    /// # Errors
    /// If the protocol has no `care` section.
    pub fn asked(self, protocol: &Protocol) -> Result<String, CannotCare> {
        let rules = Rules::of(protocol)?;
        Ok(match self {
            Self::NotTooWarm => {
                let most = Rules::one(rules.care.warm_max_c.as_ref())?;
                format!("Was it never warmed above {most} °C?")
            }
            Self::Release
            | Self::Identity
            | Self::Inspected
            | Self::Filter
            | Self::OwnLine
            | Self::NoCalcium
            | Self::Baseline => self.question().to_owned(),
        })
    }

    /// What to do if the answer is no.
    pub fn otherwise(self) -> &'static str {
        match self {
            Self::Release => "Do not hang it. Crossmatch again, or ask the veterinarian.",
            Self::Identity => "Do not hang it. Go to the animal and to the bag, and read both.",
            Self::Inspected => {
                "Look at it now. If anything is unusual, do not hang it; keep it aside."
            }
            Self::NotTooWarm => "Do not hang it. Keep it aside and tell the veterinarian.",
            Self::Filter => "Put the filter in first.",
            Self::OwnLine => "Give it a line of its own.",
            Self::NoCalcium => "Change the line, and flush with saline only.",
            Self::Baseline => "Take it first: a fever is judged against it.",
        }
    }
}

word! {
    /// Something that may be seen while a unit runs. Any of them: stop first.
    Sign is "a sign" {
        /// A fever, or shivering.
        Fever = "fever",
        /// Breathing fast or hard.
        Breathing = "breathing",
        /// The heart much faster or slower.
        Heart = "heart",
        /// Gums pale, blue or slow to refill.
        Gums = "gums",
        /// Plasma or urine red.
        RedUrine = "red_urine",
        /// Vomiting or diarrhea.
        Vomiting = "vomiting",
        /// Hives, itching, a swollen face.
        Hives = "hives",
        /// Restless, crying, in pain.
        Restless = "restless",
        /// Weak or collapsed.
        Collapse = "collapse",
    }
}

impl Sign {
    /// What is done at any sign, before anything else.
    pub const STOP: &'static str =
        "Any sign: stop first. Keep the unit and the line. Call the veterinarian.";

    /// The name in a sentence.
    pub fn spoken(self) -> &'static str {
        match self {
            Self::Fever => "fever or shivering",
            Self::Breathing => "breathing fast or hard",
            Self::Heart => "heart much faster or slower",
            Self::Gums => "gums pale, blue or slow to refill",
            Self::RedUrine => "plasma or urine red",
            Self::Vomiting => "vomiting or diarrhea",
            Self::Hives => "hives, itching, swollen face",
            Self::Restless => "restless, crying, in pain",
            Self::Collapse => "weak or collapsed",
        }
    }
}

word! {
    /// How well a reaction fits the definition of its kind. The veterinarian says.
    ///
    /// # Source
    /// The three axes: a university's hemovigilance program in dogs and cats, abstract read; their
    /// levels: human hemovigilance, from memory.
    CaseDefinition is "how well it fits the definition" {
        /// It fits entirely.
        Definitive = "definitive",
        /// It fits in most.
        Probable = "probable",
        /// It may fit.
        Possible = "possible",
    }
}

word! {
    /// How bad a reaction was. The veterinarian says.
    Severity is "how bad it was" {
        /// No lasting harm.
        NonSevere = "non_severe",
        /// It needed treatment, or did lasting harm.
        Severe = "severe",
        /// It would have killed without treatment.
        LifeThreatening = "life_threatening",
        /// The animal died.
        Death = "death",
        /// It cannot be said.
        NotDetermined = "not_determined",
    }
}

word! {
    /// Whether the transfusion brought a reaction about. The veterinarian says.
    Imputability is "whether the transfusion brought it about" {
        /// Beyond doubt.
        Definite = "definite",
        /// Most likely.
        Probable = "probable",
        /// It may have.
        Possible = "possible",
        /// Something else more likely did.
        Doubtful = "doubtful",
        /// Something else did.
        RuledOut = "ruled_out",
        /// It cannot be said.
        NotDetermined = "not_determined",
    }
}

/// The work-up of a reaction, in order, and the value of the protocol that a step rests on.
///
/// ```
/// # use crossread_core::{Protocols, care::work_up};
/// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
/// let steps = work_up(dog)?;
/// assert!(steps[0].0.starts_with("Compare every identifier"));
/// let (keep, rests_on) = steps.last().unwrap();
/// assert_eq!(keep, "Keep unit, segments and the sample from before for at least 7 days.");
/// assert_eq!(rests_on.as_ref().unwrap().rule, "care.keep_days");
/// # Ok::<_, crossread_core::care::CannotCare>(())
/// ```
///
/// # Errors
/// If the protocol has no `care` section.
///
/// # Source
/// Human hospital protocols read in part (clerical check first, then hemolysis by eye, direct
/// antiglobulin test, typing and crossmatch with samples from before and after); the veterinary
/// list of the TRACS consensus (2021) from memory.
pub fn work_up(protocol: &Protocol) -> Result<Vec<(String, Option<Sourced>)>, CannotCare> {
    let rules = Rules::of(protocol)?;
    let kept = rules.keep()?;
    let keep =
        format!("Keep unit, segments and the sample from before for at least {}.", kept.value);
    let steps = WORK_UP.iter().map(|step| ((*step).to_owned(), None));
    Ok(steps.chain([(keep, Some(kept))]).collect())
}

const WORK_UP: &[&str] = &[
    "Compare every identifier of request, sample, unit and report. Look for a second animal with \
     the mirror-image mistake.",
    "Compare the plasma from before and after by eye: red, yellow? Look at the fluid of the unit.",
    "Direct antiglobulin test on the sample from after; if positive, on the one from before.",
    "Type the recipient before and after, and the unit's segment.",
    "Crossmatch again, both samples against the segment, major and minor.",
    "Urine: red? PCV and bilirubin over the next day.",
    "Gram stain and culture of unit and animal, if the veterinarian asks for it.",
    "Bring unit, line and fluids back to the bench.",
    "Tell who supplied the unit. Write the report.",
];
