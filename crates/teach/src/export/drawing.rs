//! Whether a picture can be shown to students, and how large.

use roxmltree::{Attribute, Document, Node};

use super::shown::shown;

/// The longer side of every picture, in pixels: as PNG, and where an SVG is shown.
pub const LONGEST_SIDE: u32 = 640;

/// The namespace of SVG.
const SVG: &str = "http://www.w3.org/2000/svg";

/// Elements that run something or bring in something else.
const ACTIVE: [&str; 8] =
    ["script", "foreignObject", "iframe", "object", "embed", "audio", "video", "handler"];

/// Width and height in pixels; the longer one is [`LONGEST_SIDE`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Size {
    pub(super) width: u32,
    pub(super) height: u32,
}

/// The size at which the picture is shown, or why it is not.
///
/// A picture goes into the browsers of a whole class, so it may hold nothing that runs and nothing
/// that is fetched from elsewhere.
pub(super) fn size(svg: &str) -> Result<Size, String> {
    let document = Document::parse(svg)
        .map_err(|error| format!("expected an SVG, found XML that is at fault: {error}"))?;
    let root = document.root_element();
    if !root.has_tag_name((SVG, "svg")) {
        return Err(format!("expected an SVG, found {}", shown(root.tag_name().name())));
    }
    document.descendants().try_for_each(passive)?;
    let written = |name| side(root.attribute(name)?);
    let sides = written("width").zip(written("height")).or_else(|| {
        let mut view = root.attribute("viewBox")?.split([' ', ',']).filter(|part| !part.is_empty());
        let (width, height) = (view.nth(2)?, view.next()?);
        side(width).zip(side(height))
    });
    sides.and_then(|(width, height)| scaled(width, height)).ok_or_else(|| {
        "expected an SVG with a width and height in px, or a viewBox, found none above 0".to_owned()
    })
}

/// Nothing that runs, nothing from outside.
fn passive(node: Node<'_, '_>) -> Result<(), String> {
    if node.is_pi() {
        return Err("expected an SVG that stands alone, found a processing instruction".to_owned());
    }
    let name = node.tag_name().name();
    if ACTIVE.iter().any(|active| active.eq_ignore_ascii_case(name)) {
        return Err(format!("expected an SVG without anything that runs, found {}", shown(name)));
    }
    if name == "style" {
        let styles = node.descendants().filter_map(|inner| inner.text());
        styles.into_iter().try_for_each(inside)?;
    }
    node.attributes().try_for_each(|attribute| harmless(&attribute))
}

fn harmless(attribute: &Attribute<'_, '_>) -> Result<(), String> {
    let (name, value) = (attribute.name(), attribute.value());
    if name.get(..2).is_some_and(|on| on.eq_ignore_ascii_case("on")) {
        return Err(format!("expected an SVG without anything that runs, found {}", shown(name)));
    }
    if matches!(name, "href" | "src") && !value.trim_start().starts_with('#') {
        return Err(format!("expected an SVG that stands alone, found {}", shown(value)));
    }
    inside(value)
}

/// A style or a value that refers to the SVG itself only.
fn inside(value: &str) -> Result<(), String> {
    let folded = value.to_ascii_lowercase();
    let references = folded.split("url(").skip(1);
    let outside = references
        .map(|after| {
            after.trim_start_matches(|c: char| c.is_whitespace() || matches!(c, '"' | '\''))
        })
        .any(|target| !target.starts_with('#'));
    if outside || folded.contains("@import") || folded.contains("javascript:") {
        return Err(format!("expected an SVG that stands alone, found {}", shown(value)));
    }
    Ok(())
}

/// A length without a unit or in px, in thousandths; `None` if it is anything else.
fn side(written: &str) -> Option<u64> {
    let number = written.trim().trim_end_matches("px");
    let (whole, places) = number.split_once('.').unwrap_or((number, ""));
    let digits = |text: &str| text.chars().all(|c| c.is_ascii_digit());
    if whole.is_empty() || whole.len() > 6 || !digits(whole) || !digits(places) {
        return None;
    }
    let places: String = places.chars().chain("000".chars()).take(3).collect();
    format!("{whole}{places}").parse().ok()
}

