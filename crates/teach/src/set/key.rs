//! Keys: what is right, computed from what is shown or by the engine, and never taken on trust.

use crossread_core::document::{Faults, Text};
use crossread_core::interpretation::{Answer as Pair, SummedTest};
use crossread_core::words::{
    Agglutination, Effect, Grade, Hemolysis, Pattern, Summary, Test, Verdict,
};
use crossread_core::worksheet::{FORMAT, draft};
use crossread_core::{Interpretation, Protocols, Worksheet, interpret};

use super::ask::{Answer, Ask, Scale};
use super::item::{Item, Run};
use super::shown::Shown;

/// The format of a worksheet within a set. It is no worksheet to any other reader, so that an
/// exercise cannot come into a record.
pub(crate) const OF_EXERCISE: &str = "crossread.exercise-worksheet/1";

/// A run with what the engine makes of it.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Interpreted {
    /// The worksheet, checked.
    pub worksheet: Worksheet,
    /// What it comes to.
    pub interpretation: Interpretation,
    /// What it would come to if the autocontrols had not reacted.
    without_autocontrols: Option<Interpretation>,
}

impl Run {
    /// The worksheet as it is checked, under the format of a worksheet.
    fn draft(&self) -> draft::Worksheet {
        draft::Worksheet { format: Some(Text::from(FORMAT)), ..self.worksheet.clone() }
    }

    /// Checks the worksheet and interprets it.
    ///
    /// # Errors
    /// The faults of the worksheet, or none if its protocol is not at hand.
    pub(crate) fn interpreted(&self, protocols: &Protocols) -> Result<Interpreted, Option<Faults>> {
        let draft = self.draft();
        let (worksheet, interpretation) = interpreted(&draft, protocols)?;
        let without = interpreted(&without_autocontrols(draft), protocols).ok();
        Ok(Interpreted {
            worksheet,
            interpretation,
            without_autocontrols: without.map(|(_, interpretation)| interpretation),
        })
    }
}

fn interpreted(
    draft: &draft::Worksheet,
    protocols: &Protocols,
) -> Result<(Worksheet, Interpretation), Option<Faults>> {
    // A worksheet that cannot be written is read as nothing, which is a fault.
    let document = serde_json::to_vec(draft).unwrap_or_default();
    let worksheet = Worksheet::from_json(&document, protocols).map_err(Some)?;
    let named = worksheet.protocol();
    let protocol = protocols.get(&named.id, &named.version).ok_or(None)?;
    let interpretation = interpret(&worksheet, protocol);
    Ok((worksheet, interpretation))
}

/// The same worksheet as somebody reads it who does not look at the autocontrols.
fn without_autocontrols(mut draft: draft::Worksheet) -> draft::Worksheet {
    let readings = draft.readings.take().unwrap_or_default();
    let plain = readings.iter().map(|(_, reading)| {
        let mut reading = reading.clone();
        if reading.test.is_some_and(Test::is_autocontrol) {
            reading.agglutination = Some(Agglutination::Graded(Grade::G0));
            reading.hemolysis = reading.hemolysis.and_then(|_| Hemolysis::new(0));
            reading.pattern = None;
            reading.mixed_field = None;
        }
        reading
    });
    draft.readings = Some(plain.collect());
    draft
}

impl Interpreted {
    /// The answer for one donor.
    ///
    /// ```
    /// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
    /// # use lesson::*;
    /// let exercise = runs();
    /// let item = &exercise.set().items[0];
    /// let run = exercise.run_of(item).ok_or("no run")?;
    /// let pair = run.pair(item.donor.as_deref().ok_or("no donor")?).ok_or("no answer")?;
    /// assert_eq!(item.ask == Ask::Verdict, item.key == pair.verdict.word());
    /// # Ok::<_, Box<dyn std::error::Error>>(())
    /// ```
    pub fn pair(&self, donor: &str) -> Option<&Pair> {
        self.interpretation.pairs.iter().find(|pair| pair.donor.as_str() == donor)
    }

    /// Every finding that is there for one donor, those of all donors together among them.
    pub(crate) fn findings(&self, donor: &str) -> Vec<(&'static str, Effect)> {
        let of_pair = self.pair(donor).into_iter().flat_map(|pair| &pair.findings);
        let all = of_pair.chain(&self.interpretation.panel);
        all.map(|finding| (finding.slug, finding.effect)).collect()
    }

