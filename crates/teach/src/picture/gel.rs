//! A gel column after the spin: a chamber above, a narrow column of gel, cells held where they are
//! too large to pass.

use crossread_core::words::Grade;

use super::canvas::Canvas;
use super::flaws;
use super::measure::{Bands, number, red};
use super::paint::{CELL, CELL_DARK, CELL_LIT, icterus};
use super::plane::{ONE, Point, Px, Share, at, root, soft, unit};
use super::scene::{Column, Plasma};
use super::wall;
use crate::chance::Chance;

// A column stands around x = 0 with the rim of its chamber at y = 0; in hundredths of a pixel.
/// Half the width of the column.
pub(super) const HALF: i64 = 2000;
/// Top of the gel.
pub(super) const TOP: i64 = 10_000;
/// Where the round tip begins.
const TIP: i64 = 24_600;
/// Lowest point of the gel.
pub(super) const BOTTOM: i64 = 27_600;
/// What all cells cover when they are packed, in square pixels.
const CELLS: i64 = 620;
/// How much more room cells take when they are held one by one, in thousandths.
const LOOSE: i64 = 1700;

/// Where the cells of a mixture are, in thousandths, and how those inside the gel are spread.
#[derive(Clone, Copy, Debug)]
struct Spread {
    band: i64,
    scattered: i64,
    pellet: i64,
    /// Law of the depth: Beta(a, b) between two depths in pixels.
    law: (usize, usize),
    between: (i64, i64),
    /// Unevenness of the pellet's top, in hundredths of a pixel.
    rough: i64,
}

/// # Source
/// The words of a published small-animal gel scale: 4+ a band on top; 3+ most in the upper half;
/// 2+ along the whole length; 1+ mainly in the lower half with a pellet; weak a pellet with a rough
/// top and a few cells above it; 0 a smooth pellet; a mixed field a band and a pellet with little
/// between (Spada 2020). The numbers are choices. Grades under `w` show nothing to the eye.
fn spread(grade: Grade) -> Spread {
    let row = |band, scattered, law, between, rough| Spread {
        band,
        scattered,
        pellet: 1000 - band - scattered,
        law,
        between,
        rough,
    };
    match grade {
        Grade::G0 | Grade::Rough | Grade::Micro => row(0, 0, (1, 1), (0, 0), 0),
        Grade::W => row(0, 110, (4, 1), (118, 168), 210),
        Grade::G1w => row(0, 330, (3, 1), (80, 170), 260),
        Grade::G1 => row(0, 560, (3, 1), (50, 171), 260),
        Grade::G1s => row(0, 700, (5, 2), (20, 172), 250),
        Grade::G2w => row(20, 820, (3, 2), (0, 172), 220),
        Grade::G2 => row(60, 880, (2, 2), (0, 170), 200),
        Grade::G2s => row(170, 820, (2, 3), (0, 160), 120),
        Grade::G3 => row(330, 670, (1, 3), (0, 105), 0),
        Grade::G3s => row(640, 360, (1, 4), (0, 66), 0),
        Grade::G4 => row(940, 60, (1, 6), (0, 20), 0),
    }
}

/// A mixed field: half of the cells react with the grade, half fall through.
fn divided(grade: Grade, mixed_field: bool) -> Spread {
    let all = spread(grade);
    if !mixed_field {
        return all;
    }
    let (band, scattered) = (all.band / 2, all.scattered / 2);
    Spread { band, scattered, pellet: 1000 - band - scattered, rough: 0, ..all }
}

/// Half the width of the gel at a height.
pub(super) fn half(y: i64) -> i64 {
    let below = (y - TIP).clamp(0, BOTTOM - TIP);
    let deep = BOTTOM - TIP;
    HALF * root(ONE * ONE * (deep * deep - below * below) / (deep * deep)) / ONE
}

/// One column around `x`, rim at `y`, in pixels of the picture. Gives what was drawn.
pub(super) fn column(
    canvas: &mut Canvas,
    chance: &mut Chance,
    (x, y): (i64, i64),
    column: Column,
    plasma: Plasma,
) -> Bands {
    canvas.add(&format!("<g transform=\"translate({x} {y})\">"));
    wall::open(canvas);
    let red = red(column.mixture, plasma);
    wall::contents(canvas, red, icterus(plasma.icterus.get()), column.fault);
    let bands = cells(canvas, chance, column);
    flaws::over(canvas, chance, column.fault);
    wall::roundness(canvas);
    canvas.add("</g>");
    wall::edges(canvas);
    canvas.add("</g>");
    Bands { red: number(red), yellow: number(icterus(plasma.icterus.get())), ..bands }
}

