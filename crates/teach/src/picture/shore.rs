//! Where a wet mount has dried: the fluid ends, and cells crowd before its edge.

use super::canvas::Canvas;
use super::groups::{Cell, Pose};
use super::plane::{Px, at};
use super::symbols::draw;
use crate::chance::Chance;

/// Where the drop has dried: the fluid ends at this x.
pub(super) fn shore(y: i64) -> i64 {
    let off = y - 17_000;
    28_600 - off * off / 42_000
}

/// The dried edge: a dark line, bare glass beyond, shrunken cells crowded before it. Gives how many.
pub(super) fn edge(canvas: &mut Canvas, chance: &mut Chance, diameter: i64) -> u32 {
    let mut line = String::from("M");
    let mut y = 0;
    while y <= 40_000 {
        let x = shore(y) + 120 * chance.noise() / 1000;
        line += &format!("{} {}", Px(x), Px(y));
        y += 1600;
        line += if y <= 40_000 { "L" } else { "" };
    }
    canvas.add(&format!(
        "<path d=\"{line}H400V0Z\" fill=\"#c9b48f\" opacity=\".42\"/>\
         <path d=\"{line}\" fill=\"none\" stroke=\"#5d4a38\" stroke-width=\"7\" opacity=\".28\"/>\
         <path d=\"{line}\" fill=\"none\" stroke=\"#3a2c20\" stroke-width=\"2.2\" opacity=\".8\"/>"
    ));
    for ring in 1..4_i64 {
        canvas.add(&format!(
            "<path d=\"{line}\" transform=\"translate({} {})\" fill=\"none\" stroke=\"#8a7250\" \
             stroke-width=\"1.2\" opacity=\".5\"/>",
            ring * 17,
            ring * 3
        ));
    }
    let mut needles = String::new();
    for _ in 0..46 {
        let y = chance.range(2000, 38_000);
        let from = at(shore(y) + chance.range(900, 9000), y);
        let to = from.towards(chance.direction(), chance.range(300, 1100));
        needles += &format!("M{} {}L{} {}", Px(from.x), Px(from.y), Px(to.x), Px(to.y));
    }
    canvas.add(&format!(
        "<path d=\"{needles}\" stroke=\"#6b5a40\" stroke-width=\".8\" opacity=\".6\"/>"
    ));
    let crowd = 95;
    for _ in 0..crowd {
        let y = chance.range(1500, 38_500);
        let back = diameter / 2 + chance.share(1, 3) * diameter * 5 / 2 / 65_535;
        let pose = if chance.happens(720_000) { Pose::Notched } else { Pose::Under };
        let turn = chance.range(0, 359);
        draw(canvas, Cell { center: at(shore(y) - back, y), turn, pose });
    }
    crowd
}
