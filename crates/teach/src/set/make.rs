//! Making a set from a seed.

use std::collections::BTreeMap;

use crossread_core::document::Digest;
use crossread_core::findings::CATALOGUE;
use crossread_core::words::{
    Agglutination, Artefact, Effect, Grade, Method, Pattern, Product, Recheck, Species, Verdict,
};
use crossread_core::{Protocol, Protocols};

use super::ask::{Answer, Ask, Scale};
use super::check::Exercise;
use super::cover::{Coverage, never};
use super::item::{Item, Kind, Rules, Run};
use super::key::{self, Interpreted};
use super::questions::pictures;
use super::recipe::{RECIPES, Recipe};
use super::shown::{Shown, View};
use super::{FORMAT, Set, WATERMARK};
use crate::chance::{Chance, Purpose, SCHEME};
use crate::fault::Faults;
use crate::simulate::{
    Assumptions, Bench, CannotSimulate, DOCUMENT, Difficulty, Setting, simulate,
};

/// Most items of one set.
const MOST: u32 = 1000;

/// What kind of set is wanted.
#[derive(Clone, Debug, PartialEq, Eq)]
#[expect(clippy::exhaustive_structs, reason = "written out by whoever asks for a set")]
pub struct Wanted {
    /// The set's id.
    pub id: String,
    /// Its title.
    pub title: String,
    /// The seed: the same seed and wishes give the same set.
    pub seed: u64,
    /// How many items, 1 to 1000; a set that covers the catalogue has more.
    pub items: u32,
    /// Of which kinds, each as often.
    pub kinds: Vec<Kind>,
    /// Of which species: dogs, cats, horses.
    pub species: Vec<Species>,
    /// By which methods.
    pub methods: Vec<Method>,
    /// Which grades are shown; empty for all of the scale.
    pub grades: Vec<Grade>,
    /// The grades that are told apart.
    pub scale: Scale,
    /// How hard it is.
    pub difficulty: Difficulty,
    /// What a near miss scores, 0 to 100.
    pub near_hundredths: u32,
    /// Whether items are added until every finding that can be asked for is.
    pub cover: bool,
}

impl Default for Wanted {
    /// Thirty items of all kinds, species and methods.
    fn default() -> Self {
        Self {
            id: "EXERCISE-1".to_owned(),
            title: "Reading and interpreting a crossmatch".to_owned(),
            seed: 1,
            items: 30,
            kinds: vec![Kind::Picture, Kind::Run, Kind::Text],
            species: vec![Species::Dog, Species::Cat, Species::Horse],
            methods: vec![Method::Tube, Method::Slide, Method::Gel],
            grades: Vec::new(),
            scale: Scale::Main,
            difficulty: Difficulty::Usual,
            near_hundredths: 50,
            cover: false,
        }
    }
}

/// Why there is no set.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum CannotMake {
    /// Too few or too many items.
    #[error("a set has 1 to {MOST} items, not {0}")]
    Items(u32),
    /// An empty list of wishes.
    #[error("at least one of {0} must be wanted")]
    NoneWanted(&'static str),
    /// A grade that the scale does not tell apart.
    #[error("the grade {0} is not on the scale `{1}`")]
    Grade(Grade, Scale),
    /// A near miss cannot score more than a hit.
    #[error("a near miss scores 0 to 100 hundredths, not {0}")]
    Near(u32),
    /// None of the protocols has the species with one of the methods.
    #[error("no protocol at hand has rules for a {0} by one of the methods wanted")]
    NoProtocol(Species),
    /// A case cannot be simulated.
    #[error(transparent)]
    Simulate(#[from] CannotSimulate),
    /// The assumptions that ship are at fault.
    #[error("the assumptions that ship are at fault; please report this")]
    Assumptions,
    /// What was made did not pass its own check.
    #[error("the set that was made is at fault; please report this with its seed: {0}")]
    Refused(Faults),
}

/// A set that was made, and what it exercises.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Made {
    /// The set, checked.
    pub exercise: Exercise,
    /// What it exercises of the catalogue.
    pub coverage: Coverage,
}

