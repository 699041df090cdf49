//! The glass of a tube, the fluid in it and the card behind it.
//!
//! The ruled lines are the second cue beside color: free cells hide them, hemoglobin in solution
//! does not.

use super::canvas::Canvas;
use super::measure::red;
use super::paint::{
    CARD, CLOUD, GLASS, ICTERUS, INK, LIGHT, LYSIS, RULE, SHADE, STRAW, TABLE, icterus,
};
use super::plane::{Px, Share};
use super::scene::{Mixture, Plasma};

/// The fluid, wider than the tube, with the far half of its round surface.
const FLUID: &str = "M-130 66H-52Q-40 62.5 0 62.5Q40 62.5 52 66H130V290H-130Z";

/// Inner outline, in pixels.
const INSIDE: &str = "M-52 0V194A52 52 0 0 0 52 194V0Z";

/// The table behind tubes; size in pixels.
pub(super) fn table(canvas: &mut Canvas, (width, height): (i64, i64)) {
    let light = canvas.radial((500, 350), &[(0, LIGHT, 1000), (1000, TABLE, 1000)]);
    canvas.add(&format!("<rect width=\"{width}\" height=\"{height}\" fill=\"url(#{light})\"/>"));
}

/// A ruled card from 12 pixels on the left to as much on the right. `width` is the picture's, in
/// pixels; the top of the card, its first line and the way to the next in hundredths of a pixel.
pub(super) fn card(canvas: &mut Canvas, width: i64, top: i64, first: i64, step: i64) {
    let high = first - top + 9 * step;
    let mut lines = String::new();
    for line in 0..9 {
        lines += &format!("M12 {}h{}", Px(first + line * step), width - 24);
    }
    canvas.add(&format!(
        "<rect x=\"14\" y=\"{1}\" width=\"{0}\" height=\"{2}\" fill=\"{SHADE}\" opacity=\".12\"/>\
         <rect x=\"12\" y=\"{3}\" width=\"{0}\" height=\"{2}\" fill=\"{CARD}\"/>\
         <path d=\"{lines}\" stroke=\"{INK}\" stroke-width=\"1.3\" opacity=\".62\"/>",
        width - 24,
        Px(top + 300),
        Px(high),
        Px(top),
    ));
}

/// The table and the card behind upright tubes; size in pixels.
pub(super) fn background(canvas: &mut Canvas, size: (i64, i64)) {
    table(canvas, size);
    card(canvas, size.0, 10_800, 12_200, 1600);
}

/// Defines the inside as a clip.
pub(super) fn inside(canvas: &mut Canvas) -> String {
    let clip = canvas.fresh();
    canvas.define(&format!("<clipPath id=\"{clip}\"><path d=\"{INSIDE}\"/></clipPath>"));
    clip
}

/// Shadow and body of the glass.
pub(super) fn back(canvas: &mut Canvas) {
    canvas.add(&format!(
        "<path d=\"M-49 8V203A56 56 0 0 0 63 203V8Z\" fill=\"{SHADE}\" opacity=\".1\"/>\
         <path d=\"M-56 0V194A56 57 0 0 0 56 194V0Z\" fill=\"#eef2f4\"/>"
    ));
}

/// The card as it looks through the empty glass.
pub(super) fn empty(canvas: &mut Canvas) {
    canvas.add(&format!("<rect x=\"-52\" width=\"104\" height=\"247\" fill=\"{CARD}\"/>"));
}

/// The ruled lines as they look through the tube: bent, and a little lower. Drawn over the clear
/// fluid, because a dark line stays dark behind a color.
pub(super) fn lines(canvas: &mut Canvas, y: i64) {
    let mut lines = String::new();
    for line in 0..10 {
        let at = 122 - y + (line - 1) * 16;
        if at > 72 {
            lines +=
                &format!("M-52 {}Q-46 {} -34 {at}H34Q46 {} 52 {}", at - 5, at - 1, at - 1, at - 5);
        }
    }
    canvas.add(&format!(
        "<path d=\"{lines}\" fill=\"none\" stroke=\"{RULE}\" stroke-width=\"1.5\" opacity=\".64\"/>"
    ));
}

/// The clear part of the fluid, with the colors of plasma and lysis.
pub(super) fn fluid(canvas: &mut Canvas, mixture: Mixture, plasma: Plasma) {
    let mut layer = |color: &str, opacity: i64| {
        if opacity > 0 {
            canvas.add(&format!(
                "<path d=\"{FLUID}\" fill=\"{color}\" opacity=\"{}\"/>",
                Share(opacity)
            ));
        }
    };
    layer(STRAW, 620);
    layer(ICTERUS, icterus(plasma.icterus.get()));
    layer(LYSIS, red(mixture, plasma));
}

