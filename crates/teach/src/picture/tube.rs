//! Cells in a tube: the button after the spin, or what has become of it by tilting.

use crossread_core::words::Grade;

use super::canvas::Canvas;
use super::clumps::{Clump, divide, draw, pack};
use super::glass::{back, empty, fluid, front, inside, lines, meniscus, shading, veil};
use super::measure::{Pieces, number};
use super::paint::{CELL, CELL_DARK, CELL_LIT, SHADE, cloud};
use super::plane::{Px, at, root};
use super::scene::{Mixture, Moment, Plasma};
use crate::chance::Chance;

// A tube stands around x = 0 with its rim at y = 0; all in hundredths of a pixel.
/// Inner radius of the tube and of its round bottom.
pub(super) const BORE: i64 = 5200;
/// Surface of the fluid.
pub(super) const SURFACE: i64 = 6800;
/// Center of the round bottom.
pub(super) const ROUND: i64 = 19400;
/// Lowest point inside.
pub(super) const BOTTOM: i64 = ROUND + BORE;
/// What all cells cover when they are packed into pieces, in square pixels.
const CELLS: i64 = 2700;
/// The same as a button, which is seen from its narrow side.
const BUTTON: i64 = 1750;

/// One tube around `x`, rim at `y`, in pixels of the picture. Gives what was drawn.
pub(super) fn tube(
    canvas: &mut Canvas,
    chance: &mut Chance,
    (x, y): (i64, i64),
    mixture: Mixture,
    plasma: Plasma,
    moment: Moment,
) -> Pieces {
    canvas.add(&format!("<g transform=\"translate({x} {y})\">"));
    let clip = inside(canvas);
    if canvas.is_full() {
        back(canvas);
    }
    canvas.add(&format!("<g clip-path=\"url(#{clip})\">"));
    empty(canvas);
    fluid(canvas, mixture, plasma);
    lines(canvas, y);
    let pieces = match moment {
        Moment::Settled => {
            button(canvas, chance, mixture.left());
            let deep = depth(mixture.left()) * 1000 / (2 * BORE);
            let (buttoned, width) = (number(mixture.left()), number(deep));
            Pieces { width, buttoned, ..Pieces::default() }
        }
        Moment::Tilted => tilted(canvas, chance, mixture),
    };
    shading(canvas);
    meniscus(canvas);
    canvas.add("</g>");
    front(canvas);
    canvas.add("</g>");
    pieces.colored(mixture, plasma)
}

/// Depth of a button that holds a share of the cells, in hundredths of a pixel: the cap of a disc
/// with the bottom's radius, whose area is near 4/3 · depth · √(2 · radius · depth).
pub(super) fn depth(share: i64) -> i64 {
    let wanted = BUTTON * share / 1000 * 10_000;
    let mut depth = 0;
    while depth < 4000 && 4 * depth * root(2 * BORE * depth) / 3 < wanted {
        depth += 20;
    }
    depth
}

/// The button below; `left` is the share of cells that it holds.
pub(super) fn button(canvas: &mut Canvas, chance: &mut Chance, left: i64) {
    let depth = depth(left);
    if depth == 0 {
        return;
    }
    let top = BOTTOM - depth;
    let half = root((BORE * BORE) - (BORE - depth) * (BORE - depth)) - 60;
    let below = canvas
        .radial((420, 100), &[(0, CELL, 1000), (650, CELL_DARK, 1000), (1000, "#3b0c0f", 1000)]);
    let face = canvas.radial((380, 300), &[(0, CELL_LIT, 1000), (1000, CELL, 1000)]);
    let tilt = half / 7;
    canvas.add(&format!(
        "<path d=\"M-{0} {1}A52 52 0 0 0 {0} {1}Q0 {2} -{0} {1}Z\" fill=\"url(#{below})\" \
         stroke=\"{CELL}\" stroke-width=\"1.4\" stroke-opacity=\".5\"/>\
         <ellipse cy=\"{1}\" rx=\"{3}\" ry=\"{4}\" fill=\"url(#{face})\"/>\
         <ellipse cy=\"{5}\" rx=\"{6}\" ry=\"{7}\" fill=\"{CELL_DARK}\" opacity=\".35\"/>",
        Px(half),
        Px(top),
        Px(top + tilt),
        Px(half - 40),
        Px(tilt),
        Px(top + tilt / 5),
        Px(half * 6 / 10),
        Px(tilt / 2),
    ));
    let mut grain = String::new();
    for _ in 0..half / 160 {
        let x = chance.range(-half * 8 / 10, half * 8 / 10);
        let y = top + chance.range(-tilt / 2, tilt / 2);
        grain += &format!("M{} {}h0", Px(x), Px(y));
    }
    canvas.add(&format!(
        "<path d=\"{grain}\" stroke=\"#d98a78\" stroke-width=\".9\" stroke-linecap=\"round\" \
         opacity=\".45\"/>"
    ));
}

