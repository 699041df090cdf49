//! A small writer of SVG.

use std::fmt::Write as _;

use num_traits::ToPrimitive as _;

/// Text and lines.
const INK: &str = "#1b1b1b";
/// Lines and text that only help, still readable on white (contrast 5.7).
const GRAY: &str = "#666666";
/// Marks: dark, and dark in gray too.
const MARK: &str = "#184478";
/// The height of a label, in pixels.
pub(super) const LABEL: f64 = 14.0;
/// The height of a note, in pixels.
pub(super) const NOTE: f64 = 13.0;
/// The width of a letter beside its height, on average and generous.
const LETTER: f64 = 0.6;

/// Where a text is set from.
#[derive(Clone, Copy)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// A drawing. Coordinates are in pixels from the upper left, rounded to a tenth.
pub(super) struct Drawing {
    width: f64,
    height: f64,
    title: String,
    description: String,
    body: String,
}

impl Drawing {
    pub(super) fn new(width: f64, height: f64, title: &str, description: String) -> Self {
        let mut drawing =
            Self { width, height, title: title.to_owned(), description, body: String::new() };
        drawing.rectangle((0.0, 0.0), (width, height), "#ffffff", None);
        let shown = shorten(title, width - 24.0, 16.0);
        drawing.text((width / 2.0, 26.0), 16.0, Anchor::Middle, INK, &shown);
        drawing
    }

