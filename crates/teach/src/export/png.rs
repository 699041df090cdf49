//! An SVG as PNG.

use png::{BitDepth, ColorType, Compression, Encoder};
use resvg::tiny_skia::{Color, Pixmap, Transform};
use resvg::usvg::{Options, Tree};
use roxmltree::Document;

use super::drawing::Size;

/// Draws the picture on white, or says why it cannot.
///
/// No font is ever looked for, so that no picture differs between machines. The compressor is that
/// of the PNG library itself: the general one may be another in another build.
pub(super) fn png(svg: &str, size: Size) -> Result<Vec<u8>, String> {
    let said = |error: &dyn std::fmt::Display| format!("cannot be drawn as PNG: {error}");
    let document = Document::parse(svg).map_err(|error| said(&error))?;
    if document.descendants().any(|node| node.tag_name().name() == "text") {
        return Err("expected letters drawn as paths, found a `text`: no font goes into PNG".into());
    }
    let tree = Tree::from_xmltree(&document, &Options::default()).map_err(|error| said(&error))?;
    let mut pixels = Pixmap::new(size.width, size.height)
        .ok_or_else(|| said(&format!("{} x {} pixels", size.width, size.height)))?;
    pixels.fill(Color::WHITE);
    resvg::render(&tree, fitted(&tree, &pixels), &mut pixels.as_mut());
    let opaque: Vec<u8> = pixels
        .data()
        .chunks_exact(4)
        .filter_map(|pixel| pixel.get(..3))
        .flatten()
        .copied()
        .collect();
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, size.width, size.height);
    encoder.set_color(ColorType::Rgb);
    encoder.set_depth(BitDepth::Eight);
    encoder.set_compression(Compression::Fast);
    let mut writer = encoder.write_header().map_err(|error| said(&error))?;
    writer.write_image_data(&opaque).map_err(|error| said(&error))?;
    writer.finish().map_err(|error| said(&error))?;
    Ok(bytes)
}

/// Fills the pixels with the drawing.
#[expect(
    clippy::float_arithmetic,
    clippy::as_conversions,
    clippy::cast_precision_loss,
    reason = "the renderer works in floats, and a side has at most 640 pixels"
)]
fn fitted(tree: &Tree, pixels: &Pixmap) -> Transform {
    let [width, height] = [pixels.width(), pixels.height()].map(|side| side as f32);
    Transform::from_scale(width / tree.size().width(), height / tree.size().height())
}
