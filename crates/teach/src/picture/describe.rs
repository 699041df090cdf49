//! Words for a picture: what can be seen, and nothing that would give the reading away.
//!
//! Made from what was drawn, never from the grade, so that pictures that look alike are described
//! alike.

use crossread_core::words::{Artefact, Species};

use super::measure::{Bands, Cells, Drawn, Measure, Pieces};
use super::scene::{Moment, Scene};
use super::symbols::look;

/// A short name of the picture.
pub(super) fn title(scene: Scene) -> &'static str {
    match scene {
        Scene::Tube(tube) => match (tube.control.is_some(), tube.moment) {
            (false, Moment::Settled) => "Drawing of a tube after the spin",
            (false, Moment::Tilted) => "Drawing of a tube after tilting",
            (true, Moment::Settled) => "Drawing of two tubes after the spin",
            (true, Moment::Tilted) => "Drawing of two tubes after tilting",
        },
        Scene::Gel(gel) if gel.control.is_some() => "Drawing of two gel columns",
        Scene::Gel(_) => "Drawing of a gel column",
        Scene::Slide(_) => "Drawing of a drop on a slide",
        Scene::Field(_) => "Drawing of a microscope field",
    }
}

/// The picture in sentences.
pub(super) fn sentences(scene: Scene, species: Species, measure: Measure) -> String {
    let (faults, settled, rim) = match scene {
        Scene::Tube(tube) => ((None, None), tube.moment == Moment::Settled, false),
        Scene::Gel(gel) => {
            ((gel.test.fault, gel.control.and_then(|column| column.fault)), false, false)
        }
        Scene::Slide(slide) => ((None, None), false, slide.dried),
        Scene::Field(field) => ((None, None), false, field.dried),
    };
    let one = |drawn: Drawn, fault: Option<Artefact>| match drawn {
        Drawn::Tube(pieces) if settled => button(pieces),
        Drawn::Tube(pieces) => format!("{} {}", loose(pieces, "tube"), fluid(pieces)),
        Drawn::Gel(bands) => column(bands, fault),
        Drawn::Slide(pieces) => drop(pieces, rim),
        Drawn::Field(cells) => view(cells, species),
    };
    let test = one(measure.test, faults.0);
    let behind = match scene {
        Scene::Tube(_) => "A card with ruled lines stands behind the glass. ",
        Scene::Gel(_) | Scene::Slide(_) | Scene::Field(_) => "",
    };
    match measure.control {
        None => format!("{behind}{test}"),
        Some(control) => {
            format!(
                "{behind}Left, marked test: {test} Right, marked control: {}",
                one(control, faults.1)
            )
        }
    }
}

/// The button while it is tilted off.
pub(super) fn tilting(pieces: Pieces) -> String {
    format!(
        "A tube with a dark button at its bottom is rocked gently before a card with ruled lines \
         until nothing is left at the bottom. In the end: {} {}",
        loose(pieces, "tube"),
        fluid(pieces)
    )
}

/// The color of clear fluid.
fn color(red: u32, yellow: u32) -> String {
    let pink = match red {
        0..50 => None,
        50..250 => Some("faintly pink"),
        250..470 => Some("pink"),
        470..700 => Some("red"),
        _ => Some("deep red"),
    };
    let straw = match yellow {
        0..50 => None,
        50..250 => Some("light yellow"),
        250..450 => Some("yellow"),
        _ => Some("deep yellow"),
    };
    match (pink, straw) {
        (None, None) => "pale straw".to_owned(),
        (Some(one), None) | (None, Some(one)) => one.to_owned(),
        (Some(pink), Some(straw)) => format!("{straw} and {pink}"),
    }
}

fn percent(thousandths: u32) -> u32 {
    (thousandths + 5) / 10
}

/// A number as one would say it.
fn about(number: u32) -> String {
    match number {
        0..=20 => number.to_string(),
        _ => format!("about {}", (number + 5) / 10 * 10),
    }
}

/// A share of the cells in tenths.
fn tenths(thousandths: u32) -> String {
    match (thousandths + 50) / 100 {
        0 => "less than one tenth".to_owned(),
        1 => "one tenth".to_owned(),
        10 => "nearly all".to_owned(),
        tenths => format!("{tenths} tenths"),
    }
}

fn loose(pieces: Pieces, within: &str) -> String {
    match pieces.number {
        0 => "No separate piece can be seen in the fluid.".to_owned(),
        1 => format!(
            "There is 1 dark piece with an uneven edge, {} percent as wide as the {within}.",
            percent(pieces.width)
        ),
        number => format!(
            "There are {} dark pieces with uneven edges, the largest {} percent as wide as the \
             {within}.",
            about(number),
            percent(pieces.width).max(1)
        ),
    }
}

fn fluid(pieces: Pieces) -> String {
    let color = color(pieces.red, pieces.yellow);
    match pieces.hidden {
        0..60 => format!("The fluid is {color} and clear: every ruled line behind it shows."),
        60..380 => {
            format!("The fluid is {color} and a little cloudy: the ruled lines show through.")
        }
        380..720 => "The fluid is cloudy: the ruled lines show faintly.".to_owned(),
        720..930 => "The fluid is very cloudy: the ruled lines can hardly be made out.".to_owned(),
        _ => "The fluid is an even dark cloud: no ruled line can be made out.".to_owned(),
    }
}

