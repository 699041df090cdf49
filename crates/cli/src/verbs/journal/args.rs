//! The words of `crossread journal`.

use clap::{Args, Subcommand, ValueEnum};
use crossread_core::care::{Check, Sign};
use crossread_core::document::{Date, Id, Text, Time, Whole};
use crossread_core::prepare::{Celsius, Milliliters, Pcv};
use crossread_core::words::{
    Agglutination, Artefact, Grade, Hemolysis, Pattern, Phase, Product, Recheck, System, Test,
    TypeResult,
};

use crate::verbs::transfusion::Figures;

/// Keep the record: who saw what, when, and why the animal got that unit.
#[derive(Debug, Args)]
pub(crate) struct Journal {
    #[command(subcommand)]
    pub(super) what: What,
}

/// Where the journal lies, and how to print.
#[derive(Debug, Args)]
pub(crate) struct At {
    /// The journal: a file, or the URL of a database (postgres://…).
    #[arg(short, long, value_name = "PLACE")]
    pub(crate) journal: String,
    /// How to print.
    #[arg(long, value_enum, default_value_t = Shape::Text)]
    pub(crate) format: Shape,
}

/// Where the journal lies, and who writes in it.
#[derive(Debug, Args)]
pub(super) struct By {
    #[command(flatten)]
    pub(super) at: At,
    /// Who writes: a name or initials that mean one person here.
    #[arg(long = "by", value_name = "NAME")]
    pub(super) name: String,
    /// The time of writing in place of the clock's, for trying things out.
    #[arg(long, value_name = "TIME", value_parser = time, hide = true)]
    pub(super) now: Option<Time>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Shape {
    /// For people.
    Text,
    /// JSON, one document.
    Json,
    /// JSON without line breaks; of a list, each on a line of its own.
    Ndjson,
}

#[derive(Debug, Subcommand)]
pub(super) enum What {
    /// Make a new journal.
    #[command(
        after_help = "Example: crossread journal init -j night.journal --by KT \"Brindlemoor Animal Hospital\""
    )]
    Init(Init),
    /// Open a worksheet for a recipient; what the journal knows of it is shown first.
    #[command(
        after_help = "FILE holds a JSON object: worksheet (its id), protocol, method, recipient, and where \
                            needed request, second_reader, override.\n\n\
                            Example: crossread journal open -j night.journal --by KT opening.json"
    )]
    Open(Open),
    /// Take over a whole worksheet that was written on paper or by another program.
    #[command(
        after_help = "Example: crossread journal take -j night.journal --by KT worksheet.json"
    )]
    Take(Take),
    /// Add a sample, a donor, the setup or the reagents' controls to a worksheet.
    #[command(
        after_help = "Example: crossread journal add -j night.journal --by KT WS-0142 donor donor.json"
    )]
    Add(Add),
    /// Enter a reading, as it is seen.
    #[command(
        after_help = "Example: crossread journal enter -j night.journal --by KT WS-0142 major D-091 warm_37c 2+ --hemolysis 0"
    )]
    Enter(Enter),
    /// Write a note on a worksheet.
    #[command(
        after_help = "Example: crossread journal note -j night.journal --by KT WS-0142 \"called away 03:10\""
    )]
    Note(Note),
    /// Take an entry back and write another in its place.
    #[command(
        after_help = "A reading is amended with the options of `enter`. What the old one holds is said again, or \
                            said not to be so: nothing of it is taken over, and nothing is dropped unsaid. \
                            Anything else is amended with a FILE as for `add`.\n\n\
                            Example: crossread journal amend -j night.journal --by KT 17 --reason \"wrong row\" --grade 0 --hemolysis 0"
    )]
    Amend(Amend),
    /// Take an entry back. It stays on the record.
    #[command(
        after_help = "Example: crossread journal retract -j night.journal --by KT 17 --reason \"wrong tube\""
    )]
    Retract(Retract),
    /// Type the last four characters of a unit's number again, at its segment.
    #[command(
        after_help = "Example: crossread journal segment -j night.journal --by KT WS-0142 D-091 5512"
    )]
    Segment(Segment),
    /// Show first readings before the second reader has entered, and say why.
    #[command(
        after_help = "Example: crossread journal unblind -j night.journal --by KT WS-0142 --reason \"nobody else is here\""
    )]
    Unblind(Unblind),
    /// Issue what a worksheet comes to, to a person.
    #[command(
        after_help = "Example: crossread journal issue -j night.journal --by KT WS-0142 --to \"Dr Vane\""
    )]
    Issue(Issue),
    /// Write down that an issued interpretation was given to one more person.
    #[command(
        after_help = "Example: crossread journal hand -j night.journal --by KT WS-0142 --to \"Dr Orr\""
    )]
    Hand(Issue),
    /// Release a unit; with --emergency, before its crossmatch is completed.
    #[command(
        after_help = "Example: crossread journal release -j night.journal --by KT WS-0142 D-091 --to LM \
                            --veterinarian \"Dr Vane\" --recipient-ends 3107 --unit-ends 5512"
    )]
    Release(Release),
    /// Write down that a released unit came back unused.
    #[command(
        after_help = "Example: crossread journal return -j night.journal --by KT 31 --reason \"not needed, kept cold\""
    )]
    Return(Retract),
    /// Write down that a released unit is spiked, with every check and the baseline.
    #[command(
        allow_negative_numbers = true,
        after_help = "Example: crossread journal start -j night.journal --by KT WS-0142 31 --weight-kg 20 \
                            --pcv-now 15 --pcv-target 25 --product-pcv 60 --ordered-ml 300 \
                            --yes release,identity,inspected,not_too_warm,filter,own_line,no_calcium,baseline \
                            --temperature-c 38.5 --recipient-ends 3107 --unit-ends 5512"
    )]
    Start(Box<Start>),
    /// Write down what is seen while a unit runs.
    #[command(
        allow_negative_numbers = true,
        after_help = "Example: crossread journal observe -j night.journal --by KT WS-0142 32 --temperature-c 38.6 --heart 110"
    )]
    Observe(Observe),
    /// Write down that a unit has run in, was stopped, or that the animal reacted to it, also later.
    #[command(
        allow_negative_numbers = true,
        after_help = "Example: crossread journal end -j night.journal --by KT WS-0142 32 --ml 40 --reaction \"vomited, 40.1 °C\""
    )]
    End(End),
    /// Write down the PCV after a transfusion.
    #[command(
        allow_negative_numbers = true,
        after_help = "Example: crossread journal outcome -j night.journal --by KT WS-0142 32 24 22"
    )]
    Outcome(Outcome),
    /// List the units that run: what look was missed, when the next one is due.
    #[command(after_help = "Example: crossread journal running -j night.journal")]
    Running(Running),
    /// Write down that an animal was transfused.
    #[command(
        after_help = "Example: crossread journal transfused -j night.journal --by KT R-3107 packed_cells --donor D-091"
    )]
    Transfused(Transfused),
    /// Write down that an animal reacted to a transfusion.
    #[command(
        after_help = "Example: crossread journal reaction -j night.journal --by KT R-3107 \"fever, 40.1 °C\" --unit U-5512"
    )]
    Reaction(Reaction),
    /// Write down a blood type; with --settled-by, settle a disagreement.
    #[command(
        after_help = "Example: crossread journal typed -j night.journal --by KT R-3107 \"DEA 1\" negative --settled-by S-9"
    )]
    Typed(Typed),
    /// Test a pair again after a reaction, on a new worksheet.
    #[command(
        after_help = "Example: crossread journal retest -j night.journal --by KT WS-0150 --of WS-0142 --donor D-091 --sample after_transfusion"
    )]
    Retest(Retest),
    /// Compare identifiers as they were read off with the record.
    #[command(
        after_help = "READ is PLACE:WHAT=AS READ; PLACE is request, sample, unit or report; WHAT is recipient, \
                            `recipient name`, unit, donor or worksheet.\n\n\
                            Example: crossread journal clerical -j night.journal --by KT WS-0142 D-091 unit:unit=U-5521 request:recipient=R-3107"
    )]
    Clerical(Clerical),
    /// Close a task: it was done, or the person was told.
    #[command(
        after_help = "Example: crossread journal done -j night.journal --by KT 40 \"told by phone 06:10\""
    )]
    Done(Done),
    /// List the worksheets that are not finished.
    #[command(after_help = "Example: crossread journal list -j night.journal")]
    List(List),
    /// Show a worksheet: its entries, what it comes to today, and what was issued.
    #[command(after_help = "Example: crossread journal show -j night.journal WS-0142")]
    Show(Show),
    /// Show what is known of an animal.
    #[command(after_help = "Example: crossread journal animal -j night.journal R-3107")]
    Animal(Animal),
    /// Find worksheets.
    #[command(
        after_help = "Example: crossread journal search -j night.journal --name munchen --verdict incompatible"
    )]
    Search(Search),
    /// Put a pair on two worksheets side by side.
    #[command(
        after_help = "Example: crossread journal compare -j night.journal WS-0142 WS-0150 D-091"
    )]
    Compare(Compare),
    /// List every unit of a donor and where it went.
    #[command(after_help = "Example: crossread journal units -j night.journal D-091")]
    Units(Animal),
    /// List the tasks that are open.
    #[command(after_help = "Example: crossread journal tasks -j night.journal")]
    Tasks(Plain),
    /// List the worksheets whose last entry is older than a day.
    #[command(after_help = "Example: crossread journal old -j night.journal --before 2016-01-01")]
    Old(Old),
    /// Look at every entry: is it as it was written?
    #[command(after_help = "Example: crossread journal verify -j night.journal")]
    Verify(Verify),
    /// Write every entry as a line (NDJSON).
    #[command(after_help = "Example: crossread journal export -j night.journal > night.ndjson")]
    Export(Plain),
    /// Take over an export into a new journal.
    #[command(after_help = "Example: crossread journal import -j copy.journal night.ndjson")]
    Import(Import),
}

