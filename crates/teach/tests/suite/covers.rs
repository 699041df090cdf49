//! Sets: the same from the same seed, and covering the catalogue (F64, H28).

use crossread_core::document::{Digest, List};
use crossread_core::findings::CATALOGUE;
use crossread_core::words::{Grade, Method, Species};
use crossread_core::{Protocol, Protocols, Worksheet};
use crossread_teach::set::{
    Ask, CannotMake, Exercise, How, Kind, Scale, WATERMARK, Wanted, answer_sheet, booklet,
    key_sheet, make, page, questions,
};
use crossread_teach::simulate::Difficulty;

fn made(wanted: &Wanted) -> crossread_teach::set::Made {
    make(wanted, Protocols::shipped()).expect("a set")
}

/// The booklet as HTML.
fn printed(exercise: &Exercise) -> String {
    crossread_print::html(&booklet(exercise), crossread_print::Paper::A4)
}

/// Every rule that can be asked for is; of the others the report says why.
#[test]
fn f64_coverage_of_every_finding() {
    let made = made(&Wanted { items: 1, cover: true, ..Wanted::default() });
    let report = &made.coverage.findings;
    assert_eq!(report.len(), CATALOGUE.len(), "each finding stands in the report");
    let missing: Vec<_> = made.coverage.missing().collect();
    let slugs: Vec<_> = missing.iter().map(|(slug, _)| *slug).collect();
    assert_eq!(slugs, ["protocol-differs", "reaction-below-cut-off"]);
    assert!(missing.iter().all(|(_, because)| because.is_some_and(|because| !because.is_empty())));
    for covered in report.iter().filter(|covered| !slugs.contains(&covered.slug)) {
        let (How::Decisive { run, asked } | How::Present { run, asked }) = &covered.how else {
            panic!("{} is missing", covered.slug);
        };
        // The run it names does raise it, asked of the engine here and not of the report.
        let asked = asked.as_ref().unwrap_or_else(|| panic!("{} is not asked", covered.slug));
        let item = made.exercise.item(asked).expect("an item");
        assert_eq!((item.ask, item.key.as_str()), (Ask::Finding, covered.slug));
        assert_eq!(item.run.as_ref(), Some(run));
        let run = made.exercise.run_of(item).expect("a run");
        let all = run.interpretation.pairs.iter().flat_map(|pair| &pair.findings);
        let mut all = all.chain(&run.interpretation.panel);
        assert!(all.any(|finding| finding.slug == covered.slug), "{}", covered.slug);
    }
    // What can decide is met where it does, but for these, beside which something graver stands.
    let can_decide = |slug: &str| {
        let meta = CATALOGUE.iter().find(|meta| meta.slug == slug).expect("of the catalogue");
        meta.effects.iter().any(|effect| effect.word() != "note")
    };
    let present = report.iter().filter(|covered| matches!(covered.how, How::Present { .. }));
    let beside: Vec<_> =
        present.map(|covered| covered.slug).filter(|slug| can_decide(slug)).collect();
    assert_eq!(
        beside,
        [
            "cat-type-contradiction",
            "mixed-field-autocontrol",
            "plasma-anticoagulated",
            "readers-disagree",
            "recipient-autocontrol-doubtful",
        ]
    );
}

/// Local rules with another cut-off reach what the rules that ship cannot.
#[test]
fn f64_local_rules_reach_a_reaction_below_the_cut_off() {
    let dogs = crate::shared::protocol(Species::Dog).text();
    let local = dogs.replacen("\"id\": \"dog-routine\"", "\"id\": \"dog-late\"", 1).replacen(
        "\"doubtful_from\": {\n    \"value\": \"rough\"",
        "\"doubtful_from\": {\n    \"value\": \"micro\"",
        1,
    );
    let local = Protocol::from_json(local.as_bytes()).expect("a protocol");
    let protocols = Protocols::shipped().clone().with(local);
    let wanted = Wanted { items: 1, cover: true, ..Wanted::default() };
    let made = make(&wanted, &protocols).expect("a set");
    let missing: Vec<_> = made.coverage.missing().map(|(slug, _)| slug).collect();
    assert_eq!(missing, ["protocol-differs"]);
}

/// The bytes of one small set, committed as a hash: whoever changes what a seed gives is told here,
/// on every platform. A new version of the generator alone does not change it; a new finding does,
/// because wrong answers are drawn from the catalogue.
#[test]
fn the_same_seed_gives_the_same_bytes() {
    let wanted = Wanted { seed: 42, items: 12, ..Wanted::default() };
    let bytes = || {
        let mut set = made(&wanted).exercise.set().to_json();
        // Neither a version of the generator nor words in a protocol change what is drawn.
        set = set.replace(
            &format!("\"generator\": \"{}\"", env!("CARGO_PKG_VERSION")),
            "\"generator\": \"\"",
        );
        for protocol in Protocols::shipped().iter() {
            set = set.replace(&protocol.digest().to_string(), "");
        }
        set
    };
    let first = bytes();
    assert_eq!(first, bytes());
    assert_eq!(
        Digest::of(first.as_bytes()).to_string(),
        "d53a49e986049dc7d4b3af5d396ae5cea2bd1e0727877a98d5559f070c8a26de",
        "what a seed gives has changed: if no finding is new, raise the version of the scheme, or undo \
         the change"
    );
    let other = made(&Wanted { seed: 43, ..wanted.clone() }).exercise.set().to_json();
    assert_ne!(first, other);
}

