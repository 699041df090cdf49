//! The words of the trade that the project uses, each with what it means and who says so.
//!
//! ```
//! use crossread_core::glossary::{TERMS, find};
//!
//! let rouleaux = find("Rouleaux").ok_or("no such word")?;
//! assert!(rouleaux.meaning.contains("coins"));
//! assert!(TERMS.contains(rouleaux));
//! # Ok::<_, &str>(())
//! ```

/// One word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Term {
    /// The word, as a document or a person writes it.
    pub word: &'static str,
    /// What it means, in a sentence or two.
    pub meaning: &'static str,
    /// A published source, or "common practice".
    pub source: &'static str,
}

/// A word, whether it is written with spaces, hyphens or underscores, and in whichever case.
///
/// ```
/// # use crossread_core::glossary::find;
/// assert_eq!(find("Recipient auto"), find("recipient_auto"));
/// assert_eq!(find("dea-1").unwrap().word, "DEA 1");
/// assert_eq!(find("blood"), None);
/// ```
pub fn find(word: &str) -> Option<&'static Term> {
    let plain = |word: &str| word.to_lowercase().replace([' ', '-'], "_");
    let wanted = plain(word);
    TERMS.iter().find(|term| plain(term.word) == wanted)
}

const fn term(word: &'static str, meaning: &'static str, source: &'static str) -> Term {
    Term { word, meaning, source }
}

