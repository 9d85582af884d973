//! The command line: flags, paths and exit codes; glue only.
//!
//! **Question:** what did the person ask for, and where does the answer go?
//! **In:** arguments. **Out:** text, files and an exit code: 0 done, 1 the run failed, 2 the input or the usage
//! is wrong. Physics, checks of the scenario and drawing are in the other crates.

mod aim;
mod args;
mod asked;
mod build;
mod check;
mod compare;
mod delivery;
mod failure;
mod flow;
mod hours;
mod new;
mod report;
mod samples;
mod season;
mod sources;
mod sweep;
mod warmup;
mod weather;

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
            let text = error.render().to_string();
            if error.use_stderr() {
                let _ = err.write_all(text.as_bytes());
                return 2;
            }
            return ended(failure::print(out, format_args!("{text}")), out, err);
        }
    };
    let result = match &args.command {
        Command::Season(season) => season::run(season, out, err),
        Command::Compare(compare) => compare::run(compare, out, err),
        Command::Flow(flow) => flow::run(flow, out, err),
        Command::Build(build) => build::run(build, out, err),
        Command::Hours(hours) => hours::run(hours, out, err),
        Command::Sweep(sweep) => sweep::run(sweep, out, err),
        Command::Report(report) => report::run(report, out, err),
        Command::Check(check) => check::run(check, out, err),
        Command::Aim(aim) => aim::run(aim, out, err),
        Command::Warmup(warmup) => warmup::run(warmup, out, err),
        Command::New(new) => new::run(new, out, err),
        Command::Weather(weather) => weather::run(weather, out, err),
    };
    ended(result, out, err)
}

/// Sees that what was printed has arrived, says what went wrong, and chooses the exit code.
fn ended(result: Done, out: &mut dyn Write, err: &mut dyn Write) -> u8 {
    match result.and_then(|()| failure::flush(out)) {
        Ok(()) => 0,
        // A reader that went away (`swimdays … | head`) is no error.
        Err(failure) if failure.is_broken_pipe() => 0,
        Err(failure) => {
            let _ = writeln!(err, "{}", failure.text());
            failure.code()
        }
    }
}

/// A result of one command.
type Done = Result<(), Failure>;

#[cfg(test)]
mod tests {
    use std::io::{Error, ErrorKind, Write};

    /// Takes everything and fails when it is to arrive.
    struct Fails(ErrorKind);

    impl Write for Fails {
        fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
            Ok(bytes.len())
        }

        fn flush(&mut self) -> std::io::Result<()> {
            Err(Error::from(self.0))
        }
    }

    #[test]
    fn output_that_does_not_arrive_is_told_unless_nobody_reads_it() {
        for (kind, code) in [(ErrorKind::StorageFull, 1), (ErrorKind::BrokenPipe, 0)] {
            let mut told = Vec::new();
            let found = super::run(["swimdays", "--help"], &mut Fails(kind), &mut told);
            assert_eq!(found, code, "{kind}");
            assert_eq!(told.is_empty(), code == 0, "{kind}");
        }
    }
}
