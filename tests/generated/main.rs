//! Writes the generated files: `cargo regenerate`; `cargo regenerate examples` for the expected
//! output of the examples; `cargo regenerate corpus` for the verdicts of the corpus.

use std::process::ExitCode;

use crossread_tests::{examples, files, project, verdicts};

fn main() -> ExitCode {
    let made = match std::env::args().nth(1).as_deref() {
        None => files(),
        Some("examples") => examples(),
        Some("corpus") => verdicts(),
        Some(other) => Err(std::io::Error::other(format!("nothing is called {other}"))),
    };
    let written = made.and_then(|files| {
        files.iter().try_for_each(|file| std::fs::write(project().join(&file.path), &file.text))
    });
    match written {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            #[expect(clippy::print_stderr, reason = "this is the program's only message")]
            {
                eprintln!("{error}");
            }
            ExitCode::FAILURE
        }
    }
}
