//! A drop on a slide, as the eye sees it.

use crossread_core::words::Grade;

use super::canvas::Canvas;
use super::clumps::{Clump, divide, draw, pack};
use super::measure::Pieces;
use super::paint::{CARD, CELL, CELL_LIT, CLOUD, GLASS, LIGHT, SHADE, STRAW, TABLE, cloud};
use super::plane::{ONE, Point, Px, Share, at, root, soft, unit};
use super::scene::Slide;
use crate::chance::Chance;

/// Size of the picture, in pixels.
pub(super) const SIZE: (i64, i64) = (360, 186);
/// Middle of the drop, in hundredths of a pixel.
const MIDDLE: Point = Point { x: 20_400, y: 8600 };
/// Half of its width and of its height.
const REACH: (i64, i64) = (11_800, 5600);
/// What all cells of an undiluted drop cover when they are packed, in square pixels.
const CELLS: i64 = 4200;

/// The whole picture without its words. Gives what was drawn.
pub(super) fn slide(canvas: &mut Canvas, chance: &mut Chance, scene: Slide) -> Pieces {
    if canvas.is_full() {
        plate(canvas);
    }
    let drop = rim(chance);
    // High dilutions keep more cells than they have: 8 in 8 + p instead of 1 in 1 + p.
    let thinned = 8000 / (8 + i64::from(scene.saline_parts.get()));
    let mut parts = divide(chance, scene.grade, scene.mixed_field, 1000, CELLS, thinned);
    if scene.grade == Grade::G4 && !scene.mixed_field {
        parts.radii = parts.radii.iter().map(|radius| radius * 95 / 100).collect();
    }
    let spread = if scene.grade >= Grade::G3 { 620 } else { 900 };
    let placed = pack(chance, &parts.radii, |chance, radius| {
        let out = root(chance.range(0, 1_000_000)) * spread / 1000;
        let (cosine, sine) = unit(chance.direction());
        let reach = |half: i64| (half - radius * 11 / 10 - 300).max(0);
        Some(at(
            MIDDLE.x + reach(REACH.0) * out / 1000 * cosine / ONE,
            MIDDLE.y + reach(REACH.1) * out / 1000 * sine / ONE,
        ))
    });
    let clip = canvas.fresh();
    let line = soft(&drop);
    canvas.define(&format!("<clipPath id=\"{clip}\"><path d=\"{line}\"/></clipPath>"));
    if scene.dried {
        stain(canvas, chance, &drop);
    }
    canvas.add(&format!(
        "<path d=\"{line}\" transform=\"translate(2 4)\" fill=\"{SHADE}\" opacity=\".16\"/>\
         <path d=\"{line}\" fill=\"{STRAW}\"/><g clip-path=\"url(#{clip})\">"
    ));
    let hidden = cloud(parts.free);
    let thick = canvas.radial(
        (500, 500),
        &[(0, CLOUD, hidden), (700, CLOUD, hidden * 94 / 100), (1000, CLOUD, hidden * 72 / 100)],
    );
    canvas.add(&format!("<path d=\"{line}\" fill=\"url(#{thick})\"/>"));
    shadows(canvas, &placed);
    draw(canvas, chance, &placed, 930);
    if scene.dried {
        crust(canvas, chance, &drop);
    }
    light(canvas, &line);
    canvas.add("</g>");
    Pieces::new(&placed, parts.free, CELLS, 2 * REACH.0)
}

/// The table and the slide on it.
fn plate(canvas: &mut Canvas) {
    let table = canvas.linear(true, &[(0, "#eef1f3", 1000), (1000, TABLE, 1000)]);
    let glass =
        canvas.linear(false, &[(0, LIGHT, 950), (500, "#f3f7f9", 900), (1000, "#e4ecf1", 950)]);
    canvas.add(&format!(
        "<rect width=\"360\" height=\"186\" fill=\"url(#{table})\"/>\
         <rect x=\"13\" y=\"20\" width=\"340\" height=\"142\" rx=\"2\" fill=\"{SHADE}\" opacity=\".16\"/>\
         <rect x=\"9\" y=\"14\" width=\"342\" height=\"140\" rx=\"1.5\" fill=\"url(#{glass})\"/>\
         <path d=\"M9 154L12.5 158H354.5L351 154Z\" fill=\"#b4c5cf\"/>\
         <path d=\"M351 14L354.5 18V158L351 154Z\" fill=\"#9fb2bd\"/>\
         <rect x=\"9\" y=\"14\" width=\"58\" height=\"140\" fill=\"#cfd8de\" opacity=\".7\"/>\
         <path d=\"M67 14V154\" stroke=\"{GLASS}\" stroke-width=\".6\" opacity=\".5\"/>\
         <rect x=\"9\" y=\"14\" width=\"342\" height=\"140\" rx=\"1.5\" fill=\"none\" \
         stroke=\"{GLASS}\" stroke-width=\".9\" opacity=\".8\"/>\
         <path d=\"M76 20H346M76 20V60\" fill=\"none\" stroke=\"{LIGHT}\" stroke-width=\"1.2\"/>"
    ));
}

