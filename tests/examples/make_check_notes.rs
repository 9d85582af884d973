//! Writes the invented notes of `swimdays check` and their weather: `make_check_notes FOLDER`. The same every time.

use std::path::PathBuf;
use std::process::ExitCode;

use swimdays_tests::notes::files;

fn main() -> ExitCode {
    let Some(folder) = std::env::args_os().nth(1).map(PathBuf::from) else {
        eprintln!("usage: make_check_notes FOLDER (it must exist)");
        return ExitCode::from(2);
    };
    for (name, text) in files() {
        let path = folder.join(&name);
        if let Err(error) = std::fs::write(&path, &text) {
            eprintln!("{}: {error}", path.display());
            return ExitCode::FAILURE;
        }
        println!("{name}: {} lines", text.lines().count());
    }
    ExitCode::SUCCESS
}
