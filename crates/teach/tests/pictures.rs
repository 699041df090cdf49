//! Pictures: what a reader must be able to see, what the words must not give away, and that the same
//! picture is the same everywhere.
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::arithmetic_side_effects,
    reason = "a helper of a test may fail the test"
)]

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::LazyLock;

use crossread_core::document::Whole;
use crossread_core::words::{Artefact, Grade, Hemolysis, Species, Verdict};
use crossread_teach::picture::{
    Bands, CannotDraw, Cells, Column, Drawn, Field, Gel, Icterus, Mixture, Moment, Picture, Pieces,
    Plasma, Prefix, Scene, Slide, Stacks, Tube, samples,
};
use roxmltree::{Document, Node};
use rstest::rstest;

use forms::{Form, SEED, forms};

mod forms;

/// Drawn once for all tests.
static FORMS: LazyLock<Vec<Form>> = LazyLock::new(forms);

/// Grades whose clumps the eye can see, in order.
const VISIBLE: [Grade; 10] = [
    Grade::W,
    Grade::G1w,
    Grade::G1,
    Grade::G1s,
    Grade::G2w,
    Grade::G2,
    Grade::G2s,
    Grade::G3,
    Grade::G3s,
    Grade::G4,
];

fn picture(scene: Scene, seed: u64) -> Picture {
    Picture::new(scene, Species::Dog, seed, 0).unwrap()
}

fn tube(test: Mixture) -> Tube {
    Tube { test, control: None, plasma: Plasma::pale(), moment: Moment::Tilted }
}

fn settled(test: Mixture) -> Tube {
    Tube { moment: Moment::Settled, ..tube(test) }
}

fn gel(test: Column) -> Gel {
    Gel { test, control: None, plasma: Plasma::pale() }
}

fn slide(grade: Grade, parts: u32) -> Slide {
    Slide { grade, mixed_field: false, saline_parts: Whole::new(parts).unwrap(), dried: false }
}

fn field(mixture: Mixture) -> Field {
    Field { mixture, stacks: Stacks::None, saline_replaced: false, dried: false }
}

fn pieces(scene: Scene, seed: u64) -> Pieces {
    match picture(scene, seed).measure().test {
        Drawn::Tube(pieces) | Drawn::Slide(pieces) => pieces,
        other @ (Drawn::Gel(_) | Drawn::Field(_)) => panic!("{other:?}"),
    }
}

fn bands(test: Column, seed: u64) -> Bands {
    match picture(Scene::Gel(gel(test)), seed).measure().test {
        Drawn::Gel(bands) => bands,
        other @ (Drawn::Tube(_) | Drawn::Slide(_) | Drawn::Field(_)) => panic!("{other:?}"),
    }
}

fn cells(scene: Field, species: Species, seed: u64) -> Cells {
    let picture = Picture::new(Scene::Field(scene), species, seed, 0).unwrap();
    match picture.measure().test {
        Drawn::Field(cells) => cells,
        other @ (Drawn::Tube(_) | Drawn::Slide(_) | Drawn::Gel(_)) => panic!("{other:?}"),
    }
}

fn hemolysis(level: u32) -> Hemolysis {
    Hemolysis::new(level).unwrap()
}

// What a reader sees.

#[rstest]
#[case::tube(|grade| Scene::Tube(tube(Mixture::of(grade))))]
#[case::slide(|grade| Scene::Slide(slide(grade, 0)))]
#[case::slide_one_to_one(|grade| Scene::Slide(slide(grade, 1)))]
fn a_stronger_grade_has_fewer_and_larger_clumps_and_fewer_free_cells(
    #[case] scene: fn(Grade) -> Scene,
) {
    for seed in 0..40 {
        for pair in VISIBLE.windows(2) {
            let [weaker, stronger] = [pair[0], pair[1]].map(|grade| pieces(scene(grade), seed));
            assert!(stronger.number < weaker.number, "{seed} {pair:?}: {weaker:?} {stronger:?}");
            assert!(stronger.free < weaker.free, "{seed} {pair:?}: {weaker:?} {stronger:?}");
            let mean = |drawn: Pieces| (1000 - drawn.free) * 100 / drawn.number;
            assert!(mean(stronger) > mean(weaker), "{seed} {pair:?}: {weaker:?} {stronger:?}");
        }
    }
}

