//! Whether a crossmatch is advised, before there is one: which tests, and by which rule.
//!
//! The protocol's `need` section and its `sensitised_after_days` decide. Nothing here is a
//! requirement, and no verdict asks for it: local rules and the veterinarian decide.
//!
//! ```
//! use crossread_core::Protocols;
//! use crossread_core::document::Time;
//! use crossread_core::need::{Case, need};
//! use crossread_core::words::{Answer, Product, Species};
//!
//! # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine");
//! # let dog = dog.ok_or("no such protocol")?;
//! let case = Case {
//!     species: Some(Species::Dog),
//!     product: Some(Product::PackedCells),
//!     transfused: Some(Answer::Yes),
//!     last_transfused_at: Time::new("2026-03-08T21:00:00+01:00"),
//!     ..Case::default()
//! };
//! let now = Time::new("2026-03-14T02:40:00+01:00").ok_or("no time")?;
//! let advice = need(&case, dog, now)?;
//! // Antibody is to be reckoned with from three days on.
//! let from = advice.sensitized_from.ok_or("no antibody")?;
//! assert_eq!(from.to_string(), "2026-03-11T20:00:00Z");
//! assert!(advice.is_due && advice.tests[0].advised);
//! # Ok::<_, Box<dyn std::error::Error>>(())
//! ```

use jiff::{SignedDuration, Timestamp};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::document::{Date, Id, Time, Whole};
use crate::protocol::draft::{NeedRules, Rule};
use crate::protocol::{Advice, Protocol};
use crate::words::{Answer, Product, Species, System, Test};

/// What is known before a transfusion. What is left out is not known.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
#[expect(clippy::exhaustive_structs, reason = "made by callers, field by field")]
pub struct Case {
    /// The recipient's species.
    pub species: Option<Species>,
    /// What would be given.
    pub product: Option<Product>,
    /// Ever transfused.
    #[serde(default)]
    pub transfused: Option<Answer>,
    /// When the last transfusion began.
    #[serde(default)]
    pub last_transfused_at: Option<Time>,
    /// The day of the last transfusion, if no more is known.
    #[serde(default)]
    pub last_transfused_on: Option<Date>,
    /// Ever pregnant.
    #[serde(default)]
    pub pregnant: Option<Answer>,
    /// Ever a reaction to a transfusion.
    #[serde(default)]
    pub reaction: Option<Answer>,
    /// Whether a donor was incompatible before.
    #[serde(default)]
    pub earlier_incompatible: bool,
    /// The systems in which the recipient is typed.
    #[serde(default)]
    pub typed_in: Vec<System>,
}

/// Why nothing can be advised.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum CannotAdvise {
    /// The species is missing.
    #[error("say which species the recipient is")]
    SpeciesMissing,
    /// The product is missing.
    #[error("say what would be given")]
    ProductMissing,
    /// The protocol is for other species.
    #[error("the protocol {protocol} is not meant for a {species}")]
    OtherSpecies {
        /// The protocol's id.
        protocol: Id,
        /// The species.
        species: Species,
    },
    /// The last transfusion contradicts the answer.
    #[error("there is a time of the last transfusion, and `transfused` is not `yes`")]
    NeverTransfused,
    /// The last transfusion lies in the future.
    #[error("the last transfusion lies after now")]
    InTheFuture,
}

/// What is advised.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct Need {
    /// The protocol that advises it, with its version.
    pub protocol: Id,
    /// Its version.
    pub version: Id,
    /// The tests, each advised or not, with the rules that say so.
    pub tests: Vec<Advised>,
    /// The systems in which recipient and donor are to be typed and the recipient is not yet.
    pub type_in: Vec<System>,
    /// From when on antibody after the last transfusion is to be reckoned with, so that a crossmatch
    /// from before then no longer holds, in UTC.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>")]
    pub sensitized_from: Option<Timestamp>,
    /// Whether that time has come.
    pub is_due: bool,
}

/// A test, and whether it is advised.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct Advised {
    /// The test: major or minor.
    pub test: Test,
    /// Whether it is advised.
    pub advised: bool,
    /// Why, or why not, by rule.
    pub because: Vec<Because>,
}