#[derive(Debug, Args)]
pub(super) struct Plain {
    #[command(flatten)]
    pub(super) at: At,
}

#[derive(Debug, Args)]
pub(super) struct Init {
    #[command(flatten)]
    pub(super) by: By,
    /// Whose journal it is, such as the hospital's name.
    pub(super) of: String,
}

#[derive(Debug, Args)]
pub(super) struct Open {
    #[command(flatten)]
    pub(super) by: By,
    /// The file; `-` is the standard input.
    pub(super) file: String,
    /// I have seen the warnings and take note of them, by the name of who writes.
    #[arg(long)]
    pub(super) acknowledge: bool,
    /// A local protocol that the worksheet may name; may be given several times.
    #[arg(long, value_name = "FILE")]
    pub(super) protocol: Vec<String>,
}

#[derive(Debug, Args)]
pub(super) struct Take {
    #[command(flatten)]
    pub(super) by: By,
    /// The worksheet, as `interpret` takes it; `-` is the standard input.
    pub(super) file: String,
    /// I have seen the warnings and take note of them, by the name of who writes.
    #[arg(long)]
    pub(super) acknowledge: bool,
    #[command(flatten)]
    pub(super) overridden: Overridden,
    /// A local protocol that the worksheet may name; may be given several times.
    #[arg(long, value_name = "FILE")]
    pub(super) protocol: Vec<String>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Part {
    /// A sample.
    Sample,
    /// A possible donor.
    Donor,
    /// How the mixtures were made.
    Setup,
    /// The reagents' own controls.
    Controls,
}

#[derive(Debug, Args)]
pub(super) struct Add {
    #[command(flatten)]
    pub(super) by: By,
    /// The worksheet.
    #[arg(value_parser = id)]
    pub(super) worksheet: Id,
    /// What is added.
    #[arg(value_enum)]
    pub(super) part: Part,
    /// A file with it, as in a worksheet; `-` is the standard input.
    pub(super) file: String,
    #[command(flatten)]
    pub(super) overridden: Overridden,
}

/// A named person's decision to go on.
#[derive(Debug, Args)]
pub(super) struct Overridden {
    /// Who decided to go on in spite of a refusal; the verdict is compatible with caveats at best.
    #[arg(long, value_name = "NAME", requires = "override_reason")]
    pub(super) override_by: Option<String>,
    /// Why.
    #[arg(long, value_name = "TEXT", requires = "override_by")]
    pub(super) override_reason: Option<String>,
}

#[derive(Debug, Args)]
pub(super) struct Enter {
    #[command(flatten)]
    pub(super) by: By,
    /// The worksheet.
    #[arg(value_parser = id)]
    pub(super) worksheet: Id,
    /// Test, donor (for tests that have one), phase, and grade or `unreadable`.
    #[arg(num_args = 3..=4, value_names = ["TEST", "DONOR", "PHASE", "GRADE"])]
    pub(super) reading: Vec<String>,
    #[command(flatten)]
    pub(super) seen: Seen,
}

/// Something that was seen, or that is said not to have been.
#[derive(Clone, Copy, Debug)]
pub(super) enum Told<T> {
    Seen(T),
    Not,
}

impl<T> Told<T> {
    pub(super) fn seen(self) -> Option<T> {
        match self {
            Self::Seen(value) => Some(value),
            Self::Not => None,
        }
    }
}

/// Seconds of a reading.
pub(super) type Seconds = Whole<0, 86_400>;

/// What else was seen of a mixture.
#[derive(Debug, Args)]
pub(super) struct Seen {
    /// How red the fluid is, 0 to 4, or `not_looked`. Look before the button is moved.
    #[arg(long, value_parser = hemolysis)]
    pub(super) hemolysis: Option<Told<Hemolysis>>,
    /// The shape of what is clumped, or `none`.
    #[arg(long, value_parser = told::<Pattern>)]
    pub(super) pattern: Option<Told<Pattern>>,
    /// Two populations of cells, one clumped and one free; `=no` if there are not.
    #[arg(long, value_name = "yes|no", value_parser = yes_or_no, num_args = 0..=1,
          require_equals = true, default_missing_value = "yes")]
    pub(super) mixed_field: Option<bool>,
    /// What was done before this look.
    #[arg(long, value_parser = word::<Recheck>)]
    pub(super) after: Option<Recheck>,
    /// Parts of saline to 1 part of the mixture, with `--after saline_dilution`.
    #[arg(long)]
    pub(super) saline_parts: Option<u32>,
    /// How strongly the check cells clumped, or `none` if there were none.
    #[arg(long, value_parser = told::<Grade>)]
    pub(super) check_cells: Option<Told<Grade>>,
    /// Seconds since mixing (slide) or since the spin (tube, gel), or `none` if nobody looked.
    #[arg(long, value_parser = seconds)]
    pub(super) seconds: Option<Told<Seconds>>,
    /// The edge of the slide had dried; `=no` if it had not.
    #[arg(long, value_name = "yes|no", value_parser = yes_or_no, num_args = 0..=1,
          require_equals = true, default_missing_value = "yes")]
    pub(super) dried: Option<bool>,
    /// What spoils the reading, or `none`; may be given several times.
    #[arg(long, value_parser = told::<Artefact>)]
    pub(super) artefact: Vec<Told<Artefact>>,
    /// When it was seen, if it is transcribed from paper.
    #[arg(long = "seen-at", value_parser = time, requires = "reader")]
    pub(super) read_at: Option<Time>,
    /// Who saw it, if it is transcribed from paper.
    #[arg(long = "seen-by", requires = "read_at")]
    pub(super) reader: Option<String>,
}