#[test]
fn a_4_plus_is_one_piece_in_clear_fluid_and_a_0_an_even_cloud() {
    for seed in 0..40 {
        let strongest = pieces(Scene::Tube(tube(Mixture::of(Grade::G4))), seed);
        assert_eq!((strongest.number, strongest.free, strongest.hidden), (1, 0, 0));
        assert!(strongest.largest > 950, "{strongest:?}");
        let none = pieces(Scene::Tube(tube(Mixture::of(Grade::G0))), seed);
        assert_eq!((none.number, none.free), (0, 1000));
        assert!(none.hidden > 950, "{none:?}");
    }
}

/// No clump is left out for want of room, and those that are made smaller lose little.
#[test]
fn no_cell_is_lost() {
    for seed in 0..40 {
        for grade in VISIBLE {
            let drawn = pieces(Scene::Tube(tube(Mixture::of(grade))), seed);
            let least = match grade {
                Grade::W => 300,
                Grade::G1w => 205,
                Grade::G1 => 130,
                Grade::G1s => 80,
                Grade::G2w => 48,
                Grade::G2 => 24,
                Grade::G2s => 13,
                Grade::G3 => 6,
                Grade::G3s => 3,
                Grade::G4 => 1,
                Grade::G0 | Grade::Rough | Grade::Micro => panic!("{grade}"),
            };
            assert!(drawn.number >= least, "{seed} {grade}: {drawn:?}");
        }
    }
}

#[test]
fn in_gel_a_stronger_grade_stays_higher() {
    for seed in 0..40 {
        let all = [Grade::G0].into_iter().chain(VISIBLE);
        let drawn: Vec<Bands> =
            all.map(|grade| bands(Column::of(Mixture::of(grade)), seed)).collect();
        for pair in drawn.windows(2) {
            assert!(pair[1].depth < pair[0].depth, "{seed}: {pair:?}");
            assert!(pair[1].pellet <= pair[0].pellet, "{seed}: {pair:?}");
            assert!(pair[1].band >= pair[0].band, "{seed}: {pair:?}");
        }
        assert_eq!((drawn[0].pellet, drawn[0].rough), (1000, 0));
        assert!(drawn[1].rough > 0, "{:?}", drawn[1]);
        let strongest = drawn.last().unwrap();
        assert!(strongest.pellet == 0 && strongest.band > 900, "{strongest:?}");
    }
}

/// Single fields differ by chance; many together must not.
#[rstest]
#[case(Species::Dog)]
#[case(Species::Cat)]
#[case(Species::Horse)]
fn under_the_microscope_a_stronger_grade_has_larger_heaps_and_fewer_single_cells(
    #[case] species: Species,
) {
    let sums: Vec<(u32, u32, u32)> = VISIBLE
        .iter()
        .map(|&grade| {
            let drawn = (0..12).map(|seed| cells(field(Mixture::of(grade)), species, seed));
            drawn.fold((0, 0, 0), |(single, heaps, in_heaps), cells| {
                (single + cells.single, heaps + cells.heaps, in_heaps + cells.in_heaps)
            })
        })
        .collect();
    for (pair, grades) in sums.windows(2).zip(VISIBLE.windows(2)) {
        assert!(pair[1].0 < pair[0].0, "single cells of {grades:?}: {pair:?}");
        let mean = |(_, heaps, in_heaps): (u32, u32, u32)| in_heaps * 10 / heaps;
        assert!(mean(pair[1]) > mean(pair[0]), "heaps of {grades:?}: {pair:?}");
    }
}

