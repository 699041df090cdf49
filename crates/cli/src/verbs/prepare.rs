//! Bench arithmetic: `prepare`, `titer` and `screen`.

use std::io::Write as _;

use clap::{Args, Subcommand};
use crossread_core::Worksheet;
use crossread_core::prepare::{
    Available, Centimeters, Exact, Microliters, Percent, RevolutionsPerMinute, Stock, TimesG,
    Titer, Titration, change, dilution, donors_from_stock, donors_to_test, percent_of_drops, plan,
    plasma_to_cells, residual_plasma, revolutions_per_minute, suspension, times_g,
};
use crossread_core::words::{Grade, Phase};
use serde::Serialize;

use crate::exit::{self, Failure};
use crate::verbs::journal::{Shape, json, word};
use crate::{input, text};

/// Work out volumes, spin, ratios, and the whole plan for a worksheet.
#[derive(Debug, Args)]
pub(crate) struct Prepare {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, Subcommand)]
enum What {
    /// A red cell suspension.
    #[command(after_help = "Example: crossread prepare suspension --percent 4 --volume-ul 1000")]
    Suspension {
        /// How much of their volume the cells are, in percent: packed washed cells about 80 to
        /// 100, whole blood its PCV.
        #[arg(long, default_value = "100")]
        hematocrit: Percent,
        /// The suspension, in percent.
        #[arg(long)]
        percent: Percent,
        /// How much of it, in µL.
        #[arg(long)]
        volume_ul: Microliters,
    },
    /// Revolutions a minute and × g, one from the other.
    #[command(after_help = "Example: crossread prepare spin --radius-cm 10 --rpm 3000")]
    Spin {
        /// The rotor's radius in cm, from its axis to the tube's bottom.
        #[arg(long)]
        radius_cm: Centimeters,
        /// The speed, in revolutions a minute.
        #[arg(long, required_unless_present = "g", conflicts_with = "g")]
        rpm: Option<RevolutionsPerMinute>,
        /// The force, in × g.
        #[arg(long)]
        g: Option<TimesG>,
    },
    /// Drops as percent and µL.
    #[command(after_help = "Example: crossread prepare drops --cells 1 --saline 20 --drop-ul 40")]
    Drops {
        /// Drops of packed cells.
        #[arg(long)]
        cells: u32,
        /// Drops of saline.
        #[arg(long)]
        saline: u32,
        /// How much of their volume the cells are, in percent.
        #[arg(long, default_value = "100")]
        hematocrit: Percent,
        /// The volume of one drop of this dropper, in µL; droppers differ from 25 to 50.
        #[arg(long)]
        drop_ul: Microliters,
    },
    /// Parts of plasma to 1 part of packed cells.
    #[command(
        after_help = "Example: crossread prepare ratio --plasma-ul 50 --cells-ul 50 --percent 2"
    )]
    Ratio {
        /// Plasma in the mixture, in µL.
        #[arg(long)]
        plasma_ul: Microliters,
        /// Suspension in the mixture, in µL.
        #[arg(long)]
        cells_ul: Microliters,
        /// Cells in the suspension, in percent.
        #[arg(long)]
        percent: Percent,
    },
    /// Plasma that is left after saline replacement.
    #[command(
        after_help = "Example: crossread prepare residual --left-ul 10 --saline-ul 100 --times 2"
    )]
    Residual {
        /// Fluid that stays in the tube each time, in µL.
        #[arg(long)]
        left_ul: Microliters,
        /// Saline added each time, in µL.
        #[arg(long)]
        saline_ul: Microliters,
        /// How often.
        #[arg(long, default_value_t = 1)]
        times: u8,
    },
    /// The saline for a dilution of a mixture on a slide, for 1, 4, 9 and 49 parts or your own.
    #[command(after_help = "Example: crossread prepare dilution --mixture-ul 10 --parts 4")]
    Dilution {
        /// The mixture that is diluted, in µL.
        #[arg(long)]
        mixture_ul: Microliters,
        /// How much of it is plasma, in percent.
        #[arg(long, default_value = "50")]
        plasma_percent: Percent,
        /// Parts of saline to 1 part; may be given several times.
        #[arg(long, default_values_t = [1, 4, 9, 49])]
        parts: Vec<u32>,
    },
    /// The whole plan for a worksheet: mixtures in rack order, volumes, for how many donors the
    /// plasma is enough.
    #[command(
        after_help = "Example: crossread prepare plan worksheet.json --recipient-plasma-ul 300"
    )]
    Plan {
        /// The worksheet; it needs no readings. `-` is the standard input.
        file: String,
        /// The recipient's plasma, in µL.
        #[arg(long)]
        recipient_plasma_ul: Option<u32>,
        /// Plan the optional tests of the protocol too.
        #[arg(long)]
        optional_tests: bool,
        /// A local protocol that the worksheet may name; may be given several times.
        #[arg(long, value_name = "FILE")]
        protocol: Vec<String>,
        /// How to print.
        #[arg(long, value_enum, default_value_t = Shape::Text)]
        format: Shape,
    },
}

