//! A microscope field: an unstained wet mount, drawn to scale.

use crossread_core::words::Species;

use super::canvas::Canvas;
use super::groups::{Cell, Pose, heap, single, stack};
use super::lettering;
use super::measure::{Cells, number};
use super::paint::SHADE;
use super::plan::plan;
use super::plane::{Point, Px, at};
use super::scene::Field;
use super::shore::{edge, shore};
use super::symbols::{SCALE, draw, look, put, symbols};
use crate::chance::Chance;

/// Size of the picture, in pixels.
pub(super) const SIZE: (i64, i64) = (400, 400);
/// Radius of the field, in hundredths of a pixel.
const RADIUS: i64 = 19_200;
/// Middle of the picture.
const MIDDLE: i64 = 20_000;

/// The whole picture without its words. Gives what was drawn.
pub(super) fn field(
    canvas: &mut Canvas,
    chance: &mut Chance,
    scene: Field,
    species: Species,
) -> Cells {
    let (tenths, pallor) = look(species).unwrap_or((70, 2));
    let diameter = tenths * SCALE / 10;
    let plan = plan(chance, scene, diameter);
    let mut placed: Vec<Vec<Cell>> = Vec::new();
    // Largest first; a group without room breaks in two.
    let mut groups: Vec<(usize, bool)> = plan.stacks.iter().map(|&size| (size, true)).collect();
    groups.extend(plan.heaps.iter().map(|&size| (size, false)));
    groups.sort_unstable();
    let mut single_cells = plan.single;
    while let Some((size, stacked)) = groups.pop() {
        let make = |chance: &mut Chance| {
            if stacked { stack(chance, size, diameter) } else { heap(chance, size, diameter) }
        };
        let least = if stacked { 4 } else { 3 };
        if place(chance, &mut placed, make, diameter, size) {
            continue;
        }
        if size / 2 >= least {
            groups.extend([(size / 2, stacked), (size - size / 2, stacked)]);
            groups.sort_unstable();
        } else {
            single_cells += size;
        }
    }
    for _ in 0..single_cells {
        place(chance, &mut placed, |chance| vec![single(chance)], diameter, 1);
    }
    symbols(canvas, diameter, pallor);
    ground(canvas);
    let clip = canvas.fresh();
    canvas.define(&format!(
        "<clipPath id=\"{clip}\"><circle cx=\"200\" cy=\"200\" r=\"192\"/></clipPath>"
    ));
    canvas.add(&format!("<g clip-path=\"url(#{clip})\">"));
    motes(canvas, chance);
    for _ in 0..plan.ghosts {
        let spot = somewhere(chance, RADIUS);
        put(canvas, "g", Cell { center: spot, turn: 0, pose: Pose::Face });
    }
    let mut crowded = 0;
    if scene.dried {
        placed.retain(|group| {
            group.iter().all(|cell| cell.center.x < shore(cell.center.y) - diameter)
        });
        crowded = edge(canvas, chance, diameter);
    }
    for group in &placed {
        for &cell in group {
            draw(canvas, cell);
        }
    }
    canvas.add("</g>");
    lens(canvas);
    if canvas.is_full() {
        scale_bar(canvas);
    }
    Cells { outlines: number(plan.ghosts), crowded, ..counted(&placed) }
}

impl Cells {
    fn count(&mut self, size: usize, stacked: bool) {
        let size = u32::try_from(size).unwrap_or(u32::MAX);
        if stacked {
            self.stacks += 1;
            self.in_stacks += size;
            self.longest_stack = self.longest_stack.max(size);
        } else {
            self.heaps += 1;
            self.in_heaps += size;
            self.largest_heap = self.largest_heap.max(size);
        }
    }
}

/// What has been placed.
fn counted(placed: &[Vec<Cell>]) -> Cells {
    let mut cells = Cells::default();
    for group in placed {
        let on_top =
            group.iter().filter(|cell| cell.pose != Pose::Under && cell.pose != Pose::Over).count();
        if on_top == 1 {
            cells.single += 1;
        } else {
            cells.count(on_top, group.iter().any(|cell| cell.pose == Pose::Edge));
        }
    }
    cells
}

fn somewhere(chance: &mut Chance, reach: i64) -> Point {
    loop {
        let spot = at(chance.range(-reach, reach), chance.range(-reach, reach));
        if spot.nearer(at(0, 0), reach + 1) {
            return at(MIDDLE + spot.x, MIDDLE + spot.y);
        }
    }
}

/// Finds room for a group; large ones stay in the middle. False if there is none.
fn place(
    chance: &mut Chance,
    placed: &mut Vec<Vec<Cell>>,
    make: impl Fn(&mut Chance) -> Vec<Cell>,
    diameter: i64,
    size: usize,
) -> bool {
    let reach = match size {
        0..=1 => RADIUS + diameter / 3,
        2..=12 => RADIUS - diameter / 2,
        13..=60 => RADIUS * 4 / 5,
        61..=150 => RADIUS * 7 / 10,
        _ => RADIUS / 8,
    };
    for _ in 0..6 {
        let shape = make(chance);
        for _ in 0..70 {
            let spot = somewhere(chance, reach);
            let free = shape.iter().all(|cell| {
                let center = cell.center.plus(spot);
                placed
                    .iter()
                    .flatten()
                    .all(|other| !other.center.nearer(center, diameter * 104 / 100))
            });
            if free {
                let moved =
                    shape.iter().map(|cell| Cell { center: cell.center.plus(spot), ..*cell });
                placed.push(moved.collect());
                return true;
            }
        }
    }
    false
}

/// The dark surround and the lit field.
fn ground(canvas: &mut Canvas) {
    let lamp = canvas.radial(
        (480, 450),
        &[(0, "#fbfaf3", 1000), (600, "#f4f1e6", 1000), (1000, "#e2ddcd", 1000)],
    );
    if canvas.is_full() {
        canvas.add("<rect width=\"400\" height=\"400\" fill=\"#23282e\"/>");
    }
    canvas.add(&format!("<circle cx=\"200\" cy=\"200\" r=\"192\" fill=\"url(#{lamp})\"/>"));
}

/// Specks far out of focus.
fn motes(canvas: &mut Canvas, chance: &mut Chance) {
    let mut specks = String::new();
    for _ in 0..26 {
        let spot = somewhere(chance, RADIUS);
        specks += &format!("M{} {}h0", Px(spot.x), Px(spot.y));
    }
    canvas.add(&format!(
        "<path d=\"{specks}\" stroke=\"#8d8473\" stroke-width=\"2.2\" stroke-linecap=\"round\" \
         opacity=\".22\"/>"
    ));
}

/// The shade at the rim of the field.
fn lens(canvas: &mut Canvas) {
    canvas.add(&format!(
        "<circle cx=\"200\" cy=\"200\" r=\"189\" fill=\"none\" stroke=\"{SHADE}\" stroke-width=\"8\" \
         opacity=\".1\"/><circle cx=\"200\" cy=\"200\" r=\"192\" fill=\"none\" stroke=\"#0e1114\" \
         stroke-width=\"2.4\"/>"
    ));
}

/// A bar 20 µm long.
fn scale_bar(canvas: &mut Canvas) {
    let bar = 20 * SCALE;
    canvas.add(&format!(
        "<path d=\"M12 386V390H{0}V386\" fill=\"none\" stroke=\"#f3f5f6\" stroke-width=\"2\"/>{1}",
        Px(1200 + bar),
        lettering::around("20 µm", 1200 + bar / 2, 37_900, 750, "#f3f5f6"),
    ));
}