/// The cells, where the grade and what went wrong have put them.
fn cells(canvas: &mut Canvas, chance: &mut Chance, column: Column) -> Bands {
    let Column { mixture, fault } = column;
    let mut place = divided(mixture.grade, mixture.mixed_field);
    let (mut mass, mut slant) = (mixture.left(), 0);
    if let Some(fault) = fault {
        let moved = flaws::under(canvas, chance, fault);
        place.pellet = place.pellet * moved.pellet / 1000;
        place.scattered = place.scattered * moved.pellet / 1000;
        place.band = place.band * moved.band / 1000;
        place.rough = place.rough.max(moved.rough);
        slant = moved.slant;
        mass = mass * moved.mass / 1000;
    }
    let share = |part: i64| part * mass / 1000;
    pellet(canvas, chance, share(place.pellet), place.rough, slant);
    let (mut depth, mut held) = (0, 0);
    let area = share(place.scattered) * CELLS / 1000 * LOOSE / 1000;
    scatter(canvas, chance, place, area, |y, size| {
        depth += (y - TOP) * size;
        held += size;
    });
    band(canvas, chance, share(place.band), mixture.grade);
    // Mean depth over band (0), scattered cells (as drawn) and pellet (the bottom).
    let scattered_depth = if held == 0 { 0 } else { depth / held };
    let all = (share(place.band) + share(place.scattered) + share(place.pellet)).max(1);
    let mean =
        (share(place.scattered) * scattered_depth + share(place.pellet) * (BOTTOM - TOP)) / all;
    Bands {
        band: number(share(place.band)),
        scattered: number(share(place.scattered)),
        pellet: number(share(place.pellet)),
        depth: number(mean * 1000 / (BOTTOM - TOP)),
        scattered_depth: number(scattered_depth * 1000 / (BOTTOM - TOP)),
        rough: if place.pellet > 0 { number(place.rough) } else { 0 },
        ..Bands::default()
    }
}

/// The pellet: fills the tip up to its share of the cells.
fn pellet(canvas: &mut Canvas, chance: &mut Chance, share: i64, rough: i64, slant: i64) {
    let mut top = BOTTOM;
    let mut filled = 0;
    while filled < share * CELLS * 10 && top > TOP {
        top -= 20;
        filled += 2 * half(top) * 20;
    }
    if share <= 0 {
        return;
    }
    let body =
        canvas.linear(true, &[(0, CELL, 1000), (550, CELL_DARK, 1000), (1000, "#420d10", 1000)]);
    let mut edge = format!("M-21 {}", Px(top + slant));
    if rough == 0 {
        edge += &format!("Q0 {} 21 {}", Px(top - 130), Px(top - slant));
    } else {
        for step in 0..=14 {
            let x = -2100 + step * 300;
            let y = top + rough * chance.noise() / 700 - slant * (step - 7) / 7;
            edge += &format!("L{} {}", Px(x), Px(y));
        }
    }
    canvas.add(&format!("<path d=\"{edge}V280H-21Z\" fill=\"url(#{body})\"/>"));
    if rough == 0 {
        canvas.add(&format!(
            "<path d=\"M-17 {}Q0 {} 17 {}\" fill=\"none\" stroke=\"{CELL_LIT}\" stroke-width=\"1.4\" \
             opacity=\".55\"/>",
            Px(top + 140 + slant),
            Px(top + 60),
            Px(top + 140 - slant)
        ));
    } else {
        let mut loose = String::new();
        for _ in 0..rough / 4 {
            let y = top - chance.share(1, 4) * rough * 5 / 65_535 + 60;
            let reach = half(y) - 120;
            loose += &format!("M{} {}h0", Px(chance.range(-reach, reach)), Px(y));
        }
        canvas.add(&format!(
            "<path d=\"{loose}\" stroke=\"{CELL}\" stroke-width=\"1.5\" stroke-linecap=\"round\"/>"
        ));
    }
}