/// Work out a titration's titer and score, and whether a second one differs.
#[derive(Debug, Args)]
pub(crate) struct Titrate {
    /// The grades, from the first tube on.
    #[arg(required = true, value_parser = word::<Grade>)]
    grades: Vec<Grade>,
    /// The first tube is diluted 1 in so many; 1 is undiluted. Each next one is twice as much.
    #[arg(long, default_value_t = 1)]
    first: u32,
    /// The weakest grade that counts.
    #[arg(long, default_value = "1+", value_parser = word::<Grade>)]
    end_point: Grade,
    /// A second series of the same animal and the same dilutions, grades separated by commas.
    #[arg(long, value_delimiter = ',', value_parser = word::<Grade>)]
    then: Vec<Grade>,
    /// How to print.
    #[arg(long, value_enum, default_value_t = Shape::Text)]
    format: Shape,
}

/// Work out how many donors to test.
#[derive(Debug, Args)]
pub(crate) struct Screen {
    /// How many compatible donors are wanted.
    #[arg(long)]
    wanted: u32,
    /// The share of donors that is compatible, such as 0.2 or 1/5.
    #[arg(long, required_unless_present = "stock", conflicts_with = "stock")]
    share: Option<Exact>,
    /// A stock of so many donors, with --compatible of them compatible, instead of a share.
    #[arg(long, requires = "compatible")]
    stock: Option<u32>,
    /// How many of the stock are expected to be compatible.
    #[arg(long, requires = "stock")]
    compatible: Option<u32>,
    /// With at least this probability.
    #[arg(long, default_value = "0.95")]
    probability: Exact,
}

fn say(text: &str) -> Result<u8, Failure> {
    text::paragraph(&mut anstream::stdout().lock(), "", "  ", text)?;
    Ok(exit::RELEASABLE)
}

fn misuse(error: impl std::fmt::Display) -> Failure {
    Failure::misuse(error.to_string())
}