#[test]
fn rough_and_micro_are_seen_under_the_microscope_only() {
    let prefix = Prefix::new("p").unwrap();
    for seed in 0..10 {
        for scene in [
            |grade| Scene::Tube(tube(Mixture::of(grade))),
            |grade| Scene::Gel(gel(Column::of(Mixture::of(grade)))),
            |grade| Scene::Slide(slide(grade, 1)),
        ] {
            let none = picture(scene(Grade::G0), seed);
            for grade in [Grade::Rough, Grade::Micro] {
                assert_eq!(picture(scene(grade), seed).svg(&prefix), none.svg(&prefix));
            }
        }
        let in_field = |grade| cells(field(Mixture::of(grade)), Species::Dog, seed);
        let [none, rough, micro] = [Grade::G0, Grade::Rough, Grade::Micro].map(in_field);
        assert_eq!((none.heaps, rough.heaps, micro.heaps), (0, 1, 3), "{seed}");
        assert!((3..=4).contains(&rough.largest_heap), "{rough:?}");
        assert!((3..=5).contains(&micro.largest_heap), "{micro:?}");
    }
}

#[test]
fn a_mixed_field_has_clumps_among_free_cells_whatever_the_grade() {
    for seed in 0..20 {
        for grade in VISIBLE {
            let mixture = Mixture::of(grade).in_mixed_field();
            let drawn = pieces(Scene::Tube(tube(mixture)), seed);
            assert!(drawn.number > 0 && (450..=560).contains(&drawn.free), "{grade}: {drawn:?}");
            let drawn = bands(Column::of(mixture), seed);
            assert!(drawn.pellet >= 500 && drawn.rough == 0, "{grade}: {drawn:?}");
            let drawn = cells(field(mixture), Species::Dog, seed);
            assert!(drawn.single > 50 && drawn.heaps > 0, "{grade}: {drawn:?}");
        }
    }
}

/// Lysis takes cells away; a plasma that was red before does not.
#[test]
fn lysis_makes_the_fluid_redder_and_the_button_smaller() {
    for (level, pair) in (1..).zip([0, 1, 2, 3, 4].windows(2)) {
        let [less, more] =
            [pair[0], pair[1]].map(|level| Mixture::of(Grade::G0).lysed(hemolysis(level)));
        let [before, after] = [less, more].map(|test| pieces(Scene::Tube(settled(test)), 7));
        assert!(after.red > before.red && after.buttoned < before.buttoned, "{level}");
        assert_eq!(after.hidden, 0, "fluid above a button is clear");
        let [before, after] = [less, more].map(|mixture| bands(Column::of(mixture), 7));
        assert!(after.red > before.red && after.pellet < before.pellet, "{level}");
        let plasma = Plasma { hemolysis: hemolysis(level), ..Plasma::pale() };
        let decoy = Tube { plasma, ..settled(Mixture::of(Grade::G0)) };
        let decoy = pieces(Scene::Tube(decoy), 7);
        assert_eq!(decoy.buttoned, 1000);
        assert_eq!(decoy.red, pieces(Scene::Tube(settled(more)), 7).red, "the same color");
    }
    let complete = settled(Mixture::of(Grade::G0).lysed(hemolysis(4)));
    assert_eq!(pieces(Scene::Tube(complete), 7).buttoned, 0);
}

#[test]
fn icteric_plasma_is_yellow_and_not_red() {
    for level in 1..=3 {
        let plasma = Plasma { icterus: Icterus::new(level).unwrap(), ..Plasma::pale() };
        let drawn = pieces(Scene::Tube(Tube { plasma, ..settled(Mixture::of(Grade::G0)) }), 7);
        assert!(drawn.yellow > 150 && drawn.red == 0 && drawn.buttoned == 1000, "{drawn:?}");
    }
}

#[rstest]
#[case(Species::Dog)]
#[case(Species::Cat)]
#[case(Species::Horse)]
fn saline_replacement_takes_stacks_away_and_leaves_heaps(#[case] species: Species) {
    for seed in 0..8 {
        for grade in [Grade::G0, Grade::W, Grade::G1, Grade::G2] {
            for stacks in [Stacks::Few, Stacks::Many] {
                let before = Field { stacks, ..field(Mixture::of(grade)) };
                let after = Field { saline_replaced: true, ..before };
                let [before, after] = [before, after].map(|scene| cells(scene, species, seed));
                if grade < Grade::G2 {
                    assert!(before.stacks > 3 && before.longest_stack >= 4, "{before:?}");
                }
                assert_eq!(after.stacks, 0);
                assert_eq!(before.heaps > 0, grade > Grade::G0, "{before:?}");
                assert_eq!(after.heaps > 0, grade > Grade::G0, "{after:?}");
            }
        }
        let [few, many] = [Stacks::Few, Stacks::Many]
            .map(|stacks| cells(Field { stacks, ..field(Mixture::of(Grade::G0)) }, species, seed));
        assert!(many.in_stacks > few.in_stacks && many.single < few.single, "{few:?} {many:?}");
    }
}

