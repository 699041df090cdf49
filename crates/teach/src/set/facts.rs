//! A run in words: everything that was written down, and, where it is not drawn, what was seen.

use crossread_core::document::{Text, Time};
use crossread_core::words::{Answer, Anticoagulant, Inspection, Phase, Recheck, SampleRole};
use crossread_core::worksheet::{Animal, Decision, Owner, Reading, Sample};
use crossread_core::{Protocol, Worksheet};

use super::WATERMARK;

/// What was written of a run but for its looks, a line each.
pub(super) fn written(worksheet: &Worksheet, protocol: &Protocol) -> Vec<String> {
    let mut lines = vec![format!(
        "{WATERMARK}. Worksheet {}, {}, by the rules {} {}",
        worksheet.id(),
        worksheet.method(),
        protocol.id(),
        protocol.version()
    )];
    let recipient = worksheet.recipient();
    let mut line = format!("Recipient {}", animal(&recipient.animal));
    if !recipient.incompatible_with.is_empty() {
        let ids = recipient.incompatible_with.iter().map(ToString::to_string);
        line.push_str(&format!("; incompatible before with {}", joined(ids)));
    }
    if !recipient.conditions.is_empty() {
        let ill = recipient.conditions.iter().map(|one| one.word().replace('_', " "));
        line.push_str(&format!("; known: {}", joined(ill)));
    }
    lines.push(line);
    for donor in worksheet.donors() {
        let unit = donor.unit.as_ref().map_or_else(String::new, |unit| {
            let number = unit.number.as_ref().map_or("", |number| number.as_str());
            let expires = unit
                .expires_on
                .map_or_else(|| "expiry not written".to_owned(), |day| format!("expires {day}"));
            format!("; unit {number}, {expires}, {}", inspected(unit.inspection))
        });
        lines.push(format!("Donor {}; {}{unit}", animal(&donor.animal), donor.product.spoken()));
    }
    lines.extend(worksheet.samples().iter().map(|of| sample(of, worksheet)));
    lines.push(setup(worksheet));
    let controls = worksheet.controls();
    let positive = controls
        .positive
        .map(|(expected, read)| format!("positive expected {expected}, read {}", read.word()));
    let negative = controls.negative.map(|read| format!("negative read {}", read.word()));
    let both: Vec<_> = positive.into_iter().chain(negative).collect();
    if !both.is_empty() {
        lines.push(format!("Reagent controls: {}", both.join("; ")));
    }
    lines
}

fn joined(parts: impl Iterator<Item = String>) -> String {
    parts.collect::<Vec<_>>().join(", ")
}

fn animal(animal: &Animal) -> String {
    let types = animal.types.iter().map(|of| {
        let on = of.on.map(|on| format!(" ({on})")).unwrap_or_default();
        format!("{} {}{on}", of.system, of.result)
    });
    let types =
        if animal.types.is_empty() { "types not written".to_owned() } else { joined(types) };
    let on = animal.last_transfused_on.map(|on| format!(" (last on {on})")).unwrap_or_default();
    format!(
        "{}: {}; {types}; transfused {}{on}, pregnant {}, transfusion reaction {}",
        animal.id,
        animal.species,
        past(animal.transfused),
        past(animal.pregnant),
        past(animal.reaction)
    ) + &decided(animal.decision.as_ref()).map(|said| format!("; {said}")).unwrap_or_default()
}

fn decided(decision: Option<&Decision>) -> Option<String> {
    let of = |text: &Option<Text>| text.as_ref().map(ToString::to_string).unwrap_or_default();
    decision.map(|said| format!("used by decision of {}: {}", of(&said.by), of(&said.reason)))
}

fn past(answer: Answer) -> &'static str {
    match answer {
        Answer::Never => "never",
        Answer::Yes => "yes",
        Answer::Unknown => "not known",
    }
}

fn inspected(inspection: Option<Inspection>) -> &'static str {
    match inspection {
        Some(Inspection::Normal) => "looks normal",
        Some(Inspection::Hemolyzed) => "looks hemolyzed",
        Some(Inspection::Discolored) => "looks discolored",
        Some(Inspection::Clotted) => "has clots",
        Some(Inspection::NotInspected) => "not inspected",
        None => "inspection not written",
    }
}