#[derive(Debug, Args)]
pub(super) struct Note {
    #[command(flatten)]
    pub(super) by: By,
    /// The worksheet.
    #[arg(value_parser = id)]
    pub(super) worksheet: Id,
    /// The text.
    pub(super) text: String,
}

#[derive(Debug, Args)]
pub(super) struct Amend {
    #[command(flatten)]
    pub(super) by: By,
    /// The entry.
    pub(super) entry: u64,
    /// Why.
    #[arg(long)]
    pub(super) reason: String,
    /// The grade, or `unreadable`.
    #[arg(long, value_parser = agglutination, conflicts_with = "file")]
    pub(super) grade: Option<Agglutination>,
    #[command(flatten)]
    pub(super) seen: Seen,
    /// A file with the new sample, donor, setup or controls.
    pub(super) file: Option<String>,
    #[command(flatten)]
    pub(super) overridden: Overridden,
}

#[derive(Debug, Args)]
pub(super) struct Retract {
    #[command(flatten)]
    pub(super) by: By,
    /// The entry.
    pub(super) entry: u64,
    /// Why.
    #[arg(long)]
    pub(super) reason: String,
}

#[derive(Debug, Args)]
pub(super) struct Segment {
    #[command(flatten)]
    pub(super) by: By,
    /// The worksheet.
    #[arg(value_parser = id)]
    pub(super) worksheet: Id,
    /// The donor.
    #[arg(value_parser = id)]
    pub(super) donor: Id,
    /// The last four characters of the unit's number.
    pub(super) typed: String,
}

