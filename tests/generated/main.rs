//! Writes the generated files: `cargo regenerate`, or `cargo regenerate examples` for the expected
//! output of the examples.

use std::process::ExitCode;

use crossread_tests::{examples, files, project};

fn main() -> ExitCode {
    let examples_too = std::env::args().nth(1).is_some_and(|what| what == "examples");
    let written = if examples_too { examples() } else { files() }.and_then(|files| {
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