/// Where clumps come to rest after gentle tilting: large ones low, small ones everywhere.
pub(super) fn places(chance: &mut Chance, radii: &[i64], grade: Grade) -> Vec<Clump> {
    let (highest, low, high) = match grade {
        Grade::G4 => (ROUND + 900, 1, 1),
        Grade::G3s => (ROUND - 3200, 2, 1),
        Grade::G3 => (ROUND - 5200, 2, 1),
        Grade::G2s => (SURFACE + 3200, 2, 1),
        Grade::G2 => (SURFACE + 2200, 3, 2),
        Grade::G0
        | Grade::Rough
        | Grade::Micro
        | Grade::W
        | Grade::G1w
        | Grade::G1
        | Grade::G1s
        | Grade::G2w => (SURFACE + 900, 1, 1),
    };
    pack(chance, radii, |chance, radius| {
        let y = highest + (BOTTOM - 200 - highest) * chance.share(low, high) / 65_535;
        let center = at(chance.range(-BORE, BORE), y);
        let reach = BORE - radius * 19 / 20 - 150;
        let within = if y < ROUND {
            center.x.abs() <= reach && y - radius >= SURFACE + 250
        } else {
            center.nearer(at(0, ROUND), reach.max(0))
        };
        within.then_some(center)
    })
}

/// What tilting makes of a button.
#[derive(Debug)]
pub(super) struct Loosened {
    /// Clumps seen through some of the cloud.
    pub(super) far: Vec<Clump>,
    /// Clumps in front, largest first.
    pub(super) near: Vec<Clump>,
    /// The part of what lies behind that free cells hide, in thousandths.
    pub(super) hidden: i64,
    pub(super) pieces: Pieces,
}

/// Divides the button of a mixture and puts the pieces in their places.
pub(super) fn loosen(chance: &mut Chance, mixture: Mixture) -> Loosened {
    let Mixture { grade, mixed_field, .. } = mixture;
    let parts = divide(chance, grade, mixed_field, mixture.left(), CELLS, 1000);
    let placed = places(chance, &parts.radii, grade);
    let pieces = Pieces::new(&placed, parts.free, CELLS, 2 * BORE);
    let (far, near) =
        placed.iter().partition(|clump| clump.radius < 900 && clump.center.x.rem_euclid(7) < 3);
    Loosened { far, near, hidden: cloud(parts.free), pieces }
}

/// What tilting has made of the button.
fn tilted(canvas: &mut Canvas, chance: &mut Chance, mixture: Mixture) -> Pieces {
    let loosened = loosen(chance, mixture);
    // Two veils of cloud, one behind the nearer clumps and one before the farther ones.
    let before = loosened.hidden * 420 / 1000;
    let behind = (loosened.hidden - before) * 1000 / (1000 - before).max(1);
    veil(canvas, behind);
    if !loosened.far.is_empty() {
        canvas.add("<g opacity=\".72\">");
        draw(canvas, chance, &loosened.far, 900);
        canvas.add("</g>");
    }
    veil(canvas, before);
    rest(canvas, &loosened.near);
    draw(canvas, chance, &loosened.near, squash(mixture.grade));
    loosened.pieces
}

/// How flat pieces lie, in thousandths: a whole button stays a disc.
pub(super) fn squash(grade: Grade) -> i64 {
    if grade == Grade::G4 { 820 } else { 920 }
}

/// The shadow that large pieces cast on the glass below.
pub(super) fn rest(canvas: &mut Canvas, clumps: &[Clump]) {
    for clump in clumps.iter().filter(|clump| clump.radius >= 700) {
        canvas.add(&format!(
            "<ellipse cx=\"{}\" cy=\"{}\" rx=\"{}\" ry=\"{}\" fill=\"{SHADE}\" opacity=\".13\"/>",
            Px(clump.center.x + clump.radius / 6),
            Px(clump.center.y + clump.radius / 3),
            Px(clump.radius * 11 / 10),
            Px(clump.radius * 9 / 10),
        ));
    }
}
