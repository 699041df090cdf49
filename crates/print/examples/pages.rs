//! Writes every kind of page for a worksheet into a folder: `pages WORKSHEET FOLDER`.
#![expect(clippy::unwrap_used, reason = "an example stops at what it cannot do")]

use std::path::PathBuf;

use crossread_core::{Protocols, Worksheet, interpret};
use crossread_print::{Handover, Paper, Report, Sheet, html, labels, text};

fn main() {
    let mut arguments = std::env::args().skip(1);
    let document = std::fs::read(arguments.next().unwrap()).unwrap();
    let folder = PathBuf::from(arguments.next().unwrap());
    let protocols = Protocols::shipped();
    let worksheet = Worksheet::from_json(&document, protocols).unwrap();
    let named = worksheet.protocol();
    let protocol = protocols.get(&named.id, &named.version).unwrap();
    let interpretation = interpret(&worksheet, protocol);
    for (name, page) in [
        ("blank", Sheet::blank(&worksheet, protocol).document()),
        ("filled", Sheet::filled(&worksheet, protocol).document()),
        ("labels", labels(&worksheet, protocol).unwrap()),
        ("report", Report::new(&worksheet, &interpretation).document()),
        ("handover", Handover::default().document()),
    ] {
        std::fs::write(folder.join(format!("{name}.html")), html(&page, Paper::A4)).unwrap();
        std::fs::write(folder.join(format!("{name}.txt")), text(&page)).unwrap();
        #[cfg(feature = "pdf")]
        {
            let made = crossread_print::pdf(&page, Paper::A4, &crossread_print::Fonts::default());
            std::fs::write(folder.join(format!("{name}.pdf")), made.unwrap()).unwrap();
        }
    }
}
