//! The same set gives the same bytes, on every run and in every build.

use crossread_teach::export::{gift, items_csv, keys_csv, qti30};
use sha2::{Digest as _, Sha256};

use super::sample::{SET, TITLE, all, in_words};
use super::unpacked::files;

fn hash(bytes: &[u8]) -> String {
    let first = Sha256::digest(bytes).first_chunk().copied().unwrap();
    format!("{:016x}", u64::from_be_bytes(first))
}

/// A change here means that everybody's files change: say so in the changelog.
#[test]
fn what_holds_no_png_is_the_same_everywhere() {
    let found = [
        hash(&qti30(TITLE, SET, &all()).unwrap()),
        hash(&gift(TITLE, SET, &in_words()).unwrap()),
        hash(&items_csv(TITLE, SET, &all()).unwrap()),
        hash(&keys_csv(TITLE, SET, &all()).unwrap()),
    ];
    assert_eq!(
        found,
        ["c25fa2c0f50b209b", "c257f277ea05ead9", "b28aeddda5b4f86f", "2e8eb592e5c3e46f"]
    );
}

/// In debug and release builds, and whatever compressor another part of the build turned on.
#[cfg(all(feature = "png", target_arch = "x86_64"))]
#[test]
fn what_holds_png_is_the_same_in_every_build() {
    use crossread_teach::export::{moodle_xml, qti21};

    let found =
        [hash(&qti21(TITLE, SET, &all()).unwrap()), hash(&moodle_xml(TITLE, SET, &all()).unwrap())];
    assert_eq!(found, ["c1fc8385f7244f97", "f2861e02a7bc90fc"]);
}

#[test]
fn a_package_has_no_date_of_its_own() {
    let package = qti30(TITLE, SET, &all()).unwrap();
    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(&package)).unwrap();
    for at in 0..archive.len() {
        let file = archive.by_index(at).unwrap();
        let date = file.last_modified().unwrap();
        assert_eq!((date.year(), date.month(), date.day(), date.hour()), (1980, 1, 1, 0));
        assert_eq!(file.unix_mode(), Some(0o100_644));
    }
    let (names, _) = files(&package);
    assert_eq!(
        names,
        [
            "imsmanifest.xml",
            "test.xml",
            "items/0001.xml",
            "items/0002.xml",
            "items/0003.xml",
            "pictures/0003-1.svg",
            "pictures/0003-2.svg"
        ]
    );
}