/// Makes a set. The same wishes, protocols and drawings give the same bytes.
///
/// ```
/// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
/// # use lesson::*;
/// # use crossread_teach::set::CannotMake;
/// let wanted = wanted(Kind::Picture, 3);
/// let made = make(&wanted, Protocols::shipped())?;
/// assert_eq!(made.exercise.set().items.len(), 3);
/// // The same wishes, the same set.
/// let again = make(&wanted, Protocols::shipped())?;
/// assert_eq!(again.exercise.digest(), made.exercise.digest());
/// let none = Wanted { items: 0, ..wanted };
/// assert_eq!(make(&none, Protocols::shipped()).err(), Some(CannotMake::Items(0)));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// If a wish cannot be met.
pub fn make(wanted: &Wanted, protocols: &Protocols) -> Result<Made, CannotMake> {
    let grades = wishes(wanted)?;
    let assumptions = Assumptions::shipped().ok_or(CannotMake::Assumptions)?;
    let mut places = Vec::new();
    for species in &wanted.species {
        let before = places.len();
        for method in &wanted.methods {
            let fits = |protocol: &&Protocol| {
                protocol.species().contains(species) && protocol.method(*method).is_some()
            };
            // A local protocol stands behind those that ship, and goes before them.
            if let Some(protocol) = protocols.iter().filter(fits).last() {
                places.push((*species, *method, protocol));
            }
        }
        if places.len() == before {
            return Err(CannotMake::NoProtocol(*species));
        }
    }
    let mut making = Making {
        wanted,
        protocols,
        places,
        deck: Vec::new(),
        grades,
        assumptions,
        runs: Vec::new(),
        interpreted: BTreeMap::new(),
        items: Vec::new(),
        cases: 0,
        why_not: BTreeMap::new(),
    };
    making.all()?;
    if wanted.cover {
        making.cover();
    }
    let set = making.set();
    let exercise = Exercise::of(set, protocols).map_err(CannotMake::Refused)?;
    let why_not = making.why_not;
    let coverage =
        Coverage::of(&exercise, &|slug| never(slug).or_else(|| why_not.get(slug).cloned()));
    Ok(Made { exercise, coverage })
}

/// Checks the wishes and gives the grades.
fn wishes(wanted: &Wanted) -> Result<Vec<Grade>, CannotMake> {
    if !(1..=MOST).contains(&wanted.items) {
        return Err(CannotMake::Items(wanted.items));
    }
    if wanted.near_hundredths > 100 {
        return Err(CannotMake::Near(wanted.near_hundredths));
    }
    for (what, none) in [
        ("the kinds", wanted.kinds.is_empty()),
        ("the species", wanted.species.is_empty()),
        ("the methods", wanted.methods.is_empty()),
    ] {
        if none {
            return Err(CannotMake::NoneWanted(what));
        }
    }
    for grade in &wanted.grades {
        if wanted.scale.place(*grade).is_none() {
            return Err(CannotMake::Grade(*grade, wanted.scale));
        }
    }
    if wanted.grades.is_empty() {
        return Ok(wanted.scale.grades().to_vec());
    }
    Ok(wanted.grades.clone())
}

struct Making<'a> {
    wanted: &'a Wanted,
    protocols: &'a Protocols,
    /// What can be shown, and by which rules.
    places: Vec<(Species, Method, &'a Protocol)>,
    grades: Vec<Grade>,
    /// Grades that were shuffled and not yet dealt, so that each comes as often.
    deck: Vec<Grade>,
    assumptions: &'static Assumptions,
    runs: Vec<Run>,
    /// What the engine makes of each run.
    interpreted: BTreeMap<String, Interpreted>,
    items: Vec<Item>,
    cases: u32,
    /// Why a finding is not in the set.
    why_not: BTreeMap<String, String>,
}

impl<'a> Making<'a> {
    fn chance(&self, case: u32, purpose: Purpose) -> Chance {
        Chance::new(self.wanted.seed, case, purpose)
    }

    /// The number of the next case, from 1.
    fn case(&mut self) -> u32 {
        self.cases = self.cases.saturating_add(1);
        self.cases
    }

    fn all(&mut self) -> Result<(), CannotMake> {
        let wanted = usize::try_from(self.wanted.items).unwrap_or(usize::MAX);
        while self.items.len() < wanted {
            // The kind of which there are the fewest, so that each comes as often.
            let there = |kind: &Kind| self.items.iter().filter(|item| item.kind == *kind).count();
            let next = self.wanted.kinds.iter().copied().min_by_key(there);
            match next.unwrap_or(Kind::Picture) {
                Kind::Picture => self.picture(),
                kind @ (Kind::Run | Kind::Text) => self.run(kind)?,
            }
        }
        // A run brings two items; the last one may be one too many.
        self.items.truncate(wanted);
        // What is asked about one run stays together, so that it is shown once.
        let mut blocks: Vec<Vec<Item>> = Vec::new();
        for item in std::mem::take(&mut self.items) {
            let of_last = |last: &&mut Vec<Item>| {
                item.run.is_some() && last.iter().all(|other| other.run == item.run)
            };
            match blocks.last_mut().filter(of_last) {
                Some(last) => last.push(item),
                None => blocks.push(vec![item]),
            }
        }
        self.chance(0, Purpose::Items).shuffle(&mut blocks);
        self.items = blocks.into_iter().flatten().collect();
        Ok(())
    }

