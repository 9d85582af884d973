//! Writes the invented notes of `swimdays check` and their weather: `make_check_notes FOLDER`. The same every time.
//!
//! With `--dense` instead a log of three months at ten minutes, 12 960 rows, to time the program by.

use std::path::PathBuf;
use std::process::ExitCode;

use swimdays_tests::notes::{dense_files, files};

fn main() -> ExitCode {
    let Some(folder) = std::env::args_os().nth(1).map(PathBuf::from) else {
        eprintln!("usage: make_check_notes FOLDER [--dense] (it must exist)");
        return ExitCode::from(2);
    };
    let dense = std::env::args_os().nth(2).is_some_and(|a| a == "--dense");
    for (name, text) in if dense { dense_files() } else { files() } {
        let path = folder.join(&name);
        if let Err(error) = std::fs::write(&path, &text) {
            eprintln!("{}: {error}", path.display());
            return ExitCode::FAILURE;
        }
        println!("{name}: {} lines", text.lines().count());
    }
    ExitCode::SUCCESS
}
