//! Writes the invented sample years: `make_samples FOLDER`. The same bytes every time.

mod samples;

use std::path::PathBuf;
use std::process::ExitCode;

fn main() -> ExitCode {
    let Some(folder) = std::env::args_os().nth(1).map(PathBuf::from) else {
        eprintln!("usage: make_samples FOLDER (it must exist)");
        return ExitCode::from(2);
    };
    let files = match samples::files() {
        Ok(files) => files,
        Err(error) => {
            eprintln!("{error}");
            return ExitCode::FAILURE;
        }
    };
    for (name, bytes) in files {
        let path = folder.join(&name);
        if let Err(error) = std::fs::write(&path, &bytes) {
            eprintln!("{}: {error}", path.display());
            return ExitCode::FAILURE;
        }
        println!("{name}: {} kB", bytes.len() / 1000);
    }
    ExitCode::SUCCESS
}