#[test]
fn saline_thins_a_slide_and_leaves_the_size_of_its_clumps() {
    for seed in 0..20 {
        for grade in VISIBLE {
            let [neat, thin] = [0, 49].map(|parts| pieces(Scene::Slide(slide(grade, parts)), seed));
            assert!(thin.number <= neat.number && thin.number > 0, "{grade}");
            assert!(thin.free <= neat.free, "{grade}");
            // Sizes are drawn anew, so the largest of a few may be a little larger.
            assert!(thin.largest <= neat.largest * 3 / 2 + 2, "{grade}: {neat:?} {thin:?}");
        }
    }
}

#[test]
fn every_flaw_of_a_column_changes_the_picture() {
    let prefix = Prefix::new("p").unwrap();
    let whole = Column::of(Mixture::of(Grade::G0));
    let mut seen = BTreeSet::from([picture(Scene::Gel(gel(whole)), 3).svg(&prefix)]);
    for &fault in Artefact::ALL {
        let scene = Scene::Gel(gel(Column { fault: Some(fault), ..whole }));
        match Picture::new(scene, Species::Dog, 3, 0) {
            Ok(picture) => assert!(seen.insert(picture.svg(&prefix)), "{fault}"),
            Err(refused) => assert_eq!(refused, CannotDraw::NoLook(fault)),
        }
    }
    assert_eq!(seen.len(), 8);
}

/// 2.5 pixels to a micrometer: cells and the bar beside them.
#[rstest]
#[case(Species::Dog, 70)]
#[case(Species::Cat, 58)]
#[case(Species::Horse, 57)]
fn cells_are_true_to_the_scale_bar(#[case] species: Species, #[case] tenths_of_micrometer: i64) {
    let scene = Scene::Field(field(Mixture::of(Grade::G0)));
    let svg = Picture::new(scene, species, 1, 1).unwrap().svg(&Prefix::new("p").unwrap());
    assert!(svg.contains("M12 386V390H62V386"), "the bar of 20 µm is 50 px");
    let document = Document::parse(&svg).unwrap();
    let cell = document.descendants().find(|node| node.attribute("id") == Some("p-c")).unwrap();
    let outer = cell
        .children()
        .filter(|node| node.attribute("fill").is_some_and(|fill| fill.starts_with("url")))
        .map(|circle| {
            hundredths(circle.attribute("r").unwrap()) * 2
                + hundredths(circle.attribute("stroke-width").unwrap())
        })
        .max()
        .unwrap();
    assert!((outer - tenths_of_micrometer * 25).abs() <= 25, "{outer} hundredths of a pixel");
}

fn hundredths(number: &str) -> i64 {
    let (whole, rest) = number.split_once('.').unwrap_or((number, ""));
    let whole: i64 = if whole.is_empty() { 0 } else { whole.parse().unwrap() };
    whole * 100 + format!("{rest:0<2}").parse::<i64>().unwrap()
}

// What the words say.

/// Beginnings of words that would give a reading away.
const TELLING: &[&str] = &[
    "agglutin",
    "rouleau",
    "lys",
    "hemol",
    "mixed",
    "positiv",
    "negativ",
    "weak",
    "strong",
    "react",
    "compatib",
    "incompatib",
    "indeterminate",
    "invalid",
    "artefact",
    "artifact",
    "grade",
    "icter",
    "fibrin",
    "bubble",
    "streak",
    "interrupt",
    "overload",
    "dried",
    "spread",
    "stack",
    "agglomer",
    "ghost",
    "saline",
    "dog",
    "cat",
    "horse",
    "safe",
    "fail",
    "unreadable",
];