#[test]
fn what_is_printed_is_the_same_twice_and_says_exercise_on_it() {
    let made = made(&Wanted { seed: 5, items: 9, ..Wanted::default() });
    let exercise = &made.exercise;
    let options = crossread_teach::marking::Options::default();
    let all = || {
        [
            printed(exercise),
            page(exercise, &options),
            crossread_print::text(&answer_sheet(exercise)),
            crossread_print::text(&key_sheet(exercise)),
        ]
    };
    let printed = all();
    assert_eq!(printed, all());
    for text in &printed {
        assert!(text.contains(WATERMARK) && text.contains("nothing is released"));
    }
    // Once an item in the booklet.
    assert_eq!(printed[0].matches(": EXERCISE</h2>").count(), exercise.set().items.len());
}

#[test]
fn a_booklet_and_a_page_ask_for_nothing_from_outside() {
    let made = made(&Wanted { seed: 6, items: 12, ..Wanted::default() });
    let options = crossread_teach::marking::Options::default();
    for text in [printed(&made.exercise), page(&made.exercise, &options)] {
        // A drawing refers to parts of itself.
        let text = text.replace("http://www.w3.org/2000/svg", "").replace("url(#", "");
        for outside in ["http:", "https:", "src=", "url(", "@import", "<link", "fetch(", "XMLHttp"]
        {
            assert!(!text.contains(outside), "{outside}");
        }
    }
}

/// A booklet holds no key. A practice page does, encoded: no word of its feedback can be read.
#[test]
fn a_booklet_has_no_key_and_a_page_none_in_plain_view() {
    let made = made(&Wanted { seed: 6, items: 12, ..Wanted::default() });
    let options = crossread_teach::marking::Options::default();
    let asked = questions(&made.exercise);
    for text in [printed(&made.exercise), page(&made.exercise, &options)] {
        for choice in asked.iter().flat_map(|question| &question.choices) {
            assert!(!text.contains(&choice.feedback), "{}", choice.feedback);
        }
    }
}

#[test]
fn every_question_has_one_key_and_scores_by_it() {
    let made = made(&Wanted { seed: 8, items: 40, ..Wanted::default() });
    for question in questions(&made.exercise) {
        let keys = question.choices.iter().filter(|choice| choice.is_key);
        assert_eq!(keys.count(), 1, "{}", question.id);
        for choice in &question.choices {
            assert_eq!(choice.is_key, choice.score_hundredths == 100, "{}", question.id);
            assert!(!choice.is_critical || choice.score_hundredths == 0, "{}", question.id);
            assert!(!choice.feedback.is_empty() && !choice.text.is_empty());
        }
        assert!(!question.prompt.to_lowercase().contains("safe"));
    }
}

/// Each look of a run is drawn, under the microscope too if it was looked at there, or told in
/// words: over all findings, no look is lost and none is both.
#[test]
fn every_look_of_a_run_is_drawn_or_told() {
    let kinds = vec![Kind::Run];
    let made = made(&Wanted { items: 200, kinds, cover: true, ..Wanted::default() });
    let set = made.exercise.set();
    let (mut drawn, mut told) = (0, 0);
    for question in questions(&made.exercise) {
        let item = made.exercise.item(&question.id).expect("an item");
        let run = set.runs.iter().find(|run| Some(&run.id) == item.run.as_ref());
        let readings = run.and_then(|run| run.worksheet.readings.as_ref()).map_or(0, List::len);
        let enlarged = |picture: &&crossread_teach::question::Drawn| {
            picture.name.ends_with("; under the microscope")
        };
        let by_eye = question.pictures.len() - question.pictures.iter().filter(enlarged).count();
        let in_words = question.prompt.lines().filter(|line| line.starts_with("- ")).count();
        if !question.prompt.contains("see the drawings") {
            continue;
        }
        assert_eq!(by_eye + in_words, readings, "{}: {}", question.id, question.prompt);
        drawn += by_eye;
        told += in_words;
    }
    assert!(drawn > 1000 && told > 0, "{drawn} drawn, {told} told");
}

