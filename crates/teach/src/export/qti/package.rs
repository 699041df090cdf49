//! A content package: the manifest, the test, the items, the pictures.

use super::item::item;
use super::test::test;
use super::version::Version;
use crate::export::checked::Set;
use crate::export::identifier::{identifier, reserved};
use crate::export::refused::CannotExport;
use crate::export::xml::Tag;
use crate::export::zip::zip;

/// Where the test lies.
const TEST: &str = "test.xml";

/// Where the files of one item lie. Files are numbered, not named after ids: some file systems take
/// `Q1` and `q1` for the same.
struct Places {
    item: String,
    pictures: Vec<String>,
}

/// The package; `drawn` are the pictures of each item as the version holds them.
pub(super) fn package(
    version: Version,
    set: &Set<'_>,
    drawn: &[Vec<Vec<u8>>],
) -> Result<Vec<u8>, CannotExport> {
    let places: Vec<Places> = set
        .items
        .iter()
        .map(|item| Places {
            item: format!("items/{:04}.xml", item.which.number),
            pictures: (1..)
                .zip(&item.pictures)
                .map(|(at, _)| {
                    format!("pictures/{:04}-{at}.{}", item.which.number, version.ending())
                })
                .collect(),
        })
        .collect();
    let hrefs: Vec<String> = places.iter().map(|places| places.item.clone()).collect();
    let document = |tag: &Tag| tag.document().map_err(|error| CannotExport::not_written(&error));
    let mut files = vec![
        ("imsmanifest.xml".to_owned(), document(&manifest(version, set, &places))?),
        (TEST.to_owned(), document(&test(version, set, &hrefs))?),
    ];
    for ((asked, places), drawn) in set.items.iter().zip(&places).zip(drawn) {
        let sources: Vec<String> =
            places.pictures.iter().map(|place| format!("../{place}")).collect();
        files.push((places.item.clone(), document(&item(version, &set.title, asked, &sources))?));
        files.extend(places.pictures.iter().cloned().zip(drawn.iter().cloned()));
    }
    zip(&files).map_err(|error| CannotExport::not_written(&error))
}

fn manifest(version: Version, set: &Set<'_>, places: &[Places]) -> Tag {
    let (schema, number) = version.schema();
    let (test, item) = version.kinds();
    let ids: Vec<String> = set.items.iter().map(|item| identifier(&item.which.id)).collect();
    let file = |href: &str| Tag::new("file").with("href", href);
    let resource = |id: &str, kind: &str, href: &str| {
        Tag::new("resource")
            .with("identifier", id)
            .with("type", kind)
            .with("href", href)
            .tag(file(href))
    };
    let needed = ids.iter().map(|id| Tag::new("dependency").with("identifierref", id));
    let items = ids.iter().zip(places).map(|(id, places)| {
        resource(id, item, &places.item).tags(places.pictures.iter().map(|place| file(place)))
    });
    version
        .manifest(&format!("{}.{}", reserved("manifest"), identifier(&set.id)))
        .tag(
            Tag::new("metadata")
                .tag(Tag::new("schema").text(schema))
                .tag(Tag::new("schemaversion").text(number)),
        )
        .tag(Tag::new("organizations"))
        .tag(
            Tag::new("resources")
                .tag(resource(&reserved("test"), test, TEST).tags(needed))
                .tags(items),
        )
}