    /// A picture item.
    fn picture(&mut self) {
        let case = self.case();
        let mut chance = self.chance(case, Purpose::Items);
        let Some((species, method, protocol)) = chance.one_of(&self.places).copied() else {
            return;
        };
        let hemolysis = if method == Method::Slide { 0 } else { 2 };
        let pattern = u32::from(method != Method::Gel);
        let ask = match chance.weighted(&[6, hemolysis, pattern]) {
            Some(1) => Ask::Hemolysis,
            Some(2) => Ask::Pattern,
            Some(_) | None => Ask::Agglutination,
        };
        let plain = Shown::plain(method, species, self.wanted.seed, case);
        let shown = match ask {
            Ask::Hemolysis => {
                let settled = method == Method::Tube;
                Shown { hemolysis: Some(chance.below(5)), settled, ..plain }
            }
            Ask::Pattern => pattern_shown(plain, self.wanted.difficulty, &mut chance),
            Ask::Agglutination | Ask::Verdict | Ask::Finding => {
                self.grade_shown(plain, &mut chance)
            }
        };
        let key = key::of_picture(ask, &shown, self.wanted.scale).map(|truth| truth.key.word());
        self.items.push(Item {
            id: String::new(),
            kind: Kind::Picture,
            ask,
            rules: Rules::of(protocol),
            shown: Some(shown),
            run: None,
            donor: None,
            // Without a key it does not pass the check.
            key: key.unwrap_or_default(),
            choices: ask.answers(self.wanted.scale).iter().map(Answer::word).collect(),
            drawings: Vec::new(),
            experts: Vec::new(),
        });
    }

    /// Something to be graded: a grade, a mixed field, stacks, or what cannot be graded.
    fn grade_shown(&mut self, plain: Shown, chance: &mut Chance) -> Shown {
        let gel = plain.method == Method::Gel;
        let [graded, mixed, stacked, unreadable] = match self.wanted.difficulty {
            Difficulty::Easy => [10, 0, 1, 0],
            Difficulty::Usual => [7, 1, 1, 1],
            Difficulty::Hard => [5, 2, 2, 2],
        };
        let stacked = if gel { 0 } else { stacked };
        // What makes a tube unreadable has no look of its own.
        let unreadable = if plain.method == Method::Tube { 0 } else { unreadable };
        match chance.weighted(&[graded, mixed, stacked, unreadable]) {
            Some(1) => Shown {
                seen: Agglutination::Graded(if chance.below(2) == 0 {
                    Grade::G2
                } else {
                    Grade::G3
                }),
                pattern: Some(Pattern::Clumps),
                mixed_field: true,
                ..plain
            },
            Some(2) => Shown {
                seen: Agglutination::Graded(if chance.below(2) == 0 {
                    Grade::W
                } else {
                    Grade::G1
                }),
                pattern: Some(Pattern::Stacks),
                ..plain
            },
            Some(3) => unreadable_shown(&plain, chance),
            Some(_) | None => {
                let grade = self.deal();
                let pattern = (grade > Grade::G0).then_some(Pattern::Clumps);
                Shown { seen: Agglutination::Graded(grade), pattern, ..plain }
            }
        }
    }

    /// The next grade of the deck.
    fn deal(&mut self) -> Grade {
        if self.deck.is_empty() {
            self.deck.clone_from(&self.grades);
            self.chance(self.cases, Purpose::Distractors).shuffle(&mut self.deck);
        }
        self.deck.pop().unwrap_or(Grade::G0)
    }

    /// A run, with what is asked about it.
    fn run(&mut self, kind: Kind) -> Result<(), CannotMake> {
        let case = self.case();
        let mut chance = self.chance(case, Purpose::Items);
        let Some((species, method, protocol)) = chance.one_of(&self.places).copied() else {
            return Ok(());
        };
        let fits = |recipe: &&Recipe| {
            // What is there in every run is no question.
            let dull = matches!(recipe.slug, "serology-only" | "no-antiglobulin-phase");
            (recipe.species, recipe.method) == (species, method) && !dull
        };
        let recipes: Vec<_> = RECIPES.iter().filter(fits).collect();
        let planted = if chance.below(2) == 0 { chance.one_of(&recipes).copied() } else { None };
        let bench = match planted {
            Some(recipe) => recipe.bench(case, protocol),
            None => self.simulated(case, species, method, protocol, &mut chance)?,
        };
        self.ask(&bench, case, kind, protocol, planted.map(|recipe| recipe.slug));
        Ok(())
    }

