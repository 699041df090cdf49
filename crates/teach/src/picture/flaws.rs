//! What can go wrong with a gel column, as it looks.

use crossread_core::words::Artefact;

use super::canvas::Canvas;
use super::gel::{BOTTOM, TOP, half};
use super::paint::{CARD, CELL, CELL_DARK, CELL_LIT, CLOUD, LIGHT, SHADE};
use super::plane::{Px, at};
use crate::chance::Chance;

/// Whether something that went wrong has a look of its own in a gel column.
///
/// ```
/// # use crossread_core::words::Artefact;
/// # use crossread_teach::picture::has_a_look;
/// assert!(has_a_look(Artefact::Bubble));
/// // The column looks as ever when cells and plasma were added the wrong way round.
/// assert!(!has_a_look(Artefact::WrongOrder));
/// ```
pub fn has_a_look(fault: Artefact) -> bool {
    match fault {
        Artefact::Bubble
        | Artefact::DriedColumn
        | Artefact::InterruptedSpin
        | Artefact::Streak
        | Artefact::Spread
        | Artefact::Fibrin
        | Artefact::Overloaded => true,
        Artefact::WrongOrder | Artefact::HardSpin | Artefact::ShakenHard => false,
    }
}

/// What a flaw does to where the cells are, in thousandths.
#[derive(Clone, Copy, Debug)]
pub(super) struct Moved {
    /// What is left of those that would be at the bottom or on their way.
    pub(super) pellet: i64,
    /// What is left of those on top.
    pub(super) band: i64,
    /// How many cells there are.
    pub(super) mass: i64,
    /// Unevenness of the pellet's top, in hundredths of a pixel.
    pub(super) rough: i64,
    /// How far one side of the pellet is lower, in hundredths of a pixel.
    pub(super) slant: i64,
}

/// Draws what lies under the cells.
pub(super) fn under(canvas: &mut Canvas, chance: &mut Chance, fault: Artefact) -> Moved {
    let as_ever = Moved { pellet: 1000, band: 1000, mass: 1000, rough: 0, slant: 0 };
    match fault {
        Artefact::Bubble => Moved { pellet: 260, ..as_ever },
        Artefact::DriedColumn => Moved { pellet: 450, rough: 160, ..as_ever },
        Artefact::InterruptedSpin => {
            haze(canvas, chance, [(0, 260), (500, 330), (1000, 560)], 520, 60);
            Moved { pellet: 420, band: 800, rough: 260, ..as_ever }
        }
        Artefact::Streak => {
            streak(canvas, chance);
            Moved { pellet: 700, slant: -420, ..as_ever }
        }
        Artefact::Spread => {
            haze(canvas, chance, [(0, 720), (450, 560), (1000, 700)], 420, 150);
            Moved { pellet: 330, band: 500, rough: 420, ..as_ever }
        }
        Artefact::Overloaded => {
            haze(canvas, chance, [(0, 90), (600, 160), (1000, 420)], 260, 70);
            Moved { mass: 2300, rough: 120, ..as_ever }
        }
        Artefact::Fibrin => Moved { pellet: 930, ..as_ever },
        Artefact::WrongOrder | Artefact::HardSpin | Artefact::ShakenHard => as_ever,
    }
}