#[derive(Debug, Args)]
pub(super) struct Unblind {
    #[command(flatten)]
    pub(super) by: By,
    /// The worksheet.
    #[arg(value_parser = id)]
    pub(super) worksheet: Id,
    /// Why.
    #[arg(long)]
    pub(super) reason: String,
}

#[derive(Debug, Args)]
pub(super) struct Issue {
    #[command(flatten)]
    pub(super) by: By,
    /// The worksheet.
    #[arg(value_parser = id)]
    pub(super) worksheet: Id,
    /// Who gets it.
    #[arg(long)]
    pub(super) to: String,
}

#[derive(Debug, Args)]
pub(super) struct Release {
    #[command(flatten)]
    pub(super) by: By,
    /// The worksheet.
    #[arg(value_parser = id)]
    pub(super) worksheet: Id,
    /// The donor.
    #[arg(value_parser = id)]
    pub(super) donor: Id,
    /// Who receives the unit.
    #[arg(long)]
    pub(super) to: String,
    /// The veterinarian who decided to give it.
    #[arg(long)]
    pub(super) veterinarian: String,
    /// The last four characters of the recipient's id, read off the animal.
    #[arg(long, value_name = "TYPED")]
    pub(super) recipient_ends: String,
    /// The last four characters of the unit's number, read off the unit.
    #[arg(long, value_name = "TYPED")]
    pub(super) unit_ends: String,
    /// Why it cannot wait: releases a unit whose crossmatch is not completed.
    #[arg(long, value_name = "REASON")]
    pub(super) emergency: Option<String>,
}

