//! Simulated animals have the blood groups and antibodies that were published, within the error of
//! so many draws.

use crossread_core::words::{Method, Product, Species, System, TypeResult};
use crossread_teach::chance::{Chance, Purpose};
use crossread_teach::simulate::{
    Antigen, Assumptions, Blood, Difficulty, Origin, Setting, Truth, Values, simulate,
};

use crate::shared::protocol;

fn values() -> &'static Values {
    &Assumptions::shipped().expect("they ship").values
}

/// Whether a share in a million was met within four standard errors. The seed is fixed, so that
/// this never fails by chance.
fn near(what: &str, met: usize, of: usize, ppm: u64) {
    let [met, of] = [met, of].map(|count| u64::try_from(count).expect("small"));
    let expected = of * ppm / 1_000_000;
    let variance = of * ppm / 1_000_000 * (1_000_000 - ppm) / 1_000_000;
    let error = 4 * variance.isqrt() + 1;
    assert!(
        met.abs_diff(expected) <= error,
        "{what}: {met} of {of}, expected {expected} ± {error}"
    );
    assert!(expected > 5, "{what}: too few of {of} to tell");
}

fn herd(species: Species) -> Vec<Blood> {
    let mut chance = Chance::new(2026, 0, Purpose::Case);
    (0..20_000).map(|_: u32| Blood::draw(species, values(), &mut chance)).collect()
}

fn with(herd: &[Blood], antigen: Antigen) -> usize {
    herd.iter().filter(|blood| blood.has(antigen)).count()
}

/// # Source
/// Medina Valentin and others 2017 (DEA 1, 61.2 %), Proverbio and others 2020 (DEA 7, 13.4 %; Dal,
/// 7 of 320 without), Ebelt and others 2020 (Kai 1, 96.6 %; Kai 2, 2.9 %; never both).
#[test]
fn dogs() {
    let herd = herd(Species::Dog);
    for (antigen, ppm) in [
        (Antigen::Dea1, 612_000),
        (Antigen::Dea7, 134_000),
        (Antigen::Dal, 978_000),
        (Antigen::Kai1, 966_000),
        (Antigen::Kai2, 29_000),
    ] {
        near(&format!("{antigen:?}"), with(&herd, antigen), herd.len(), ppm);
    }
    assert!(!herd.iter().any(|blood| blood.has(Antigen::Kai1) && blood.has(Antigen::Kai2)));
    // Hardy and Weinberg: of 38.8 % without, the allele without has the frequency 0.6229, and one
    // copy 2 × 0.6229 × 0.3771 = 46.98 %; calculated.
    let one = herd.iter().filter(|blood| blood.copies.get(&Antigen::Dea1) == Some(&1)).count();
    near("one copy of DEA 1", one, herd.len(), 469_800);
}

/// # Source
/// Nectoux and others 2019 (83.7, 14.4 and 1.9 % of 320 cats), Binvel and others 2021 (FEA 1, 84 %).
#[test]
fn cats() {
    let herd = herd(Species::Cat);
    for (result, ppm) in
        [(TypeResult::A, 837_000), (TypeResult::B, 144_000), (TypeResult::Ab, 19_000)]
    {
        let typed = herd.iter().filter(|blood| blood.typed(System::Ab) == Some(result)).count();
        near(result.word(), typed, herd.len(), ppm);
    }
    near("FEA 1", with(&herd, Antigen::Fea1), herd.len(), 840_000);
}

/// # Source
/// Cho and Kim 2000 (Aa, 91.7 %; Qa, 82.6 %), Proverbio and others 2020 (Ca, 79.1 %).
#[test]
fn horses() {
    let herd = herd(Species::Horse);
    for (antigen, ppm) in [(Antigen::Aa, 917_000), (Antigen::Ca, 791_000), (Antigen::Qa, 826_000)] {
        near(&format!("{antigen:?}"), with(&herd, antigen), herd.len(), ppm);
    }
}

/// So many cases of 24 donors each, which were never transfused.
fn cases(species: Species, count: u32) -> Vec<Truth> {
    let setting = Setting {
        species,
        method: Method::Tube,
        donors: 24,
        product: Product::PackedCells,
        difficulty: Difficulty::Easy,
    };
    let case =
        |number| simulate(7, number, &setting, protocol(species), values()).expect("a case").truth;
    (0..count).map(case).collect()
}

/// # Source
/// Spada and others 2016: 73 of 317 dogs without DEA 7 had anti-DEA 7, none of which hemolyzed,
/// and the titer was below 2 in 73 %, at most 8.
#[test]
fn natural_antibodies_of_dogs() {
    let cases = cases(Species::Dog, 250);
    let donors: Vec<_> = cases.iter().flat_map(|case| &case.donors).collect();
    let without: Vec<_> = donors.iter().filter(|dog| !dog.blood.has(Antigen::Dea7)).collect();
    let anti: Vec<_> = without
        .iter()
        .flat_map(|dog| &dog.antibodies)
        .filter(|one| one.against == Some(Antigen::Dea7))
        .collect();
    near("anti-DEA 7", anti.len(), without.len(), 230_000);
    assert!(anti.iter().all(|one| !one.lytic && (0..=3).contains(&one.titer)));
    let neat = anti.iter().filter(|one| one.titer == 0).count();
    near("undiluted only", neat, anti.len(), 730_000);
    let dea1 = |one: &&crossread_teach::simulate::Antibody| one.against == Some(Antigen::Dea1);
    assert!(donors.iter().flat_map(|dog| &dog.antibodies).find(dea1).is_none(), "never natural");
}