/// Cells held all along the column: a haze, dots in it, and trails if `trail` is long.
fn haze(
    canvas: &mut Canvas,
    chance: &mut Chance,
    [first, second, third]: [(i64, i64); 3],
    dots: i64,
    trail: i64,
) {
    let shade = canvas.linear(
        true,
        &[(first.0, CLOUD, first.1), (second.0, CLOUD, second.1), (third.0, CLOUD, third.1)],
    );
    canvas.add(&format!(
        "<rect x=\"-21\" y=\"100\" width=\"42\" height=\"180\" fill=\"url(#{shade})\"/>"
    ));
    let mut held = String::new();
    for _ in 0..dots {
        let y = chance.range(TOP, BOTTOM - 200);
        let reach = half(y) - 80;
        held += &format!("M{} {}h0", Px(chance.range(-reach, reach)), Px(y));
    }
    canvas.add(&format!(
        "<path d=\"{held}\" stroke=\"{CELL}\" stroke-width=\"1.1\" stroke-linecap=\"round\" \
         opacity=\".6\"/>"
    ));
    if trail < 100 {
        return;
    }
    let mut trails = String::new();
    for _ in 0..26 {
        let (x, y) = (chance.range(-1800, 1800), chance.range(TOP - 100, BOTTOM - 6000));
        trails += &format!(
            "M{} {}q{} {} {} {}",
            Px(x),
            Px(y),
            Px(chance.range(-300, 300)),
            Px(chance.range(700, 1500)),
            Px(chance.range(-250, 250)),
            Px(chance.range(1800, 4200))
        );
    }
    canvas.add(&format!(
        "<path d=\"{trails}\" fill=\"none\" stroke=\"{CELL}\" stroke-width=\"1.7\" \
         stroke-linecap=\"round\" opacity=\".42\"/>"
    ));
}

/// A line of cells down one side, which ends in the pellet.
fn streak(canvas: &mut Canvas, chance: &mut Chance) {
    let mut inner = String::new();
    for step in 0..=12 {
        let y = 26_400 - step * 1370;
        let x = 1250 + step * 52 + 160 * chance.noise() / 1000;
        inner += &format!("L{} {}", Px(x), Px(y));
    }
    canvas.add(&format!("<path d=\"M21 99V280H0{inner}Z\" fill=\"{CELL}\" opacity=\".9\"/>"));
    let mut grain = String::new();
    for _ in 0..70 {
        let y = chance.range(TOP, 25_000);
        let x = 1880 - chance.share(1, 3) * 900 / 65_535;
        grain += &format!("M{} {}h0", Px(x), Px(y));
    }
    canvas.add(&format!(
        "<path d=\"{grain}\" stroke=\"{CELL_DARK}\" stroke-width=\"1.3\" stroke-linecap=\"round\" \
         opacity=\".7\"/>"
    ));
}

/// Draws what lies over the cells.
pub(super) fn over(canvas: &mut Canvas, chance: &mut Chance, fault: Option<Artefact>) {
    match fault {
        Some(Artefact::Bubble) => bubble(canvas, chance),
        Some(Artefact::DriedColumn) => cracks(canvas, chance),
        Some(Artefact::Fibrin) => strands(canvas, chance),
        Some(
            Artefact::InterruptedSpin
            | Artefact::Streak
            | Artefact::Spread
            | Artefact::WrongOrder
            | Artefact::Overloaded
            | Artefact::HardSpin
            | Artefact::ShakenHard,
        )
        | None => {}
    }
}

/// Air across the column, with cells caught above it.
fn bubble(canvas: &mut Canvas, chance: &mut Chance) {
    let y = chance.range(13_200, 16_800);
    let air = canvas
        .radial((380, 250), &[(0, LIGHT, 1000), (700, "#f1f5f8", 1000), (1000, "#b9c6d0", 1000)]);
    let mut caught = String::new();
    for step in 0..=10 {
        let x = 2100 - step * 420;
        caught += &format!("L{} {}", Px(x), Px(y - 3300 + 260 * chance.noise() / 1000));
    }
    canvas.add(&format!(
        "<path d=\"M-21 {0}H21V{1}{caught}Z\" fill=\"{CELL}\"/>\
         <rect x=\"-19.4\" y=\"{2}\" width=\"38.8\" height=\"36\" rx=\"17\" fill=\"url(#{air})\" \
         stroke=\"{SHADE}\" stroke-width=\"1.3\" stroke-opacity=\".65\"/>\
         <path d=\"M-12 {3}Q-13 {4}-6 {5}\" fill=\"none\" stroke=\"{LIGHT}\" stroke-width=\"3\" \
         stroke-linecap=\"round\"/>\
         <circle cx=\"11\" cy=\"{6}\" r=\"3.2\" fill=\"url(#{air})\" stroke=\"{SHADE}\" \
         stroke-width=\".8\" stroke-opacity=\".6\"/>",
        Px(y - 600),
        Px(y - 3300),
        Px(y - 1800),
        Px(y + 200),
        Px(y - 900),
        Px(y - 1200),
        Px(y + 2900),
    ));
}