#[derive(Debug, Args)]
pub(super) struct Start {
    #[command(flatten)]
    pub(super) by: By,
    /// The worksheet.
    #[arg(value_parser = id)]
    pub(super) worksheet: Id,
    /// The entry of the release.
    pub(super) release: u64,
    #[command(flatten)]
    pub(super) figures: Figures,
    /// The checks that were answered yes, with commas between: release, identity, inspected,
    /// `not_too_warm`, filter, `own_line`, `no_calcium`, baseline.
    #[arg(long, value_name = "CHECKS", value_delimiter = ',', value_parser = word::<Check>)]
    pub(super) yes: Vec<Check>,
    /// The checks that were answered no: nothing is started, and what to do is said.
    #[arg(long, value_name = "CHECKS", value_delimiter = ',', value_parser = word::<Check>)]
    pub(super) no: Vec<Check>,
    #[command(flatten)]
    pub(super) baseline: Seeing,
    /// The last four characters of the recipient's id, read off the animal.
    #[arg(long, value_name = "TYPED")]
    pub(super) recipient_ends: String,
    /// The last four characters of the unit's number, read off the unit.
    #[arg(long, value_name = "TYPED")]
    pub(super) unit_ends: String,
}

/// What is measured and seen of an animal at one time.
#[derive(Debug, Args)]
pub(super) struct Seeing {
    /// Temperature, °C.
    #[arg(long)]
    pub(super) temperature_c: Option<Celsius>,
    /// Heart beats a minute.
    #[arg(long)]
    pub(super) heart: Option<u32>,
    /// Breaths a minute.
    #[arg(long)]
    pub(super) breaths: Option<u32>,
    /// PCV, percent.
    #[arg(long)]
    pub(super) pcv: Option<Pcv>,
    /// How much has run in, mL.
    #[arg(long)]
    pub(super) ml: Option<Milliliters>,
    /// Gums, behavior, anything else.
    #[arg(long)]
    pub(super) text: Option<String>,
    /// Signs of a reaction, with commas between.
    #[arg(long, value_delimiter = ',', value_parser = word::<Sign>)]
    pub(super) sign: Vec<Sign>,
}