pub(crate) fn run(asked: &Prepare) -> Result<u8, Failure> {
    match &asked.what {
        What::Suspension { hematocrit, percent, volume_ul } => {
            let made = suspension(hematocrit, percent, volume_ul).map_err(misuse)?;
            let saline =
                made.saline_ul.map_or_else(String::new, |ul| format!(" and {ul} of saline"));
            say(&format!(
                "{} of cells ({hematocrit}){saline} make {volume_ul} of {percent}",
                made.cells_ul
            ))
        }
        What::Spin { radius_cm, rpm, g } => match (rpm, g) {
            (Some(rpm), _) => {
                let force = times_g(rpm, radius_cm).map_err(misuse)?;
                say(&format!("{rpm} at {radius_cm} are {force}"))
            }
            (None, Some(g)) => {
                let speed = revolutions_per_minute(g, radius_cm).map_err(misuse)?;
                say(&format!("{g} at {radius_cm} are {speed}"))
            }
            (None, None) => Err(Failure::misuse("give --rpm or --g")),
        },
        What::Drops { cells, saline, hematocrit, drop_ul } => {
            let percent = percent_of_drops(*cells, *saline, hematocrit).map_err(misuse)?;
            let drops = u64::from(*cells).saturating_add(u64::from(*saline));
            let volume: Exact = format!("{drops}").parse().map_err(misuse)?;
            let volume = volume.times(drop_ul.exact());
            say(&format!(
                "{cells} + {saline} drops make {percent}; at {drop_ul} a drop, {} µL",
                volume.rounded(1)
            ))
        }
        What::Ratio { plasma_ul, cells_ul, percent } => {
            let ratio = plasma_to_cells(plasma_ul, cells_ul, percent);
            say(&format!("{} parts of plasma to 1 part of packed cells", ratio.rounded(1)))
        }
        What::Residual { left_ul, saline_ul, times } => {
            let share = residual_plasma(left_ul, saline_ul, *times).map_err(misuse)?;
            say(&format!("{share} of the plasma are left"))
        }
        What::Dilution { mixture_ul, plasma_percent, parts } => {
            for parts in parts {
                let made = dilution(mixture_ul, plasma_percent, *parts).map_err(misuse)?;
                say(&format!(
                    "saline {parts} to 1: {} to {mixture_ul}; plasma is then {}",
                    made.saline_ul, made.plasma_percent
                ))?;
            }
            Ok(exit::RELEASABLE)
        }
        What::Plan { file, recipient_plasma_ul, optional_tests, protocol, format } => {
            let there = Available {
                recipient_plasma_ul: *recipient_plasma_ul,
                optional_tests: *optional_tests,
            };
            plan_of(file, there, protocol, *format)
        }
    }
}

fn plan_of(
    file: &str,
    there: Available,
    protocol: &[String],
    format: Shape,
) -> Result<u8, Failure> {
    let document = input::document(file)?;
    let protocols = input::protocols(protocol)?;
    let worksheet = Worksheet::from_json(&document, &protocols).map_err(|faults| {
        let name = input::name(file);
        let told = text::faults::write(&mut anstream::stderr().lock(), name, &document, &faults);
        let message = "there is no plan for a worksheet at fault";
        told.map_or_else(Failure::from, |()| Failure::new(exit::MALFORMED, message))
    })?;
    let named = worksheet.protocol();
    let protocol = protocols.get(&named.id, &named.version);
    let protocol = protocol.ok_or_else(|| Failure::new(exit::PROGRAM, "the protocol is gone"))?;
    let made = plan(&worksheet, protocol, there)
        .map_err(|error| Failure::new(exit::MALFORMED, error.to_string()))?;
    if format != Shape::Text {
        json(format, &made)?;
        return Ok(exit::RELEASABLE);
    }
    let mut out = anstream::stdout().lock();
    writeln!(out, "Mixtures in rack order")?;
    for mixture in &made.mixtures {
        let donor = mixture.donor.as_ref().map(|donor| format!(" of {donor}")).unwrap_or_default();
        let phases: Vec<_> = mixture.phases.iter().copied().map(Phase::spoken).collect();
        let fluid = if mixture.test.is_saline_control() { "saline" } else { "plasma" };
        let said = format!(
            "{:>3}  {}{donor}: {} µL of {fluid}, {} µL of cells; read {}",
            mixture.number,
            mixture.test.spoken(),
            mixture.fluid_ul,
            mixture.cells_ul,
            phases.join(", ")
        );
        text::paragraph(&mut out, "", "     ", &said)?;
    }
    writeln!(out, "Needed, without what stays in tips and tubes")?;
    for animal in &made.animals {
        let packed = animal.packed_cells_ul.as_ref();
        let packed = packed.map(|ul| format!(" ({} µL of packed cells)", ul.rounded(1)));
        let said = format!(
            "     {}: {} µL of plasma, {} µL of suspension{}",
            animal.animal,
            animal.plasma_ul,
            animal.suspension_ul,
            packed.unwrap_or_default()
        );
        text::paragraph(&mut out, "", "     ", &said)?;
    }
    if made.saline_ul > 0 {
        writeln!(out, "     saline: {} µL", made.saline_ul)?;
    }
    if let Some(plasma) = made.plasma() {
        text::paragraph(&mut out, "! ", "  ", &plasma)?;
    }
    Ok(exit::RELEASABLE)
}

