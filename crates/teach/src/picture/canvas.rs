//! One SVG while it is being drawn: what is defined, what is shown, and the names of both.

use super::plane::Share;

/// A prefix for the ids of a picture, so that several can stand in one page.
///
/// An ASCII letter, then ASCII letters, digits, `-` or `_`; at most 40 characters.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Prefix(String);

impl Prefix {
    /// The prefix, unless an id could not begin with it.
    ///
    /// ```
    /// # use crossread_teach::picture::Prefix;
    /// assert!(Prefix::new("q7-left").is_some());
    /// assert!(Prefix::new("7").is_none());
    /// assert!(Prefix::new("q\" onload=\"").is_none());
    /// ```
    pub fn new(prefix: &str) -> Option<Self> {
        let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_');
        let good = prefix.starts_with(|c: char| c.is_ascii_alphabetic())
            && prefix.chars().all(plain)
            && prefix.len() <= 40;
        good.then(|| Self(prefix.to_owned()))
    }

    /// A prefix for a drawing that nobody sees.
    pub(super) fn plain() -> Self {
        Self("p".to_owned())
    }
}

/// How much is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Detail {
    /// A picture to be read.
    Full,
    /// A small picture, without surroundings and surfaces.
    Plain,
}

/// What has been drawn so far.
#[derive(Debug)]
pub(super) struct Canvas {
    detail: Detail,
    prefix: String,
    defined: String,
    shown: String,
    style: String,
    made: u32,
}

impl Canvas {
    pub(super) fn new(prefix: &Prefix, detail: Detail) -> Self {
        Self {
            detail,
            prefix: prefix.0.clone(),
            defined: String::new(),
            shown: String::new(),
            style: String::new(),
            made: 0,
        }
    }

    /// Whether this is a picture to be read.
    pub(super) fn is_full(&self) -> bool {
        self.detail == Detail::Full
    }

    /// The full id for a name.
    pub(super) fn id(&self, name: &str) -> String {
        format!("{}-{name}", self.prefix)
    }

    /// An id that nothing else has.
    pub(super) fn fresh(&mut self) -> String {
        self.made += 1;
        self.id(&format!("n{}", self.made))
    }

    /// Adds something to be shown.
    pub(super) fn add(&mut self, svg: &str) {
        self.shown += svg;
    }

    /// Adds a definition.
    pub(super) fn define(&mut self, svg: &str) {
        self.defined += svg;
    }

    /// Adds rules of style.
    pub(super) fn rule(&mut self, css: &str) {
        self.style += css;
    }

    /// A gradient from left to right or, if `down`, from top to bottom, over the bounds of what it
    /// fills. Stops: place and opacity in thousandths, and the color. Gives the id.
    pub(super) fn linear(&mut self, down: bool, stops: &[(i64, &str, i64)]) -> String {
        let id = self.fresh();
        let direction = if down { " x2=\"0\" y2=\"1\"" } else { "" };
        self.defined +=
            &format!("<linearGradient id=\"{id}\"{direction}>{}</linearGradient>", written(stops));
        id
    }

    /// A gradient from a focus at thousandths of the bounds of what it fills. Gives the id.
    pub(super) fn radial(&mut self, focus: (i64, i64), stops: &[(i64, &str, i64)]) -> String {
        let id = self.fresh();
        self.defined += &format!(
            "<radialGradient id=\"{id}\" fx=\"{}\" fy=\"{}\" r=\".6\">{}</radialGradient>",
            Share(focus.0),
            Share(focus.1),
            written(stops)
        );
        id
    }

    /// Makes what a drawing shows into a group to be used by its id, which it gives.
    pub(super) fn group(&mut self, draw: impl FnOnce(&mut Self)) -> String {
        let before = self.shown.len();
        draw(self);
        let drawn = self.shown.split_off(before);
        let id = self.fresh();
        self.defined += &format!("<g id=\"{id}\">{drawn}</g>");
        id
    }

    /// The whole document. The view is left, top, width and height in pixels.
    pub(super) fn finish(self, view: [i64; 4], title: &str, description: &str) -> String {
        let (of_title, of_description) = (self.id("title"), self.id("desc"));
        let [left, top, width, height] = view;
        let style = if self.style.is_empty() {
            String::new()
        } else {
            format!("<style>{}</style>", self.style)
        };
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{left} {top} {width} {height}\" \
             width=\"{width}\" height=\"{height}\" role=\"img\" \
             aria-labelledby=\"{of_title} {of_description}\"><title id=\"{of_title}\">{title}\
             </title><desc id=\"{of_description}\">{description}</desc>{style}<defs>{}</defs>{}\
             </svg>\n",
            self.defined, self.shown
        )
    }
}

fn written(stops: &[(i64, &str, i64)]) -> String {
    let mut text = String::new();
    for &(place, color, opacity) in stops {
        text += &format!("<stop offset=\"{}\" stop-color=\"{color}\"", Share(place));
        if opacity < 1000 {
            text += &format!(" stop-opacity=\"{}\"", Share(opacity));
        }
        text += "/>";
    }
    text
}
