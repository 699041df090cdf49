//! What simulated cases rest on: each value with its unit, and whether it is published,
//! calculated from what is published, or a choice.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use serde::Deserialize;

/// The data file, as it ships.
pub const DOCUMENT: &str = include_str!("../../data/assumptions.json");

/// Where a value comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "snake_case")]
#[expect(clippy::exhaustive_enums, reason = "there is no fourth way to come by a value")]
pub enum Mark {
    /// It stands in the source.
    Published,
    /// It was calculated from what stands in the source.
    Calculated,
    /// No figure was found, or sources differ.
    Choice,
}

/// The unit of a value.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Unit {
    /// So many in a million.
    Ppm,
    /// Doublings of a titration.
    Doublings,
    /// Sixteenths of a doubling.
    Sixteenths,
    /// Thousandths of a grade or of a doubling.
    Thousandths,
    /// Hundredths of the rouleaux score.
    Hundredths,
    /// g/L.
    GramsPerLiter,
}

/// One value with where it comes from.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Stated {
    /// The value, a whole number of its unit.
    pub value: i32,
    /// Its unit.
    pub unit: Unit,
    /// Where it comes from.
    pub mark: Mark,
    /// A key of the sources, or `choice`.
    pub source: String,
    /// What it is, and why it is this one.
    pub note: String,
}

impl Stated {
    /// The value as a share in a million; 0 if it is negative.
    pub(crate) fn ppm(&self) -> u32 {
        u32::try_from(self.value).unwrap_or_default()
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Document {
    format: String,
    version: String,
    about: String,
    sources: BTreeMap<String, String>,
    values: Values,
}

macro_rules! values {
    ($($name:ident)+) => {
        /// The values, by their names in the data file.
        #[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
        #[serde(deny_unknown_fields)]
        #[non_exhaustive]
        pub struct Values {
            $(
                #[doc = concat!("`", stringify!($name), "`, described by its own note.")]
                pub $name: Stated,
            )+
        }

        impl Values {
            /// Every value with its name.
            ///
            /// ```
            /// # use crossread_teach::simulate::Assumptions;
            /// let values = &Assumptions::shipped().ok_or("no assumptions")?.values;
            /// // Every number says what it is and why it is this one.
            /// assert!(values.all().iter().all(|(_, stated)| !stated.note.is_empty()));
            /// # Ok::<_, &str>(())
            /// ```
            pub fn all(&self) -> Vec<(&'static str, &Stated)> {
                vec![$((stringify!($name), &self.$name),)+]
            }
        }
    };
}

values! {
    dog_dea1_positive
    dog_dea5_positive
    dog_dea7_positive
    dog_dal_positive
    dog_kai1_positive
    dog_kai2_positive
    dog_anti_dea7
    dog_anti_dea7_undiluted_only
    dog_immune
    cat_type_a
    cat_type_b
    cat_type_ab
    cat_b_anti_a
    cat_a_anti_b
    cat_fea1_positive
    cat_anti_fea1
    cat_anti_other
    cat_other_positive
    cat_immune
    horse_aa_positive
    horse_ca_positive
    horse_qa_positive
    horse_natural
    horse_immune
    autoantibody_anemic
    autoantibody_other
    recipient_anemic
    recipient_transfused
    recently_transfused
    titer_cat_anti_a_lo
    titer_cat_anti_a_hi
    titer_natural_lo
    titer_natural_hi
    titer_immune_lo
    titer_immune_hi
    titer_auto_lo
    titer_auto_hi
    natural_igm_only
    natural_igg_only
    immune_igg_only
    cold_only
    lytic_immune
    lytic_horse_natural
    one_copy
    density_sd
    density_most
    per_8_celsius_outside
    far_outside
    igg_at_room
    igg_at_37
    igm_after_washing
    method_slide
    method_gel
    second_antibody
    grade_1_from
    grade_2_from
    grade_3_from
    grade_4_from
    well_noise_sd
    lysis_strong
    lysis_middle
    lysis_weak
    lysis_without_complement
    mixed_share_lo
    mixed_share_hi
    rouleaux_horse
    rouleaux_cat
    rouleaux_dog
    protein_mean
    protein_sd
    protein_high_gain
    high_globulin
    fibrinogen_mean
    fibrinogen_sd
    stacks_like_w
    stacks_like_1
    stacks_left_at_9
    stacks_left_at_49
    clumps_left_at_9
    clumps_left_replaced
    serum_used
    optional_read
    dilution_used
    coated_in_saline
    fault_shaken_hard
    fault_shaken_two_grades
    fault_not_resuspended
    fault_cells_heavy
    fault_cells_light
    fault_spin
    fault_sample_hemolyzed
    fault_fibrin
    fault_swapped
    recheck_left_out
    reader_expert_sd
    reader_trainee_sd
    reader_novice_sd
    reader_bias_sd
    reader_lapse
}

/// The data file, read.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Assumptions {
    /// Its version.
    pub version: String,
    /// What it is.
    pub about: String,
    /// Full citations by key.
    pub sources: BTreeMap<String, String>,
    /// The values.
    pub values: Values,
}

impl Assumptions {
    /// Reads a data file.
    ///
    /// ```
    /// # use crossread_teach::simulate::{Assumptions, DOCUMENT};
    /// assert!(Assumptions::from_json(DOCUMENT).is_ok());
    /// let unsourced = DOCUMENT.replacen("\"source\": \"medina2017\"", "\"source\": \"nobody\"", 1);
    /// let said = Assumptions::from_json(&unsourced).unwrap_err();
    /// assert!(said.contains("its source `nobody` is not listed"));
    /// ```
    ///
    /// # Errors
    /// If it is not one: the first thing that is wrong with its form, or every value whose source
    /// is not listed or does not fit its mark.
    pub fn from_json(document: &str) -> Result<Self, String> {
        let read: Document = serde_json::from_str(document).map_err(|error| error.to_string())?;
        let mut wrong = Vec::new();
        if read.format != "crossread.assumptions/1" {
            wrong
                .push(format!("format: expected `crossread.assumptions/1`, found {}", read.format));
        }
        for (name, stated) in read.values.all() {
            let is_choice = stated.source == "choice";
            if !is_choice && !read.sources.contains_key(&stated.source) {
                wrong.push(format!("{name}: its source `{}` is not listed", stated.source));
            }
            if is_choice && stated.mark != Mark::Choice {
                wrong.push(format!("{name}: what is not a choice needs a source"));
            }
            if stated.unit == Unit::Ppm && !(0..=1_000_000).contains(&stated.value) {
                wrong.push(format!("{name}: a share lies between 0 and 1000000"));
            }
        }
        if !wrong.is_empty() {
            return Err(wrong.join("; "));
        }
        let Document { version, about, sources, values, .. } = read;
        Ok(Self { version, about, sources, values })
    }

