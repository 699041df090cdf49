//! A document as PDF, without a browser.

use std::fmt::Write as _;

use thiserror::Error;
use typst::foundations::{Bytes, Dict, IntoValue as _};
use typst::text::Font;
use typst_as_lib::TypstEngine;
use typst_layout::PagedDocument;
use typst_pdf::PdfOptions;

use crate::document::{Document, Paper};

/// The layout. What is printed is handed in as data and never becomes part of it.
const LAYOUT: &str = include_str!("../templates/page.typ");

/// The fonts that a PDF is set in. Those of the system are never looked at, so that a document gives
/// the same bytes everywhere.
#[derive(Clone, Debug)]
pub struct Fonts(Vec<Font>);

impl Default for Fonts {
    /// The fonts that ship: Latin, Greek and Cyrillic letters.
    fn default() -> Self {
        let shipped = typst_assets::fonts().flat_map(|font| Font::iter(Bytes::new(font)));
        Self(shipped.collect())
    }
}

impl Fonts {
    /// These fonts and those of one more file, such as one for Chinese or Japanese names. `None` if
    /// it is no font.
    ///
    /// ```
    /// # use crossread_print::Fonts;
    /// assert!(Fonts::default().with(b"no font".to_vec()).is_none());
    /// ```
    #[must_use]
    pub fn with(mut self, file: Vec<u8>) -> Option<Self> {
        let before = self.0.len();
        self.0.extend(Font::iter(Bytes::new(file)));
        (self.0.len() > before).then_some(self)
    }

    /// The characters of a document that no font has.
    fn missing(&self, document: &Document) -> Vec<char> {
        let mut missing = Vec::new();
        for character in document.texts().iter().flat_map(|text| text.chars()) {
            let drawn = u32::from(character);
            let known = character.is_whitespace()
                || self.0.iter().any(|font| font.info().coverage.contains(drawn));
            if !known && !missing.contains(&character) {
                missing.push(character);
            }
        }
        missing
    }
}

/// Why there is no PDF.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum CannotTypeset {
    /// A character would be missing on the page.
    #[error("no font at hand has {}: give a font file that has them, or print the HTML page", listed(.0))]
    FontMissing(Vec<char>),
    /// The typesetter failed.
    #[error("the page could not be set: {0}")]
    Failed(String),
}

fn listed(characters: &[char]) -> String {
    let mut text = String::new();
    for character in characters {
        // Writing to a string cannot fail.
        write!(text, "{character} (U+{:04X}) ", u32::from(*character)).unwrap_or_default();
    }
    text.trim_end().to_owned()
}

/// The document as PDF: tagged, with numbered pages, the same bytes every time.
///
/// ```
/// # use crossread_print::{Block, CannotTypeset, Document, Fonts, Paper, pdf};
/// let named = |name: &str| {
///     let banner = Block::Banner { text: name.to_owned() };
///     Document::new("Unit U-5512", "", false, vec![banner])
/// };
/// assert!(pdf(&named("Clover"), Paper::A4, &Fonts::default())?.starts_with(b"%PDF-"));
/// // A letter that would be missing on the page is named instead.
/// let refused = pdf(&named("狸"), Paper::A4, &Fonts::default());
/// assert!(matches!(refused, Err(CannotTypeset::FontMissing(_))));
/// # Ok::<_, CannotTypeset>(())
/// ```
///
/// # Errors
/// If a character is in none of the fonts: nothing is left out silently.
pub fn pdf(document: &Document, paper: Paper, fonts: &Fonts) -> Result<Vec<u8>, CannotTypeset> {
    let missing = fonts.missing(document);
    if !missing.is_empty() {
        return Err(CannotTypeset::FontMissing(missing));
    }
    let data = serde_json::to_string(document);
    let data = data.map_err(|error| CannotTypeset::Failed(error.to_string()))?;
    let engine = TypstEngine::builder()
        .main_file(LAYOUT)
        .fonts(fonts.0.iter().map(|font| font.data().to_vec()))
        .build();
    let mut input = Dict::new();
    input.insert("document".into(), data.into_value());
    input.insert("paper".into(), paper.typst().into_value());
    let set = engine.compile_with_input::<_, PagedDocument>(input).output;
    let set = set.map_err(|error| CannotTypeset::Failed(format!("{error:?}")))?;
    typst_pdf::pdf(&set, &PdfOptions::default())
        .map_err(|errors| CannotTypeset::Failed(format!("{errors:?}")))
}
