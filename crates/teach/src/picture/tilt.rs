//! A button being tilted off: moving, and as four stills.
//!
//! The tube rocks around the middle of the fluid's surface, so that the surface stays level. The
//! stills are what is shown wherever motion is not welcome: in print, where style is not obeyed,
//! and to viewers who asked for less motion.

use super::canvas::Canvas;
use super::clumps::{Clump, draw};
use super::glass::{back, card, fluid, front, inside, meniscus, shading_of_all, table, veil};
use super::lettering;
use super::measure::Pieces;
use super::paint::{CARD, CELL, CLOUD, INK, RULE};
use super::plane::{Px, Share};
use super::scene::{Mixture, Plasma};
use super::tube::{BOTTOM, Loosened, button, loosen, rest, squash};
use crate::chance::Chance;

/// Size of the picture, in pixels.
pub(super) const SIZE: (i64, i64) = (440, 300);
/// Where the surface stands in the moving picture and in a still.
const SURFACE: i64 = 92;
const STILL: i64 = 104;

/// What is drawn once and used in every stage.
#[derive(Debug)]
struct Parts {
    /// The clumps that come off first, next and last: ids of groups.
    clumps: [String; 3],
    /// Whether all cells come off in one piece.
    whole: bool,
    /// How small clumps are while they come off, in thousandths.
    small: i64,
    cloud: String,
    /// Free cells streaming off; none if there are none.
    stream: Option<String>,
    clip: String,
    contents: String,
    surface: String,
    shading: String,
    glass: (String, String),
}

/// Draws both forms, or the stills alone. Gives what is seen in the end.
pub(super) fn tilt(
    canvas: &mut Canvas,
    chance: &mut Chance,
    mixture: Mixture,
    plasma: Plasma,
    moving: bool,
) -> Pieces {
    table(canvas, SIZE);
    let loosened = loosen(chance, mixture);
    let parts = parts(canvas, chance, mixture, plasma, &loosened);
    let strip = canvas.id("strip");
    canvas.add(&format!("<g class=\"{strip}\">"));
    // The lines inside a still stand at the height of those on the card.
    let (first, step) = scaled();
    card(canvas, SIZE.0, first - step, first, step);
    for stage in 0..4 {
        still(canvas, chance, &parts, mixture.left(), stage);
    }
    canvas.add("</g>");
    if moving {
        film(canvas, chance, &parts, mixture.left());
    }
    loosened.pieces.colored(mixture, plasma)
}

fn parts(
    canvas: &mut Canvas,
    chance: &mut Chance,
    mixture: Mixture,
    plasma: Plasma,
    loosened: &Loosened,
) -> Parts {
    let mut all: Vec<Clump> = loosened.near.iter().chain(&loosened.far).copied().collect();
    // What is lowest lay deepest in the button, and comes off last.
    all.sort_unstable_by_key(|clump| (clump.center.y, clump.center.x));
    let number = all.len();
    let (first, second) = ((number * 3 + 5) / 10, (number * 7 + 5) / 10);
    let clumps = [(0, first), (first, second), (second, number)].map(|(from, to)| {
        let some = all.get(from..to).unwrap_or_default();
        canvas.group(|canvas| {
            rest(canvas, some);
            draw(canvas, chance, some, squash(mixture.grade));
        })
    });
    let clip = inside(canvas);
    Parts {
        clumps,
        whole: number == 1 && loosened.hidden == 0,
        small: if number <= 8 { 880 } else { 450 },
        cloud: canvas.group(|canvas| veil(canvas, loosened.hidden)),
        stream: (loosened.hidden > 60).then(|| {
            canvas.group(|canvas| {
                stream(canvas, chance, loosened.hidden);
            })
        }),
        clip,
        contents: canvas.group(|canvas| {
            canvas.add(&format!(
                "<rect x=\"-130\" y=\"-20\" width=\"260\" height=\"320\" fill=\"{CARD}\"/>"
            ));
            fluid(canvas, mixture, plasma);
            let mut lines = String::new();
            for line in 0..10 {
                lines += &format!("M-130 {}h260", 80 + line * 16);
            }
            canvas.add(&format!(
                "<path d=\"{lines}\" stroke=\"{RULE}\" stroke-width=\"1.5\" opacity=\".64\"/>"
            ));
        }),
        // The surface in a leaning tube is wider than the tube.
        surface: canvas.group(|canvas| {
            canvas.add("<g transform=\"scale(1.09 1)\">");
            meniscus(canvas);
            canvas.add("</g>");
        }),
        shading: canvas.group(shading_of_all),
        glass: (canvas.group(back), canvas.group(front)),
    }
}