/// Every word, in order.
pub const TERMS: &[Term] = &[
    term(
        "DEA 1",
        "Dog erythrocyte antigen 1, the dog's most immunogenic blood group, a continuum \
         from negative to strong.",
        "Acierno MM, Raj K, Giger U, 2014, DEA 1 expression on dog erythrocytes, J Vet \
         Intern Med 28:592 (abstract read)",
    ),
    term(
        "Mik",
        "An antigen of most cats; cats without it may have a natural antibody against it.",
        "Weinstein NM et al., 2007, A newly recognized blood group in domestic shorthair \
         cats: the Mik red cell antigen, J Vet Intern Med 21:287 (abstract read)",
    ),
    term("absent", "Nobody looked at this mixture at this phase.", "common practice"),
    term(
        "added",
        "Complement that was added to the mixture, because the plasma itself brings none.",
        "common practice",
    ),
    term(
        "agglutination",
        "Cells held together in clumps by antibody.",
        "Cotter SM, 2019, Crossmatching in animals, Merck Veterinary Manual",
    ),
    term(
        "antiglobulin",
        "The phase in which washed cells meet an antibody against the species' globulin, so \
         that cells with a coat of antibody clump; it finds antibody that does not clump \
         cells by itself.",
        "Thomas-Hollands A et al., 2024, Evaluation of post-transfusion RBC \
         alloimmunization in dogs, J Vet Diagn Invest 36:213-221 (abstract read)",
    ),
    term(
        "artefact",
        "Something in the tube, column or slide that looks like a reaction or hides one, \
         such as a bubble, fibrin or a dried column.",
        "common practice",
    ),
    term(
        "autocontrol",
        "An animal's own plasma with its own washed cells, run beside the crossmatch and \
         read like it; a reaction there makes the reactions of that plasma or those cells \
         hard to interpret.",
        "Vap LM et al., 2012, ASVCP quality assurance guidelines (section 2.8, \
         crossmatching), Vet Clin Pathol 41:8",
    ),
    term("caveat", "An effect: the unit may be used if this is known.", "common practice"),
    term(
        "check cells",
        "Cells coated with antibody that are added to a negative antiglobulin tube; if they \
         clump, the antiglobulin was there and worked.",
        "AABB Technical Manual, from memory",
    ),
    term(
        "cold_4c",
        "The phase read at 4 °C. It finds harmless cold antibodies, so it is recorded and \
         does not decide by the rules that ship.",
        "common practice",
    ),
    term(
        "compatible",
        "A verdict: no reaction was found and nothing stands against it. It does not \
         promise that no reaction will come.",
        "Cotter SM, 2019, Crossmatching in animals, Merck Veterinary Manual",
    ),
    term(
        "compatible_with_caveats",
        "A verdict: no reaction that decides was found, and something must be known before use.",
        "common practice",
    ),
    term(
        "complement",
        "Proteins of fresh serum that, set off by antibody, break cells open. \
         Anticoagulants that bind calcium stop them.",
        "Bailey E, 1982, Prevalence of anti-red blood cell antibodies in the serum and \
         colostrum of mares, Am J Vet Res, from memory",
    ),
    term(
        "donor_auto",
        "The donor's plasma with the donor's own washed cells.",
        "Vap LM et al., 2012, ASVCP quality assurance guidelines (section 2.8, \
         crossmatching), Vet Clin Pathol 41:8",
    ),
    term(
        "donor_saline",
        "Saline with the donor's washed cells; it shows whether the cells clump or break by \
         themselves.",
        "common practice",
    ),
    term("doubtful", "A state: a reaction too weak or too doubtful to call.", "common practice"),
    term(
        "exposed",
        "Of an animal: it may have been sensitized by a transfusion, or where that counts a \
         pregnancy. Not knowing counts as exposed.",
        "common practice",
    ),
    term(
        "first look",
        "A reading of a mixture before anything else is done to it.",
        "common practice",
    ),
    term(
        "gel",
        "Reading in a column of gel, after centrifugation: clumps stay on top or on the \
         way, single cells reach the bottom.",
        "Villarnovo D et al., 2016, Preliminary evaluation of a gel tube agglutination \
         major cross-match method in dogs, Vet Clin Pathol (abstract read)",
    ),
    term("grade", "How strongly cells clump, in 13 levels from 0 to 4+.", "common practice"),
    term(
        "hemolysis",
        "Red cells broken open, which colors the fluid. In a mixture it is a reaction, \
         unless the fluid was red before.",
        "Silvestre-Ferreira AC, Pastor J, 2010, Feline neonatal isoerythrolysis and the \
         importance of feline blood types, Vet Med Int 2010:753726, table 5 (table and abstract \
         read, the rest cited from memory)",
    ),
    term("incompatible", "A verdict: do not give this unit.", "common practice"),
    term(
        "incomplete",
        "A verdict or effect: something needed was not read; finish reading.",
        "common practice",
    ),
    term(
        "incubation",
        "The time for which a mixture stands at its temperature before it is read.",
        "common practice",
    ),
    term(
        "indeterminate",
        "A verdict or effect: the readings are good but cannot be told apart; work it up.",
        "common practice",
    ),
    term(
        "invalid",
        "A verdict or effect: the reading or the run cannot be used; repeat.",
        "common practice",
    ),
    term(
        "least reactive",
        "Of several donors that all react, the one that reacts least. It is a ranking, \
         never a verdict.",
        "Petz LD, 2003, \"Least incompatible\" units for transfusion in autoimmune \
         hemolytic anemia, Transfusion 43:1503-1507, from memory",
    ),
    term("lysis", "Hemolysis that the mixture itself made.", "common practice"),
    term(
        "major",
        "The recipient's plasma with the donor's washed cells: would the recipient's \
         antibodies attack the cells that are given?",
        "Cotter SM, 2019, Crossmatching in animals, Merck Veterinary Manual",
    ),
    term("micro", "A grade: no clump by eye, few under the microscope.", "common practice"),
    term(
        "minor",
        "The donor's plasma with the recipient's washed cells: would the donor's antibodies \
         attack the recipient's own cells?",
        "Cotter SM, 2019, Crossmatching in animals, Merck Veterinary Manual",
    ),
    term(
        "mixed field",
        "Two populations of cells in one mixture, one clumped and one free. It is a flag \
         beside the grade, never a grade.",
        "common practice",
    ),
    term(
        "naive",
        "Of an animal: nothing is known by which it could have been sensitized, and the \
         questions were answered.",
        "common practice",
    ),
    term("negative", "A state or summary: no reaction.", "common practice"),
    term(
        "nonreactive",
        "A conclusion: no reaction, and the controls allow to say so.",
        "common practice",
    ),
    term(
        "not_read",
        "A summary or conclusion: a phase that must be read was not.",
        "common practice",
    ),
    term("note", "An effect: worth knowing; the verdict does not change.", "common practice"),
    term("packed_cells", "A product: red cells with a little plasma left.", "common practice"),
    term(
        "plasma",
        "A product without red cells; the plasma of a donor meets the recipient's cells.",
        "common practice",
    ),
    term(
        "protocol",
        "The local rules of a laboratory: thresholds and requirements, versioned, each with \
         its source.",
        "common practice",
    ),
    term("reactive", "A state, summary or conclusion: a reaction.", "common practice"),
    term(
        "reactive_cells",
        "A conclusion: a reaction that lies in the cells themselves.",
        "common practice",
    ),
    term(
        "recheck",
        "A reading of the same mixture after saline replacement, saline dilution or \
         washing. It stands beside the first look, never over it.",
        "common practice",
    ),
    term(
        "recipient_auto",
        "The recipient's plasma with the recipient's own washed cells.",
        "Vap LM et al., 2012, ASVCP quality assurance guidelines (section 2.8, \
         crossmatching), Vet Clin Pathol 41:8",
    ),
    term(
        "recipient_saline",
        "Saline with the recipient's washed cells; it shows whether the cells clump or \
         break by themselves.",
        "common practice",
    ),
    term("room", "The phase read at room temperature.", "common practice"),
    term("rough", "A grade: no clump by eye, rare ones under the microscope.", "common practice"),
    term(
        "rouleaux",
        "Cells stacked on their flat sides like coins. They look like clumps and are none: \
         plasma proteins make them, and saline in place of the plasma undoes them.",
        "Nova Scotia Community College, Transfusion Science (course book), saline replacement",
    ),
    term(
        "saline_dilution",
        "Saline added to a mixture, in parts of saline to one part of mixture, before it is \
         read again.",
        "Sun PL, Jeffery U, 2020, Effect of dilution of canine blood samples on the \
         specificity of saline agglutination tests, J Vet Intern Med 34:2374-2383 (abstract \
         read)",
    ),
    term(
        "saline_replacement",
        "The plasma of a mixture taken off after a spin and replaced by the same volume of \
         saline, before it is read again.",
        "Nova Scotia Community College, Transfusion Science (course book), saline replacement",
    ),
    term(
        "segment",
        "A closed piece of the unit's tubing with its blood, from which the unit is tested.",
        "common practice",
    ),
    term(
        "slide",
        "Reading on a slide or tile, within a few minutes and before the edge dries.",
        "common practice",
    ),
    term("suspension", "Washed cells in saline, by volume percent of cells.", "common practice"),
    term(
        "titer",
        "The reciprocal of the highest dilution that still gives the endpoint grade.",
        "common practice",
    ),
    term(
        "tube",
        "Reading in a tube: first the color of the fluid, then the button as it comes loose.",
        "common practice",
    ),
    term(
        "unread",
        "A state: looked at, but not for the hemolysis that the method asks for.",
        "common practice",
    ),
    term(
        "unresolved",
        "A conclusion: a reaction that the controls do not let anybody read.",
        "common practice",
    ),
    term(
        "verdict",
        "The answer for one donor. It is serology only; local rules and the veterinarian decide.",
        "common practice",
    ),
    term("void", "A state, summary or conclusion: looked at, and not usable.", "common practice"),
    term("w", "A grade: weak, tiny aggregates just visible.", "common practice"),
    term("warm_37c", "The phase read after incubation at 37 °C.", "common practice"),
    term(
        "wash",
        "Cells spun and taken up in fresh saline, to get rid of plasma.",
        "common practice",
    ),
    term("washed_cells", "A product: red cells with next to no plasma.", "common practice"),
    term("whole_blood", "A product: red cells and plasma as drawn.", "common practice"),
];

#[cfg(test)]
mod tests {
    use super::{TERMS, find};
    use crate::words::{Conclusion, Effect, Method, Phase, Product, State, Summary, Test, Verdict};

    #[test]
    fn terms_stand_once_and_in_order_with_a_source() {
        for two in TERMS.windows(2) {
            assert!(two[0].word < two[1].word, "{} before {}", two[0].word, two[1].word);
        }
        assert!(
            TERMS.iter().all(|term| !term.source.is_empty() && term.meaning.ends_with(['.', '?']))
        );
    }

    #[test]
    fn every_word_of_a_verdict_is_explained() {
        macro_rules! explained {
            ($($word:ident),*) => {
                $(for word in $word::ALL {
                    assert!(find(word.word()).is_some(), "{word} is not in the glossary");
                })*
            };
        }
        explained!(Conclusion, Effect, Method, Phase, Product, State, Summary, Test, Verdict);
    }

    #[test]
    fn spelling_does_not_matter() {
        assert_eq!(find("Saline replacement"), find("saline-replacement"));
        assert!(find("dea 1").is_some());
    }
}
