//! What a person is told when it did not work, and the exit code.

use std::fmt::Arguments;
use std::io::Write;

use anyhow::Context;
use swimdays_report::ReportError;

/// What is said when standard output takes no more.
const NOT_PRINTED: &str = "standard output cannot be written";

/// Prints to standard output.
pub(crate) fn print(out: &mut dyn Write, text: Arguments<'_>) -> Result<(), Failure> {
    Ok(out.write_fmt(text).context(NOT_PRINTED)?)
}

/// Sees that what was printed has arrived.
pub(crate) fn flush(out: &mut dyn Write) -> Result<(), Failure> {
    Ok(out.flush().context(NOT_PRINTED)?)
}

/// A failed command.
#[derive(Debug)]
pub(crate) enum Failure {
    /// The input or the usage is wrong: exit code 2.
    Input(String),
    /// The run failed: exit code 1.
    Run(anyhow::Error),
}

impl Failure {
    pub(crate) fn input(error: impl std::fmt::Display) -> Self {
        Self::Input(error.to_string())
    }

    /// What stands in the way of writing is the person's to solve; the rest is a failed run.
    pub(crate) fn report(error: ReportError) -> Self {
        match error {
            ReportError::NotAFolder(_)
            | ReportError::NotOurs(_)
            | ReportError::BadName(_)
            | ReportError::FolderInTheWay(_)
            | ReportError::NotWritable { .. } => Self::input(error),
            other => Self::Run(other.into()),
        }
    }

    pub(crate) fn code(&self) -> u8 {
        match self {
            Self::Input(_) => 2,
            Self::Run(_) => 1,
        }
    }

    pub(crate) fn text(&self) -> String {
        match self {
            Self::Input(text) => text.clone(),
            Self::Run(error) => format!("{error:#}"),
        }
    }

    pub(crate) fn is_broken_pipe(&self) -> bool {
        match self {
            Self::Input(_) => false,
            Self::Run(error) => error.chain().any(|cause| {
                cause
                    .downcast_ref::<std::io::Error>()
                    .is_some_and(|e| e.kind() == std::io::ErrorKind::BrokenPipe)
            }),
        }
    }
}

impl<E: Into<anyhow::Error>> From<E> for Failure {
    fn from(error: E) -> Self {
        Self::Run(error.into())
    }
}