/// A gel that has shrunk from the wall and torn, with cells in the gaps.
fn cracks(canvas: &mut Canvas, chance: &mut Chance) {
    canvas.add(&format!(
        "<path d=\"M-21 97V124Q-12 118 0 121Q13 124 21 115V97Z\" fill=\"{CARD}\"/>\
         <path d=\"M-21 124Q-12 118 0 121Q13 124 21 115\" fill=\"none\" stroke=\"{CELL}\" \
         stroke-width=\"3.4\"/>\
         <path d=\"M-20 124Q-14 150-17.5 176Q-20 190-20.5 205\" fill=\"none\" stroke=\"{CARD}\" \
         stroke-width=\"3.4\"/>"
    ));
    let (mut gaps, mut caught) = (String::new(), String::new());
    for crack in 0..5_i64 {
        let mut pen = at(if crack % 2 == 0 { -2000 } else { 2000 }, 13_400 + crack * 2500);
        let ahead = if crack % 2 == 0 { 1 } else { -1 };
        gaps += &format!("M{} {}", Px(pen.x), Px(pen.y));
        caught += &format!("M{} {}", Px(pen.x), Px(pen.y + 200));
        for _ in 0..chance.range(3, 6) {
            pen = at(pen.x + ahead * chance.range(420, 760), pen.y + chance.range(-420, 560));
            gaps += &format!("L{} {}", Px(pen.x), Px(pen.y));
            caught += &format!("L{} {}", Px(pen.x), Px(pen.y + 200));
        }
    }
    canvas.add(&format!(
        "<g fill=\"none\" stroke-linejoin=\"round\" stroke-linecap=\"round\">\
         <path d=\"{caught}\" stroke=\"{CELL_LIT}\" stroke-width=\"4\" opacity=\".8\"/>\
         <path d=\"{gaps}\" stroke=\"{LIGHT}\" stroke-width=\"3.4\"/>\
         <path d=\"{gaps}\" stroke=\"{SHADE}\" stroke-width=\".5\" opacity=\".5\"/></g>"
    ));
}

/// Thin threads on top of the gel that hold cells.
fn strands(canvas: &mut Canvas, chance: &mut Chance) {
    let (mut threads, mut held) = (String::new(), String::new());
    for _ in 0..7 {
        let (from, to) = (chance.range(9200, 10_300), chance.range(9500, 10_700));
        let (lift, sink) = (chance.range(8300, 10_200), chance.range(9900, 11_800));
        threads += &format!("M-21 {}C-8 {} 9 {} 21 {}", Px(from), Px(lift), Px(sink), Px(to));
    }
    for _ in 0..90 {
        let x = chance.range(-1900, 1900);
        held += &format!("M{} {}h0", Px(x), Px(10_050 + 260 * chance.noise() / 1000 + x / 14));
    }
    canvas.add(&format!(
        "<g fill=\"none\" stroke-linecap=\"round\"><path d=\"M-21 99C-8 97.5 8 104 21 102\" \
         stroke=\"{CELL}\" stroke-width=\"2.2\"/><path d=\"{threads}\" stroke=\"{CELL_LIT}\" \
         stroke-width=\".9\" opacity=\".9\"/><path d=\"{held}\" stroke=\"{CELL}\" \
         stroke-width=\"1.6\"/></g>"
    ));
}
