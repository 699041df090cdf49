//! The words of the command line.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

/// Checks and interprets veterinary crossmatches.
///
/// Data goes to the standard output and messages to the error stream; `-` is the standard input.
/// Local rules and the veterinarian decide what is given.
#[derive(Debug, Parser)]
#[command(name = "crossread", version, max_term_width = 80, arg_required_else_help = true)]
#[command(
    after_help = "Exit status: 0 every donor releasable, 1 at least one not, 2 misuse of the \
                        command, 65 a document at fault, 66 a file missing, 70 a fault of the \
                        program, 73 cannot write, 74 reading or writing broke off.\n\n\
                        Example: crossread interpret worksheet.json"
)]
pub(crate) struct Cli {
    /// When to use color.
    #[arg(long, global = true, value_enum, default_value_t = Color::Auto, value_name = "WHEN")]
    pub(crate) color: Color,
    #[command(subcommand)]
    pub(crate) verb: Verb,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub(crate) enum Color {
    /// On a terminal, unless `NO_COLOR` is set.
    Auto,
    /// Always.
    Always,
    /// Never.
    Never,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Verb {
    /// Show the main job on a night of an invented hospital.
    #[command(after_help = "Example: crossread demo")]
    Demo,
    /// Say whether files are worksheets, protocols or interpretations, or list every fault in them.
    #[command(after_help = "A document a line (NDJSON) is read from files ending in .ndjson or \
                            .jsonl, or with --stream; faults are told with the line of the \
                            stream.\n\n\
                            Example: crossread check worksheet.json")]
    Check(Check),
    /// Turn worksheets into verdicts.
    #[command(after_help = "A worksheet a line (NDJSON) is read from files ending in .ndjson or \
                            .jsonl, or with --stream; one line comes out per line that goes in, \
                            in order, faults as objects.\n\n\
                            Example: crossread interpret --jobs 2 night.ndjson > verdicts.ndjson")]
    Interpret(Interpret),
    #[command(
        after_help = "Exit status: 0 nothing differs but the engine, 1 something does, 65 a \
                            line is no interpretation, 66 a file is missing.\n\n\
                            Example: crossread compare before.ndjson after.ndjson"
    )]
    Compare(crate::verbs::compare::Compare),
    #[command(after_help = "Example: crossread convert --to fhir worksheet.json > bundle.json")]
    Convert(crate::verbs::convert::Convert),
    /// Explain a finding, a fault, a key of a protocol or a word of the trade.
    #[command(after_help = "Example: crossread explain rouleaux-dispersed")]
    Explain(Explain),
    Journal(Box<crate::verbs::journal::Journal>),
    /// Print a worksheet on paper, filled or, with --blank, to be filled in.
    #[command(after_help = "Example: crossread sheet --blank worksheet.json -o sheet.html")]
    Sheet(crate::verbs::paper::OfWorksheet),
    /// Print the labels of a worksheet's mixtures, in rack order, each with a scannable code.
    #[command(after_help = "Example: crossread labels -j night.journal WS-0142 -o labels.html")]
    Labels(crate::verbs::paper::OfWorksheet),
    /// Print the report of a worksheet, for the veterinarian.
    #[command(after_help = "Example: crossread report -j night.journal WS-0142 -o report.html")]
    Report(crate::verbs::paper::OfWorksheet),
    #[command(after_help = "Example: crossread serve --journal night.journal --open")]
    Serve(crate::verbs::serve::Serve),
    #[command(after_help = "Example: crossread handover -j night.journal --by KT -o handover.html")]
    Handover(crate::verbs::paper::OfShift),
    /// Make exercises for students, show them, mark what was answered.
    #[command(after_help = "Example: crossread exercise make --seed 42 --items 30 -o set.json")]
    Exercise {
        #[command(subcommand)]
        what: Box<crate::verbs::exercise::Exercise>,
    },
    #[command(
        after_help = "Example: crossread need dog packed_cells --transfused yes --last-transfused-on 2026-03-01"
    )]
    Need(Box<crate::verbs::need::Need>),
    Prepare(crate::verbs::prepare::Prepare),
    #[command(after_help = "Example: crossread transfusion dog packed_cells --weight-kg 20 \
                            --pcv-now 15 --pcv-target 25 --product-pcv 60 --ordered-ml 300")]
    Transfusion(Box<crate::verbs::transfusion::Transfusion>),
    #[command(
        after_help = "Example: crossread titer 3+ 3+ 2+ 2+ 1+ w 0 --then 4+,3+,3+,2+,2+,1+,w"
    )]
    Titer(crate::verbs::prepare::Titrate),
    #[command(after_help = "Example: crossread screen --wanted 2 --share 0.44 --probability 0.9")]
    Screen(crate::verbs::prepare::Screen),
    #[command(after_help = "Exit status: 0 everything passed, 70 something failed.\n\n\
                            Example: crossread selftest --report validation.html")]
    Selftest(crate::verbs::selftest::Selftest),
    /// List, show, check and compare protocols, the local rules.
    #[command(after_help = "Example: crossread protocols show dog-routine")]
    Protocols {
        #[command(subcommand)]
        what: Protocols,
    },
    /// Print the JSON Schema of a document.
    #[command(after_help = "Example: crossread schema worksheet > worksheet.schema.json")]
    Schema {
        /// Which document.
        #[arg(value_parser = ["fault", "interpretation", "journal", "protocol", "worksheet"])]
        name: String,
    },
    /// Print completions for a shell.
    #[command(after_help = "Example: crossread completions bash > crossread.bash")]
    Completions {
        /// Which shell.
        shell: clap_complete::Shell,
    },
    /// Print the manual page, or write the pages of all verbs into a folder.
    #[command(after_help = "Example: crossread man | man -l -")]
    Man {
        /// The folder to write into.
        folder: Option<PathBuf>,
    },
}