    fn simulated(
        &self,
        case: u32,
        species: Species,
        method: Method,
        protocol: &Protocol,
        chance: &mut Chance,
    ) -> Result<Bench, CannotMake> {
        let products = [Product::PackedCells, Product::PackedCells, Product::WholeBlood];
        let setting = Setting {
            species,
            method,
            donors: chance.between(1, 2),
            product: chance.one_of(&products).copied().unwrap_or(Product::PackedCells),
            difficulty: self.wanted.difficulty,
        };
        let values = &self.assumptions.values;
        Ok(simulate(self.wanted.seed, case, &setting, protocol, values)?.bench)
    }

    /// Adds a run and its two items: the finding, and the verdict. Gives whether a planted finding
    /// is there.
    fn ask(
        &mut self,
        bench: &Bench,
        case: u32,
        kind: Kind,
        protocol: &Protocol,
        planted: Option<&'static str>,
    ) -> bool {
        let id = format!("r{:03}", self.runs.len().saturating_add(1));
        let Some((run, interpreted)) = exercise_run(id.clone(), case, bench, self.protocols) else {
            return false;
        };
        let pairs = &interpreted.interpretation.pairs;
        let mut chance = self.chance(case, Purpose::Distractors);
        let has = |slug: &str, donor: &str| {
            interpreted.findings(donor).iter().any(|(found, _)| *found == slug)
        };
        // The donor that shows what was planted, or any.
        let showing =
            planted.and_then(|slug| pairs.iter().find(|pair| has(slug, pair.donor.as_str())));
        if planted.is_some() && showing.is_none() {
            return false;
        }
        let Some(pair) = showing.or_else(|| chance.one_of(pairs)) else { return false };
        let there = interpreted.findings(pair.donor.as_str());
        let decides =
            |effect: Effect| effect > Effect::Note && Verdict::from(effect) == pair.verdict;
        let decisive: Vec<_> = there.iter().filter(|(_, effect)| decides(*effect)).collect();
        let key = planted.or_else(|| chance.one_of(&decisive).map(|(slug, _)| *slug));
        let mut absent: Vec<_> = CATALOGUE
            .iter()
            .map(|meta| meta.slug)
            .filter(|slug| there.iter().all(|(found, _)| found != slug))
            .collect();
        chance.shuffle(&mut absent);
        absent.truncate(4);
        let mut choices: Vec<String> =
            key.into_iter().chain(absent).map(ToOwned::to_owned).collect();
        chance.shuffle(&mut choices);
        choices.push(Answer::Nothing.word());
        let key = key.map_or_else(|| Answer::Nothing.word(), ToOwned::to_owned);
        let verdict = Answer::Verdict(pair.verdict).word();
        let verdicts = Ask::Verdict.answers(self.wanted.scale).iter().map(Answer::word).collect();
        let donor = pair.donor.to_string();
        for (ask, key, choices) in [(Ask::Finding, key, choices), (Ask::Verdict, verdict, verdicts)]
        {
            self.items.push(Item {
                id: String::new(),
                kind,
                ask,
                rules: Rules::of(protocol),
                shown: None,
                run: Some(id.clone()),
                donor: Some(donor.clone()),
                key,
                choices,
                drawings: Vec::new(),
                experts: Vec::new(),
            });
        }
        self.runs.push(run);
        self.interpreted.insert(id, interpreted);
        true
    }

    /// Adds a run for every finding that no item asks for yet.
    fn cover(&mut self) {
        // Written out, unless drawings are all that is wanted.
        let kind = if self.wanted.kinds.contains(&Kind::Text) { Kind::Text } else { Kind::Run };
        for recipe in RECIPES {
            let asked = |item: &Item| item.ask == Ask::Finding && item.key == recipe.slug;
            if self.items.iter().any(asked) {
                continue;
            }
            let protocol = self.place_for(recipe);
            let Some(protocol) = protocol else {
                let why = format!(
                    "it takes a {} by the method {}, which is not wanted or has no protocol",
                    recipe.species, recipe.method
                );
                self.why_not.insert(recipe.slug.to_owned(), why);
                continue;
            };
            let case = self.case();
            let bench = recipe.bench(case, protocol);
            if !self.ask(&bench, case, kind, protocol, Some(recipe.slug)) {
                self.why_not.insert(recipe.slug.to_owned(), why_not(recipe, protocol));
            }
        }
    }

