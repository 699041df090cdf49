//! The command `crossread`. No rule of serology lives here: it reads files, asks the core, prints.
#![forbid(unsafe_code)]

mod cli;
mod exit;
mod input;
mod lines;
mod stream;
mod text;
mod verbs;

use std::process::ExitCode;

use clap::Parser as _;
use cli::{Cli, Color, Verb};

fn main() -> ExitCode {
    exit::code(exit::guarded(run))
}

fn run() -> u8 {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(said) => {
            // Help and version are no misuse; either way the words are clap's own.
            let status = if said.use_stderr() { exit::MISUSE } else { exit::RELEASABLE };
            return said.print().map_or(exit::IO, |()| status);
        }
    };
    match cli.color {
        Color::Auto => {}
        Color::Always => anstream::ColorChoice::Always.write_global(),
        Color::Never => anstream::ColorChoice::Never.write_global(),
    }
    let ended = match cli.verb {
        Verb::Demo => verbs::demo::run(),
        Verb::Check(check) => verbs::check::run(&check),
        Verb::Interpret(interpret) => verbs::interpret::run(&interpret),
        Verb::Compare(asked) => verbs::compare::run(&asked),
        Verb::Convert(asked) => verbs::convert::run(&asked),
        Verb::Explain(asked) => verbs::explain::run(&asked),
        Verb::Journal(journal) => verbs::journal::run(&journal),
        Verb::Sheet(asked) => verbs::paper::sheet(&asked),
        Verb::Labels(asked) => verbs::paper::labels(&asked),
        Verb::Report(asked) => verbs::paper::report(&asked),
        Verb::Serve(asked) => verbs::serve::run(&asked),
        Verb::Transfusion(asked) => verbs::transfusion::run(&asked),
        Verb::Exercise { what } => verbs::exercise::run(&what),
        Verb::Handover(asked) => verbs::paper::handover(&asked),
        Verb::Need(asked) => verbs::need::run(&asked),
        Verb::Prepare(asked) => verbs::prepare::run(&asked),
        Verb::Titer(asked) => verbs::prepare::titer(&asked),
        Verb::Screen(asked) => verbs::prepare::screen(&asked),
        Verb::Selftest(asked) => verbs::selftest::run(&asked),
        Verb::Protocols { what } => verbs::protocols::run(&what),
        Verb::Schema { name } => verbs::machine::schema(&name),
        Verb::Completions { shell } => verbs::machine::completions(shell),
        Verb::Man { folder } => verbs::machine::man(folder.as_deref()),
    };
    ended.unwrap_or_else(exit::Failure::tell)
}
