//! Groups of cells under the microscope: heaps that antibodies hold together, and stacks.

use super::plane::{Point, at};
use crate::chance::Chance;

/// How one cell lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Pose {
    /// Its face to the viewer.
    Face,
    /// Tilted: the width that is left, in thousandths.
    Tilted(i64),
    /// Under others, out of focus.
    Under,
    /// On top of others, out of focus.
    Over,
    /// Out of focus by itself.
    Blurred,
    /// On edge in a stack.
    Edge,
    /// Shrunken, with a notched rim.
    Notched,
}

/// One cell: its place, and its turn in degrees.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cell {
    pub(super) center: Point,
    pub(super) turn: i64,
    pub(super) pose: Pose,
}

/// Degrees of a direction.
fn degrees(direction: i64) -> i64 {
    direction.rem_euclid(1024) * 360 / 1024
}

/// A cell by itself.
pub(super) fn single(chance: &mut Chance) -> Cell {
    let pose = match chance.range(0, 99) {
        0..=11 => Pose::Tilted(chance.range(560, 900)),
        12..=24 => Pose::Blurred,
        _ => Pose::Face,
    };
    Cell { center: at(0, 0), turn: degrees(chance.direction()), pose }
}

/// An irregular heap around 0, 0: each cell clings to one of those before it, rather to one near
/// the middle, as grapes do. Large heaps lie several cells deep. `diameter` is a cell's.
pub(super) fn heap(chance: &mut Chance, size: usize, diameter: i64) -> Vec<Cell> {
    let mut top: Vec<Point> = vec![at(0, 0)];
    let any = |chance: &mut Chance, of: &[Point]| {
        let last = i64::try_from(of.len()).unwrap_or(1) - 1;
        let index = usize::try_from(chance.range(0, last)).unwrap_or(0);
        of.get(index).copied().unwrap_or_else(|| at(0, 0))
    };
    let mut tries = 0;
    while top.len() < size && tries < size * 80 {
        tries += 1;
        let (one, other) = (any(chance, &top), any(chance, &top));
        let middle = at(0, 0);
        let inner = if one.square_to(middle) <= other.square_to(middle) { one } else { other };
        let spot = inner.towards(chance.direction(), diameter * chance.range(560, 850) / 1000);
        if top.iter().all(|cell| !cell.nearer(spot, diameter * 530 / 1000)) {
            top.push(spot);
        }
    }
    let mut cells = Vec::new();
    if top.len() > 7 {
        // The layers below, seen between and through the cells on top.
        for &over in &top {
            let close = top.iter().filter(|other| other.nearer(over, diameter * 13 / 10)).count();
            if close > 4 && chance.happens(850_000) {
                let reach = diameter * 45 / 100;
                let center =
                    at(over.x + chance.range(-reach, reach), over.y + chance.range(-reach, reach));
                cells.push(Cell { center, turn: 0, pose: Pose::Under });
            }
        }
    }
    cells.extend(top.iter().map(|&center| {
        let pose =
            if chance.happens(520_000) { Pose::Tilted(chance.range(520, 930)) } else { Pose::Face };
        Cell { center, turn: degrees(chance.direction()), pose }
    }));
    if top.len() > 11 {
        // A few on top of all, too near to be in focus.
        for &below in &top {
            let close = top.iter().filter(|other| other.nearer(below, diameter * 13 / 10)).count();
            if close > 5 && chance.happens(55_000) {
                cells.push(Cell { center: below, turn: 0, pose: Pose::Over });
            }
        }
    }
    cells
}

/// A stack around 0, 0: cells on edge, face to face, in a row that bends a little.
pub(super) fn stack(chance: &mut Chance, size: usize, diameter: i64) -> Vec<Cell> {
    let step = diameter * chance.range(265, 300) / 1000;
    let bend = chance.range(-10, 10);
    let mut ahead = chance.direction();
    let mut pen = at(0, 0);
    let mut cells = Vec::new();
    for place in 1..=size {
        let pose = if place == size && chance.happens(550_000) {
            Pose::Tilted(chance.range(480, 640))
        } else {
            Pose::Edge
        };
        cells.push(Cell { center: pen, turn: degrees(ahead), pose });
        ahead += bend + chance.range(-13, 13);
        pen = pen.towards(ahead, step);
        if place % 4 == 0 {
            // Coins never lie quite straight.
            pen = pen.towards(ahead + 256, diameter * chance.range(-60, 60) / 1000);
        }
    }
    let half = at(-pen.x / 2, -pen.y / 2);
    for cell in &mut cells {
        cell.center = cell.center.plus(half);
    }
    cells
}