#[test]
fn descriptions_say_what_is_seen_and_not_what_it_is() {
    for (name, picture) in samples(SEED) {
        let said = picture.description();
        let moving = picture.moving(&Prefix::new("p").unwrap());
        let moving = moving.map(|svg| text_of(&svg, "desc")).unwrap_or_default();
        for said in [said.as_str(), moving.as_str()] {
            for word in said.split([' ', ',', ':', ';']).map(|word| word.trim_end_matches('.')) {
                let word = word.to_lowercase();
                let grade = Grade::ALL.iter().find(|grade| grade.word() == word);
                assert_eq!(grade, None, "{name}: {said}");
                assert!(!word.ends_with('+'), "{name}: {said}");
                let told = TELLING.iter().find(|telling| word.starts_with(**telling));
                assert_eq!(told, None, "{name}: {said}");
                assert!(
                    Verdict::ALL.iter().all(|verdict| verdict.word() != word),
                    "{name}: {said}"
                );
                assert!(Artefact::ALL.iter().all(|fault| fault.word() != word), "{name}: {said}");
            }
        }
        assert!(said.starts_with("Drawing of ") && said.ends_with('.'), "{name}: {said}");
        assert!(said.len() < 1000, "{name}: {said}");
        assert!(!said.contains("  ") && !said.contains(".."), "{name}: {said}");
    }
}

#[test]
fn pictures_that_look_alike_are_described_alike() {
    for scene in [
        |grade| Scene::Tube(tube(Mixture::of(grade))),
        |grade| Scene::Gel(gel(Column::of(Mixture::of(grade)))),
        |grade| Scene::Slide(slide(grade, 1)),
        // Before it is moved, a button does not show its grade.
        |grade| Scene::Tube(settled(Mixture::of(grade))),
    ] {
        let said = |grade| picture(scene(grade), 5).description();
        assert_eq!(said(Grade::G0), said(Grade::Rough));
        assert_eq!(said(Grade::G0), said(Grade::Micro));
    }
    let button = |grade| picture(Scene::Tube(settled(Mixture::of(grade))), 5).description();
    assert_eq!(button(Grade::G0), button(Grade::G4));
    let color = |mixture, plasma| {
        picture(Scene::Tube(Tube { plasma, ..settled(mixture) }), 5).description()
    };
    let none = Mixture::of(Grade::G0);
    let (_, lysed) = color(none.lysed(hemolysis(2)), Plasma::pale())
        .split_once("The fluid")
        .map(|(left, right)| (left.to_owned(), right.to_owned()))
        .unwrap();
    let sample = Plasma { hemolysis: hemolysis(2), ..Plasma::pale() };
    assert!(color(none, sample).ends_with(&lysed), "the same words for the same color");
}

#[test]
fn title_and_description_stand_in_the_svg() {
    for (name, picture) in samples(SEED) {
        let svg = picture.svg(&Prefix::new("q").unwrap());
        let inside = format!("{}. {}", text_of(&svg, "title"), text_of(&svg, "desc"));
        assert_eq!(inside, picture.description(), "{name}");
    }
}

fn text_of(svg: &str, element: &str) -> String {
    let document = Document::parse(svg).unwrap();
    let found = document
        .descendants()
        .find(|node| node.has_tag_name(("http://www.w3.org/2000/svg", element)));
    found.and_then(|node| node.text()).unwrap().to_owned()
}

// What is in the files.