    fn place_for(&self, recipe: &Recipe) -> Option<&'a Protocol> {
        let fits = |(species, method, _): &&(Species, Method, &Protocol)| {
            (*species, *method) == (recipe.species, recipe.method)
        };
        self.places.iter().find(fits).map(|(_, _, protocol)| *protocol)
    }

    fn set(&mut self) -> Set {
        let mut set = blank(self.wanted);
        set.runs = std::mem::take(&mut self.runs);
        set.items = std::mem::take(&mut self.items);
        let used: Vec<_> = set.items.iter().filter_map(|item| item.run.clone()).collect();
        set.runs.retain(|run| used.contains(&run.id));
        finish(&mut set, &self.interpreted);
        set
    }
}

/// Why the run that comes to a finding elsewhere does not under a protocol.
fn why_not(recipe: &Recipe, protocol: &Protocol) -> String {
    let rules = format!("{} {}", protocol.id(), protocol.version());
    match recipe.slug {
        "reaction-below-cut-off" => format!(
            "by the rules {rules} every grade over 0 is a reaction or doubtful; it takes local rules \
             with a later `doubtful_from`"
        ),
        _ => format!("the run that comes to it by other rules does not by {rules}"),
    }
}

/// A set without items.
pub(super) fn blank(wanted: &Wanted) -> Set {
    Set {
        format: FORMAT.to_owned(),
        watermark: WATERMARK.to_owned(),
        id: wanted.id.clone(),
        title: wanted.title.clone(),
        seed: wanted.seed,
        scheme: SCHEME.to_owned(),
        generator: env!("CARGO_PKG_VERSION").to_owned(),
        assumptions: Digest::of(DOCUMENT.as_bytes()),
        scale: wanted.scale,
        near_hundredths: wanted.near_hundredths,
        runs: Vec::new(),
        items: Vec::new(),
    }
}

/// Numbers the items and hashes their drawings. `runs` is what the engine makes of each run.
pub(super) fn finish(set: &mut Set, runs: &BTreeMap<String, Interpreted>) {
    for (number, item) in (1_u32..).zip(&mut set.items) {
        item.id = format!("i{number:03}");
    }
    let hashes: Vec<Vec<Digest>> = set
        .items
        .iter()
        .map(|item| {
            let run = item.run.as_ref().and_then(|run| runs.get(run));
            let drawn = pictures(set, item, run).into_iter();
            drawn.map(|drawn| Digest::of(drawn.svg.as_bytes())).collect()
        })
        .collect();
    for (item, drawings) in set.items.iter_mut().zip(hashes) {
        item.drawings = drawings;
    }
}

/// A run of a set from a worksheet in the making, with what the engine makes of it.
pub(super) fn exercise_run(
    id: String,
    case: u32,
    bench: &Bench,
    protocols: &Protocols,
) -> Option<(Run, Interpreted)> {
    let mut worksheet = bench.draft();
    worksheet.format = Some(crossread_core::document::Text::from(key::OF_EXERCISE));
    let run = Run { id, case, worksheet };
    let interpreted = run.interpreted(protocols).ok()?;
    Some((run, interpreted))
}

fn unreadable_shown(plain: &Shown, chance: &mut Chance) -> Shown {
    let spoils: &[Artefact] = match plain.method {
        Method::Gel => {
            &[Artefact::Bubble, Artefact::DriedColumn, Artefact::Streak, Artefact::Spread]
        }
        Method::Tube | Method::Slide => &[],
    };
    let artefacts = chance.one_of(spoils).copied().into_iter().collect();
    let dried = plain.method == Method::Slide;
    Shown { seen: Agglutination::Unreadable, artefacts, dried, ..plain.clone() }
}

fn pattern_shown(plain: Shown, difficulty: Difficulty, chance: &mut Chance) -> Shown {
    let few = match difficulty {
        Difficulty::Easy | Difficulty::Usual => Grade::G1,
        Difficulty::Hard => Grade::Micro,
    };
    let (grade, pattern) = match chance.below(4) {
        0 => (Grade::G0, None),
        1 => (Grade::G1, Some(Pattern::Stacks)),
        2 => (few, Some(Pattern::Both)),
        _ => (few, Some(Pattern::Clumps)),
    };
    let again = chance.below(2) == 0;
    Shown {
        view: View::Microscope,
        seen: Agglutination::Graded(grade),
        pattern,
        // Stacks that are still there in saline would be no stacks of plasma.
        after: (again && pattern.is_none()).then_some(Recheck::SalineReplacement),
        ..plain
    }
}