#[derive(Debug, Args)]
pub(super) struct Observe {
    #[command(flatten)]
    pub(super) by: By,
    /// The worksheet.
    #[arg(value_parser = id)]
    pub(super) worksheet: Id,
    /// The entry of the start.
    pub(super) started: u64,
    #[command(flatten)]
    pub(super) seen: Seeing,
}

#[derive(Debug, Args)]
pub(super) struct End {
    #[command(flatten)]
    pub(super) by: By,
    /// The worksheet.
    #[arg(value_parser = id)]
    pub(super) worksheet: Id,
    /// The entry of the start.
    pub(super) started: u64,
    /// How much has run in, mL.
    #[arg(long)]
    pub(super) ml: Option<Milliliters>,
    /// It was stopped before the end, without a reaction: why.
    #[arg(long, value_name = "WHY", conflicts_with_all = ["reaction", "text"])]
    pub(super) stopped: Option<String>,
    /// The animal reacted: what was seen. It is stopped, and the unit barred for every animal.
    #[arg(long, value_name = "SEEN", conflicts_with = "text")]
    pub(super) reaction: Option<String>,
    /// What else is to be said.
    #[arg(long)]
    pub(super) text: Option<String>,
}

#[derive(Debug, Args)]
pub(super) struct Running {
    #[command(flatten)]
    pub(super) at: At,
    /// The time in place of the clock's, for trying things out.
    #[arg(long, value_name = "TIME", value_parser = time, hide = true)]
    pub(super) now: Option<Time>,
}

#[derive(Debug, Args)]
pub(super) struct Outcome {
    #[command(flatten)]
    pub(super) by: By,
    /// The worksheet.
    #[arg(value_parser = id)]
    pub(super) worksheet: Id,
    /// The entry of the start.
    pub(super) started: u64,
    /// Hours after the end.
    pub(super) hours: u32,
    /// The PCV, in percent.
    pub(super) pcv: Pcv,
}

#[derive(Debug, Args)]
pub(super) struct Transfused {
    #[command(flatten)]
    pub(super) by: By,
    /// The animal.
    #[arg(value_parser = id)]
    pub(super) animal: Id,
    /// What was given.
    #[arg(value_parser = word::<Product>)]
    pub(super) product: Product,
    /// When it began; now if left out.
    #[arg(long, value_parser = time)]
    pub(super) at: Option<Time>,
    /// The donor.
    #[arg(long, value_parser = id)]
    pub(super) donor: Option<Id>,
    /// The unit's number.
    #[arg(long, value_parser = id)]
    pub(super) unit: Option<Id>,
    /// Where, by whom, or what else is known.
    #[arg(long)]
    pub(super) text: Option<String>,
}

#[derive(Debug, Args)]
pub(super) struct Reaction {
    #[command(flatten)]
    pub(super) by: By,
    /// The animal.
    #[arg(value_parser = id)]
    pub(super) animal: Id,
    /// What was seen.
    pub(super) text: String,
    /// When it was noticed; now if left out.
    #[arg(long, value_parser = time)]
    pub(super) at: Option<Time>,
    /// The donor.
    #[arg(long, value_parser = id)]
    pub(super) donor: Option<Id>,
    /// The unit's number.
    #[arg(long, value_parser = id)]
    pub(super) unit: Option<Id>,
}

#[derive(Debug, Args)]
pub(super) struct Typed {
    #[command(flatten)]
    pub(super) by: By,
    /// The animal.
    #[arg(value_parser = id)]
    pub(super) animal: Id,
    /// The blood group system.
    #[arg(value_parser = word::<System>)]
    pub(super) system: System,
    /// The result.
    #[arg(value_parser = word::<TypeResult>)]
    pub(super) result: TypeResult,
    /// The day of the typing.
    #[arg(long, value_parser = date)]
    pub(super) on: Option<Date>,
    /// The new sample that was typed: this settles a disagreement of earlier results.
    #[arg(long, value_name = "SAMPLE")]
    pub(super) settled_by: Option<String>,
}