#[derive(Debug, Args)]
pub(crate) struct Check {
    /// The files; `-` is the standard input.
    #[arg(required = true)]
    pub(crate) files: Vec<String>,
    /// How to print.
    #[arg(long, value_enum, default_value_t = Format::Text)]
    pub(crate) format: Format,
    /// A local protocol that worksheets may name; may be given several times.
    #[arg(long, value_name = "FILE")]
    pub(crate) protocol: Vec<String>,
    /// Take every file as a stream with one document a line.
    #[arg(long)]
    pub(crate) stream: bool,
}

#[derive(Debug, Args)]
pub(crate) struct Explain {
    /// What to explain; several words are taken as one.
    #[arg(required = true)]
    pub(crate) word: Vec<String>,
    /// How to print: a list of all meanings as JSON, for programs.
    #[arg(long, value_enum, default_value_t = Format::Text)]
    pub(crate) format: Format,
}

#[derive(Debug, Args)]
pub(crate) struct Interpret {
    /// The files; `-` is the standard input.
    #[arg(required = true)]
    pub(crate) files: Vec<String>,
    /// How to print: text for people, which may change; JSON, which is a promise.
    /// Text for a file with one worksheet, NDJSON for a stream, unless said otherwise.
    #[arg(long, value_enum)]
    pub(crate) format: Option<Format>,
    /// A local protocol that worksheets may name; may be given several times.
    #[arg(long, value_name = "FILE")]
    pub(crate) protocol: Vec<String>,
    /// Take every file as a stream with one worksheet a line.
    #[arg(long)]
    pub(crate) stream: bool,
    /// How many lines of a stream are worked on at once; the output is the same.
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u16).range(1..=256))]
    pub(crate) jobs: u16,
    /// End with status 0 also when a donor may not be released.
    #[arg(long)]
    pub(crate) exit_zero: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Format {
    /// For people.
    Text,
    /// One indented document.
    Json,
    /// One document a line.
    Ndjson,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Protocols {
    /// List the protocols that ship.
    #[command(after_help = "Example: crossread protocols list")]
    List,
    /// Show every value of a protocol with its source.
    #[command(after_help = "Example: crossread protocols show cat-routine")]
    Show {
        /// The id of a protocol that ships, or a file.
        protocol: String,
    },
    /// Check the files of local protocols.
    #[command(after_help = "Example: crossread protocols check our-dogs.json")]
    Check {
        /// The files; `-` is the standard input.
        #[arg(required = true)]
        files: Vec<String>,
    },
    /// Say which values of two protocols differ.
    #[command(after_help = "Example: crossread protocols compare dog-routine our-dogs.json")]
    Compare {
        /// The id of a protocol that ships, or a file.
        old: String,
        /// The id of a protocol that ships, or a file.
        new: String,
    },
}