/// Cells held inside the gel: the deeper, the smaller, because small clumps travel further. `area`
/// in square pixels. Tells height and size of each.
fn scatter(
    canvas: &mut Canvas,
    chance: &mut Chance,
    place: Spread,
    area: i64,
    mut tell: impl FnMut(i64, i64),
) {
    let mut left = area * 10_000;
    let (mut far, mut near): ([String; 5], [String; 5]) = Default::default();
    let mut pieces = String::new();
    let (from, to) = place.between;
    while left > 0 {
        let y =
            TOP + from * 100 + (to - from) * 100 * chance.share(place.law.0, place.law.1) / 65_535;
        let deep = (y - TOP) * 1000 / (BOTTOM - TOP);
        let radius = 55 + (230 - 175 * deep / 1000) * chance.share(2, 3) / 65_535;
        let reach = (half(y) - radius - 30).max(0);
        let center = at(chance.range(-reach, reach), y);
        let size = radius * radius * 22 / 7;
        left -= size;
        tell(y, size);
        if radius >= 125 {
            pieces += &format!("<path d=\"{}\"/>", soft(&ragged(chance, center, radius)));
        } else {
            let layer = if chance.happens(360_000) { &mut far } else { &mut near };
            let kind = usize::try_from((radius - 55) / 15).unwrap_or(0);
            if let Some(dots) = layer.get_mut(kind) {
                *dots += &format!("M{} {}h0", Px(center.x), Px(center.y));
            }
        }
    }
    let mut write = |layer: &[String; 5], color: &str, opacity: i64| {
        for (kind, dots) in (0_i64..).zip(layer).filter(|(_, dots)| !dots.is_empty()) {
            canvas.add(&format!(
                "<path d=\"{dots}\" stroke=\"{color}\" stroke-width=\"{}\" stroke-linecap=\"round\" \
                 opacity=\"{}\"/>",
                Px((62 + kind * 15) * 2),
                Share(opacity)
            ));
        }
    };
    write(&far, CELL_LIT, 620);
    write(&near, CELL, 1000);
    if !pieces.is_empty() {
        let body = canvas
            .radial((350, 300), &[(0, CELL_LIT, 1000), (450, CELL, 1000), (1000, CELL_DARK, 1000)]);
        canvas.add(&format!("<g fill=\"url(#{body})\">{pieces}</g>"));
    }
}

fn ragged(chance: &mut Chance, center: Point, radius: i64) -> Vec<Point> {
    (0..7)
        .map(|corner| {
            let (cosine, sine) = unit(corner * 146 + chance.range(-30, 30));
            let out = radius * (1050 + 330 * chance.noise() / 1000) / 1000;
            at(center.x + out * cosine / ONE, center.y + out * sine / ONE * 9 / 10)
        })
        .collect()
}

/// The band on top of the gel.
fn band(canvas: &mut Canvas, chance: &mut Chance, share: i64, grade: Grade) {
    if share < 40 {
        return;
    }
    let deep = share * CELLS / 1000 * 10_000 / (2 * HALF);
    let tight = grade == Grade::G4;
    let ragged = if tight { 60 } else { 60 + deep / 4 };
    let mut edge = String::new();
    for step in 0..=18 {
        let x = 2150 - step * 239;
        let y = TOP + deep + ragged * chance.noise() / 700;
        edge += &format!("L{} {}", Px(x), Px(y));
    }
    let body =
        canvas.linear(true, &[(0, CELL_DARK, 1000), (300, CELL, 1000), (1000, CELL_DARK, 1000)]);
    canvas.add(&format!(
        "<path d=\"M-24 98.6Q0 {} 24 98.6V{}{edge}V98Z\" fill=\"url(#{body})\" stroke=\"{CELL}\" \
         stroke-width=\"1\" stroke-linejoin=\"round\"/>",
        Px(9700),
        Px(TOP + deep)
    ));
    let (mut dark, mut lit) = (String::new(), String::new());
    for _ in 0..(share / 11).max(6) {
        let spot = at(chance.range(-1850, 1850), TOP - 60 + chance.range(0, deep.max(100)));
        let dots = if chance.happens(450_000) { &mut lit } else { &mut dark };
        *dots += &format!("M{} {}h0", Px(spot.x), Px(spot.y));
    }
    canvas.add(&format!(
        "<g stroke-linecap=\"round\" stroke-width=\"2\"><path d=\"{dark}\" stroke=\"{CELL_DARK}\" \
         opacity=\".6\"/><path d=\"{lit}\" stroke=\"{CELL_LIT}\" opacity=\".55\"/></g>"
    ));
}