/// The outline of a drop that was stirred with a stick.
fn rim(chance: &mut Chance) -> Vec<Point> {
    let waves: Vec<(i64, i64, i64)> = [(2, 60), (3, 50), (5, 26)]
        .iter()
        .map(|&(times, size)| {
            (times, size * (500 + chance.noise().abs()) / 1000, chance.direction())
        })
        .collect();
    (0..26)
        .map(|corner| {
            let turn = corner * 1024 / 26;
            let wave: i64 = waves
                .iter()
                .map(|(times, size, from)| size * unit(turn * times + from).0 / ONE)
                .sum();
            let (cosine, sine) = unit(turn);
            at(
                MIDDLE.x + REACH.0 * (1000 + wave) / 1000 * cosine / ONE,
                MIDDLE.y + REACH.1 * (1000 + wave) / 1000 * sine / ONE,
            )
        })
        .collect()
}

fn shadows(canvas: &mut Canvas, placed: &[Clump]) {
    for clump in placed.iter().filter(|clump| clump.radius >= 420) {
        canvas.add(&format!(
            "<ellipse cx=\"{}\" cy=\"{}\" rx=\"{}\" ry=\"{}\" fill=\"{SHADE}\" opacity=\".12\"/>",
            Px(clump.center.x + clump.radius / 6),
            Px(clump.center.y + clump.radius / 5),
            Px(clump.radius * 11 / 10),
            Px(clump.radius),
        ));
    }
}

/// The dome of the fluid: a dark rim, a window's light.
fn light(canvas: &mut Canvas, line: &str) {
    canvas.add(&format!(
        "<path d=\"{line}\" fill=\"none\" stroke=\"{SHADE}\" stroke-width=\"5\" opacity=\".13\"/>\
         <path d=\"{line}\" fill=\"none\" stroke=\"{SHADE}\" stroke-width=\"1.8\" opacity=\".34\"/>\
         <path d=\"M114 62Q140 42 190 39\" fill=\"none\" stroke=\"{LIGHT}\" stroke-width=\"4.5\" \
         stroke-linecap=\"round\" opacity=\".6\"/>\
         <path d=\"M203 38.8Q212 38.6 219 39.2\" fill=\"none\" stroke=\"{LIGHT}\" \
         stroke-width=\"3.4\" stroke-linecap=\"round\" opacity=\".5\"/>\
         <path d=\"M222 134Q268 130 296 108\" fill=\"none\" stroke=\"{LIGHT}\" stroke-width=\"2.6\" \
         stroke-linecap=\"round\" opacity=\".32\"/>"
    ));
}

/// What the drop covered before it shrank.
fn stain(canvas: &mut Canvas, chance: &mut Chance, drop: &[Point]) {
    for (scale, color, opacity) in [(1115, "#8d6a4a", 230), (1060, "#7d4c38", 300)] {
        let line: Vec<Point> = drop
            .iter()
            .map(|point| {
                let scale = scale + 14 * chance.noise() / 1000;
                at(
                    MIDDLE.x + (point.x - MIDDLE.x) * scale / 1000,
                    MIDDLE.y + (point.y - MIDDLE.y) * scale / 1000,
                )
            })
            .collect();
        canvas.add(&format!(
            "<path d=\"{0}\" fill=\"{color}\" fill-opacity=\"{1}\" stroke=\"{color}\" \
             stroke-opacity=\".6\" stroke-width=\"1.1\"/>",
            soft(&line),
            Share(opacity)
        ));
    }
}

/// Grains and cracks along the dried rim.
fn crust(canvas: &mut Canvas, chance: &mut Chance, drop: &[Point]) {
    let (mut fine, mut coarse, mut cracks) = (String::new(), String::new(), String::new());
    for _ in 0..420 {
        let turn = chance.range(0, 1023);
        let Some(edge) = drop.get(usize::try_from(turn * 26 / 1024).unwrap_or(0)) else { continue };
        let inward = 1000 - chance.share(1, 4) * 210 / 65_535;
        let spot = at(
            MIDDLE.x + (edge.x - MIDDLE.x) * inward / 1000 + chance.range(-1300, 1300),
            MIDDLE.y + (edge.y - MIDDLE.y) * inward / 1000 + chance.range(-260, 260),
        );
        let grains = if chance.happens(300_000) { &mut coarse } else { &mut fine };
        *grains += &format!("M{} {}h0", Px(spot.x), Px(spot.y));
    }
    for edge in drop {
        if chance.happens(620_000) {
            let inner = at(
                MIDDLE.x + (edge.x - MIDDLE.x) * 88 / 100 + chance.range(-500, 500),
                MIDDLE.y + (edge.y - MIDDLE.y) * 88 / 100 + chance.range(-400, 400),
            );
            cracks += &format!("M{} {}L{} {}", Px(edge.x), Px(edge.y), Px(inner.x), Px(inner.y));
        }
    }
    canvas.add(&format!(
        "<path d=\"{0}\" fill=\"none\" stroke=\"#6d3326\" stroke-width=\"9\" opacity=\".42\"/>\
         <g stroke-linecap=\"round\" fill=\"none\"><path d=\"{fine}\" stroke=\"{CELL}\" \
         stroke-width=\"1.7\"/><path d=\"{coarse}\" stroke=\"{CELL}\" stroke-width=\"3\"/>\
         <path d=\"{cracks}\" stroke=\"{CARD}\" stroke-width=\".9\" opacity=\".7\"/>\
         <path d=\"{cracks}\" stroke=\"{CELL_LIT}\" stroke-width=\".4\"/></g>",
        soft(drop)
    ));
}
