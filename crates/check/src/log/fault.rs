//! What could not be used of a log, and where.

use std::fmt;

/// Why something was not used.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum FaultKind {
    /// It cannot be read.
    Unreadable,
    /// It was read and cannot be: too hot, too cold, a jump that no pool makes.
    Wild,
}

/// A cell, a row or a name that was not used; the rest of the log is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RowFault {
    /// Unreadable or wild.
    pub kind: FaultKind,
    /// Line of the file, from 1.
    pub line: usize,
    /// Name of the column, where it is about one.
    pub column: Option<String>,
    /// What was found.
    pub found: String,
    /// What may stand there.
    pub allowed: String,
    /// What to do.
    pub todo: String,
}

impl RowFault {
    pub(super) fn cell(
        line: usize,
        column: &str,
        found: String,
        allowed: impl Into<String>,
        todo: impl Into<String>,
    ) -> Self {
        Self {
            kind: FaultKind::Unreadable,
            line,
            column: Some(clean(column)),
            found,
            allowed: allowed.into(),
            todo: todo.into(),
        }
    }

    pub(super) fn name(line: usize, title: &str, found: String, allowed: &str, todo: &str) -> Self {
        Self::cell(line, title, found, allowed, todo)
    }

    pub(super) fn row(
        line: usize,
        found: String,
        allowed: impl Into<String>,
        todo: impl Into<String>,
    ) -> Self {
        Self {
            kind: FaultKind::Unreadable,
            line,
            column: None,
            found,
            allowed: allowed.into(),
            todo: todo.into(),
        }
    }

    pub(super) fn wild(self) -> Self {
        Self {
            kind: FaultKind::Wild,
            ..self
        }
    }
}

impl fmt::Display for RowFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "line {}", self.line)?;
        if let Some(column) = &self.column {
            write!(f, ", column `{column}`")?;
        }
        write!(
            f,
            ": found {}; allowed: {}; {}",
            self.found, self.allowed, self.todo
        )
    }
}

/// A log of which nothing can be used.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum LogError {
    /// The file cannot be opened.
    #[error("{label}: cannot be read: {reason}")]
    Unreadable {
        /// The file.
        label: String,
        /// What the system says.
        reason: String,
    },
    /// No line of names.
    #[error(
        "{label}: found no line of names; allowed: a line such as `time, water F, outlet F, bucket 5 gal s`; put it above the first row (`swimdays check --template` prints a whole example)"
    )]
    NoNames {
        /// The file.
        label: String,
    },
    /// Not one row with a time and a reading.
    #[error("{label}: found no row with a time and a reading{}", listed(faults))]
    NoReadings {
        /// The file.
        label: String,
        /// What is wrong with the rows there are.
        faults: Vec<RowFault>,
    },
}

fn listed(faults: &[RowFault]) -> String {
    /// More than a person reads at once.
    const SHOWN: usize = 8;
    if faults.is_empty() {
        return "; allowed: rows below the line of names, each with a time and at least one number; write them down as you measure".into();
    }
    let mut out: String = faults
        .iter()
        .take(SHOWN)
        .map(|fault| format!("\n{fault}"))
        .collect();
    if faults.len() > SHOWN {
        out.push_str(&format!("\nand {} more", faults.len() - SHOWN));
    }
    out
}

/// A cell in backquotes, cut to what a message can bear.
pub(super) fn quoted(cell: &str) -> String {
    if cell.trim().is_empty() {
        return "nothing".into();
    }
    format!("`{}`", clean(cell))
}

/// Without control characters and not longer than a message can bear.
fn clean(text: &str) -> String {
    const MOST: usize = 40;
    let mut out: String = text
        .trim()
        .chars()
        .take(MOST)
        .map(|c| if c.is_control() { '\u{fffd}' } else { c })
        .collect();
    if text.trim().chars().nth(MOST).is_some() {
        out.push('…');
    }
    out
}