    /// The data file that ships; `None` only if it were at fault, which a test rules out.
    ///
    /// ```
    /// # use crossread_teach::simulate::{Assumptions, Unit};
    /// let assumptions = Assumptions::shipped().ok_or("no assumptions")?;
    /// let share = &assumptions.values.dog_dea1_positive;
    /// assert_eq!(share.unit, Unit::Ppm);
    /// assert!(assumptions.sources.contains_key(&share.source));
    /// # Ok::<_, &str>(())
    /// ```
    pub fn shipped() -> Option<&'static Self> {
        static READ: OnceLock<Option<Assumptions>> = OnceLock::new();
        READ.get_or_init(|| Self::from_json(DOCUMENT).ok()).as_ref()
    }
}

#[cfg(test)]
mod tests {
    use super::{Assumptions, DOCUMENT, Mark};

    #[test]
    fn the_shipped_data_file_is_one() {
        let read = Assumptions::from_json(DOCUMENT).expect("a data file");
        assert_eq!(Assumptions::shipped(), Some(&read));
        for mark in [Mark::Published, Mark::Calculated, Mark::Choice] {
            assert!(read.values.all().iter().any(|(_, stated)| stated.mark == mark), "{mark:?}");
        }
    }

    #[test]
    fn every_source_is_used() {
        let read = Assumptions::shipped().expect("a data file");
        for key in read.sources.keys() {
            let used = read.values.all().iter().any(|(_, stated)| stated.source == *key);
            assert!(used, "{key} is not used");
        }
    }

    #[test]
    fn what_is_wrong_is_named() {
        let bad = DOCUMENT
            .replacen("\"source\": \"medina2017\"", "\"source\": \"nobody\"", 1)
            .replacen("\"value\": 134000", "\"value\": 2000000", 1);
        let said = Assumptions::from_json(&bad).expect_err("two faults");
        assert!(said.contains("dog_dea1_positive") && said.contains("dog_dea7_positive"), "{said}");
    }
}
