//! Clumps as the eye sees them in a tube or on a slide: how many, how large, how they look.

use crossread_core::words::Grade;

use super::canvas::Canvas;
use super::paint::{CELL, CELL_DARK, CELL_LIT};
use super::plane::{ONE, Point, Px, at, root, soft, unit};
use crate::chance::Chance;

/// How a grade divides the cells: number of clumps, their share of all cells in thousandths, and
/// how much their radii differ in thousandths.
///
/// # Source
/// The words of [`Grade`]'s levels. The numbers are choices: the cells are the same in every grade,
/// so fewer clumps are larger ones, and what is not in clumps clouds the fluid.
fn law(grade: Grade) -> ((i64, i64), i64, i64) {
    match grade {
        Grade::G0 | Grade::Rough | Grade::Micro => ((0, 0), 0, 0),
        Grade::W => ((300, 340), 240, 280),
        Grade::G1w => ((205, 235), 430, 300),
        Grade::G1 => ((130, 155), 600, 340),
        Grade::G1s => ((80, 95), 700, 420),
        Grade::G2w => ((48, 56), 790, 520),
        Grade::G2 => ((24, 30), 880, 520),
        Grade::G2s => ((13, 16), 945, 420),
        Grade::G3 => ((6, 8), 985, 260),
        Grade::G3s => ((3, 3), 995, 220),
        Grade::G4 => ((1, 1), 1000, 0),
    }
}

/// All cells of a mixture, divided.
#[derive(Debug)]
pub(super) struct Parts {
    /// Radii of the clumps, in hundredths of a pixel, largest first.
    pub(super) radii: Vec<i64>,
    /// Free cells, in thousandths of the cells before any of them lysed.
    pub(super) free: i64,
}

/// Divides the cells. `left` is what lysis has left of them, in thousandths; `area` what all of
/// them cover when packed, in square pixels; `thinned` the share of clumps to be kept.
pub(super) fn divide(
    chance: &mut Chance,
    grade: Grade,
    mixed_field: bool,
    left: i64,
    area: i64,
    thinned: i64,
) -> Parts {
    let ((fewest, most), share, spread) = law(grade);
    // A mixed field is two kinds of cells: one half reacts with its grade, the other not at all.
    let (reacting, fewest, most) =
        if mixed_field { (500, (fewest + 1) / 2, (most + 1) / 2) } else { (1000, fewest, most) };
    // Clumps fall to pieces as their cells lyse, but never grow.
    let share = if mixed_field { share.max(960) } else { share };
    let all = chance.range(fewest, most);
    let number = (all * thinned / 1000).max(all.min(2));
    let clumped = reacting * share / 1000;
    let weights: Vec<i64> = (0..number)
        .map(|_| {
            let size = (1000 + spread * chance.noise() / 1000).max(300);
            size * size
        })
        .collect();
    // The area of the clumps that are kept, but no more than the thinned cells have.
    let whole = area * 10_000 * clumped / 1000 * left / 1000;
    let kept = if all == 0 { 0 } else { (whole * number / all).min(whole * thinned / 1000) };
    let sum = weights.iter().sum::<i64>().max(1);
    // radius² = area / π, with π as 22/7
    let mut radii: Vec<i64> =
        weights.iter().map(|weight| root(kept * (weight * 1000 / sum) / 1000 * 7 / 22)).collect();
    radii.sort_unstable_by(|a, b| b.cmp(a));
    Parts { radii, free: (1000 - clumped) * left / 1000 * thinned / 1000 }
}

/// A clump in its place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Clump {
    pub(super) center: Point,
    pub(super) radius: i64,
}

/// Puts clumps side by side, largest first. `place` proposes a center for a radius, or nothing if
/// it would lie outside. A clump without room is made smaller, and never left out.
pub(super) fn pack(
    chance: &mut Chance,
    radii: &[i64],
    mut place: impl FnMut(&mut Chance, i64) -> Option<Point>,
) -> Vec<Clump> {
    let mut placed: Vec<Clump> = Vec::new();
    for &wanted in radii {
        let mut radius = wanted;
        'smaller: for _ in 0..6 {
            for _ in 0..90 {
                let Some(center) = place(chance, radius) else { continue };
                let room = |other: &Clump| {
                    !center.nearer(other.center, radius + other.radius + radius / 8 + 30)
                };
                if placed.iter().all(room) {
                    placed.push(Clump { center, radius });
                    break 'smaller;
                }
            }
            radius = radius * 9 / 10;
        }
    }
    placed
}

/// A torn outline: longer one way than the other, a few lobes, and grain on them.
fn outline(chance: &mut Chance, clump: Clump, squash: i64) -> Vec<Point> {
    let corners = (9 + clump.radius / 70).min(52);
    let lobes: Vec<(i64, i64, i64)> = [(2, 170), (3, 150), (4, 110), (5, 90), (7, 60)]
        .iter()
        .map(|&(times, size)| (times, size * chance.noise() / 700, chance.direction()))
        .collect();
    let grain = if clump.radius < 300 { 260 } else { 190 };
    (0..corners)
        .map(|corner| {
            let direction = corner * 1024 / corners;
            let swelling: i64 = lobes
                .iter()
                .map(|(times, size, turn)| size * unit(direction * times + turn).0 / ONE)
                .sum();
            let scale = (1000 + swelling + grain * chance.noise() / 1000).clamp(520, 1480);
            let radius = clump.radius * scale / 1000;
            let along = unit(direction);
            at(
                clump.center.x + radius * along.0 / ONE,
                clump.center.y + radius * along.1 / ONE * squash / 1000,
            )
        })
        .collect()
}

