//! The command line: flags, paths and exit codes; glue only.
//!
//! **Question:** what did the person ask for, and where does the answer go?
//! **In:** arguments. **Out:** text, files and an exit code: 0 done, 1 the run failed, 2 the input or the usage
//! is wrong. Physics, checks of the scenario and drawing are in the other crates.

mod args;
mod failure;
mod new;
mod samples;
mod season;

use std::ffi::OsString;
use std::io::Write;

use clap::Parser;

use args::{Args, Command};
use failure::Failure;

/// Runs the program with `args` (the first is the program's name) and returns its exit code.
///
/// Nothing is printed but to `out` and `err`.
pub fn run<I, T>(args: I, out: &mut dyn Write, err: &mut dyn Write) -> u8
where
    I: IntoIterator<Item = T>,
    T: Into<OsString> + Clone,
{
    let args = match Args::try_parse_from(args) {
        Ok(args) => args,
        Err(error) => {
            let wanted = !error.use_stderr();
            let text = error.render().to_string();
            let written = if wanted {
                out.write_all(text.as_bytes())
            } else {
                err.write_all(text.as_bytes())
            };
            return if wanted && written.is_ok() { 0 } else { 2 };
        }
    };
    let result = match &args.command {
        Command::Season(season) => season::run(season, out, err),
        Command::New(new) => new::run(new, out, err),
    };
    match result {
        Ok(()) => 0,
        Err(failure) if failure.is_broken_pipe() => 0,
        Err(failure) => {
            let _ = writeln!(err, "{}", failure.text());
            failure.code()
        }
    }
}

/// A result of one command.
type Done = Result<(), Failure>;
