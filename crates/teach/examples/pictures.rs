//! Draws one picture of everything that can be shown.
//!
//! `cargo run -p crossread-teach --features png --example pictures -- FOLDER` writes an SVG
//! of each, its small, moving and still forms, and contact sheets as PNG, into a folder.
//!
//! `cargo run -p crossread-teach --example pictures -- --hashes` writes the hashes that the tests
//! compare with.

use std::path::Path;
use std::process::ExitCode;
use std::{env, fs, io};

use forms::forms;

#[path = "../tests/forms/mod.rs"]
mod forms;

fn main() -> ExitCode {
    let Some(target) = env::args().nth(1) else {
        return fail("give a folder, or --hashes");
    };
    let written = if target == "--hashes" { write_hashes() } else { write_all(Path::new(&target)) };
    match written {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => fail(&error.to_string()),
    }
}

fn fail(message: &str) -> ExitCode {
    #[expect(clippy::print_stderr, reason = "this is the program's only message")]
    {
        eprintln!("{message}");
    }
    ExitCode::FAILURE
}

fn write_hashes() -> io::Result<()> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/pictures.txt");
    let mut text = String::new();
    for form in forms() {
        text += &format!("{} {}\n", form.hash(), form.name);
    }
    fs::write(path, text)
}

fn write_all(folder: &Path) -> io::Result<()> {
    fs::create_dir_all(folder)?;
    let all = forms();
    for form in &all {
        fs::write(folder.join(format!("{}.svg", form.name)), &form.svg)?;
    }
    #[cfg(feature = "png")]
    for (sheet, chosen) in [
        ("tube", "tube-"),
        ("gel", "gel-"),
        ("slide", "slide-"),
        ("field", "field-"),
        ("icon", "icon-"),
        ("stills", "stills-"),
    ] {
        let some: Vec<&str> = all
            .iter()
            .filter(|form| form.name.starts_with(chosen))
            .map(|form| form.svg.as_str())
            .collect();
        let png = crossread_teach::picture::png(&contact(&some), 1500).map_err(io::Error::other)?;
        fs::write(folder.join(format!("contact-{sheet}.png")), png)?;
    }
    Ok(())
}

/// Many pictures in one, in rows.
#[cfg(feature = "png")]
fn contact(pictures: &[&str]) -> String {
    const WIDE: u32 = 2200;
    let (mut x, mut y, mut row) = (0_u32, 0_u32, 0_u32);
    let mut body = String::new();
    for svg in pictures {
        let side = |name: &str| -> u32 {
            let (_, rest) = svg.split_once(name).unwrap_or(("", "0"));
            rest.split('"').next().and_then(|number| number.parse().ok()).unwrap_or(0)
        };
        let (width, height) = (side(" width=\""), side(" height=\""));
        if x.saturating_add(width) > WIDE {
            (x, y, row) = (0, y.saturating_add(row).saturating_add(6), 0);
        }
        body += &svg.replacen("<svg ", &format!("<svg x=\"{x}\" y=\"{y}\" "), 1);
        x = x.saturating_add(width).saturating_add(6);
        row = row.max(height);
    }
    let tall = y.saturating_add(row);
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{WIDE}\" height=\"{tall}\">\
         <rect width=\"{WIDE}\" height=\"{tall}\" fill=\"#fff\"/>{body}</svg>"
    )
}