/// A veil of free cells over all of the fluid, a little denser below.
pub(super) fn veil(canvas: &mut Canvas, hidden: i64) {
    if hidden <= 0 {
        return;
    }
    let shade = canvas.linear(
        true,
        &[(0, CLOUD, hidden * 96 / 100), (600, CLOUD, hidden), (1000, "#9d3b34", hidden)],
    );
    canvas.add(&format!("<path d=\"{FLUID}\" fill=\"url(#{shade})\"/>"));
}

/// The roundness of the fluid.
pub(super) fn shading(canvas: &mut Canvas) {
    let across = round(canvas, 1000);
    canvas.add(&format!(
        "<path d=\"M-52 66V247H52V66Q40 62.5 0 62.5Q-40 62.5 -52 66Z\" fill=\"url(#{across})\"/>"
    ));
}

/// The roundness of the whole tube, fainter, for a tube that leans: its fluid is no rectangle.
pub(super) fn shading_of_all(canvas: &mut Canvas) {
    let across = round(canvas, 520);
    canvas.add(&format!("<path d=\"M-52 0V247H52V0Z\" fill=\"url(#{across})\"/>"));
}

/// Shade from edge to edge of a round vessel; its strength in thousandths. Gives the id.
fn round(canvas: &mut Canvas, strength: i64) -> String {
    let shade = |opacity: i64| opacity * strength / 1000;
    canvas.linear(
        false,
        &[
            (0, SHADE, shade(420)),
            (90, SHADE, shade(160)),
            (260, SHADE, 0),
            (420, LIGHT, shade(90)),
            (560, SHADE, 0),
            (860, SHADE, shade(130)),
            (1000, SHADE, shade(430)),
        ],
    )
}

/// The surface of the fluid.
pub(super) fn meniscus(canvas: &mut Canvas) {
    canvas.add(&format!(
        "<path d=\"M-52 66Q-49 74 -30 75.5Q0 77 30 75.5Q49 74 52 66Q40 62.5 0 62.5Q-40 62.5 -52 66Z\" \
         fill=\"{LIGHT}\" opacity=\".34\"/>\
         <path d=\"M-52 66Q-49 74 -30 75.5Q0 77 30 75.5Q49 74 52 66\" fill=\"none\" stroke=\"{SHADE}\" \
         stroke-width=\"1.3\" opacity=\".5\"/>\
         <path d=\"M-52 66Q-40 62.5 0 62.5Q40 62.5 52 66\" fill=\"none\" stroke=\"{SHADE}\" \
         stroke-width=\".8\" opacity=\".3\"/>"
    ));
}

/// Rim, edges and lights of the glass.
pub(super) fn front(canvas: &mut Canvas) {
    let streak = canvas.linear(true, &[(0, LIGHT, 900), (700, LIGHT, 620), (1000, LIGHT, 0)]);
    canvas.add(&format!(
        "<path d=\"M-54 0V194A54 54.5 0 0 0 54 194V0\" fill=\"none\" stroke=\"#c4ced6\" \
         stroke-width=\"4\" opacity=\".75\"/>\
         <path d=\"M-52 0V194A52 52 0 0 0 52 194V0\" fill=\"none\" stroke=\"{GLASS}\" \
         stroke-width=\".9\" opacity=\".8\"/>\
         <path d=\"M-56 0V194A56 57 0 0 0 56 194V0\" fill=\"none\" stroke=\"{GLASS}\" \
         stroke-width=\"1.6\"/>\
         <path d=\"M-30 241Q0 255 30 241\" fill=\"none\" stroke=\"{LIGHT}\" stroke-width=\"2.4\" \
         stroke-linecap=\"round\" opacity=\".6\"/>\
         <ellipse rx=\"56\" ry=\"7\" fill=\"#f6f8f9\" fill-opacity=\".7\" stroke=\"{GLASS}\" \
         stroke-width=\"1.5\"/>\
         <ellipse cy=\".6\" rx=\"51.5\" ry=\"5\" fill=\"{CARD}\" stroke=\"{GLASS}\" \
         stroke-width=\".8\"/>\
         <path d=\"M-45 14H-40V188Q-40 206 -33 219Q-45 208 -45 190Z\" fill=\"url(#{streak})\" \
         opacity=\".75\"/>\
         <path d=\"M43 16H45.5V186Q45.5 196 43 204Z\" fill=\"url(#{streak})\" opacity=\".55\"/>"
    ));
}