#[test]
fn every_form_is_plain_svg_without_script_or_outside_reference() {
    for Form { name, svg } in FORMS.iter() {
        let document = Document::parse(svg).unwrap_or_else(|error| panic!("{name}: {error}"));
        let prefix = prefix_of(&document);
        let root = document.root_element();
        assert_eq!(root.attribute("role"), Some("img"), "{name}");
        let ids: BTreeSet<&str> = ids(root).collect();
        for node in document.descendants().filter(Node::is_element) {
            let element = node.tag_name().name();
            assert!(
                ![
                    "script",
                    "foreignObject",
                    "image",
                    "a",
                    "animate",
                    "set",
                    "text",
                    "font",
                    "filter"
                ]
                .contains(&element),
                "{name}: {element}"
            );
            assert_eq!(
                element == "style",
                name.starts_with("moving-") && element == "style",
                "{name}"
            );
            for attribute in node.attributes() {
                let (key, value) = (attribute.name(), attribute.value());
                assert!(!key.starts_with("on") && key != "style", "{name}: {key}");
                assert!(!value.contains("://") && !value.contains("data:"), "{name}: {value}");
                let target = match key {
                    "href" => value.strip_prefix('#'),
                    "fill" | "stroke" | "clip-path" if value.starts_with("url(") => {
                        value.strip_prefix("url(#").and_then(|rest| rest.strip_suffix(')'))
                    }
                    _ => continue,
                };
                let target = target.unwrap_or_else(|| {
                    assert!(key != "href", "{name}: {value}");
                    ""
                });
                assert!(ids.contains(target), "{name}: {key}={value} leads nowhere");
            }
            if let Some(class) = node.attribute("class") {
                assert!(class.starts_with(&format!("{prefix}-")), "{name}: {class}");
            }
        }
        if let Some(style) = document.descendants().find(|node| node.tag_name().name() == "style") {
            let style = style.text().unwrap();
            assert!(!style.contains("url(") && !style.contains("@import"), "{name}");
            for keyframes in style.split("@keyframes ").skip(1) {
                assert!(keyframes.starts_with(&format!("{prefix}-")), "{name}");
            }
        }
    }
}

/// What the ids of a picture should begin with, by the id of its title.
fn prefix_of<'d>(document: &'d Document<'d>) -> &'d str {
    let title = document.root_element().first_element_child().unwrap();
    title.attribute("id").unwrap().strip_suffix("-title").unwrap()
}

fn ids<'d>(root: Node<'d, 'd>) -> impl Iterator<Item = &'d str> {
    root.descendants().filter_map(|node| node.attribute("id"))
}

#[test]
fn ids_are_unique_when_all_stand_in_one_page() {
    let mut seen = BTreeMap::new();
    let mut prefixes = BTreeSet::new();
    for Form { name, svg } in FORMS.iter() {
        let document = Document::parse(svg).unwrap();
        let prefix = prefix_of(&document);
        assert!(prefixes.insert(prefix.to_owned()), "{name}: {prefix}");
        for id in ids(document.root_element()) {
            assert!(id.starts_with(&format!("{prefix}-")), "{name}: {id}");
            let before = seen.insert(id.to_owned(), name);
            assert_eq!(before, None, "{id} of {name}");
        }
    }
}

#[test]
fn pictures_are_small_files() {
    for Form { name, svg } in FORMS.iter() {
        let most = match name.split('-').next().unwrap() {
            "icon" if name.starts_with("icon-field") => 60_000,
            "icon" => 25_000,
            "field" => 120_000,
            _ => 60_000,
        };
        assert!(svg.len() <= most, "{name}: {} bytes", svg.len());
    }
}

/// Whoever cannot tell red from green loses nothing: there is no green.
#[test]
fn no_green_stands_beside_the_red() {
    for Form { name, svg } in FORMS.iter() {
        for color in svg.split("\"#").skip(1).filter_map(|rest| rest.split('"').next()) {
            let Ok(number) = u32::from_str_radix(color, 16) else { continue };
            assert_eq!(color.len(), 6, "{name}: {color}");
            let [_, red, green, blue] = number.to_be_bytes().map(i32::from);
            assert!(green <= red + 20 || green <= blue, "{name}: #{color}");
        }
    }
}