#[derive(Debug, Args)]
pub(super) struct Retest {
    #[command(flatten)]
    pub(super) by: By,
    /// The new worksheet.
    #[arg(value_parser = id)]
    pub(super) worksheet: Id,
    /// The earlier worksheet.
    #[arg(long, value_parser = id)]
    pub(super) of: Id,
    /// The donor on it.
    #[arg(long, value_parser = id)]
    pub(super) donor: Id,
    /// Which of the recipient's samples is used: `before_transfusion` or `after_transfusion`.
    #[arg(long)]
    pub(super) sample: crossread_journal::RetestSample,
    /// I have seen the warnings and take note of them, by the name of who writes.
    #[arg(long)]
    pub(super) acknowledge: bool,
}

#[derive(Debug, Args)]
pub(super) struct Clerical {
    #[command(flatten)]
    pub(super) by: By,
    /// The worksheet.
    #[arg(value_parser = id)]
    pub(super) worksheet: Id,
    /// The donor.
    #[arg(value_parser = id)]
    pub(super) donor: Id,
    /// What was read off, and where.
    #[arg(required = true, value_name = "READ")]
    pub(super) read: Vec<String>,
}

#[derive(Debug, Args)]
pub(super) struct Done {
    #[command(flatten)]
    pub(super) by: By,
    /// The entry that raised the task.
    pub(super) task: u64,
    /// What was done, or who was told and how.
    pub(super) text: String,
}

#[derive(Debug, Args)]
pub(super) struct List {
    #[command(flatten)]
    pub(super) at: At,
    /// Only what was opened on or after this day.
    #[arg(long, value_parser = date, default_value = "0001-01-01", hide_default_value = true)]
    pub(super) since: Date,
}

#[derive(Debug, Args)]
pub(super) struct Show {
    #[command(flatten)]
    pub(super) at: At,
    /// The worksheet.
    #[arg(value_parser = id)]
    pub(super) worksheet: Id,
    /// The rules under which to show it today, in place of those it was opened with.
    #[arg(long, value_name = "FILE")]
    pub(super) protocol: Option<String>,
    /// Print the worksheet as the document that `interpret` takes.
    #[arg(long)]
    pub(super) document: bool,
}

#[derive(Debug, Args)]
pub(super) struct Animal {
    #[command(flatten)]
    pub(super) at: At,
    /// The animal.
    #[arg(value_parser = id)]
    pub(super) animal: Id,
}

#[derive(Debug, Args)]
pub(super) struct Search {
    #[command(flatten)]
    pub(super) at: At,
    /// The recipient's id.
    #[arg(long)]
    pub(super) recipient: Option<String>,
    /// A donor's id.
    #[arg(long)]
    pub(super) donor: Option<String>,
    /// The beginning of an animal's name, or of a word in it, without case and diacritics.
    #[arg(long)]
    pub(super) name: Option<String>,
    /// A unit's number.
    #[arg(long)]
    pub(super) unit: Option<String>,
    /// A verdict that was issued.
    #[arg(long, value_parser = word::<crossread_core::words::Verdict>)]
    pub(super) verdict: Option<crossread_core::words::Verdict>,
    /// Who read, without case and diacritics.
    #[arg(long)]
    pub(super) reader: Option<String>,
    /// Opened, issued or released on or after this day.
    #[arg(long, value_parser = date)]
    pub(super) from: Option<Date>,
    /// Opened, issued or released on or before this day.
    #[arg(long, value_parser = date)]
    pub(super) to: Option<Date>,
    /// At most so many worksheets.
    #[arg(long, default_value_t = 50)]
    pub(super) limit: u32,
    /// Only what was entered before this entry, to go on from an earlier answer.
    #[arg(long, value_name = "ENTRY")]
    pub(super) before: Option<u64>,
}

#[derive(Debug, Args)]
pub(super) struct Compare {
    #[command(flatten)]
    pub(super) at: At,
    /// The first worksheet.
    #[arg(value_parser = id)]
    pub(super) first: Id,
    /// The second.
    #[arg(value_parser = id)]
    pub(super) second: Id,
    /// The donor on both.
    #[arg(value_parser = id)]
    pub(super) donor: Id,
}

#[derive(Debug, Args)]
pub(super) struct Old {
    #[command(flatten)]
    pub(super) at: At,
    /// The day.
    #[arg(long, value_parser = date)]
    pub(super) before: Date,
}