/// The longer side at [`LONGEST_SIDE`], the other one in proportion, rounded, at least 1.
fn scaled(width: u64, height: u64) -> Option<Size> {
    let longest = u64::from(LONGEST_SIDE);
    let other = |long: u64, short: u64| -> Option<u32> {
        let rounded = short.checked_mul(longest)?.checked_add(long / 2)?.checked_div(long)?;
        u32::try_from(rounded.max(1)).ok()
    };
    if width == 0 || height == 0 {
        return None;
    }
    if width >= height {
        Some(Size { width: LONGEST_SIDE, height: other(width, height)? })
    } else {
        Some(Size { width: other(height, width)?, height: LONGEST_SIDE })
    }
}

#[cfg(test)]
mod tests {
    use rstest::rstest;

    use super::{Size, size};

    fn svg(attributes: &str, inside: &str) -> String {
        format!(r#"<svg xmlns="http://www.w3.org/2000/svg" {attributes}>{inside}</svg>"#)
    }

    #[rstest]
    #[case(r#"width="120" height="320""#, 240, 640)]
    #[case(r#"width="120px" height="60.0px""#, 640, 320)]
    #[case(r#"viewBox="0 0 300 300""#, 640, 640)]
    #[case(r#"viewBox="-5,-5, 30.5,61""#, 320, 640)]
    #[case(r#"width="100%" height="100%" viewBox="0 0 4 3""#, 640, 480)]
    #[case(r#"viewBox="0 0 90000 1""#, 640, 1)]
    fn the_longer_side_is_640(#[case] attributes: &str, #[case] width: u32, #[case] height: u32) {
        assert_eq!(size(&svg(attributes, "<path d='M0 0'/>")), Ok(Size { width, height }));
    }

    #[rstest]
    #[case("")]
    #[case(r#"width="0" height="5""#)]
    #[case(r#"width="3cm" height="5cm""#)]
    #[case(r#"width="-3" height="5""#)]
    #[case(r#"width="1e3" height="5""#)]
    #[case(r#"viewBox="0 0 5""#)]
    #[case(r#"width="99999999" height="5""#)]
    fn without_a_size_it_is_refused(#[case] attributes: &str) {
        assert!(size(&svg(attributes, "")).is_err_and(|fault| fault.contains("width and height")));
    }

    #[rstest]
    #[case("<script>a()</script>")]
    #[case("<SCRIPT/>")]
    #[case("<foreignObject/>")]
    #[case(r#"<g onclick="a()"/>"#)]
    #[case(r#"<image href="https://elsewhere.example/a.png"/>"#)]
    #[case(r#"<use xmlns:x="http://www.w3.org/1999/xlink" x:href="other.svg#a"/>"#)]
    #[case(r#"<g style="fill:url(https://elsewhere.example/)"/>"#)]
    #[case(r#"<rect fill="URL( 'other.svg#a')"/>"#)]
    #[case("<style>@import 'a.css';</style>")]
    #[case("<style>g{fill:url(//elsewhere.example)}</style>")]
    #[case(r#"<a href=" javascript:a()"/>"#)]
    #[case("<?xml-stylesheet href='a.css'?>")]
    fn what_runs_or_is_fetched_is_refused(#[case] inside: &str) {
        let fault = size(&svg(r#"width="1" height="1""#, inside)).unwrap_err();
        assert!(fault.contains("alone") || fault.contains("runs"), "{fault}");
    }

    #[rstest]
    #[case(r#"<rect fill="url(#a)"/>"#)]
    #[case(r#"<rect fill="url('#a')"/>"#)]
    #[case(r##"<use href="#a"/>"##)]
    #[case("<style>g{fill:url(#a)}</style>")]
    #[case("<title>A column</title>")]
    fn what_stays_inside_is_taken(#[case] inside: &str) {
        assert!(size(&svg(r#"width="1" height="1""#, inside)).is_ok());
    }

    #[rstest]
    #[case("", "XML that is at fault")]
    #[case("<svg", "XML that is at fault")]
    #[case("<!DOCTYPE svg [<!ENTITY a 'b'>]><svg/>", "XML that is at fault")]
    #[case("<svg width='1' height='1'/>", "found `svg`")]
    #[case("<html/>", "found `html`")]
    fn anything_else_is_refused(#[case] text: &str, #[case] said: &str) {
        assert!(size(text).is_err_and(|fault| fault.contains(said)));
    }
}