/// A reason, with the rule of the protocol that it rests on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct Because {
    /// The reason, in words.
    pub text: String,
    /// The key in the protocol.
    pub rule: &'static str,
    /// The value there.
    pub value: String,
    /// The citation of its source, or `local choice`.
    pub source: String,
}

/// What a protocol advises for a case, asked at `now`.
///
/// An answer that is not known counts as exposed. A protocol without a `need` section advises a
/// major before every transfusion, and a minor wherever the product has the donor's plasma in it.
///
/// # Errors
/// If the species or the product is missing, or what is said contradicts itself.
///
/// ```
/// # use crossread_core::need::{Case, need};
/// # use crossread_core::document::Time;
/// # let protocols = crossread_core::Protocols::shipped();
/// # let dog = protocols.iter().find(|protocol| protocol.id().as_str() == "dog-routine").unwrap();
/// let case: Case = serde_json::from_str(r#"{ "species": "dog", "product": "packed_cells" }"#).unwrap();
/// let now = Time::new("2026-03-01T02:40:00+01:00").unwrap();
/// let need = need(&case, dog, now).unwrap();
/// assert!(need.tests[0].advised);
/// assert_eq!(need.tests[0].because[0].text, "history unknown: counts as transfused");
/// ```
pub fn need(case: &Case, protocol: &Protocol, now: Time) -> Result<Need, CannotAdvise> {
    let species = case.species.ok_or(CannotAdvise::SpeciesMissing)?;
    let product = case.product.ok_or(CannotAdvise::ProductMissing)?;
    if !protocol.species().contains(&species) {
        return Err(CannotAdvise::OtherSpecies { protocol: protocol.id().clone(), species });
    }
    let transfused = case.transfused.unwrap_or(Answer::Unknown);
    let dated = case.last_transfused_at.is_some() || case.last_transfused_on.is_some();
    if dated && transfused != Answer::Yes {
        return Err(CannotAdvise::NeverTransfused);
    }
    let last = earliest(case);
    if last.is_some_and(|last| last > now.instant())
        || case.last_transfused_on.is_some_and(|on| on > now.date())
    {
        return Err(CannotAdvise::InTheFuture);
    }
    let rules = Rules { protocol, need: protocol.document().need.as_ref() };
    let sensitized_from = last.and_then(|last| rules.sensitized_from(last));
    let is_due = sensitized_from.is_some_and(|from| from <= now.instant());
    let major = major(case, &rules, transfused, sensitized_from, is_due);
    let tests = if product.deciding_tests() == [Test::Minor] {
        vec![minor(product, &rules)]
    } else {
        vec![major, minor(product, &rules)]
    };
    let systems = rules.need.and_then(|need| need.type_in.as_ref()?.value.as_ref());
    let type_in = systems.into_iter().flat_map(|systems| systems.iter().map(|(_, system)| *system));
    Ok(Need {
        protocol: protocol.id().clone(),
        version: protocol.version().clone(),
        tests,
        type_in: type_in.filter(|system| !case.typed_in.contains(system)).collect(),
        sensitized_from,
        is_due,
    })
}

/// The earliest moment at which the last transfusion can have begun. Of a day without a time, its
/// first moment in the place where the day begins first, 14 hours before UTC, so that no antibody
/// is reckoned with too late.
fn earliest(case: &Case) -> Option<Timestamp> {
    if let Some(at) = case.last_transfused_at {
        return Some(at.instant());
    }
    let day = case.last_transfused_on?;
    Time::new(&format!("{day}T00:00:00+14:00")).map(Time::instant)
}

struct Rules<'p> {
    protocol: &'p Protocol,
    need: Option<&'p NeedRules>,
}

impl Rules<'_> {
    /// Exactly so many times 24 hours after the transfusion, whatever the clocks do.
    fn sensitized_from(&self, last: Timestamp) -> Option<Timestamp> {
        let days = self.protocol.document().sensitised_after_days.as_ref()?.value?.get();
        let hours = i64::from(days).checked_mul(24)?;
        last.checked_add(SignedDuration::from_hours(hours)).ok()
    }

    fn because<T>(
        &self,
        text: impl Into<String>,
        rule: &'static str,
        of: Option<&Rule<T>>,
        value: &(impl ToString + ?Sized),
    ) -> Because {
        let key = of.and_then(|of| of.source.as_ref()).map_or("choice", |key| key.as_str());
        let cited = self.protocol.document().sources.as_ref().and_then(|all| all.get(key));
        let source = cited.unwrap_or("local choice");
        Because { text: text.into(), rule, value: value.to_string(), source: source.to_owned() }
    }
}

