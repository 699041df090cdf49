//! A small drawing of each grade: in a tube, a gel column, on a slide, and under the microscope.

use crossread_core::document::Whole;
use crossread_core::words::{Grade, Method, Species};
use crossread_teach::picture::{
    Column, Field, Gel, Mixture, Moment, Picture, Plasma, Prefix, Scene, Slide, Stacks, Tube,
};
use maud::{Markup, html};

use crate::address;
use crate::answer::{Answer, Problem};

/// What is looked through: the eye sees one of the methods, the microscope cells.
const MICROSCOPE: &str = "microscope";

/// The seed of the drawings: any would do.
const SEED: u64 = 42;

/// The drawing of an address: `tube`, `gel`, `slide` or `microscope`, and a grade.
pub(crate) fn file(how: &str, grade: &str) -> Result<Answer, Problem> {
    let grade = Grade::ALL.iter().copied().find(|one| one.word() == grade);
    let grade = grade.ok_or(Problem::NoPage)?;
    let scene = if how == MICROSCOPE {
        seen_in_field(grade)
    } else {
        let method = Method::ALL.iter().copied().find(|method| method.word() == how);
        seen_by_eye(method.ok_or(Problem::NoPage)?, grade).ok_or(Problem::NoPage)?
    };
    let picture = Picture::new(scene, Species::Dog, SEED, 0);
    let (Ok(picture), Some(prefix)) = (picture, Prefix::new("d")) else {
        return Err(Problem::NoPage);
    };
    Ok(Answer::Drawing(picture.icon(&prefix)))
}

fn seen_by_eye(method: Method, grade: Grade) -> Option<Scene> {
    let (test, plasma) = (Mixture::of(grade), Plasma::pale());
    Some(match method {
        Method::Tube => Scene::Tube(Tube { test, control: None, plasma, moment: Moment::Tilted }),
        Method::Gel => Scene::Gel(Gel { test: Column::of(test), control: None, plasma }),
        Method::Slide => Scene::Slide(Slide {
            grade,
            mixed_field: false,
            saline_parts: Whole::new(0)?,
            dried: false,
        }),
    })
}

fn seen_in_field(grade: Grade) -> Scene {
    let (mixture, stacks) = (Mixture::of(grade), Stacks::None);
    Scene::Field(Field { mixture, stacks, saline_replaced: false, dried: false })
}

/// The drawing of a grade as it looks by a method; under the microscope if the eye sees nothing.
/// What it shows stands in words beside it.
pub(crate) fn beside(method: Method, grade: Grade) -> Markup {
    let how = match grade {
        Grade::Rough | Grade::Micro => MICROSCOPE,
        Grade::G0
        | Grade::W
        | Grade::G1w
        | Grade::G1
        | Grade::G1s
        | Grade::G2w
        | Grade::G2
        | Grade::G2s
        | Grade::G3
        | Grade::G3s
        | Grade::G4 => method.word(),
    };
    drawing(how, grade)
}

/// All drawings of a grade: by eye in each method, and under the microscope.
pub(crate) fn all(grade: Grade) -> Markup {
    let methods = Method::ALL.iter().map(|method| method.word());
    html! {
        @for how in methods.chain([MICROSCOPE]) { td { (drawing(how, grade)) } }
    }
}

/// The headings over [`all`].
pub(crate) fn heads() -> Markup {
    let methods = Method::ALL.iter().map(|method| method.word());
    html! {
        @for how in methods.chain([MICROSCOPE]) { th scope="col" { (how) ", drawn" } }
    }
}

fn drawing(how: &str, grade: Grade) -> Markup {
    html! {
        img.drawn src=(address::of(["drawings", how, grade.word()])) alt={ "Drawing, " (how) }
            loading="lazy";
    }
}