    /// The verdict that somebody comes to who does not look at the autocontrols, where one of them
    /// reacted and it is another verdict.
    pub(crate) fn ignoring_autocontrols(&self, donor: &str) -> Option<Verdict> {
        let pair = self.pair(donor)?;
        let reacted = |test: &SummedTest| test.summary == Summary::Reactive;
        if !reacted(&pair.recipient_auto) && !reacted(&pair.donor_auto) {
            return None;
        }
        let real = pair.verdict;
        let other = self.without_autocontrols.as_ref()?;
        let other = other.pairs.iter().find(|pair| pair.donor.as_str() == donor)?.verdict;
        (other != real).then_some(other)
    }
}

/// What is right about an item, and what marking it needs besides.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Truth {
    /// The right answer.
    pub key: Answer,
    /// Of a verdict: the one that comes of not looking at the autocontrols, where it is another.
    pub ignoring_autocontrols: Option<Verdict>,
    /// Of a verdict: the findings that decide it. Of a finding: the finding.
    pub because: Vec<&'static str>,
    /// Of a finding: its effect in this run.
    pub effect: Option<Effect>,
}

impl Truth {
    fn of_key(key: Answer) -> Self {
        Self { key, ignoring_autocontrols: None, because: Vec::new(), effect: None }
    }
}

/// What is right about a picture, from what it shows; `None` if the question does not fit it.
pub(crate) fn of_picture(ask: Ask, shown: &Shown, scale: Scale) -> Option<Truth> {
    let has_stacks = shown.pattern.is_some_and(Pattern::has_stacks);
    let key = match ask {
        Ask::Agglutination => match shown.seen {
            Agglutination::Unreadable => Answer::Unreadable,
            Agglutination::Graded(_) if shown.pattern == Some(Pattern::Stacks) => Answer::Rouleaux,
            Agglutination::Graded(_) if shown.mixed_field => Answer::MixedField,
            Agglutination::Graded(_) if has_stacks => return None,
            Agglutination::Graded(grade) => {
                scale.place(grade)?;
                Answer::Grade(grade)
            }
        },
        Ask::Hemolysis => match (shown.seen, shown.hemolysis) {
            (Agglutination::Unreadable, _) => Answer::Unreadable,
            (Agglutination::Graded(_), Some(hemolysis)) if hemolysis <= 4 => {
                Answer::Hemolysis(hemolysis)
            }
            (Agglutination::Graded(_), _) => return None,
        },
        Ask::Pattern => match (shown.seen, shown.pattern) {
            (Agglutination::Unreadable, _) => Answer::Unreadable,
            (Agglutination::Graded(Grade::G0), None) => Answer::FreeCells,
            (Agglutination::Graded(_), Some(Pattern::Stacks)) => Answer::Rouleaux,
            (Agglutination::Graded(_), Some(Pattern::Both)) => Answer::StacksAndClumps,
            (Agglutination::Graded(_), Some(Pattern::Clumps)) => Answer::Clumps,
            (Agglutination::Graded(_), Some(Pattern::Unsure) | None) => return None,
        },
        Ask::Verdict | Ask::Finding => return None,
    };
    Some(Truth::of_key(key))
}

/// What is right about a run, by the engine; `None` if the question does not fit it. A finding's
/// key is the only one of the choices that is there, or `nothing` if none is.
pub(crate) fn of_run(item: &Item, run: &Interpreted) -> Option<Truth> {
    let donor = item.donor.as_deref()?;
    let pair = run.pair(donor)?;
    match item.ask {
        Ask::Verdict => {
            let decides =
                |effect: Effect| effect > Effect::Note && Verdict::from(effect) == pair.verdict;
            let because = pair.findings.iter().filter(|finding| decides(finding.effect));
            Some(Truth {
                ignoring_autocontrols: run.ignoring_autocontrols(donor),
                because: because.map(|finding| finding.slug).collect(),
                ..Truth::of_key(Answer::Verdict(pair.verdict))
            })
        }
        Ask::Finding => {
            let there = run.findings(donor);
            let chosen =
                |(slug, _): &(&str, Effect)| item.choices.iter().any(|choice| choice == slug);
            let mut among = there.into_iter().filter(chosen);
            match (among.next(), among.next()) {
                (None, _) => Some(Truth::of_key(Answer::Nothing)),
                (Some((slug, effect)), None) => Some(Truth {
                    because: vec![slug],
                    effect: Some(effect),
                    ..Truth::of_key(Answer::Finding(slug))
                }),
                // Two right answers are none.
                (Some(_), Some(_)) => None,
            }
        }
        Ask::Agglutination | Ask::Hemolysis | Ask::Pattern => None,
    }
}