fn major(
    case: &Case,
    rules: &Rules<'_>,
    transfused: Answer,
    from: Option<Timestamp>,
    is_due: bool,
) -> Advised {
    let document = rules.protocol.document();
    let after = document.sensitised_after_days.as_ref();
    let days = after.and_then(|rule| rule.value).map_or(0, Whole::get);
    let pregnancy = document.pregnancy_sensitises.as_ref();
    let counts = pregnancy.and_then(|rule| rule.value).unwrap_or(true);
    let mut because = Vec::new();
    let mut exposed = |text: &str| {
        because.push(rules.because(text, "sensitised_after_days", after, &days));
    };
    match transfused {
        Answer::Unknown => exposed("history unknown: counts as transfused"),
        Answer::Yes if from.is_none() => exposed("transfused, nobody knows when"),
        Answer::Yes if is_due => exposed("transfused, and antibody is to be reckoned with by now"),
        Answer::Yes | Answer::Never => {}
    }
    if case.reaction == Some(Answer::Yes) {
        exposed("reacted to a transfusion before");
    }
    if case.earlier_incompatible {
        exposed("a donor was incompatible before");
    }
    match (counts, case.pregnant.unwrap_or(Answer::Unknown)) {
        (true, Answer::Yes) => {
            because.push(rules.because("was pregnant", "pregnancy_sensitises", pregnancy, &true));
        }
        (true, Answer::Unknown) => {
            let text = "pregnancies unknown: count as one";
            because.push(rules.because(text, "pregnancy_sensitises", pregnancy, &true));
        }
        (true, Answer::Never) | (false, _) => {}
    }
    let Some(need) = rules.need else {
        let text = "the protocol does not say when one is needed: advised before every transfusion";
        because.push(rules.because::<bool>(text, "need", None, "left out"));
        return Advised { test: Test::Major, advised: true, because };
    };
    if transfused == Answer::Yes {
        let later = need.before_every_later_transfusion.as_ref();
        let every = later.and_then(|rule| rule.value).unwrap_or(true);
        let rule = "need.before_every_later_transfusion";
        if every {
            because.push(rules.because("before every later transfusion", rule, later, &every));
        } else if because.is_empty() {
            let text =
                "no antibody is to be reckoned with yet, and not every later transfusion asks";
            let not = rules.because(text, rule, later, &every);
            return Advised { test: Test::Major, advised: false, because: vec![not] };
        }
    }
    let first = need.first_transfusion.as_ref();
    let advice = first.and_then(|rule| rule.value).unwrap_or(Advice::Advised);
    if because.is_empty() {
        let rule = "need.first_transfusion";
        because.push(rules.because("a first transfusion", rule, first, &advice));
        let advised = advice == Advice::Advised;
        return Advised { test: Test::Major, advised, because };
    }
    Advised { test: Test::Major, advised: true, because }
}

fn minor(product: Product, rules: &Rules<'_>) -> Advised {
    let rule = rules.need.and_then(|need| need.minor_with.as_ref());
    let products = rule.and_then(|rule| rule.value.as_ref());
    let advised = match products {
        Some(products) => products.iter().any(|(_, with)| *with == product),
        None => product != Product::WashedCells,
    };
    let listed = products.map(|products| {
        let words: Vec<_> = products.iter().map(|(_, product)| product.word()).collect();
        words.join(", ")
    });
    let text = if advised {
        format!("the donor's plasma matters in {}", product.spoken())
    } else {
        format!("little of the donor's plasma is given with {}", product.spoken())
    };
    let value = listed.unwrap_or_else(|| "left out".to_owned());
    let because = rules.because(text, "need.minor_with", rule, &value);
    Advised { test: Test::Minor, advised, because: vec![because] }
}
