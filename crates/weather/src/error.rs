//! What can be wrong with a weather file, and how a person is told.

use thiserror::Error;

/// A weather file that cannot be used. Each message says where, what was found, what is allowed and what to do.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum WeatherError {
    /// The file could not be opened or read.
    #[error("{label}: cannot be read: {reason}; check the path and the permission to read it")]
    Unreadable {
        /// Which file.
        label: Box<str>,
        /// What the system said.
        reason: Box<str>,
    },
    /// The content is in no known format. What to do stands before the long list of formats.
    #[error("{label}, line {line}: found {found}; {todo}; allowed: {allowed}")]
    Unrecognised {
        /// Which file.
        label: Box<str>,
        /// Line looked at, from 1.
        line: usize,
        /// How the content begins.
        found: Box<str>,
        /// The formats that can be read.
        allowed: Box<str>,
        /// What to do.
        todo: Box<str>,
    },
    /// A header line is damaged or lacks something.
    #[error("{label}, line {line}, {column}: found {found}; allowed: {allowed}; {todo}")]
    Header {
        /// Which file.
        label: Box<str>,
        /// Line, from 1.
        line: usize,
        /// Field of the header.
        column: Box<str>,
        /// What stands there.
        found: Box<str>,
        /// What may stand there.
        allowed: Box<str>,
        /// What to do.
        todo: Box<str>,
    },
    /// One cell holds something impossible.
    #[error("{label}, line {line}, column `{column}`: found {found}; allowed: {allowed}; {todo}")]
    Cell {
        /// Which file.
        label: Box<str>,
        /// Line, from 1.
        line: usize,
        /// Name of the column, as the file or its format has it.
        column: Box<str>,
        /// What stands there.
        found: Box<str>,
        /// What may stand there.
        allowed: Box<str>,
        /// What to do.
        todo: Box<str>,
    },
    /// A row does not have the cells of the others.
    #[error("{label}, line {line}: found {found}; allowed: {allowed}; {todo}")]
    Row {
        /// Which file.
        label: Box<str>,
        /// Line, from 1.
        line: usize,
        /// What stands there.
        found: Box<str>,
        /// What may stand there.
        allowed: Box<str>,
        /// What to do.
        todo: Box<str>,
    },
    /// The intervals do not follow one another.
    #[error("{label}, line {line}, time: found {found}; allowed: {allowed}; {todo}")]
    Time {
        /// Which file.
        label: Box<str>,
        /// Line, from 1.
        line: usize,
        /// What stands there.
        found: Box<str>,
        /// What may stand there.
        allowed: Box<str>,
        /// What to do.
        todo: Box<str>,
    },
    /// A needed column has a gap too long to fill.
    #[error(
        "{label}, line {line}, column `{column}`: found no value for {gap} from {from}; allowed: gaps of up to {allowed}; {todo}"
    )]
    Gap {
        /// Which file.
        label: Box<str>,
        /// First line without a value, from 1.
        line: usize,
        /// Name of the column.
        column: Box<str>,
        /// Length of the gap.
        gap: Box<str>,
        /// Start of the gap, local standard time.
        from: Box<str>,
        /// Longest gap that is filled.
        allowed: Box<str>,
        /// What to do.
        todo: Box<str>,
    },
    /// A needed column is missing throughout.
    #[error("{label}, column `{column}`: found no value in any row; allowed: {allowed}; {todo}")]
    MissingColumn {
        /// Which file.
        label: Box<str>,
        /// The column that is missing.
        column: Box<str>,
        /// What would do instead.
        allowed: Box<str>,
        /// What to do.
        todo: Box<str>,
    },
    /// A climate table says what cannot be.
    #[error("{label}, {what}: found {found}; allowed: {allowed}; {todo}")]
    Normals {
        /// Name of the place.
        label: Box<str>,
        /// Which value of which month.
        what: Box<str>,
        /// What stands there.
        found: Box<str>,
        /// What may stand there.
        allowed: Box<str>,
        /// What to do.
        todo: Box<str>,
    },
}
