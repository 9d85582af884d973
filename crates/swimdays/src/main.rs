//! Starts the program; everything else is in the library.

use std::process::ExitCode;

fn main() -> ExitCode {
    let mut out = std::io::BufWriter::new(std::io::stdout().lock());
    let mut err = std::io::stderr().lock();
    let code = swimdays::run(std::env::args_os(), &mut out, &mut err);
    ExitCode::from(code)
}