#[test]
fn moving_pictures_are_still_unless_motion_is_welcome() {
    let mut moving = 0;
    for Form { name, svg } in FORMS.iter().filter(|form| form.name.starts_with("moving-")) {
        moving += 1;
        let document = Document::parse(svg).unwrap();
        let prefix = prefix_of(&document);
        let film = format!("{prefix}-film-shown");
        let hidden = document.descendants().find(|node| node.attribute("class") == Some(&film));
        assert_eq!(hidden.unwrap().attribute("display"), Some("none"), "{name}");
        let asked = "@media screen and (prefers-reduced-motion:no-preference){";
        let rules: String = svg.split(asked).skip(1).collect();
        assert!(rules.contains(&format!(".{film}{{display:inline}}")), "{name}");
        assert_eq!(svg.matches(&format!(".{film}{{")).count(), 1, "{name}: shown only then");
    }
    assert!(moving > 15);
    let column = picture(Scene::Gel(gel(Column::of(Mixture::of(Grade::G0)))), 1);
    assert_eq!(column.moving(&Prefix::new("p").unwrap()), None);
    assert_eq!(column.stills(&Prefix::new("p").unwrap()), None);
}

// The same everywhere.

/// The hashes are the same in every build and on every machine.
#[test]
fn no_picture_has_changed() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/pictures.txt");
    let text = std::fs::read_to_string(path).unwrap();
    let mut committed: BTreeMap<&str, &str> = text
        .lines()
        .filter_map(|line| line.split_once(' '))
        .map(|(hash, name)| (name, hash))
        .collect();
    let mut changed = Vec::new();
    for form in FORMS.iter() {
        let name = &form.name;
        match committed.remove(name.as_str()) {
            Some(before) if before == form.hash() => {}
            Some(_) => changed.push(format!("{name} has changed")),
            None => changed.push(format!("{name} is new")),
        }
    }
    changed.extend(committed.keys().map(|name| format!("{name} is gone")));
    assert!(
        changed.is_empty(),
        "{}\nif this is meant: cargo run -p crossread-teach --example pictures -- --hashes",
        changed.join("\n")
    );
}

#[test]
fn a_seed_gives_one_picture_and_another_seed_another() {
    let prefix = Prefix::new("p").unwrap();
    for scene in [
        Scene::Tube(tube(Mixture::of(Grade::G2))),
        Scene::Gel(gel(Column::of(Mixture::of(Grade::G2)))),
        Scene::Slide(slide(Grade::G2, 1)),
        Scene::Field(field(Mixture::of(Grade::G2))),
    ] {
        let draw = |seed, case| Picture::new(scene, Species::Dog, seed, case).unwrap().svg(&prefix);
        assert_eq!(draw(1, 1), draw(1, 1));
        let different: BTreeSet<String> = [(1, 1), (1, 2), (2, 1), (u64::MAX, u32::MAX), (0, 0)]
            .map(|(seed, case)| draw(seed, case))
            .into();
        assert_eq!(different.len(), 5);
    }
}

#[test]
fn a_prefix_changes_nothing_but_ids() {
    for (name, picture) in samples(9).into_iter().step_by(7) {
        let [one, other] = ["aa", "zq"].map(|prefix| picture.svg(&Prefix::new(prefix).unwrap()));
        let renamed = one.replace("\"aa-", "\"zq-").replace("#aa-", "#zq-").replace(" aa-", " zq-");
        assert_eq!(renamed, other, "{name}");
    }
}

#[test]
fn a_control_beside_it_leaves_the_test_as_it_was() {
    for (control, test) in [(Grade::G0, Grade::G2), (Grade::G3, Grade::W)] {
        let alone = tube(Mixture::of(test));
        let pair = Tube { control: Some(Mixture::of(control)), ..alone };
        let [alone, pair] = [alone, pair].map(|scene| picture(Scene::Tube(scene), 3).measure());
        assert_eq!(alone.test, pair.test);
        assert!(alone.control.is_none() && pair.control.is_some());
    }
}

// What is refused.