fn around(points: &[Point], center: Point, scale: i64, shift: Point) -> Vec<Point> {
    points
        .iter()
        .map(|point| {
            at(
                center.x + (point.x - center.x) * scale / 1000 + shift.x,
                center.y + (point.y - center.y) * scale / 1000 + shift.y,
            )
        })
        .collect()
}

/// Draws clumps of one layer. Light falls from the upper left.
pub(super) fn draw(canvas: &mut Canvas, chance: &mut Chance, clumps: &[Clump], squash: i64) {
    // Dots of like size share one line, which keeps the picture small.
    let mut dots: [String; 12] = Default::default();
    let (dot, piece) = if canvas.is_full() { (150, 420) } else { (300, i64::MAX) };
    let mut pieces = String::new();
    let mut large: Vec<(Clump, Vec<Point>)> = Vec::new();
    for &clump in clumps {
        if clump.radius < dot {
            let kind = usize::try_from(clump.radius / 25).unwrap_or(0);
            if let Some(dots) = dots.get_mut(kind) {
                *dots += &format!("M{} {}h0", Px(clump.center.x), Px(clump.center.y));
            }
        } else {
            let points = outline(chance, clump, squash);
            if clump.radius < piece {
                pieces += &format!("<path d=\"{}\"/>", soft(&points));
            } else {
                large.push((clump, points));
            }
        }
    }
    for (kind, dots) in (0_i64..).zip(&dots) {
        if !dots.is_empty() {
            canvas.add(&format!(
                "<path d=\"{dots}\" stroke=\"{CELL}\" stroke-width=\"{}\" stroke-linecap=\"round\"/>",
                Px((kind * 25 + 18) * 2)
            ));
        }
    }
    if pieces.is_empty() && large.is_empty() {
        return;
    }
    let body = canvas
        .radial((340, 300), &[(0, "#a63f36", 1000), (420, CELL, 1000), (1000, "#6a1a1c", 1000)]);
    if !pieces.is_empty() {
        canvas.add(&format!(
            "<g fill=\"url(#{body})\" stroke=\"{CELL}\" stroke-opacity=\".35\">{pieces}</g>"
        ));
    }
    let mut surface = Surface::default();
    for (clump, points) in large {
        surface.cover(chance, clump, &points, squash);
    }
    surface.draw(canvas, &body);
}

/// The surface of pieces large enough to show one: a loose hem of cells, a lit side, grain and
/// creases. What is alike in all pieces is drawn together, which keeps the picture small.
#[derive(Debug, Default)]
struct Surface {
    bodies: String,
    lit: String,
    dark: String,
    light: String,
    loose: String,
    creases: String,
}

impl Surface {
    fn cover(&mut self, chance: &mut Chance, clump: Clump, points: &[Point], squash: i64) {
        let Clump { center, radius } = clump;
        let spot = |turn: i64, distance: i64| {
            let (cosine, sine) = unit(turn);
            at(center.x + distance * cosine / ONE, center.y + distance * sine / ONE * squash / 1000)
        };
        let inside = |chance: &mut Chance, reach: i64| {
            let distance = root(chance.range(0, 1_000_000)) * radius / 1000 * reach / 1000;
            spot(chance.direction(), distance)
        };
        let hem = Px((radius / 6).clamp(120, 260));
        self.bodies += &format!("<path d=\"{}\" stroke-width=\"{hem}\"/>", soft(points));
        if radius >= 560 {
            let lit = around(points, center, 660, at(-radius / 8, -radius / 7));
            self.lit += &soft(&lit);
        }
        for _ in 0..(radius / 24).min(90) {
            let grain = inside(chance, 900);
            let to_light = grain.x + grain.y < center.x + center.y;
            let light = chance.happens(if to_light { 600_000 } else { 250_000 });
            let dots = if light { &mut self.light } else { &mut self.dark };
            *dots += &format!("M{} {}h0", Px(grain.x), Px(grain.y));
        }
        // Cells that are about to come off.
        for _ in 0..(radius / 80).min(22) {
            let cell = spot(chance.direction(), radius * chance.range(980, 1230) / 1000);
            self.loose += &format!("M{} {}h0", Px(cell.x), Px(cell.y));
        }
        for _ in 0..(radius / 420).min(6) {
            let (start, turn) = (inside(chance, 600), chance.direction());
            let bent = start.towards(turn, radius / 4);
            let end = bent.towards(turn + chance.range(-130, 130), radius / 4);
            self.creases += &format!(
                "M{} {}Q{} {} {} {}",
                Px(start.x),
                Px(start.y),
                Px(bent.x),
                Px(bent.y),
                Px(end.x),
                Px(end.y)
            );
        }
    }

    fn draw(&self, canvas: &mut Canvas, body: &str) {
        let Self { bodies, lit, dark, light, loose, creases } = self;
        if bodies.is_empty() {
            return;
        }
        canvas.add(&format!(
            "<g fill=\"url(#{body})\" stroke=\"{CELL}\" stroke-opacity=\".3\">{bodies}</g>\
             <path d=\"{lit}\" fill=\"{CELL_LIT}\" opacity=\".2\"/>\
             <g stroke-linecap=\"round\" fill=\"none\"><path d=\"{dark}\" stroke=\"{CELL_DARK}\" \
             opacity=\".6\"/><path d=\"{light}\" stroke=\"#d98a78\" opacity=\".42\"/>\
             <path d=\"{loose}\" stroke=\"{CELL}\" stroke-width=\".9\" opacity=\".7\"/>\
             <path d=\"{creases}\" stroke=\"{CELL_DARK}\" stroke-width=\"1.1\" opacity=\".55\"/></g>"
        ));
    }
}