fn button(pieces: Pieces) -> String {
    let color = color(pieces.red, pieces.yellow);
    let fluid = format!("The fluid is {color} and clear: every ruled line behind it shows.");
    if pieces.buttoned == 0 {
        return format!("There is no button at the bottom. {fluid}");
    }
    format!(
        "A dark button lies at the bottom, {} percent as deep as the tube is wide. {fluid}",
        percent(pieces.width)
    )
}

fn column(bands: Bands, fault: Option<Artefact>) -> String {
    let mut said = Vec::new();
    if bands.band >= 40 {
        said.push(format!(
            "A dark band with {} of the cells lies on top of the gel.",
            tenths(bands.band)
        ));
    }
    if bands.scattered > 0 {
        let where_to = match bands.scattered_depth {
            0..370 => "most of them in its upper part",
            370..620 => "all over its height",
            _ => "most of them in its lower part",
        };
        said.push(format!(
            "Dots with {} of the cells are held inside the gel, {where_to}.",
            tenths(bands.scattered)
        ));
    }
    if bands.pellet > 0 {
        let top = if bands.rough > 0 { "an uneven" } else { "a smooth" };
        said.push(format!(
            "Dark cells with {top} top, {} of them, lie at the very bottom.",
            tenths(bands.pellet.min(1000))
        ));
    } else {
        said.push("Nothing lies at the bottom.".to_owned());
    }
    said.extend(fault.and_then(flaw).map(ToOwned::to_owned));
    said.push(format!("The fluid above the gel is {}.", color(bands.red, bands.yellow)));
    said.join(" ")
}

/// What a flaw of a column looks like.
fn flaw(fault: Artefact) -> Option<&'static str> {
    match fault {
        Artefact::Bubble => Some(
            "A clear, shining round gap takes up the width of the column, with dark cells right above \
             it.",
        ),
        Artefact::DriedColumn => Some(
            "The gel has sunk below its place, has come off the wall on one side and has cracks with \
             cells in them; there is little fluid above it.",
        ),
        Artefact::InterruptedSpin => {
            Some("A fine haze of cells hangs in the gel from top to bottom.")
        }
        Artefact::Streak => Some(
            "A dark line of cells runs down one side of the column to the bottom, where the top of \
             the cells slants.",
        ),
        Artefact::Spread => Some("Cells are smeared along the gel from top to bottom, in trails."),
        Artefact::Fibrin => Some("Thin threads with cells on them lie across the top of the gel."),
        Artefact::Overloaded => Some(
            "The cells at the bottom stand more than twice as high as usual, and more hang in the \
             gel above.",
        ),
        Artefact::WrongOrder | Artefact::HardSpin | Artefact::ShakenHard => None,
    }
}

fn drop(pieces: Pieces, rim: bool) -> String {
    let cloud = match pieces.hidden {
        0..60 => "clear",
        60..380 => "a little cloudy",
        380..720 => "cloudy",
        720..930 => "very cloudy",
        _ => "an even dark cloud",
    };
    let edge = if rim {
        " The rim of the drop is brown, grainy and cracked, and a brown line around it shows where \
         it once reached."
    } else {
        ""
    };
    format!("{} The fluid is {cloud}.{edge}", loose(pieces, "drop"))
}

fn view(cells: Cells, species: Species) -> String {
    let (tenths, pallor) = look(species).unwrap_or((70, 2));
    let middle = if pallor == 2 { "clearly lighter" } else { "hardly lighter" };
    let mut said = vec![format!(
        "A round view with a scale bar of 20 µm. The cells are about {}.{} µm wide and {middle} in \
         the middle.",
        tenths / 10,
        tenths % 10
    )];
    said.push(match cells.single {
        0 => "No cell lies by itself.".to_owned(),
        1 => "1 cell lies by itself.".to_owned(),
        number => format!("{} cells lie by themselves.", about(number)).replace("about", "About"),
    });
    match cells.heaps {
        0 => {}
        1 => said
            .push(format!("1 irregular heap of {} overlapping cells.", about(cells.largest_heap))),
        number => said.push(format!(
            "{number} irregular heaps of overlapping cells, the largest of {} cells.",
            about(cells.largest_heap)
        )),
    }
    match cells.stacks {
        0 => {}
        1 => said.push(format!(
            "1 straight or bent row of {} cells on edge, face to face.",
            cells.longest_stack
        )),
        number => said.push(format!(
            "{number} straight or bent rows of cells on edge, face to face, the longest of {} cells.",
            cells.longest_stack
        )),
    }
    if cells.outlines > 0 {
        said.push(
            format!("{} empty outlines of cells.", about(cells.outlines)).replace("about", "About"),
        );
    }
    if cells.crowded > 0 {
        said.push(
            "The fluid ends at a dark curved line; before it shrunken cells with notched rims lie \
             crowded, beyond it there are only lines and needles."
                .to_owned(),
        );
    }
    said.join(" ")
}
