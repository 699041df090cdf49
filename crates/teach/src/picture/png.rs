//! A picture as PNG.

use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree};

/// Why a picture could not be made into a PNG.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum CannotRender {
    /// It is not an SVG that can be drawn.
    #[error("not an SVG that can be drawn: {0}")]
    NotSvg(String),
    /// The width is 0 or over [`WIDEST`], or the height would be.
    #[error("width {0} px: expected 1 to {WIDEST}, and a height within the same bounds")]
    Size(u32),
    /// The picture could not be written as PNG.
    #[error("cannot be written as PNG: {0}")]
    NotWritten(String),
}

/// Greatest width and height of a PNG, in pixels.
pub const WIDEST: u32 = 8192;

/// An SVG of this module as PNG, `width` pixels wide.
///
/// No font is used, so it looks the same everywhere. Only the SVG is the same to the byte on every
/// machine; the renderer works in floats.
///
/// # Errors
/// If `svg` cannot be drawn, or `width` is 0 or over [`WIDEST`].
pub fn png(svg: &str, width: u32) -> Result<Vec<u8>, CannotRender> {
    let tree = Tree::from_str(svg, &Options::default())
        .map_err(|error| CannotRender::NotSvg(error.to_string()))?;
    let size = tree.size().to_int_size();
    let fits = |side: u32| (1..=WIDEST).contains(&side);
    let scaled = size
        .scale_to_width(width)
        .filter(|scaled| fits(scaled.width()) && fits(scaled.height()))
        .ok_or(CannotRender::Size(width))?;
    let mut pixels =
        Pixmap::new(scaled.width(), scaled.height()).ok_or(CannotRender::Size(width))?;
    let [from, to] = [size, scaled].map(|size| size.to_size());
    #[expect(clippy::float_arithmetic, reason = "the renderer works in floats")]
    let scale = Transform::from_scale(to.width() / from.width(), to.height() / from.height());
    resvg::render(&tree, scale, &mut pixels.as_mut());
    pixels.encode_png().map_err(|error| CannotRender::NotWritten(error.to_string()))
}