/// # Source
/// Animals 2020;10:1129 (94.1 % of type B cats have anti-A), Binvel and others 2021 (16.7 % of cats
/// without FEA 1 and 5.1 % of those with it have a natural antibody outside the AB system; 3.9 % of
/// random pairs are incompatible by them).
#[test]
fn natural_antibodies_of_cats() {
    let cases = cases(Species::Cat, 250);
    let donors: Vec<_> = cases.iter().flat_map(|case| &case.donors).collect();
    let type_b: Vec<_> = donors.iter().filter(|cat| !cat.blood.has(Antigen::CatA)).collect();
    let has = |cat: &crossread_teach::simulate::AnimalTruth, against: Antigen| {
        cat.antibodies.iter().any(|one| one.against == Some(against))
    };
    let anti_a = type_b.iter().filter(|cat| has(cat, Antigen::CatA)).count();
    near("anti-A", anti_a, type_b.len(), 941_000);
    let other = |cat: &crossread_teach::simulate::AnimalTruth| {
        has(cat, Antigen::Fea1) || has(cat, Antigen::CatOther)
    };
    let (with, without): (Vec<_>, Vec<_>) =
        donors.iter().copied().partition(|cat| cat.blood.has(Antigen::Fea1));
    near("without FEA 1", without.iter().filter(|cat| other(cat)).count(), without.len(), 167_000);
    near("with FEA 1", with.iter().filter(|cat| other(cat)).count(), with.len(), 51_000);
    // Each donor with the next one.
    let pairs: Vec<_> = donors.windows(2).collect();
    let incompatible = pairs.iter().filter(|pair| {
        let meets = |antigen| has(pair[0], antigen) && pair[1].blood.has(antigen);
        meets(Antigen::Fea1) || meets(Antigen::CatOther)
    });
    near("random pairs", incompatible.count(), pairs.len(), 39_000);
}

/// # Source
/// Tizard 2018: about 10 % of horses have a natural antibody.
#[test]
fn natural_antibodies_of_horses() {
    let cases = cases(Species::Horse, 250);
    let donors: Vec<_> = cases.iter().flat_map(|case| &case.donors).collect();
    let natural = donors
        .iter()
        .filter(|horse| horse.antibodies.iter().any(|one| one.origin == Origin::Natural));
    near("natural antibody", natural.count(), donors.len(), 100_000);
}

/// # Source
/// Pre- and post-transfusion alloimmunization study in dogs: 11 of 25 transfused dogs.
#[test]
fn transfused_dogs() {
    let setting = Setting {
        species: Species::Dog,
        method: Method::Tube,
        donors: 1,
        product: Product::PackedCells,
        difficulty: Difficulty::Easy,
    };
    let case = |number| {
        simulate(7, number, &setting, protocol(Species::Dog), values()).expect("a case").truth
    };
    let recipients: Vec<_> = (0..4000).map(|number| case(number).recipient).collect();
    let transfused: Vec<_> = recipients.iter().filter(|dog| dog.transfused).collect();
    near("transfused", transfused.len(), recipients.len(), 300_000);
    // A dog that lacks none of the antigens cannot make an antibody against any.
    let lacks = |blood: &Blood| {
        [Antigen::Dea1, Antigen::Dal, Antigen::Kai1, Antigen::Dea7, Antigen::Dea5]
            .iter()
            .any(|antigen| !blood.has(*antigen))
    };
    let concerned: Vec<_> = transfused.iter().filter(|dog| lacks(&dog.blood)).collect();
    let immune = concerned
        .iter()
        .filter(|dog| dog.antibodies.iter().any(|one| one.origin == Origin::Immune));
    near("immune", immune.count(), concerned.len(), 440_000);
    let never = recipients.iter().filter(|dog| !dog.transfused);
    assert!(never.flat_map(|dog| &dog.antibodies).all(|one| one.origin != Origin::Immune));
}

/// A harder exercise shows the same animals, with more mistakes.
#[test]
fn difficulty_scales_mistakes_and_leaves_the_animals() {
    let count = |difficulty| {
        let setting = Setting {
            species: Species::Dog,
            method: Method::Tube,
            donors: 2,
            product: Product::WholeBlood,
            difficulty,
        };
        let case = |number| {
            simulate(3, number, &setting, protocol(Species::Dog), values()).expect("a case").truth
        };
        let cases: Vec<_> = (0..300).map(case).collect();
        let mistakes: usize = cases.iter().map(|case| case.mistakes.len()).sum();
        (mistakes, cases.into_iter().map(|case| case.recipient.blood).collect::<Vec<_>>())
    };
    let (easy, animals) = count(Difficulty::Easy);
    let (usual, same) = count(Difficulty::Usual);
    let (hard, again) = count(Difficulty::Hard);
    assert_eq!(easy, 0);
    assert!(usual > 100 && hard > usual * 2 && hard < usual * 4, "{usual}, {hard}");
    assert_eq!(animals, same);
    assert_eq!(animals, again);
}
