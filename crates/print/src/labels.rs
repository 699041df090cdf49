//! Labels in rack order, each with a code that a scanner reads.

use crossread_core::prepare::rack;
use crossread_core::{Protocol, Worksheet};

use crate::Code;
use crate::document::{Block, Document};
use crate::sheet::named;

/// One label for each mixture, in the order of the worksheet's rows. The code of each holds the
/// worksheet's id, the number, the test and the donor's id, separated by spaces. `None` if an id is
/// too long for a code (over 2331 bytes).
///
/// ```standalone_crate
/// # use crossread_core::{Protocols, Worksheet};
/// # use crossread_print::{Block, labels};
/// # let document = include_bytes!("../../../examples/three-donors-compared/worksheet.json");
/// # let worksheet = Worksheet::from_json(document, Protocols::shipped())?;
/// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine");
/// # let dog = dog.ok_or("no such protocol")?;
/// // The recipient's control, and three majors.
/// let page = labels(&worksheet, dog).ok_or("an id is too long")?;
/// let Some(Block::Labels { labels }) = page.blocks.last() else { panic!("no labels") };
/// assert_eq!(labels.len(), 4);
/// assert!(labels[0].1.text.starts_with("WS-0144"));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
pub fn labels(worksheet: &Worksheet, protocol: &Protocol) -> Option<Document> {
    let recipient = &worksheet.recipient().animal;
    let mut labels = Vec::new();
    for (number, (test, donor)) in (1_u32..).zip(rack(worksheet, protocol, false)) {
        let donor = donor.and_then(|donor| worksheet.donors().get(donor));
        let mut lines = vec![format!("{number}  {}", test.spoken())];
        lines.push(format!("recipient {}", named(recipient)));
        if let Some(donor) = donor {
            let unit = donor.unit.as_ref().and_then(|unit| unit.number.as_ref());
            lines.push(format!("donor {}", named(&donor.animal)));
            lines.extend(unit.map(|number| format!("unit {number}")));
        }
        let of =
            donor.map_or_else(|| recipient.id.to_string(), |donor| donor.animal.id.to_string());
        let text = format!("{} {number} {} {of}", worksheet.id(), test.word());
        lines.push(text.clone());
        labels.push((lines, Code::of(&text)?));
    }
    let running = format!("Labels of worksheet {} for {}", worksheet.id(), named(recipient));
    Some(Document::new("Labels in rack order", &running, false, vec![Block::Labels { labels }]))
}
