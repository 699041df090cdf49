//! Every sample picture in all its forms, by name: shared by the tests and the example.

use crossread_teach::picture::{Picture, Prefix, samples};
use sha2::{Digest as _, Sha256};

/// The seed of the committed hashes.
pub(crate) const SEED: u64 = 42;

/// One SVG with its name and the prefix of its ids.
#[derive(Debug)]
pub(crate) struct Form {
    /// `icon-gel-2+` is the small form of `gel-2+`.
    pub(crate) name: String,
    /// The SVG.
    pub(crate) svg: String,
}

impl Form {
    /// SHA-256 of the SVG, in lower case.
    pub(crate) fn hash(&self) -> String {
        let mut hash = String::new();
        for byte in Sha256::digest(self.svg.as_bytes()) {
            hash += &format!("{byte:02x}");
        }
        hash
    }
}

/// Every sample and its forms.
pub(crate) fn forms() -> Vec<Form> {
    let mut list = Vec::new();
    for (number, (sample, picture)) in samples(SEED).into_iter().enumerate() {
        let mut add = |form: &str, draw: fn(&Picture, &Prefix) -> Option<String>| {
            let prefix = Prefix::new(&format!("p{number}{form}"));
            if let Some(svg) = prefix.and_then(|prefix| draw(&picture, &prefix)) {
                let name =
                    if form.is_empty() { sample.clone() } else { format!("{form}-{sample}") };
                list.push(Form { name, svg });
            }
        };
        add("", |picture, prefix| Some(picture.svg(prefix)));
        add("icon", |picture, prefix| Some(picture.icon(prefix)));
        if !sample.contains("settled") && !sample.contains("control") {
            add("moving", Picture::moving);
            add("stills", Picture::stills);
        }
    }
    list
}
