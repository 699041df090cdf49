//! One picture of everything that can be shown, for checks and for people who look them through.

use crossread_core::document::Whole;
use crossread_core::words::{Artefact, Grade, Hemolysis, Species};

use super::scene::{
    Column, Field, Gel, Icterus, Mixture, Moment, Plasma, Scene, Slide, Stacks, Tube,
};
use super::{Picture, flaws};

/// One picture of everything that can be shown, each with its name.
///
/// ```
/// # use crossread_teach::picture::samples;
/// let all = samples(42);
/// assert!(all.iter().any(|(name, _)| name == "tube-2+"));
/// let (_, tube) = &all[0];
/// assert!(tube.description().starts_with("Drawing of"));
/// ```
pub fn samples(seed: u64) -> Vec<(String, Picture)> {
    let mut list = Vec::new();
    tubes(&mut list);
    columns(&mut list);
    slides(&mut list);
    fields(&mut list);
    (0..)
        .zip(list)
        .filter_map(|(case, (name, scene, species))| {
            Some((name, Picture::new(scene, species, seed, case).ok()?))
        })
        .collect()
}

type List = Vec<(String, Scene, Species)>;

/// Grades 1 to 4 of lysis.
fn lysis() -> impl Iterator<Item = Hemolysis> {
    (1..=4).filter_map(Whole::new)
}

fn tubes(list: &mut List) {
    let mut add = |name: String, scene: Tube| list.push((name, Scene::Tube(scene), Species::Dog));
    let tube = |test| Tube { test, control: None, plasma: Plasma::pale(), moment: Moment::Tilted };
    for &grade in Grade::ALL {
        add(format!("tube-{grade}"), tube(Mixture::of(grade)));
    }
    for grade in [Grade::G2, Grade::G3, Grade::G4] {
        add(format!("tube-mixed-field-{grade}"), tube(Mixture::of(grade).in_mixed_field()));
    }
    let settled = Tube { moment: Moment::Settled, ..tube(Mixture::of(Grade::G0)) };
    add("tube-settled".to_owned(), settled);
    for level in lysis() {
        let test = Mixture::of(Grade::G0).lysed(level);
        add(format!("tube-settled-hemolysis-{level}"), Tube { test, ..settled });
        add(format!("tube-2+-hemolysis-{level}"), tube(Mixture::of(Grade::G2).lysed(level)));
        let plasma = Plasma { hemolysis: level, ..Plasma::pale() };
        let control = Some(Mixture::of(Grade::G0));
        let pair = Tube { control, plasma, ..settled };
        add(format!("tube-settled-sample-hemolysis-{level}"), pair);
    }
    for icterus in (1..=3).filter_map(Icterus::new) {
        let plasma = Plasma { icterus, ..Plasma::pale() };
        add(format!("tube-settled-icterus-{icterus}"), Tube { plasma, ..settled });
    }
    for (name, test, control) in
        [("tube-3+-control-0", Grade::G3, Grade::G0), ("tube-2+-control-2+", Grade::G2, Grade::G2)]
    {
        let pair = Tube { control: Some(Mixture::of(control)), ..tube(Mixture::of(test)) };
        add(name.to_owned(), pair);
    }
}

fn columns(list: &mut List) {
    let mut add = |name: String, scene: Gel| list.push((name, Scene::Gel(scene), Species::Dog));
    let gel = |test| Gel { test, control: None, plasma: Plasma::pale() };
    for &grade in Grade::ALL {
        add(format!("gel-{grade}"), gel(Column::of(Mixture::of(grade))));
    }
    for grade in [Grade::G2, Grade::G3, Grade::G4] {
        let mixture = Mixture::of(grade).in_mixed_field();
        add(format!("gel-mixed-field-{grade}"), gel(Column::of(mixture)));
    }
    let none = Column::of(Mixture::of(Grade::G0));
    for level in lysis() {
        let column = Column::of(Mixture::of(Grade::G0).lysed(level));
        add(format!("gel-hemolysis-{level}"), gel(column));
        add(format!("gel-hemolysis-{level}-control-0"), Gel { control: Some(none), ..gel(column) });
    }
    for &fault in Artefact::ALL.iter().filter(|fault| flaws::has_a_look(**fault)) {
        let column = Column { fault: Some(fault), ..none };
        add(format!("gel-{fault}"), gel(column));
    }
    let reacting = Column::of(Mixture::of(Grade::G2));
    let spread = Column { fault: Some(Artefact::Spread), ..none };
    for (name, test, control) in [
        ("gel-2+-control-0", reacting, none),
        ("gel-2+-control-2+", reacting, reacting),
        ("gel-spread-control-spread", spread, spread),
    ] {
        add(name.to_owned(), Gel { control: Some(control), ..gel(test) });
    }
}

fn slides(list: &mut List) {
    let mut add = |name: String, grade, mixed_field, parts, dried| {
        // Every number of parts here is under 100.
        if let Some(saline_parts) = Whole::new(parts) {
            let scene = Slide { grade, mixed_field, saline_parts, dried };
            list.push((name, Scene::Slide(scene), Species::Dog));
        }
    };
    for parts in [0, 1, 49] {
        for &grade in Grade::ALL {
            let name = match parts {
                0 => format!("slide-{grade}"),
                parts => format!("slide-{grade}-saline-{parts}"),
            };
            add(name, grade, false, parts, false);
        }
    }
    for grade in [Grade::G2, Grade::G3] {
        add(format!("slide-mixed-field-{grade}"), grade, true, 1, false);
    }
    add("slide-0-dried".to_owned(), Grade::G0, false, 1, true);
    add("slide-2+-dried".to_owned(), Grade::G2, false, 1, true);
}

fn fields(list: &mut List) {
    let mut add = |name: String, species: Species, scene: Field| {
        list.push((name, Scene::Field(scene), species));
    };
    let field =
        |mixture| Field { mixture, stacks: Stacks::None, saline_replaced: false, dried: false };
    for species in [Species::Dog, Species::Cat, Species::Horse] {
        for &grade in Grade::ALL {
            add(format!("field-{species}-{grade}"), species, field(Mixture::of(grade)));
        }
        for (grade, stacks) in [
            (Grade::G0, Stacks::Few),
            (Grade::G0, Stacks::Many),
            (Grade::W, Stacks::Many),
            (Grade::G1, Stacks::Many),
        ] {
            let amount = if stacks == Stacks::Few { "few" } else { "many" };
            let before = Field { stacks, ..field(Mixture::of(grade)) };
            add(format!("field-{species}-{grade}-{amount}-stacks"), species, before);
            let after = Field { saline_replaced: true, ..before };
            add(format!("field-{species}-{grade}-{amount}-stacks-replaced"), species, after);
        }
    }
    let dog = Species::Dog;
    for grade in [Grade::G2, Grade::G4] {
        let mixture = Mixture::of(grade).in_mixed_field();
        add(format!("field-dog-mixed-field-{grade}"), dog, field(mixture));
    }
    for level in lysis() {
        let mixture = Mixture::of(Grade::G0).lysed(level);
        add(format!("field-dog-hemolysis-{level}"), dog, field(mixture));
    }
    let dried = Field { dried: true, ..field(Mixture::of(Grade::G0)) };
    add("field-dog-dried".to_owned(), dog, dried);
}