fn sample(sample: &Sample, worksheet: &Worksheet) -> String {
    let owner = match sample.of {
        Owner::Recipient => Some(&worksheet.recipient().animal.id),
        Owner::Donor(donor) => worksheet.donors().get(donor).map(|donor| &donor.animal.id),
    };
    let owner = owner.map(ToString::to_string).unwrap_or_default();
    let used = match sample.role {
        SampleRole::Plasma => "for its plasma",
        SampleRole::Cells => "for its cells",
        SampleRole::Both => "for plasma and cells",
    };
    let tube = sample.tube.map_or("tube not written", Anticoagulant::word);
    let drawn = sample.drawn_at.map_or_else(
        || "draw time not written".to_owned(),
        |at| format!("drawn {} {}", at.date(), minutes(at)),
    );
    let stored = sample.stored.map_or("storage not written", |stored| stored.word());
    let label = sample
        .label_id
        .as_ref()
        .map_or_else(|| "label not read".to_owned(), |label| format!("label says {label}"));
    let looks =
        [("hemolysis", sample.hemolysis), ("lipemia", sample.lipemia), ("icterus", sample.icterus)];
    let looks = looks.map(|(what, grade)| match grade {
        Some(grade) => format!("{what} {grade}"),
        None => format!("{what} not written"),
    });
    let mut parts = vec![tube.to_owned(), used.to_owned(), label, drawn, stored.to_owned()];
    parts.extend(looks);
    parts.extend(sample.clots.filter(|clots| *clots).map(|_| "CLOTS".to_owned()));
    parts.extend(sample.agglutinated.filter(|is| *is).map(|_| "the cells clump in it".to_owned()));
    parts.extend(decided(sample.decision.as_ref()));
    format!("Sample {} of {owner}: {}", sample.id, parts.join(", "))
}

fn setup(worksheet: &Worksheet) -> String {
    let setup = worksheet.setup();
    let mut parts = Vec::new();
    parts.extend(setup.cells_percent.map(|cells| format!("cell suspension {cells} %")));
    parts.extend(setup.washes.map(|washes| format!("washed {washes} times")));
    let volumes = setup.plasma_ul.zip(setup.cells_ul);
    parts
        .extend(volumes.map(|(plasma, cells)| format!("{plasma} µL plasma with {cells} µL cells")));
    for phase in Phase::ALL {
        parts.extend(
            setup
                .incubation(*phase)
                .map(|for_min| format!("incubated {for_min} min {}", phase.spoken())),
        );
    }
    parts.extend(
        setup.complement.map(|from| format!("complement: {}", from.word().replace('_', " "))),
    );
    for lot in &setup.lots {
        let what = lot.what.as_ref().map_or("", |what| what.as_str());
        let number = lot.number.as_ref().map_or("", |number| number.as_str());
        let expires = lot.expires_on.map_or_else(String::new, |day| format!(", expires {day}"));
        parts.push(format!("{what} lot {number}{expires}"));
    }
    if parts.is_empty() {
        parts.push("nothing written".to_owned());
    }
    format!("Setup: {}", parts.join("; "))
}

/// Hours and minutes as they were written.
fn minutes(at: Time) -> String {
    at.to_string().get(11..16).unwrap_or_default().to_owned()
}

/// Which mixture a look is of, and what was done to it before.
pub(super) fn mixture(reading: &Reading, worksheet: &Worksheet) -> String {
    let donor = reading.donor.and_then(|donor| worksheet.donors().get(donor));
    let donor = donor.map(|donor| format!(" of {}", donor.animal.id)).unwrap_or_default();
    let after = match reading.after {
        None => String::new(),
        Some(Recheck::SalineReplacement) => ", after saline replacement".to_owned(),
        Some(Recheck::Wash) => ", after washing".to_owned(),
        Some(Recheck::SalineDilution) => {
            let parts = reading.saline_parts.unwrap_or_default();
            format!(", diluted with {parts} parts of saline")
        }
    };
    format!("{}{donor} {}{after}", reading.test.spoken(), reading.phase.spoken())
}

/// Everything that was written of a look but for what is to be seen: when, how long after, by
/// whom, check cells, whether it was taken back.
pub(super) fn beside(reading: &Reading, worksheet: &Worksheet) -> String {
    let first = worksheet.readings().iter().map(|reading| reading.at.date()).min();
    let day = Some(reading.at.date()).filter(|day| Some(*day) != first);
    let day = day.map(|day| format!("{day} ")).unwrap_or_default();
    let mut parts = vec![format!("{day}{}", minutes(reading.at))];
    parts.push(reading.seconds.map_or_else(
        || "time since mixing or spin not written".to_owned(),
        |seconds| format!("after {seconds} s"),
    ));
    parts.extend(reading.by.as_ref().map(ToString::to_string));
    parts.extend(reading.check_cells.map(|grade| format!("check cells {grade}")));
    parts.extend(reading.retracted.as_ref().map(|taken| {
        let why = taken.reason.as_ref().map_or("", |why| why.as_str());
        format!("TAKEN BACK: {why}")
    }));
    parts.join(", ")
}

/// A look with what was seen, in a line.
pub(super) fn look(reading: &Reading, worksheet: &Worksheet) -> String {
    let mut seen = vec![reading.agglutination.word().to_owned()];
    seen.extend(reading.pattern.map(|pattern| pattern.word().to_owned()));
    if reading.mixed_field {
        seen.push("mixed field".to_owned());
    }
    seen.push(reading.hemolysis.map_or_else(
        || "hemolysis not read".to_owned(),
        |hemolysis| format!("hemolysis {hemolysis}"),
    ));
    if reading.dried {
        seen.push("edge dried".to_owned());
    }
    let artefacts = reading.artefacts.iter();
    seen.extend(artefacts.map(|artefact| artefact.word().replace('_', " ")));
    format!(
        "- {}: {}; {}",
        mixture(reading, worksheet),
        seen.join(", "),
        beside(reading, worksheet)
    )
}