/// Free cells that rise from the button: a cloud that thins out upwards, and wisps in it.
fn stream(canvas: &mut Canvas, chance: &mut Chance, hidden: i64) {
    let mut wisps = String::new();
    for wisp in 0..6_i64 {
        let side = if wisp % 2 == 0 { 1 } else { -1 };
        wisps += &format!(
            "M{} 240C{} {} {} {} {} {}",
            side * chance.range(4, 26),
            side * chance.range(34, 48),
            chance.range(205, 222),
            side * chance.range(6, 40),
            chance.range(180, 200),
            side * chance.range(-14, 40),
            chance.range(140, 176),
        );
    }
    let thick = 150 + hidden * 700 / 1000;
    let rising =
        canvas.linear(true, &[(0, CLOUD, 0), (450, CLOUD, thick * 45 / 100), (1000, CLOUD, thick)]);
    let opacity = Share(60 + hidden * 150 / 1000);
    canvas.add(&format!(
        "<path d=\"M-52 120H52V247H-52Z\" fill=\"url(#{rising})\"/><g fill=\"none\" \
         stroke=\"{CELL}\" stroke-linecap=\"round\" opacity=\"{opacity}\"><path d=\"{wisps}\" \
         stroke-width=\"9\" opacity=\".5\"/><path d=\"{wisps}\" stroke-width=\"3\"/></g>"
    ));
}

/// How far the tube leans in degrees, and what has come off of each third, in thousandths.
fn stage(number: i64) -> (i64, [i64; 3], i64) {
    match number {
        0 => (0, [0, 0, 0], 0),
        1 => (-20, [600, 0, 0], 200),
        2 => (20, [900, 700, 0], 620),
        _ => (0, [1000, 1000, 1000], 1000),
    }
}

/// The first line on the card behind the stills and the way to the next, in hundredths of a pixel.
fn scaled() -> (i64, i64) {
    (STILL * 100 + (9600 - 6600) * 6 / 10, 1600 * 6 / 10)
}

fn still(canvas: &mut Canvas, chance: &mut Chance, parts: &Parts, left: i64, number: i64) {
    let (lean, off, clouded) = stage(number);
    // Where the tube turns, and where its number stands.
    let (x, label) = match number {
        0 => (52, 52),
        1 => (140, 162),
        2 => (300, 278),
        _ => (388, 388),
    };
    canvas.add(&format!(
        "<g transform=\"translate({} {STILL})scale(.6)rotate({lean})translate(0-66)\">\
         <use href=\"#{}\"/><g clip-path=\"url(#{})\"><g transform=\"rotate({} 0 66)\">\
         <use href=\"#{}\"/><g opacity=\"{}\"><use href=\"#{}\"/></g></g>",
        Px(x * 100),
        parts.glass.0,
        parts.clip,
        -lean,
        parts.contents,
        Share(clouded),
        parts.cloud
    ));
    let in_button = match number {
        0 => left,
        1 => left * 74 / 100,
        2 => left * 32 / 100,
        _ => 0,
    };
    let in_button = match (parts.whole, number) {
        (true, 0 | 1) => left,
        (true, _) => 0,
        (false, _) => in_button,
    };
    button(canvas, chance, in_button);
    if let (Some(stream), 1 | 2) = (&parts.stream, number) {
        canvas.add(&format!("<use href=\"#{stream}\"/>"));
    }
    for (clumps, off) in parts.clumps.iter().zip(off).filter(|(_, off)| *off > 0) {
        let size = parts.small + (1000 - parts.small) * off / 1000;
        canvas.add(&format!(
            "<use href=\"#{clumps}\" transform=\"translate(0 240)scale({})translate(0-240)\"/>",
            Share(size)
        ));
    }
    canvas.add(&format!(
        "<use href=\"#{}\"/><use href=\"#{}\" transform=\"rotate({} 0 66)\"/></g>\
         <use href=\"#{}\"/></g>",
        parts.shading, parts.surface, -lean, parts.glass.1
    ));
    canvas.add(&lettering::around(&(number + 1).to_string(), label * 100, 27_000, 750, INK));
}