#[rstest]
#[case(Scene::Tube(tube(Mixture::of(Grade::G0).in_mixed_field())), CannotDraw::MixedField(Grade::G0))]
#[case(
    Scene::Gel(Gel {
        control: Some(Column::of(Mixture::of(Grade::Micro).in_mixed_field())),
        ..gel(Column::of(Mixture::of(Grade::G2)))
    }),
    CannotDraw::MixedField(Grade::Micro)
)]
#[case(Scene::Slide(Slide { mixed_field: true, ..slide(Grade::Rough, 0) }), CannotDraw::MixedField(Grade::Rough))]
#[case(
    Scene::Gel(gel(Column { fault: Some(Artefact::ShakenHard), ..Column::of(Mixture::of(Grade::G2)) })),
    CannotDraw::NoLook(Artefact::ShakenHard)
)]
fn what_has_no_look_is_refused(#[case] scene: Scene, #[case] refused: CannotDraw) {
    assert_eq!(Picture::new(scene, Species::Dog, 1, 1), Err(refused));
}

#[test]
fn cells_of_unknown_look_are_refused_and_everything_else_is_drawn() {
    let scene = Scene::Field(field(Mixture::of(Grade::G0)));
    for &species in Species::ALL {
        let known = [Species::Dog, Species::Cat, Species::Horse].contains(&species);
        let drawn = Picture::new(scene, species, 1, 1);
        assert_eq!(drawn.is_ok(), known, "{species}");
        let column = Scene::Gel(gel(Column::of(Mixture::of(Grade::G1))));
        assert!(Picture::new(column, species, 1, 1).is_ok(), "{species}");
    }
}

#[rstest]
#[case("p", true)]
#[case("Q7_a-b", true)]
#[case("", false)]
#[case("7a", false)]
#[case("a b", false)]
#[case("a\"", false)]
#[case("é", false)]
#[case("-a", false)]
fn a_prefix_is_what_an_id_may_begin_with(#[case] prefix: &str, #[case] good: bool) {
    assert_eq!(Prefix::new(prefix).is_some(), good);
}

#[test]
fn a_prefix_has_an_end() {
    assert!(Prefix::new(&"a".repeat(40)).is_some());
    assert!(Prefix::new(&"a".repeat(41)).is_none());
}

#[cfg(feature = "png")]
mod as_png {
    use std::collections::BTreeMap;

    use crossread_teach::picture::{CannotRender, Prefix, png, samples};
    use rstest::rstest;

    use super::{FORMS, SEED};

    /// Width and height as the file's header says them.
    #[expect(clippy::indexing_slicing, reason = "a file without a header may fail the test")]
    fn size(png: &[u8]) -> (u32, u32) {
        assert!(png.get(1..4).is_some_and(|name| name == b"PNG"));
        let number = |bytes: &[u8]| u32::from_be_bytes(bytes.try_into().unwrap());
        (number(&png[16..20]), number(&png[20..24]))
    }

    #[test]
    fn a_picture_keeps_its_shape() {
        let (_, picture) = samples(SEED).into_iter().next().unwrap();
        let svg = picture.svg(&Prefix::new("p").unwrap());
        assert_eq!(size(&png(&svg, 180).unwrap()), (180, 304));
        assert_eq!(size(&png(&svg, 360).unwrap()), (360, 608));
        assert_eq!(png(&svg, 180).unwrap(), png(&svg, 180).unwrap());
    }

    /// No two look the same, but for what moves where style is obeyed: here it is its stills.
    #[test]
    fn each_kind_has_a_look_of_its_own() {
        let mut seen = BTreeMap::new();
        for form in FORMS.iter().filter(|form| form.name.ends_with("-2+")) {
            let same = seen.insert(png(&form.svg, 120).unwrap(), form.name.clone());
            let moving = same.map(|name| name.replace("moving-", "stills-"));
            assert!(moving.is_none_or(|name| name == form.name), "{}", form.name);
        }
        assert!(seen.len() > 12);
    }

    #[rstest]
    #[case("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"1\" height=\"1\"/>", 0)]
    #[case("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"1\" height=\"1\"/>", 8193)]
    #[case("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"1\" height=\"100\"/>", 82)]
    fn sizes_out_of_bounds_are_refused(#[case] svg: &str, #[case] width: u32) {
        assert_eq!(png(svg, width), Err(CannotRender::Size(width)));
    }

    #[test]
    fn what_is_not_svg_is_refused() {
        assert!(matches!(png("<html/>", 10), Err(CannotRender::NotSvg(_))));
    }
}