    pub(super) fn rectangle(
        &mut self,
        corner: (f64, f64),
        size: (f64, f64),
        fill: &str,
        edge: Option<f64>,
    ) {
        let edge = edge.map_or_else(String::new, |width| {
            format!(r#" stroke="{INK}" stroke-width="{}""#, number(width))
        });
        self.push(&format!(
            r#"<rect x="{}" y="{}" width="{}" height="{}" fill="{fill}"{edge}/>"#,
            number(corner.0),
            number(corner.1),
            number(size.0),
            number(size.1)
        ));
    }

    /// A line that parts.
    pub(super) fn heavy(&mut self, from: (f64, f64), to: (f64, f64)) {
        self.line(from, to, 4.0, INK, "");
    }

    /// The line at 0.
    pub(super) fn zero(&mut self, from: (f64, f64), to: (f64, f64)) {
        self.line(from, to, 2.0, INK, "");
    }

    /// A line that only helps, perhaps dashed.
    pub(super) fn thin(&mut self, from: (f64, f64), to: (f64, f64), dash: &str) {
        self.line(from, to, 1.0, GRAY, dash);
    }

    /// A line that is a figure, perhaps dashed.
    pub(super) fn figure(&mut self, from: (f64, f64), to: (f64, f64), dash: &str) {
        self.line(from, to, 2.0, MARK, dash);
    }

    fn line(&mut self, from: (f64, f64), to: (f64, f64), width: f64, color: &str, dash: &str) {
        let dash =
            if dash.is_empty() { String::new() } else { format!(r#" stroke-dasharray="{dash}""#) };
        self.push(&format!(
            r#"<line x1="{}" y1="{}" x2="{}" y2="{}" stroke="{color}" stroke-width="{}"{dash}/>"#,
            number(from.0),
            number(from.1),
            number(to.0),
            number(to.1),
            number(width)
        ));
    }

    /// A closed outline; hollow if not `filled`.
    pub(super) fn outline(&mut self, points: &[(f64, f64)], filled: bool) {
        let points: Vec<String> =
            points.iter().map(|(x, y)| format!("{},{}", number(*x), number(*y))).collect();
        self.push(&format!(
            r#"<polygon points="{}" fill="{}" stroke="{MARK}" stroke-width="2"/>"#,
            points.join(" "),
            inside(filled)
        ));
    }

    pub(super) fn circle(&mut self, (x, y): (f64, f64), radius: f64, filled: bool) {
        self.push(&format!(
            r#"<circle cx="{}" cy="{}" r="{}" fill="{}" stroke="{MARK}" stroke-width="2"/>"#,
            number(x),
            number(y),
            number(radius),
            inside(filled)
        ));
    }

    pub(super) fn label(&mut self, x: f64, y: f64, anchor: Anchor, text: &str) {
        self.text((x, y), LABEL, anchor, INK, text);
    }

    /// A text that only helps.
    pub(super) fn aside(&mut self, x: f64, y: f64, anchor: Anchor, text: &str) {
        self.text((x, y), NOTE, anchor, GRAY, text);
    }

    /// What the marks mean.
    pub(super) fn note(&mut self, x: f64, y: f64, text: &str) {
        self.text((x, y), NOTE, Anchor::Start, INK, text);
    }

    /// A label that runs upwards.
    pub(super) fn upward(&mut self, x: f64, y: f64, anchor: Anchor, text: &str) {
        let turn = format!(r#" transform="rotate(-90 {} {})""#, number(x), number(y));
        self.written((x, y), LABEL, anchor, INK, text, &turn);
    }

    pub(super) fn text(
        &mut self,
        at: (f64, f64),
        size: f64,
        anchor: Anchor,
        color: &str,
        text: &str,
    ) {
        self.written(at, size, anchor, color, text, "");
    }

    fn written(
        &mut self,
        (x, y): (f64, f64),
        size: f64,
        anchor: Anchor,
        color: &str,
        text: &str,
        turn: &str,
    ) {
        let anchor = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let (x, y, size, text) = (number(x), number(y), number(size), escape(text));
        self.push(&format!(
            r#"<text x="{x}" y="{y}" font-size="{size}" text-anchor="{anchor}" fill="{color}"{turn}>{text}</text>"#,
        ));
    }

    /// What follows until [`close`](Self::close) belongs together and is called this.
    pub(super) fn open(&mut self, name: &str) {
        self.push(&format!("<g><title>{}</title>", escape(name)));
    }

    pub(super) fn close(&mut self) {
        self.push("</g>");
    }

    fn push(&mut self, element: &str) {
        self.body.push_str(element);
        self.body.push('\n');
    }

    pub(super) fn finish(self) -> String {
        let (width, height) = (number(self.width), number(self.height));
        let (title, description) = (escape(&self.title), escape(&self.description));
        let body = self.body;
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" aria-label=\"{title}\" \
             width=\"{width}\" height=\"{height}\" viewBox=\"0 0 {width} {height}\" \
             font-family=\"sans-serif\">\n<title>{title}</title>\n<desc>{description}</desc>\n\
             {body}</svg>\n"
        )
    }
}

fn inside(filled: bool) -> &'static str {
    if filled { MARK } else { "#ffffff" }
}

/// A number with at most one decimal, never a minus before zero.
fn number(value: f64) -> String {
    let text = format!("{value:.1}");
    let text = text.strip_suffix(".0").unwrap_or(&text);
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// A number for people: all its decimals, and a minus sign, but never before zero.
pub(super) fn shown(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let nothing = !text.contains(|digit: char| ('1'..='9').contains(&digit));
    match text.strip_prefix('-') {
        Some(rest) if nothing => rest.to_owned(),
        Some(rest) => format!("\u{2212}{rest}"),
        None => text,
    }
}

/// A gray blue from white (0) to dark (1).
pub(super) fn shade(share: f64) -> String {
    let mut color = String::from("#");
    for dark in [24.0, 68.0, 120.0] {
        let value = 255.0 - (255.0 - dark) * share.clamp(0.0, 1.0);
        let value = value.round().to_u8().unwrap_or(u8::MAX);
        write!(color, "{value:02x}").unwrap_or_default();
    }
    color
}

/// The color of text on a [`shade`]: never under a contrast of 4.5.
pub(super) fn on_shade(share: f64) -> &'static str {
    if share > 0.72 { "#ffffff" } else { "#000000" }
}

/// The text, or as much of it as fits in so many pixels.
pub(super) fn shorten(text: &str, width: f64, size: f64) -> String {
    let fits = (width / (size * LETTER)).to_usize().unwrap_or(0);
    if text.chars().count() <= fits {
        return text.to_owned();
    }
    let kept: String = text.chars().take(fits.saturating_sub(1)).collect();
    format!("{}\u{2026}", kept.trim_end())
}

/// The height at which a text fits in so many pixels, at most `size`.
pub(super) fn fitting(text: &str, width: f64, size: f64) -> f64 {
    (width / (real(text.chars().count().max(1)) * LETTER)).min(size)
}

/// How wide the longest of some texts is, in pixels, up to a limit.
pub(super) fn widest<'t>(texts: impl Iterator<Item = &'t str>, size: f64, most: f64) -> f64 {
    let longest = texts.map(|text| text.chars().count()).max().unwrap_or_default();
    (real(longest) * size * LETTER).min(most)
}

/// A number of things.
pub(super) fn real(length: usize) -> f64 {
    f64::from(crate::statistics::cases::count(length))
}

/// Text as XML takes it; what would be obeyed or cannot stand in XML is shown as a replacement.
fn escape(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            '\n' | '\t' => escaped.push(' '),
            // Directions of writing, and the two that no XML may hold.
            '\u{061c}'
            | '\u{200e}'
            | '\u{200f}'
            | '\u{202a}'..='\u{202e}'
            | '\u{2066}'..='\u{2069}'
            | '\u{fffe}'
            | '\u{ffff}' => escaped.push('\u{fffd}'),
            letter if letter.is_control() => escaped.push('\u{fffd}'),
            letter => escaped.push(letter),
        }
    }
    escaped
}