/// The moving form, hidden unless style makes it visible.
fn film(canvas: &mut Canvas, chance: &mut Chance, parts: &Parts, left: i64) {
    let name = |part: &str| format!("{}-{part}", canvas.id("film"));
    let [shown, lean, level, lump, haze, wisp] =
        ["shown", "lean", "level", "lump", "haze", "wisp"].map(name);
    let come = [0, 1, 2].map(|number| name(&format!("off{number}")));
    let bottom = BOTTOM / 100;
    canvas.add(&format!("<g class=\"{shown}\" display=\"none\">"));
    card(canvas, SIZE.0, 10_800, (SURFACE + 30) * 100, 1600);
    canvas.add(&format!(
        "<g transform=\"translate({} {SURFACE})\">\
         <g class=\"{lean}\"><g transform=\"translate(0-66)\"><use href=\"#{}\"/>\
         <g clip-path=\"url(#{})\"><g transform=\"translate(0 66)\"><g class=\"{level}\">\
         <g transform=\"translate(0-66)\"><use href=\"#{}\"/><g class=\"{haze}\">\
         <use href=\"#{}\"/></g></g></g></g>",
        SIZE.0 / 2,
        parts.glass.0,
        parts.clip,
        parts.contents,
        parts.cloud
    ));
    if let Some(stream) = &parts.stream {
        canvas.add(&format!("<g class=\"{wisp}\"><use href=\"#{stream}\"/></g>"));
    }
    canvas.add(&format!(
        "<g transform=\"translate(0 {bottom})\"><g class=\"{lump}\"><g \
         transform=\"translate(0-{bottom})\">"
    ));
    button(canvas, chance, left);
    canvas.add("</g></g></g>");
    for (clumps, class) in parts.clumps.iter().zip(&come) {
        canvas.add(&format!(
            "<g transform=\"translate(0 240)\"><g class=\"{class}\"><g \
             transform=\"translate(0-240)\"><use href=\"#{clumps}\"/></g></g></g>"
        ));
    }
    canvas.add(&format!(
        "<use href=\"#{}\"/><g transform=\"translate(0 66)\"><g class=\"{level}\"><g \
         transform=\"translate(0-66)\"><use href=\"#{}\"/></g></g></g></g><use href=\"#{}\"/></g>\
         </g></g></g>",
        parts.shading, parts.surface, parts.glass.1
    ));
    let small = Share(if parts.small > 800 { 700 } else { 60 });
    let strip = canvas.id("strip");
    let mut css = format!(
        "@media screen and (prefers-reduced-motion:no-preference){{.{strip}{{display:none}}\
         .{shown}{{display:inline}}}}"
    );
    let mut rule = |class: &str, frames: &str| {
        css += &format!(
            ".{class}{{animation:{class} 10s ease-in-out infinite}}@keyframes {class}{{{frames}}}"
        );
    };
    let rock = |sign: &str, other: &str| {
        format!(
            "0%,10%,70%,100%{{transform:rotate(0deg)}}20%{{transform:rotate({sign}24deg)}}\
             32%{{transform:rotate({other}20deg)}}44%{{transform:rotate({sign}22deg)}}\
             56%{{transform:rotate({other}18deg)}}"
        )
    };
    rule(&lean, &rock("-", ""));
    rule(&level, &rock("", "-"));
    rule(
        &lump,
        if parts.whole {
            "0%,30%{transform:scale(1);opacity:1}34%,100%{transform:scale(.9,.8);opacity:0}"
        } else {
            "0%,16%{transform:scale(1);opacity:1}34%{transform:scale(.92,.7)}\
         50%{transform:scale(.7,.4);opacity:1}60%,100%{transform:scale(.3,.1);opacity:0}"
        },
    );
    rule(&haze, "0%,18%{opacity:0}66%,100%{opacity:1}");
    rule(&wisp, "0%,16%{opacity:0}26%,46%{opacity:1}62%,100%{opacity:0}");
    for ((class, from), to) in come.iter().zip([16, 28, 40]).zip([44, 56, 68]) {
        rule(
            class,
            &format!(
                "0%,{from}%{{transform:scale({small});opacity:0}}{}%{{opacity:1}}\
                 {to}%,100%{{transform:scale(1);opacity:1}}",
                from + 5
            ),
        );
    }
    canvas.rule(&css);
}
