//! QTI content packages.

mod item;
mod package;
mod test;
mod version;

use self::package::package;
use self::version::Version;
use super::checked::{Picture, check};
use super::pictures::pngs;
use super::refused::CannotExport;
use crate::question::Question;

/// The set as a QTI 2.1 content package: a zip with its manifest, a test, one file an item, and the
/// pictures as PNG.
///
/// Scores and feedback of every choice go along. `CRITICAL` counts critical errors, an item's and
/// the test's; no system must make anything of it.
///
/// ```
/// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
/// # use lesson::*;
/// # use crossread_teach::export::qti21;
/// let package = qti21("A night's questions", "set1", &[question()])?;
/// // A zip, with the manifest that learning systems look for.
/// assert!(package.starts_with(b"PK"));
/// assert!(package.windows(15).any(|part| part == b"imsmanifest.xml"));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// If a question cannot be exported; all reasons at once. With pictures, without the feature `png`.
///
/// # Source
/// 1EdTech, IMS Question & Test Interoperability Information Model 2.1 and IMS Content Packaging
/// 1.1.4 (schema of the latter read, the former from memory).
pub fn qti21(title: &str, id: &str, questions: &[Question]) -> Result<Vec<u8>, CannotExport> {
    let set = check(title, id, questions)?;
    let mut reasons = Vec::new();
    let drawn = pngs(&set, &mut reasons);
    let drawn = CannotExport::unless(reasons, drawn)?;
    package(Version::V2p1, &set, &drawn)
}

/// The set as a QTI 3.0 content package: a zip with its manifest, a test, one file an item, and the
/// pictures as SVG.
///
/// Scores and feedback of every choice go along. `CRITICAL` counts critical errors, an item's and
/// the test's; no system must make anything of it.
///
/// ```
/// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
/// # use lesson::*;
/// # use crossread_teach::export::qti30;
/// let package = qti30("A night's questions", "set1", &[question()])?;
/// assert!(package.starts_with(b"PK"));
/// // The same questions give the same bytes.
/// assert_eq!(package, qti30("A night's questions", "set1", &[question()])?);
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// If a question cannot be exported; all reasons at once.
///
/// # Source
/// 1EdTech, QTI 3.0 information model (from memory) and its example packages (read).
pub fn qti30(title: &str, id: &str, questions: &[Question]) -> Result<Vec<u8>, CannotExport> {
    let set = check(title, id, questions)?;
    let svg = |picture: &Picture<'_>| picture.svg.as_bytes().to_vec();
    let drawn: Vec<Vec<_>> =
        set.items.iter().map(|item| item.pictures.iter().map(svg).collect()).collect();
    package(Version::V3p0, &set, &drawn)
}
