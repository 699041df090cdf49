//! How many cells of a microscope field lie in heaps, in stacks and by themselves.

use crossread_core::words::Grade;

use super::scene::{Field, Stacks};
use crate::chance::Chance;

/// Dog cells in a field without lysis.
const CELLS: i64 = 170;

/// How a grade gathers cells: the share in heaps in thousandths, the mean size of a heap in
/// thousandths, the smallest heap. `rough` and `micro` are single small heaps instead.
///
/// # Source
/// The words of the grades under the microscope in tube serology courses: 4+ one or few masses and
/// no free cell, 3+ large masses, 2+ clusters and free cells, 1+ small clusters among many free
/// cells, weak groups of 3 to 6 here and there. The numbers are choices; sizes fall evenly, the law
/// of clumping by chance encounters (Smoluchowski, from memory).
fn heaps(grade: Grade) -> (i64, u32, usize) {
    match grade {
        Grade::G0 | Grade::Rough | Grade::Micro => (0, 0, 0),
        Grade::W => (190, 4_200, 3),
        Grade::G1w => (340, 6_000, 3),
        Grade::G1 => (510, 8_000, 4),
        Grade::G1s => (620, 11_000, 5),
        Grade::G2w => (720, 15_000, 6),
        Grade::G2 => (810, 21_000, 8),
        Grade::G2s => (890, 34_000, 14),
        Grade::G3 => (950, 62_000, 32),
        Grade::G3s => (980, 115_000, 90),
        Grade::G4 => (1000, 240_000, 240),
    }
}

/// The sizes of heaps and stacks, and how many cells stay single.
#[derive(Debug)]
pub(super) struct Plan {
    pub(super) heaps: Vec<usize>,
    pub(super) stacks: Vec<usize>,
    pub(super) single: usize,
    pub(super) ghosts: i64,
}

pub(super) fn plan(chance: &mut Chance, scene: Field, diameter: i64) -> Plan {
    let Field { mixture, stacks, saline_replaced, .. } = scene;
    // Smaller cells lie closer: the same share of the field is covered.
    let full = CELLS * 1750 * 1750 / (diameter * diameter);
    let crowded = if stacks == Stacks::Many && !saline_replaced { 1500 } else { 1000 };
    let mut cells = full * crowded / 1000 * mixture.left() / 1000;
    let (share, mean, smallest) = heaps(mixture.grade);
    let mut sizes = match mixture.grade {
        Grade::Rough => vec![usize::try_from(chance.range(3, 4)).unwrap_or(3)],
        Grade::Micro => (0..3).map(|_| usize::try_from(chance.range(3, 5)).unwrap_or(3)).collect(),
        Grade::G0
        | Grade::W
        | Grade::G1w
        | Grade::G1
        | Grade::G1s
        | Grade::G2w
        | Grade::G2
        | Grade::G2s
        | Grade::G3
        | Grade::G3s
        | Grade::G4 => Vec::new(),
    };
    let reacting = if mixture.mixed_field { cells / 2 } else { cells };
    let in_heaps = if mixture.mixed_field {
        reacting * share.max(900) / 1000
    } else {
        reacting * share / 1000
    };
    let (mean, smallest) = if mixture.mixed_field {
        // Half of the cells cannot make heaps as large as all of them.
        (mean.clamp(15_000, 60_000), smallest.clamp(8, 40))
    } else {
        (mean, smallest)
    };
    gather(chance, &mut sizes, if share == 0 { 0 } else { in_heaps }, mean, smallest);
    let used: usize = sizes.iter().sum();
    if saline_replaced {
        // Some of the free cells go with the plasma.
        cells = cells * 60 / 100;
    }
    let free = (cells - i64::try_from(used).unwrap_or(0)).max(if saline_replaced { 12 } else { 0 });
    let free = if mixture.grade == Grade::G4 && !mixture.mixed_field { 0 } else { free };
    let mut rows = Vec::new();
    if !saline_replaced {
        let (share, mean) = match stacks {
            Stacks::None => (0, 0),
            Stacks::Few => (560, 5_000),
            Stacks::Many => (950, 11_000),
        };
        gather(chance, &mut rows, free * share / 1000, mean, 4);
    }
    let in_rows: usize = rows.iter().sum();
    Plan {
        heaps: sizes,
        stacks: rows,
        single: usize::try_from(free).unwrap_or(0).saturating_sub(in_rows),
        ghosts: full * (1000 - mixture.left()) / 1000 / 3,
    }
}

/// Adds groups until so many cells are in them.
fn gather(chance: &mut Chance, sizes: &mut Vec<usize>, cells: i64, mean: u32, smallest: usize) {
    let least = u32::try_from(smallest).unwrap_or(0).saturating_sub(1) * 1000;
    let mut left = usize::try_from(cells).unwrap_or(0);
    while left > 0 && smallest > 0 {
        let size = smallest - 1 + chance.geometric(mean.saturating_sub(least));
        // What is too little for one more group joins the last one.
        let size = if left < size + smallest { left.max(smallest) } else { size };
        sizes.push(size);
        left = left.saturating_sub(size);
    }
}