/// Wishes are kept: kinds, species, methods and grades are those asked for, each grade as often.
#[test]
fn wishes_are_kept() {
    let wanted = Wanted {
        seed: 9,
        items: 60,
        kinds: vec![Kind::Picture],
        species: vec![Species::Cat],
        methods: vec![Method::Gel],
        grades: vec![Grade::W, Grade::G1],
        difficulty: Difficulty::Easy,
        ..Wanted::default()
    };
    let made = made(&wanted);
    let items = &made.exercise.set().items;
    assert_eq!(items.len(), 60);
    let shown: Vec<_> = items.iter().map(|item| item.shown.clone().expect("a picture")).collect();
    assert!(shown.iter().all(|shown| shown.species == Species::Cat && shown.method == Method::Gel));
    let graded = items.iter().filter(|item| item.ask == Ask::Agglutination);
    let keys: Vec<_> = graded.map(|item| item.key.as_str()).collect();
    let count = |key: &str| keys.iter().filter(|one| **one == key).count();
    assert_eq!(count("w") + count("1+"), keys.len(), "{keys:?}");
    assert!(count("w").abs_diff(count("1+")) <= 1 && count("w") > 10, "{keys:?}");
    let kinds = Wanted { kinds: vec![Kind::Text, Kind::Run], ..Wanted::default() };
    let both = self::made(&kinds);
    assert!(both.exercise.set().items.iter().all(|item| item.kind != Kind::Picture));
}

#[test]
fn the_full_scale_asks_for_thirteen_grades() {
    let wanted =
        Wanted { scale: Scale::Full, kinds: vec![Kind::Picture], items: 80, ..Wanted::default() };
    let made = made(&wanted);
    let graded = made.exercise.set().items.iter().filter(|item| item.ask == Ask::Agglutination);
    let keys: std::collections::BTreeSet<_> = graded.map(|item| item.key.clone()).collect();
    assert!(keys.contains("1+s") && keys.contains("rough"), "{keys:?}");
}

#[test]
fn a_wish_that_cannot_be_met_is_refused_by_name() {
    let try_to = |wanted: Wanted| make(&wanted, Protocols::shipped()).map(|_| ());
    let usual = Wanted::default();
    assert_eq!(try_to(Wanted { items: 0, ..usual.clone() }), Err(CannotMake::Items(0)));
    assert_eq!(try_to(Wanted { items: 1001, ..usual.clone() }), Err(CannotMake::Items(1001)));
    assert_eq!(
        try_to(Wanted { kinds: Vec::new(), ..usual.clone() }),
        Err(CannotMake::NoneWanted("the kinds"))
    );
    assert_eq!(
        try_to(Wanted { grades: vec![Grade::G1s], ..usual.clone() }),
        Err(CannotMake::Grade(Grade::G1s, Scale::Main))
    );
    assert_eq!(
        try_to(Wanted { species: vec![Species::Goat], ..usual.clone() }),
        Err(CannotMake::NoProtocol(Species::Goat))
    );
    assert_eq!(try_to(Wanted { near_hundredths: 101, ..usual }), Err(CannotMake::Near(101)));
}

/// H28: neither a set nor a worksheet taken out of it is a worksheet to anybody.
#[test]
fn h28_an_exercise_is_no_worksheet() {
    let made = made(&Wanted { items: 6, kinds: vec![Kind::Text], ..Wanted::default() });
    let set = made.exercise.set();
    let refused = Worksheet::from_json(set.to_json().as_bytes(), Protocols::shipped());
    assert!(refused.is_err());
    for run in &set.runs {
        let document = serde_json::to_vec(&run.worksheet).expect("it can be written");
        let refused = Worksheet::from_json(&document, Protocols::shipped()).expect_err("a fault");
        assert_eq!(refused.as_slice()[0].pointer, "/format");
        assert!(run.worksheet.id.as_ref().is_some_and(|id| id.as_str().starts_with(WATERMARK)));
    }
}

#[test]
fn a_set_is_read_back_the_same() {
    let made = made(&Wanted { seed: 4, items: 20, ..Wanted::default() });
    let document = made.exercise.set().to_json();
    let read = Exercise::from_json(document.as_bytes(), Protocols::shipped()).expect("a set");
    assert_eq!(read.set(), made.exercise.set());
    assert_eq!(read.digest(), made.exercise.digest());
    assert!(crossread_teach::set::changed_drawings(&read).is_empty());
    let mut other: serde_json::Value = serde_json::from_str(&document).expect("JSON");
    let mut pictures = 0;
    for item in other["items"].as_array_mut().expect("items") {
        for hash in item["drawings"].as_array_mut().expect("hashes") {
            *hash = "0".repeat(64).into();
            pictures += 1;
        }
    }
    let other = Exercise::from_json(other.to_string().as_bytes(), Protocols::shipped());
    let changed = crossread_teach::set::changed_drawings(&other.expect("a set"));
    assert_eq!(changed.len(), pictures);
    assert!(pictures > 20);
}
