//! The wall of a gel column, its chamber, its fluid and its gel.

use crossread_core::words::Artefact;

use super::canvas::Canvas;
use super::paint::{CARD, GEL, GLASS, ICTERUS, LIGHT, LYSIS, SHADE, STRAW, TABLE};
use super::plane::Share;

/// Inner outline, in pixels.
const INSIDE: &str = "M-40 0V70Q-40 76-35 81L-23 95Q-20 98-20 103V246Q-20 276 0 276Q20 276 20 246V103\
                      Q20 98 23 95L35 81Q40 76 40 70V0Z";

/// The table behind columns; size in pixels.
pub(super) fn background(canvas: &mut Canvas, width: i64, height: i64) {
    let light =
        canvas.radial((500, 380), &[(0, LIGHT, 1000), (600, CARD, 1000), (1000, TABLE, 1000)]);
    canvas.add(&format!("<rect width=\"{width}\" height=\"{height}\" fill=\"url(#{light})\"/>"));
}

/// The body of the wall; opens a group that is clipped to the inside.
pub(super) fn open(canvas: &mut Canvas) {
    let clip = canvas.fresh();
    canvas.define(&format!("<clipPath id=\"{clip}\"><path d=\"{INSIDE}\"/></clipPath>"));
    canvas.add(&format!(
        "<path d=\"M-41 4V72L-20 106V250Q-20 283 4 283Q27 283 27 250V106L47 74V4Z\" \
         fill=\"{SHADE}\" opacity=\".1\"/>\
         <path d=\"M-43.5 0V71Q-43.5 78-38 84L-26 97Q-23.5 100-23.5 105V247Q-23.5 280 0 280Q23.5 280 \
         23.5 247V105Q23.5 100 26 97L38 84Q43.5 78 43.5 71V0Z\" fill=\"#f2f5f7\"/>\
         <g clip-path=\"url(#{clip})\">"
    ));
}

/// Fluid in the chamber and gel below it.
pub(super) fn contents(canvas: &mut Canvas, red: i64, yellow: i64, fault: Option<Artefact>) {
    let beads = canvas.fresh();
    canvas.define(&format!(
        "<pattern id=\"{beads}\" width=\"7\" height=\"6.2\" patternUnits=\"userSpaceOnUse\">\
         <g fill=\"{LIGHT}\" stroke=\"#b9b29f\" stroke-width=\".35\"><circle cx=\"1.7\" cy=\"1.5\" \
         r=\"1.5\"/><circle cx=\"5.2\" cy=\"1.7\" r=\"1.5\"/><circle cx=\"3.4\" cy=\"4.6\" \
         r=\"1.5\"/><circle cx=\"6.9\" cy=\"4.6\" r=\"1.5\"/><circle cx=\"-.1\" cy=\"4.6\" \
         r=\"1.5\"/></g></pattern>"
    ));
    let surface = if fault == Some(Artefact::DriedColumn) { 62 } else { 24 };
    let mut layer = |color: &str, chamber: i64, gel: i64| {
        if chamber > 0 {
            canvas.add(&format!(
                "<rect x=\"-40\" y=\"{surface}\" width=\"80\" height=\"{}\" fill=\"{color}\" \
                 opacity=\"{}\"/><rect x=\"-40\" y=\"100\" width=\"80\" height=\"180\" \
                 fill=\"{color}\" opacity=\"{}\"/>",
                100 - surface,
                Share(chamber),
                Share(gel)
            ));
        }
    };
    layer(STRAW, 700, 250);
    layer(GEL, 1, 1000);
    layer(ICTERUS, yellow, yellow * 300 / 1000);
    layer(LYSIS, red, red * 520 / 1000);
    canvas.add(&format!(
        "<rect x=\"-20\" y=\"100\" width=\"40\" height=\"178\" fill=\"url(#{beads})\" \
         opacity=\".38\"/><path d=\"M-40 {0}Q-37 {1}-30 {1}H30Q37 {1} 40 {0}\" fill=\"none\" \
         stroke=\"{SHADE}\" stroke-width=\"1\" opacity=\".45\"/><path d=\"M-40 {0}Q0 {2} 40 {0}Q37 \
         {1} 30 {1}H-30Q-37 {1}-40 {0}Z\" fill=\"{LIGHT}\" opacity=\".45\"/>\
         <path d=\"M-22 100Q0 102.5 22 100\" fill=\"none\" stroke=\"{SHADE}\" stroke-width=\".8\" \
         opacity=\".3\"/>",
        surface,
        surface + 4,
        surface - 3
    ));
}

/// The roundness of chamber and column.
pub(super) fn roundness(canvas: &mut Canvas) {
    let across = canvas.linear(
        false,
        &[
            (0, SHADE, 330),
            (140, SHADE, 70),
            (340, LIGHT, 170),
            (520, SHADE, 0),
            (830, SHADE, 90),
            (1000, SHADE, 340),
        ],
    );
    canvas.add(&format!(
        "<rect x=\"-40\" y=\"0\" width=\"80\" height=\"99\" fill=\"url(#{across})\"/>\
         <rect x=\"-20\" y=\"99\" width=\"40\" height=\"180\" fill=\"url(#{across})\"/>"
    ));
}

/// Edges and lights of the wall.
pub(super) fn edges(canvas: &mut Canvas) {
    let streak = canvas.linear(true, &[(0, LIGHT, 900), (1000, LIGHT, 350)]);
    canvas.add(&format!(
        "<path d=\"M-40 0V70Q-40 76-35 81L-23 95Q-20 98-20 103V246Q-20 276 0 276Q20 276 20 246V103Q20 \
         98 23 95L35 81Q40 76 40 70V0\" fill=\"none\" stroke=\"{GLASS}\" stroke-width=\".9\" \
         opacity=\".75\"/>\
         <path d=\"M-43.5 0V71Q-43.5 78-38 84L-26 97Q-23.5 100-23.5 105V247Q-23.5 280 0 280Q23.5 280 \
         23.5 247V105Q23.5 100 26 97L38 84Q43.5 78 43.5 71V0\" fill=\"none\" stroke=\"{GLASS}\" \
         stroke-width=\"1.5\"/>\
         <ellipse rx=\"43.5\" ry=\"5.4\" fill=\"#f7f9fa\" stroke=\"{GLASS}\" stroke-width=\"1.3\"/>\
         <ellipse cy=\".5\" rx=\"39.5\" ry=\"3.7\" fill=\"{CARD}\" stroke=\"{GLASS}\" \
         stroke-width=\".7\"/>\
         <path d=\"M-34 10H-29.5V66Q-29.5 72-27 76L-30 79Q-34 74-34 68Z\" fill=\"url(#{streak})\" \
         opacity=\".7\"/>\
         <path d=\"M-16 112H-13V240Q-13 254-10 262Q-16 254-16 240Z\" fill=\"url(#{streak})\" \
         opacity=\".62\"/>"
    ));
}