#[derive(Debug, Args)]
pub(super) struct Verify {
    #[command(flatten)]
    pub(super) at: At,
    /// An entry and its hash that were kept elsewhere: is it still there?
    #[arg(long, value_name = "ENTRY:HASH")]
    pub(super) kept: Option<String>,
}

#[derive(Debug, Args)]
pub(super) struct Import {
    #[command(flatten)]
    pub(super) at: At,
    /// The export; `-` is the standard input.
    pub(super) file: String,
}

pub(crate) fn id(text: &str) -> Result<Id, String> {
    Id::new(text).ok_or_else(|| "an id is not empty".to_owned())
}

pub(crate) fn time(text: &str) -> Result<Time, String> {
    Time::new(text).ok_or_else(|| "expected a time such as 2026-03-01T03:28:10+01:00".to_owned())
}

pub(crate) fn date(text: &str) -> Result<Date, String> {
    Date::new(text).ok_or_else(|| "expected a day such as 2026-03-01".to_owned())
}

pub(super) fn agglutination(text: &str) -> Result<Agglutination, String> {
    if text == Agglutination::UNREADABLE {
        return Ok(Agglutination::Unreadable);
    }
    word::<Grade>(text).map(Agglutination::Graded)
}

/// A word of the vocabulary, or `none`.
fn told<W>(text: &str) -> Result<Told<W>, String>
where
    W: std::str::FromStr + strum::VariantNames,
{
    if text == NONE {
        return Ok(Told::Not);
    }
    word(text).map(Told::Seen).map_err(|why| format!("{why}, or {NONE}"))
}

const NONE: &str = "none";

fn hemolysis(text: &str) -> Result<Told<Hemolysis>, String> {
    if text == "not_looked" {
        return Ok(Told::Not);
    }
    let seen = text.parse().ok().and_then(Hemolysis::new);
    seen.map(Told::Seen).ok_or_else(|| "expected 0 to 4, or not_looked".to_owned())
}

fn seconds(text: &str) -> Result<Told<Seconds>, String> {
    if text == NONE {
        return Ok(Told::Not);
    }
    let seen = text.parse().ok().and_then(Seconds::new);
    seen.map(Told::Seen).ok_or_else(|| format!("expected 0 to 86400, or {NONE}"))
}

fn yes_or_no(text: &str) -> Result<bool, String> {
    match text {
        "yes" => Ok(true),
        "no" => Ok(false),
        _ => Err("expected yes or no".to_owned()),
    }
}

/// A word of the vocabulary, with the known ones if it is none of them.
pub(crate) fn word<W>(text: &str) -> Result<W, String>
where
    W: std::str::FromStr + strum::VariantNames,
{
    text.parse().map_err(|_unknown| format!("expected one of: {}", W::VARIANTS.join(", ")))
}

impl Overridden {
    pub(super) fn given(&self) -> Option<crossread_journal::Override> {
        let (by, reason) = (self.override_by.as_ref()?, self.override_reason.as_ref()?);
        Some(crossread_journal::Override {
            by: Text::from(by.as_str()),
            reason: Text::from(reason.as_str()),
        })
    }
}

/// A test, perhaps a donor, a phase and what was seen.
pub(super) struct Cell {
    pub(super) test: Test,
    pub(super) donor: Option<Id>,
    pub(super) phase: Phase,
    pub(super) agglutination: Agglutination,
}

impl Enter {
    pub(super) fn cell(&self) -> Result<Cell, String> {
        let parts: Vec<&str> = self.reading.iter().map(String::as_str).collect();
        let (test, donor, phase, grade) = match *parts.as_slice() {
            [test, phase, grade] => (test, None, phase, grade),
            [test, donor, phase, grade] => (test, Some(donor), phase, grade),
            _ => {
                return Err(
                    "give a test, the donor if it has one, the phase and the grade".to_owned()
                );
            }
        };
        let at = |what: &str, error: String| format!("{what}: {error}");
        Ok(Cell {
            test: word(test).map_err(|error| at("the test", error))?,
            donor: donor.map(id).transpose()?,
            phase: word(phase).map_err(|error| at("the phase", error))?,
            agglutination: agglutination(grade).map_err(|error| at("the grade", error))?,
        })
    }
}
