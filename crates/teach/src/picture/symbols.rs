//! Red cells under the microscope: their size and look in each species, drawn once and used often.

use crossread_core::words::Species;

use super::canvas::Canvas;
use super::groups::{Cell, Pose};
use super::paint::LIGHT;
use super::plane::{ONE, Px, unit};

/// Hundredths of a pixel to a micrometer.
pub(super) const SCALE: i64 = 250;

/// Diameter of a red cell in tenths of a micrometer, and how light its middle is: 2 clearly, 1 a
/// little. `None` for species whose cells are not drawn.
///
/// # Source
/// Diameters from memory of veterinary hematology texts (dog 7.0 µm, cat 5.8 µm, horse 5.7 µm).
/// Dog cells are large with a clear pale middle, other species' have little of it: Cornell
/// University clinical pathology modules, red cell morphology (page on normal canine erythrocytes
/// read).
pub(super) fn look(species: Species) -> Option<(i64, u8)> {
    match species {
        Species::Dog => Some((70, 2)),
        Species::Cat => Some((58, 1)),
        Species::Horse => Some((57, 1)),
        Species::Donkey
        | Species::Cattle
        | Species::Sheep
        | Species::Goat
        | Species::Camelid
        | Species::Pig
        | Species::Ferret
        | Species::Rabbit
        | Species::Bird => None,
    }
}

/// The cells as symbols, drawn once and used many times.
pub(super) fn symbols(canvas: &mut Canvas, diameter: i64, pallor: u8) {
    let radius = diameter / 2;
    let (pale, ring): (&str, [i64; 3]) =
        if pallor == 2 { ("#f8ebe0", [240, 520, 790]) } else { ("#e3b9a6", [60, 330, 760]) };
    let face = canvas.radial(
        (500, 500),
        &[
            (0, pale, 920),
            (ring[0], pale, 900),
            (ring[1], "#d39a86", 900),
            (ring[2], "#c07f6c", 920),
            (860, "#a45d4d", 950),
            (1000, "#8f4a3d", 950),
        ],
    );
    let under = canvas.radial(
        (500, 500),
        &[(0, "#a9604f", 850), (500, "#96503f", 850), (800, "#84402f", 700), (1000, "#84402f", 0)],
    );
    let blurred = canvas.radial(
        (500, 500),
        &[(0, pale, 700), (420, "#d5a391", 800), (690, "#b87866", 750), (1000, "#b87866", 0)],
    );
    let coin = canvas.linear(
        false,
        &[
            (0, "#7d3a30", 1000),
            (160, "#c98674", 1000),
            (480, "#e7bfae", 1000),
            (800, "#b7705e", 1000),
            (1000, "#6f3028", 1000),
        ],
    );
    let over = canvas.radial(
        (500, 500),
        &[(0, "#b87464", 720), (520, "#9a5243", 720), (780, "#86402f", 560), (1000, "#86402f", 0)],
    );
    let names = ["c", "u", "o", "b", "s", "g", "k"].map(|name| canvas.id(name));
    let [cell, low, high, soft, edge, ghost, shrunken] = &names;
    let mut notched = String::new();
    for corner in 0..24_i64 {
        let (cosine, sine) = unit(corner * 1024 / 24);
        let out = if corner % 2 == 0 { radius * 92 / 100 } else { radius * 74 / 100 };
        notched += &format!(
            "{}{} {}",
            if corner == 0 { "M" } else { "L" },
            Px(out * cosine / ONE),
            Px(out * sine / ONE)
        );
    }
    canvas.define(&format!(
        "<g id=\"{cell}\"><circle r=\"{0}\" fill=\"none\" stroke=\"{LIGHT}\" stroke-width=\"1.4\" \
         opacity=\".6\"/><circle r=\"{1}\" fill=\"url(#{face})\" stroke=\"#6d3129\" \
         stroke-width=\".9\"/></g>\
         <circle id=\"{low}\" r=\"{2}\" fill=\"url(#{under})\"/>\
         <circle id=\"{high}\" r=\"{2}\" fill=\"url(#{over})\"/>\
         <circle id=\"{soft}\" r=\"{2}\" fill=\"url(#{blurred})\"/>\
         <g id=\"{edge}\"><ellipse rx=\"{3}\" ry=\"{1}\" fill=\"url(#{coin})\" stroke=\"#6a2d25\" \
         stroke-width=\".9\"/><path d=\"M0-{4}V{4}\" stroke=\"#fff3ea\" stroke-width=\".9\" \
         stroke-linecap=\"round\" opacity=\".55\"/></g>\
         <circle id=\"{ghost}\" r=\"{1}\" fill=\"#d8b9ab\" fill-opacity=\".13\" stroke=\"#a08678\" \
         stroke-width=\".9\" stroke-opacity=\".8\"/>\
         <path id=\"{shrunken}\" d=\"{notched}Z\" fill=\"#a35847\" fill-opacity=\".9\" stroke=\"#5b231b\" \
         stroke-width=\"1\" stroke-linejoin=\"round\"/>",
        Px(radius + 90),
        Px(radius - 40),
        Px(radius * 112 / 100),
        Px(radius * 36 / 100),
        Px(radius * 62 / 100),
    ));
}

pub(super) fn put(canvas: &mut Canvas, symbol: &str, cell: Cell) {
    let id = canvas.id(symbol);
    let (x, y) = (Px(cell.center.x), Px(cell.center.y));
    canvas.add(&format!("<use href=\"#{id}\" x=\"{x}\" y=\"{y}\"/>"));
}

pub(super) fn draw(canvas: &mut Canvas, cell: Cell) {
    let (x, y) = (Px(cell.center.x), Px(cell.center.y));
    let turned = |canvas: &mut Canvas, symbol: &str, width: &str| {
        let id = canvas.id(symbol);
        canvas.add(&format!(
            "<use href=\"#{id}\" transform=\"translate({x} {y})rotate({}){width}\"/>",
            cell.turn
        ));
    };
    match cell.pose {
        Pose::Face => put(canvas, "c", cell),
        Pose::Under => put(canvas, "u", cell),
        Pose::Over => put(canvas, "o", cell),
        Pose::Blurred => put(canvas, "b", cell),
        Pose::Tilted(width) => turned(canvas, "c", &format!("scale(.{width:03} 1)")),
        Pose::Edge => turned(canvas, "s", ""),
        Pose::Notched => turned(canvas, "k", ""),
    }
}