#[derive(Serialize)]
struct Titrated {
    titer: Titer,
    titer_without_gap: Titer,
    score: u32,
    gap: bool,
    prozone: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    change: Option<crossread_core::prepare::Change>,
}

pub(crate) fn titer(asked: &Titrate) -> Result<u8, Failure> {
    let series = |grades: &[Grade]| {
        Titration::new(asked.first, grades.to_vec()).ok_or_else(|| {
            Failure::misuse(format!(
                "a series has 1 to {} tubes, and --first is at least 1",
                Titration::MOST_TUBES
            ))
        })
    };
    let first = series(&asked.grades)?;
    let end = asked.end_point;
    let then = if asked.then.is_empty() { None } else { Some(series(&asked.then)?) };
    let change = then.as_ref().and_then(|then| change(&first, then, end));
    let found = Titrated {
        titer: first.titer(end),
        titer_without_gap: first.titer_without_gap(end),
        score: first.score(),
        gap: first.has_gap(end),
        prozone: first.has_prozone(),
        change,
    };
    if asked.format != Shape::Text {
        json(asked.format, &found)?;
        return Ok(exit::RELEASABLE);
    }
    say(&format!("titer {} (end point {}), score {}", said(found.titer), end.word(), found.score))?;
    if found.gap {
        say(&format!(
            "! a tube before the end does not react (without the gap: {}): read it again",
            said(found.titer_without_gap)
        ))?;
    }
    if found.prozone {
        say(
            "! a later tube is stronger than the first: the first may be weak for too much antibody",
        )?;
    }
    if let (Some(then), Some(change)) = (then, found.change) {
        say(&format!("then titer {}, score {}", said(then.titer(end)), then.score()))?;
        let tubes = change.tubes.map_or_else(|| "unknown".to_owned(), |tubes| format!("{tubes:+}"));
        let counts = |counts: Option<bool>| match counts {
            Some(true) => "differs",
            Some(false) => "does not differ",
            None => "cannot be told",
        };
        say(&format!("tubes {tubes}, score {:+}", change.score))?;
        let or = counts(Some(change.by_three_tubes_or_ten_points));
        say(&format!("three tubes, or ten points: {or}"))?;
        say(&format!("two tubes, and ten points: {}", counts(change.by_two_tubes_and_ten_points)))?;
    }
    Ok(exit::RELEASABLE)
}

fn said(titer: Titer) -> String {
    match titer {
        Titer::NotReactive => "none, not reactive".to_owned(),
        Titer::Is(reciprocal) => reciprocal.to_string(),
        Titer::AtLeast(reciprocal) => format!("at least {reciprocal}"),
    }
}

pub(crate) fn screen(asked: &Screen) -> Result<u8, Failure> {
    let Screen { wanted, probability, .. } = asked;
    let donors = match (&asked.share, asked.stock, asked.compatible) {
        (Some(share), ..) => donors_to_test(*wanted, share, probability),
        (None, Some(of), Some(compatible)) => {
            donors_from_stock(*wanted, Stock { of, compatible }, probability)
        }
        _ => return Err(Failure::misuse("give --share, or --stock and --compatible")),
    };
    let donors = donors.map_err(misuse)?;
    say(&format!(
        "test {donors} donors to find {wanted} with a probability of at least {probability}"
    ))
}
